/**
 * A dose as it is typed: digits, at most one decimal sign, at most three decimals, and a unit that the medicine fixes.
 *
 * The text is never turned into a floating number. Not here: what dose is right; that is the prescriber's.
 */

import { settings } from './settings.svelte'
import type { DecimalSign } from './units'

export type DoseProblem =
  | 'empty'
  | 'not_a_number'
  | 'other_sign'
  | 'grouped'
  | 'unit'
  | 'ambiguous'
  | 'leading_zero'
  | 'too_fine'
  | 'zero'
  | 'too_large'

/** From this amount on a dose has to be confirmed in words (ISMP: large numbers are misread). */
const largeFrom = 1000
const most = 100_000
const character: Record<DecimalSign, string> = { point: '.', comma: ',' }

/**
 * Reads what was typed under the decimal sign of the device: the plain decimal for the door, or what is wrong with it.
 *
 * `fallow_core::typed_number` reads alike; tests/fixtures/typed/numbers.json holds both.
 */
export function readDose(text: string, sign: DecimalSign): { value: string } | { problem: DoseProblem } {
  const typed = text.trim()
  if (typed === '') return { problem: 'empty' }
  // The unit stands beside the field: a letter after the number is a unit, and a U reads as a nought or a four.
  if (/^\d+(?:[.,]\d+)?\s*(?!e\d*$)\p{L}+\.?$/iu.test(typed)) return { problem: 'unit' }
  if (!/^[\d.,\s]+$/.test(typed)) return { problem: 'not_a_number' }
  if ((typed.match(/[.,]/g) ?? []).length > 1 || /\s/.test(typed)) return { problem: 'grouped' }
  const parts = /^(\d+)(?:([.,])(\d+))?$/.exec(typed)
  if (!parts) return { problem: 'not_a_number' }
  const [, whole = '', found, decimals = ''] = parts
  // Three decimals after a whole number read as a thousand in half of the world.
  if (decimals.length === 3 && whole.length <= 3 && !whole.startsWith('0')) return { problem: 'ambiguous' }
  if (found !== undefined && found !== character[sign]) return { problem: 'other_sign' }
  if (/^0\d/.test(whole)) return { problem: 'leading_zero' }
  const fraction = decimals.replace(/0+$/, '')
  if (fraction.length > 3) return { problem: 'too_fine' }
  if (whole === '0' && fraction === '') return { problem: 'zero' }
  if (Number(whole) > most || (Number(whole) === most && fraction !== '')) return { problem: 'too_large' }
  return { value: fraction === '' ? whole : `${whole}.${fraction}` }
}

/** A plain decimal as {@link readDose} takes it back: with the sign of the device, and never ambiguous. */
export function typedDose(value: string, sign: DecimalSign): string {
  const [whole = '', fraction] = value.split('.')
  if (fraction === undefined) return whole
  const text = `${whole}${character[sign]}${fraction}`
  const read = readDose(text, sign)
  return 'problem' in read && read.problem === 'ambiguous' ? `${text}0` : text
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

  /** What sets off decimals on this device. */
  readonly sign = $derived(settings.units.decimal)
  // What the order says was read by the door; only what is typed here can be ambiguous.
  readonly #read = $derived(this.other ? readDose(this.text, this.sign) : this.ordered === '' ? { problem: 'empty' as const } : { value: this.ordered })
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

  /** Puts an amount into the field, to be changed there. */
  fill(value: string, unit: string): void {
    this.other = true
    this.text = typedDose(value, this.sign)
    this.unit = unit
    this.confirmed = false
  }
}
