/**
 * Units and times as one device shows and takes them, guessed from its language until somebody chooses.
 *
 * Pure: what is kept by the browser is {@link ./settings.svelte}. What the record keeps never changes with it: lengths in
 * centimetres, weights in kilograms, times with 24 hours. Points on the skin and spacing are in centimetres everywhere.
 */

export type Clock = '24' | '12'
export type GlucoseUnit = 'mmol/L' | 'mg/dL'
export type LengthUnit = 'cm' | 'in'
export type WeightUnit = 'kg' | 'lb'
/** What sets off decimals. */
export type DecimalSign = 'point' | 'comma'

export interface Units {
  clock: Clock
  glucose: GlucoseUnit
  length: LengthUnit
  weight: WeightUnit
  /** What sets off decimals where an amount is typed; shown is a point everywhere. */
  decimal: DecimalSign
  /** First day of the week, 1 Monday to 7 Sunday (ISO 8601). */
  firstDay: number
}

/** Where the language of the device says nothing. */
export const plain: Units = { clock: '24', glucose: 'mmol/L', length: 'cm', weight: 'kg', decimal: 'point', firstDay: 1 }

/** What may be chosen. */
export const choices = {
  clock: ['24', '12'],
  glucose: ['mmol/L', 'mg/dL'],
  length: ['cm', 'in'],
  weight: ['kg', 'lb'],
  decimal: ['point', 'comma'],
  firstDay: [1, 6, 7],
} as const

/** Inches and pounds. Source: CLDR 48, measurement systems (US and LR); MM from memory. */
const inchesAndPounds = new Set(['US', 'LR', 'MM'])

/**
 * Glucose in mg/dL. Source: CLDR 48, unit preferences of blood glucose, which has milligrams per decilitre for each of
 * these. Any other region gets mmol/L (from memory where CLDR says otherwise): a unit is shown with every value.
 */
const milligrams = new Set(
  'AE AR AT BD BE BR CL CO CY DE DZ EC EG ES FR GE GR ID IL IN IR IT JO JP KR LB LR MA MX PE PH PK PL PT PY SA SY TH TN TR TW US UY VE YE'.split(' '),
)

/** What a language tag of a system stands for; `null` where it names no place, as `C`, `POSIX`, `en` and nonsense do. */
function placeOf(tag: string): Intl.Locale | null {
  const clean = tag.split(/[.@]/)[0]!.replaceAll('_', '-')
  // A system without a language is shown as American English, which nobody chose.
  if (/posix/i.test(tag)) return null
  try {
    const locale = new Intl.Locale(clean)
    return locale.region ? locale : null
  } catch {
    return null
  }
}

function clockOf(locale: Intl.Locale): Clock {
  const told = locale as Intl.Locale & { getHourCycles?: () => string[]; hourCycles?: string[] }
  const cycle =
    locale.hourCycle ??
    told.getHourCycles?.()[0] ??
    told.hourCycles?.[0] ??
    new Intl.DateTimeFormat(locale.toString(), { hour: 'numeric' }).resolvedOptions().hourCycle
  return cycle === 'h11' || cycle === 'h12' ? '12' : '24'
}

function decimalOf(locale: Intl.Locale): DecimalSign {
  const parts = new Intl.NumberFormat(locale.toString(), { numberingSystem: 'latn' }).formatToParts(1.5)
  return parts.some((p) => p.type === 'decimal' && p.value === ',') ? 'comma' : 'point'
}

function firstDayOf(locale: Intl.Locale): number {
  const told = locale as Intl.Locale & { getWeekInfo?: () => { firstDay: number }; weekInfo?: { firstDay: number } }
  const day = told.getWeekInfo?.().firstDay ?? told.weekInfo?.firstDay
  return isFirstDay(day) ? day : plain.firstDay
}

const isFirstDay = (day: unknown): day is number => typeof day === 'number' && Number.isInteger(day) && day >= 1 && day <= 7

/** What a language of the device suggests; {@link plain} for one that names no place. */
export function ofLanguage(tag: string): Units {
  const locale = placeOf(tag)
  if (!locale) return plain
  const region = locale.region!
  const old = inchesAndPounds.has(region)
  return {
    clock: clockOf(locale),
    glucose: milligrams.has(region) ? 'mg/dL' : 'mmol/L',
    length: old ? 'in' : 'cm',
    weight: old ? 'lb' : 'kg',
    decimal: decimalOf(locale),
    firstDay: firstDayOf(locale),
  }
}

