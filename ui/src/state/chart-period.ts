/**
 * The period of a chart: as the address keeps it, as the fields hold it, as the door is asked.
 *
 * Not here: which days a number of weeks means, which the door says.
 */
import { readDate } from './time'

/** Weeks on offer. */
export const chartWeeks = [4, 12, 26, 52] as const
/** About a quarter of a year, from one appointment to the next (common practice, no source). */
const usualWeeks = 12

export type Period = { weeks: number } | { from: string; to: string }
export interface Asked {
  period: Period
  /** Beside it the period of the same length before. */
  compare: boolean
}
export type PeriodProblem = 'from' | 'to' | 'reversed'

/** A date as a date field gives it; a browser without such fields gives what was typed. */
function readField(text: string): string | null {
  const [, year = '', month = '', day = ''] = /^(\d{4})-(\d{1,2})-(\d{1,2})$/.exec(text.trim()) ?? []
  return readDate(day, month, year)
}

/** Two fields as a period, or what is wrong with them. */
export function readDates(from: string, to: string): { from: string; to: string } | { problem: PeriodProblem } {
  const first = readField(from)
  if (first === null) return { problem: 'from' }
  const last = readField(to)
  if (last === null) return { problem: 'to' }
  return first > last ? { problem: 'reversed' } : { from: first, to: last }
}

/** What stands behind the `?`; anything unreadable is the usual period. */
export function readAsked(query: string): Asked {
  const fields = new URLSearchParams(query)
  const compare = fields.get('compare') === '1'
  const dates = readDates(fields.get('from') ?? '', fields.get('to') ?? '')
  if (!('problem' in dates)) return { period: dates, compare }
  return { period: { weeks: readWeeks(query, chartWeeks) }, compare }
}

/** The number of weeks behind the `?`, where it is one of those on offer. */
export function readWeeks(query: string, offered: readonly number[]): number {
  const weeks = Number(new URLSearchParams(query).get('weeks'))
  return offered.includes(weeks) ? weeks : usualWeeks
}

export function queryOf({ period, compare }: Asked): string {
  const fields = 'weeks' in period ? { weeks: String(period.weeks) } : period
  return new URLSearchParams({ ...fields, ...(compare ? { compare: '1' } : {}) }).toString()
}

/** Whether two questions are about the same days. */
export const sameAsked = (a: Asked, b: Asked): boolean => queryOf(a) === queryOf(b)
