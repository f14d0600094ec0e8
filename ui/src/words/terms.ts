/** What the second part of an order says: on which days, how punctual, with what, by whom signed; and changing one. */
import { dateWords, zones } from '../words'
import { codeShown } from '../state/time'
import { weekFrom, type Units } from '../state/units'
import type { OrderTerms } from '../wire'

const weekdays = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'] as const
const devices: Record<string, string> = { vial_and_syringe: 'Vial and syringe', pen: 'Pen', prefilled_syringe: 'Prefilled syringe' }

export const terms = {
  more: 'More about this order',
  moreHint: 'All of it may stay empty. What is not known is never guessed.',
  weekdays,
  onDays: 'Only on these days of the week',
  onDaysHint: 'None chosen: any day the rest of the order asks for.',
  window: 'Counts as on time',
  windowHint: 'Minutes from 0 to 1440. Both empty: the usual window.',
  before: 'Minutes before',
  after: 'Minutes after',
  device: 'Given with',
  devices,
  notKnown: 'Not known',
  needle: 'Needle length (mm)',
  signed: 'Signed on',
  review: 'To be reviewed by',
  glucose: 'Glucose',
  asks: 'Glucose is measured before each injection',
  limitsUnit: 'Unit of the two limits',
  noLimits: 'No limits in this order',
  low: (unit: string) => `Low is below (${unit})`,
  high: (unit: string) => `High is above (${unit})`,
  limitsHint: 'As the prescriber wrote them.',
  second: 'A second person checks',
  mayGive: 'Who may give it',
  regions: 'Places kept for a time of day',
  regionsHint: 'None chosen: any of the medicine’s places.',
  at: (time: string) => `At ${time}`,
  needWindow: 'Write both as whole minutes from 0 to 1440, or leave both empty.',
  needNeedle: 'Write the length as a plain number from 3 to 40.',
  needDate: 'Write the day as three numbers, or leave all three empty.',
  needLimit: 'Write the limit as a plain number, for example 4.0 or 72.',

  changeTitle: 'Change an order',
  change: 'Change this order',
  was: 'As it is now',
  medicineFixed: 'An order keeps its medicine. For another medicine, end this order and add one.',
  reason: 'Why is it changed?',
  reasonHint: 'Who ordered the change, and when.',
  needReason: 'Write why, and who ordered it.',
  saveChange: 'Save the change',
  changed: (dose: string, medicine: string, times: string) => `Order changed: ${dose} ${medicine}, ${times}.`,
}

/** The terms as label and text, what is not known left out. */
export function termLines(of: OrderTerms, { clock, firstDay }: Units): [string, string][] {
  const week = weekFrom(firstDay)
  const lines: [string, string | null][] = [
    ['Days', of.weekdays?.length ? [...of.weekdays].sort((a, b) => week.indexOf(a) - week.indexOf(b)).map((n) => weekdays[n - 1]).join(', ') : null],
    ['On time', of.window_before_min != null && of.window_after_min != null ? `${of.window_before_min} min before to ${of.window_after_min} min after` : null],
    ['Given with', of.device ? `${devices[of.device] ?? of.device}${of.needle_mm != null ? `, ${of.needle_mm} mm needle` : ''}` : of.needle_mm != null ? `${of.needle_mm} mm needle` : null],
    ['Signed', of.signed_on ? dateWords(of.signed_on) : null],
    ['Review by', of.review_by ? dateWords(of.review_by) : null],
    ['Glucose', of.asks_glucose ? 'measured before each injection' : null],
    ['Limits', limits(of)],
    ['May give it', of.may_give ?? null],
    ['Second check', of.second_check ? 'by another person' : null],
    ...(of.regions ?? []).map((r): [string, string] => [`At ${codeShown(r.time, clock)}`, r.zones.map((z) => zones[z] ?? z).join(', ')]),
  ]
  return lines.filter((line): line is [string, string] => line[1] !== null)
}

function limits(of: OrderTerms): string | null {
  if (!of.glucose_unit) return null
  const parts = [
    of.glucose_low ? `low below ${of.glucose_low} ${of.glucose_unit}` : null,
    of.glucose_high ? `high above ${of.glucose_high} ${of.glucose_unit}` : null,
  ].filter(Boolean)
  return parts.length ? `${parts.join(', ')}, as ordered` : null
}