/** Reads what was kept; anything that is no choice is left out. */
export function readKept(text: string | null): Partial<Units> {
  let kept: unknown
  try {
    kept = JSON.parse(text ?? '{}')
  } catch {
    return {}
  }
  if (typeof kept !== 'object' || kept === null) return {}
  const all = kept as Record<string, unknown>
  const known = Object.entries(choices).filter(([key, of]) => (key === 'firstDay' ? isFirstDay(all[key]) : (of as readonly unknown[]).includes(all[key])))
  return Object.fromEntries(known.map(([key]) => [key, all[key]]))
}

/** The seven days from the first one on, 1 Monday to 7 Sunday. */
export const weekFrom = (firstDay: number): number[] => Array.from({ length: 7 }, (_, i) => ((firstDay - 1 + i) % 7) + 1)

/**
 * Centimetres of a length in inches, to a millimetre. An inch is exactly 2.54 cm (international yard and pound agreement
 * of 1959); counted in whole hundredths of an inch, so that nothing is lost on the way.
 */
export const centimetresOf = (inches: number): number => Math.round((Math.round(inches * 100) * 254) / 1000) / 10

/** Inches of a length in centimetres, to a tenth; a length typed in tenths of an inch comes back as it was typed. */
export const inchesOf = (cm: number): number => Math.round((Math.round(cm * 10) * 100) / 254) / 10

/**
 * Kilograms of a weight in pounds, to ten grams. A pound is exactly 0.45359237 kg (the same agreement); counted in whole
 * hundredths of a pound.
 */
export const kilogramsOf = (pounds: number): number => Math.round((Math.round(pounds * 100) * 45_359_237) / 100_000_000) / 100

/** Pounds of a weight in kilograms, to a tenth; a weight typed in tenths of a pound comes back as it was typed. */
export const poundsOf = (kg: number): number => Math.round((Math.round(kg * 100) * 10_000_000) / 45_359_237) / 10

const number = /^\d{1,3}(?:\.\d{1,2})?$/
/** A comma is a point: no measure of a body has thousands. */
const point = (text: string): string => text.trim().replace(',', '.')

/** A length as typed, in centimetres: a number, `null` for nothing, `undefined` for what is neither. */
export function readLength(text: string, unit: LengthUnit): number | null | undefined {
  const typed = point(text)
  if (typed === '') return null
  if (unit === 'cm') return /^\d{1,3}(?:\.\d)?$/.test(typed) ? Number(typed) : undefined
  const inches = readInches(typed)
  return inches === undefined ? undefined : centimetresOf(inches)
}

/** `66`, `66.5 in`, `66"`, and feet with inches: `5'6`, `5 ft 6.5 in`. */
function readInches(typed: string): number | undefined {
  const parts = /^(?:(\d)\s*(?:'|’|′|ft)\s*)?(?:(\d{1,3}(?:\.\d{1,2})?)\s*(?:"|”|″|in)?)?$/i.exec(typed)
  if (!parts || typed === '') return undefined
  const feet = parts[1] === undefined ? 0 : Number(parts[1])
  const inches = parts[2] === undefined ? 0 : Number(parts[2])
  return parts[1] !== undefined && inches >= 12 ? undefined : feet * 12 + inches
}

/** A weight as typed, in kilograms; read as {@link readLength} reads a length. */
export function readWeight(text: string, unit: WeightUnit): number | null | undefined {
  const typed = point(text)
  if (typed === '') return null
  if (!number.test(typed)) return undefined
  return unit === 'kg' ? Number(typed) : kilogramsOf(Number(typed))
}

const short = (n: number, decimals: number): string => String(Math.round(n * 10 ** decimals) / 10 ** decimals)

/** A kept length as a field or a screen shows it, without the unit. */
export const lengthShown = (cm: number, unit: LengthUnit): string => (unit === 'cm' ? short(cm, 2) : String(inchesOf(cm)))

/** A kept weight as a field or a screen shows it, without the unit. */
export const weightShown = (kg: number, unit: WeightUnit): string => (unit === 'kg' ? short(kg, 2) : String(poundsOf(kg)))
