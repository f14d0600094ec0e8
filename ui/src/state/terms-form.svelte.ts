/**
 * The second part of an order as it is typed. Everything may stay empty; what is typed is read or refused, never dropped.
 *
 * Not here: what a limit means; the prescriber sets it and the door reads it.
 */
import type { OrderTerms } from '../wire'

export type TermsProblem = 'window' | 'needle' | 'signed' | 'review' | 'low' | 'high'

const minutes = /^\d{1,4}$/
const plain = /^\d{1,3}(?:\.\d{1,2})?$/
/** A comma is a point, as on a meter. */
const point = (text: string): string => text.trim().replace(',', '.')

export class TermsForm {
  /** 1 Monday to 7 Sunday. */
  weekdays = $state<number[]>([])
  before = $state('')
  after = $state('')
  device = $state('')
  needle = $state('')
  signed = $state('')
  /** Something is typed that is no date. */
  signedUnfinished = $state(false)
  review = $state('')
  reviewUnfinished = $state(false)
  asks = $state(false)
  unit = $state('')
  low = $state('')
  high = $state('')
  second = $state(false)
  mayGive = $state('')
  /** Places by time of day. */
  regions = $state<Record<string, string[]>>({})

  fill(terms: OrderTerms): void {
    const text = (n: number | null | undefined) => (n == null ? '' : String(n))
    this.weekdays = [...(terms.weekdays ?? [])]
    this.before = text(terms.window_before_min)
    this.after = text(terms.window_after_min)
    this.device = terms.device ?? ''
    this.needle = text(terms.needle_mm)
    this.signed = terms.signed_on ?? ''
    this.review = terms.review_by ?? ''
    this.asks = terms.asks_glucose ?? false
    this.unit = terms.glucose_unit ?? ''
    this.low = terms.glucose_low ?? ''
    this.high = terms.glucose_high ?? ''
    this.second = terms.second_check ?? false
    this.mayGive = terms.may_give ?? ''
    this.regions = Object.fromEntries((terms.regions ?? []).map((r) => [r.time, [...r.zones]]))
  }

  /** What is wrong with it, the first thing only. */
  problem(): TermsProblem | null {
    const window = [this.before.trim(), this.after.trim()]
    if (window.some(Boolean) && !window.every((t) => minutes.test(t) && Number(t) <= 1440)) return 'window'
    const needle = point(this.needle)
    if (needle !== '' && !(plain.test(needle) && Number(needle) >= 3 && Number(needle) <= 40)) return 'needle'
    if (this.signedUnfinished) return 'signed'
    if (this.reviewUnfinished) return 'review'
    if (this.unit !== '' && this.low.trim() !== '' && !plain.test(point(this.low))) return 'low'
    if (this.unit !== '' && this.high.trim() !== '' && !plain.test(point(this.high))) return 'high'
    return null
  }

  /** The terms for the door. A place kept for a time the order no longer has is not one of them. */
  read(times: string[]): OrderTerms {
    const number = (text: string) => (text.trim() === '' ? null : Number(point(text)))
    const limit = (text: string) => (this.unit === '' ? null : point(text) || null)
    return {
      weekdays: [...this.weekdays].sort((a, b) => a - b),
      window_before_min: number(this.before),
      window_after_min: number(this.after),
      device: this.device || null,
      needle_mm: number(this.needle),
      signed_on: this.signed || null,
      review_by: this.review || null,
      asks_glucose: this.asks,
      glucose_unit: this.unit || null,
      glucose_low: limit(this.low),
      glucose_high: limit(this.high),
      second_check: this.second,
      may_give: this.mayGive.trim() || null,
      regions: times.filter((t) => this.regions[t]?.length).map((time) => ({ time, zones: [...this.regions[time]!] })),
    }
  }
}
