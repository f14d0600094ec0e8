/** The units and times of a device, and the fields that take them. */
import type { Units } from '../state/units'

const days: Record<number, string> = { 1: 'Monday', 2: 'Tuesday', 3: 'Wednesday', 4: 'Thursday', 5: 'Friday', 6: 'Saturday', 7: 'Sunday' }

export const units = {
  title: 'Units and times',
  hint: 'For this browser on this device. What is on record does not change: everything is kept in centimetres, kilograms and 24 hours.',
  always: 'Places on the skin and the spacing between them are in centimetres everywhere, as a ruler on the skin shows them.',
  what: {
    clock: 'Times of day',
    glucose: 'Glucose, for a new value',
    length: 'Body measures',
    weight: 'Weight',
    decimal: 'Decimals, where you type an amount',
    firstDay: 'The week begins on',
  } satisfies Record<keyof Units, string>,
  more: {
    glucose: 'Limits of an order are shown in the unit they were ordered in.',
    length: 'Inches are turned into centimetres: 1 inch is 2.54 cm.',
    weight: 'Pounds are turned into kilograms: 1 pound is 0.45359237 kg.',
    decimal: 'Amounts are shown with a point everywhere: 4.5 units.',
  } as Partial<Record<keyof Units, string>>,
  clock: { '24': '24 hours, 20:05', '12': '12 hours, 8:05 pm' } as const,
  glucose: { 'mmol/L': 'mmol/L', 'mg/dL': 'mg/dL' } as const,
  length: { cm: 'Centimetres', in: 'Inches' } as const,
  weight: { kg: 'Kilograms', lb: 'Pounds' } as const,
  decimal: { point: 'A point: 4.5', comma: 'A comma: 4,5' } as const,
  day: (n: number) => days[n] ?? '',
  asDevice: 'As this device has it',
  saved: 'Changed for this device.',
  lost: 'Changed, but this browser keeps nothing: it holds until the page is closed.',
}

/** Times of day as they are typed, by the clock chosen. */
export const typedClock = {
  hint: { '24': '24-hour clock, for example 08:05', '12': 'With am or pm, for example 8:05 am' } as const,
  problem: {
    '24': 'Write the time as hours and minutes, for example 08:05.',
    '12': 'Write the time with am or pm, for example 8:05 am.',
  } as const,
  problems: {
    '24': 'Write each time as hours and minutes, for example 08:00.',
    '12': 'Write each time with am or pm, for example 8:00 am.',
  } as const,
}

/** Body measures as they are typed, by the unit chosen. */
export const typedSize = {
  title: { cm: 'Measures in centimetres', in: 'Measures in inches' } as const,
  more: { cm: '', in: 'Feet and inches are read too: 5 ft 6 in.' } as const,
  problem: {
    cm: 'Write the measure as a plain number of centimetres.',
    in: 'Write the measure as a plain number of inches, or as feet and inches.',
  } as const,
  weight: { kg: 'Weight in kilograms', lb: 'Weight in pounds' } as const,
  weightHint: 'With the height it says whether to lift a fold of skin for the needle.',
  weightProblem: {
    kg: 'Write the weight as a plain number of kilograms.',
    lb: 'Write the weight as a plain number of pounds.',
  } as const,
  kept: (value: string) => `Kept as ${value}`,
}
