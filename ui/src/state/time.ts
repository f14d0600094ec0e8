/**
 * Wall time as whole numbers: what was typed, and what an instant reads on a person's clock.
 *
 * Only for filling and reading the form. What a time means, and every past time on screen, comes from the door.
 */

import type { Clock } from './units'

export interface Wall {
  year: number
  month: number
  day: number
  hour: number
  minute: number
}

const two = (n: number) => String(n).padStart(2, '0')

/** `2026-03-29T02:30`, as the door reads it. */
export function localText(w: Wall): string {
  return `${String(w.year).padStart(4, '0')}-${two(w.month)}-${two(w.day)}T${two(w.hour)}:${two(w.minute)}`
}

/** `08:05`, as the door reads it. */
export const clockText = (w: Pick<Wall, 'hour' | 'minute'>): string => `${two(w.hour)}:${two(w.minute)}`
/** `20:05` or `8:05 pm`, for a field to be filled with. */
export function clockShown(w: Pick<Wall, 'hour' | 'minute'>, clock: Clock): string {
  return clock === '24' ? clockText(w) : `${w.hour % 12 || 12}:${two(w.minute)} ${w.hour < 12 ? 'am' : 'pm'}`
}
/** A code of the door, `20:05`, as {@link clockShown}. */
export function codeShown(code: string, clock: Clock): string {
  const read = readClock(code, '24')
  return read ? clockShown(read, clock) : code
}
export const dateText = (w: Pick<Wall, 'year' | 'month' | 'day'>): string =>
  `${String(w.year).padStart(4, '0')}-${two(w.month)}-${two(w.day)}`

/** The wall time an RFC 3339 text is written in, at its own offset. */
export function wallOf(rfc3339: string): Wall {
  const n = /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d)/.exec(rfc3339)
  const [year = 1970, month = 1, day = 1, hour = 0, minute = 0] = (n ?? []).slice(1).map(Number)
  return { year, month, day, hour, minute }
}

/** The wall time of an instant in a zone; `null` where this device does not know the zone. */
export function wallIn(zone: string, instant: number): Wall | null {
  try {
    const parts = new Intl.DateTimeFormat('en-GB', {
      timeZone: zone,
      calendar: 'gregory',
      numberingSystem: 'latn',
      hourCycle: 'h23',
      year: 'numeric',
      month: 'numeric',
      day: 'numeric',
      hour: 'numeric',
      minute: 'numeric',
    }).formatToParts(instant)
    const of = (type: string) => Number(parts.find((p) => p.type === type)?.value)
    const wall = { year: of('year'), month: of('month'), day: of('day'), hour: of('hour'), minute: of('minute') }
    return Object.values(wall).every(Number.isFinite) ? wall : null
  } catch {
    return null
  }
}

/** An instant some minutes earlier, written at the same offset. */
export function earlier(rfc3339: string, minutes: number): string {
  const offset = /(Z|[+-]\d\d:\d\d)$/.exec(rfc3339)?.[1] ?? 'Z'
  const sign = offset[0] === '-' ? -1 : 1
  const ahead = offset === 'Z' ? 0 : sign * (Number(offset.slice(1, 3)) * 60 + Number(offset.slice(4, 6)))
  const at = new Date(Date.parse(rfc3339) - minutes * 60_000 + ahead * 60_000)
  const wall = {
    year: at.getUTCFullYear(),
    month: at.getUTCMonth() + 1,
    day: at.getUTCDate(),
    hour: at.getUTCHours(),
    minute: at.getUTCMinutes(),
  }
  return `${localText(wall)}:${two(at.getUTCSeconds())}${offset}`
}

const lengths = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
/** Days of a month; 0 for a month that does not exist. */
export function daysIn(year: number, month: number): number {
  const leap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0)
  return month === 2 && leap ? 29 : (lengths[month - 1] ?? 0)
}

/** A real date, or `null`. */
export function readDate(day: string, month: string, year: string): string | null {
  if (![day, month, year].every((t) => /^\d{1,4}$/.test(t.trim()))) return null
  const date = { day: Number(day), month: Number(month), year: Number(year) }
  if (date.year < 1880 || date.day < 1 || date.day > daysIn(date.year, date.month)) return null
  return dateText(date)
}

/**
 * Reads `8:05`, `08.05`, `0805` and `8:05 pm`, `8 pm`; `null` for anything else.
 *
 * By a clock of twelve hours an hour from 1 to 12 needs its am or pm: without it nobody knows which half of the day is meant.
 */
export function readClock(text: string, clock: Clock): { hour: number; minute: number } | null {
  const parts = /^(\d{1,2})(?:[:.h ]?(\d{2}))?(?:\s*([ap])\.?\s*m\.?)?$/i.exec(text.trim())
  if (!parts || (parts[2] === undefined && parts[3] === undefined)) return null
  const [hour, minute] = [Number(parts[1]), Number(parts[2] ?? 0)]
  if (hour > 23 || minute > 59) return null
  const inHalf = hour >= 1 && hour <= 12
  if (parts[3] === undefined) return clock === '12' && inHalf ? null : { hour, minute }
  return inHalf ? { hour: (hour % 12) + (parts[3].toLowerCase() === 'p' ? 12 : 0), minute } : null
}

/** Day and month without a year: the year that lies nearest to now. */
export function nearestYear(day: number, month: number, now: Wall): number | null {
  const span = (year: number) =>
    Math.abs(Date.UTC(year, month - 1, day) - Date.UTC(now.year, now.month - 1, now.day))
  const years = [now.year, now.year - 1, now.year + 1].filter((y) => day >= 1 && day <= daysIn(y, month))
  return years.sort((a, b) => span(a) - span(b))[0] ?? null
}

export type TypedTime = { local: string } | { problem: 'day' | 'clock' }

/** Three plain fields as a local time. */
export function readTyped(fields: { day: string; month: string; clock: string }, now: Wall, by: Clock): TypedTime {
  const number = (t: string) => (/^\d{1,2}$/.test(t.trim()) ? Number(t) : NaN)
  const [day, month] = [number(fields.day), number(fields.month)]
  const year = Number.isNaN(day + month) ? null : nearestYear(day, month, now)
  if (year === null) return { problem: 'day' }
  const clock = readClock(fields.clock, by)
  return clock ? { local: localText({ year, month, day, ...clock }) } : { problem: 'clock' }
}
