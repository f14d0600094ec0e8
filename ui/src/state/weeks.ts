/** A number of weeks as the address keeps it. */

/** About a quarter of a year, from one appointment to the next (common practice, no source). */
const usualWeeks = 12

/** The number of weeks behind the `?`, where it is one of those on offer. */
export function readWeeks(query: string, offered: readonly number[]): number {
  const weeks = Number(new URLSearchParams(query).get('weeks'))
  return offered.includes(weeks) ? weeks : usualWeeks
}
