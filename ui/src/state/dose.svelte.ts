/**
 * A dose as it is typed: digits, at most one point, at most three decimals, and a unit that the medicine fixes.
 *
 * The text is never turned into a floating number. Not here: what dose is right; that is the prescriber's.
 */

export type DoseProblem = 'empty' | 'not_a_number' | 'comma' | 'unit' | 'ambiguous' | 'too_fine' | 'zero' | 'too_large'

/** From this amount on a dose has to be confirmed in words (ISMP: large numbers are misread). */
const largeFrom = 1000
const most = 100_000

/** Reads what was typed: the plain decimal for the door, or what is wrong with it. */
export function readDose(text: string): { value: string } | { problem: DoseProblem } {
  const typed = text.trim()
  if (typed === '') return { problem: 'empty' }
  if (typed.includes(',')) return { problem: 'comma' }
  // The unit stands beside the field: a letter after the number is a unit, and a U reads as a nought or a four.
  if (/^\d+(?:\.\d+)?\s*(?!e\d*$)[a-zµ]+\.?$/i.test(typed)) return { problem: 'unit' }
  const parts = /^(\d{1,12})(?:\.(\d+))?$/.exec(typed)
  if (!parts) return { problem: 'not_a_number' }
  // Three decimals after a whole number read as a thousand in half of the world.
  if (parts[2]?.length === 3 && !/^0+$/.test(parts[1]!)) return { problem: 'ambiguous' }
  const fraction = (parts[2] ?? '').replace(/0+$/, '')
  if (fraction.length > 3) return { problem: 'too_fine' }
  const whole = parts[1]!.replace(/^0+(?=\d)/, '')
  if (whole === '0' && fraction === '') return { problem: 'zero' }
  if (Number(whole) > most || (Number(whole) === most && fraction !== '')) return { problem: 'too_large' }
  return { value: fraction === '' ? whole : `${whole}.${fraction}` }
}

/** A dose for people: `0.5 units`, `1,000 units`; no trailing zero, the unit in full. */
export function showDose(value: string, unit: string): string {
  const [whole = '', fraction] = value.split('.')
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, ',')
  return `${fraction === undefined ? grouped : `${grouped}.${fraction}`} ${unit}`
}

/** Whether a dose must be confirmed in words. */
export function isLarge(value: string): boolean {
  return Number(value.split('.')[0]) >= largeFrom
}

/** The dose part of a form. */
export class DoseEntry {
  /** The ordered dose; recorded unless another is typed. */
  ordered = $state('')
  unit = $state('')
  other = $state(false)
  text = $state('')
  confirmed = $state(false)

  // What the order says was read by the door; only what is typed here can be ambiguous.
  readonly #read = $derived(this.other ? readDose(this.text) : this.ordered === '' ? { problem: 'empty' as const } : { value: this.ordered })
  readonly value = $derived('value' in this.#read ? this.#read.value : null)
  readonly problem = $derived('problem' in this.#read ? this.#read.problem : null)
  readonly large = $derived(this.value !== null && isLarge(this.value))
  readonly words = $derived(this.value === null ? null : showDose(this.value, this.unit))
  readonly ready = $derived(this.value !== null && (!this.large || this.confirmed))

  /** Takes the dose of an order; whatever was typed or confirmed before belonged to another one. */
  order(value: string, unit: string): void {
    this.ordered = value
    this.unit = unit
    this.other = false
    this.text = ''
    this.confirmed = false
  }
}
