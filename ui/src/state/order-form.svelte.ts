/**
 * Adding an order or changing one: what was prescribed, as it was prescribed. An order keeps its medicine.
 */
import { ask, asRefusal, freshId, type Refusal } from '../core'
import type { MedicineData, OrderData } from '../wire'
import { DoseEntry } from './dose.svelte'
import { session } from './session.svelte'
import { settings } from './settings.svelte'
import { TermsForm, type TermsProblem } from './terms-form.svelte'
import { clockText, codeShown, dateText, readClock, wallOf } from './time'

export type OrderProblem = 'medicine' | 'dose' | 'confirm' | 'times' | 'every' | 'from' | 'last' | 'reversed' | 'prescriber' | 'reason' | TermsProblem

/** Refusals of the door that are about the second part. */
const ofTerms = new Set(['bad_glucose', 'bad_size'])

const readTime = (text: string) => readClock(text, settings.units.clock)

export class OrderForm {
  readonly id = freshId()
  readonly person: string
  /** The order that is changed; `null` where one is added. */
  readonly changes: string | null
  readonly dose = new DoseEntry()
  readonly terms = new TermsForm()
  medicines = $state.raw<MedicineData[]>([])
  medicineId = $state('')
  times = $state<string[]>([codeShown('08:00', settings.units.clock)])
  every = $state('1')
  from = $state('')
  /** The last day; empty where it goes on. */
  last = $state('')
  /** Something is typed that is no date. */
  lastUnfinished = $state(false)
  prescriber = $state('')
  note = $state('')
  /** Why it is changed. */
  reason = $state('')
  /** The order as it is before the change. */
  was = $state.raw<OrderData | null>(null)
  /** Whether the second part is open. */
  more = $state(false)
  ready = $state(false)
  fault = $state.raw<Refusal | null>(null)
  refusal = $state.raw<Refusal | null>(null)
  problem = $state<OrderProblem | null>(null)
  saving = $state(false)

  readonly medicine = $derived(this.medicines.find((m) => m.id === this.medicineId) ?? null)
  /** The times that can be read, as the door reads them. */
  readonly readTimes = $derived.by(() => this.times.map(readTime).flatMap((t) => (t ? [clockText(t)] : [])).sort())

  constructor(person: string, changes: string | null = null) {
    this.person = person
    this.changes = changes
    this.dose.other = true
  }

  async open(): Promise<void> {
    try {
      const [list, status, detail] = await Promise.all([
        ask('medicine_list', {}),
        ask('status', {}),
        this.changes === null ? null : ask('person_get', { person: this.person }),
      ])
      this.medicines = list.medicines
      this.from = dateText(wallOf(status.now))
      const was = detail?.orders.find((o) => o.id === this.changes)
      if (was) this.#fill(was)
      this.fault = null
      this.ready = true
    } catch (fault) {
      this.fault = asRefusal(fault)
    }
  }

  /** The units and the usual interval belong to the medicine; a dose typed for another one is forgotten. */
  choose(): void {
    this.dose.text = ''
    this.dose.confirmed = false
    this.dose.unit = this.medicine?.unit ?? ''
    this.every = String(this.medicine?.every_days ?? 1)
  }

  #fill(was: OrderData): void {
    this.was = was
    this.medicineId = was.medicine
    this.dose.fill(was.dose.value, was.dose.unit)
    this.times = was.times.map((t) => codeShown(t, settings.units.clock))
    this.every = String(was.every_days)
    this.from = was.from
    this.last = was.to ?? ''
    this.prescriber = was.prescriber
    this.note = was.note ?? ''
    this.terms.fill(was.terms)
    this.more = true
  }

  #times(): string[] | null {
    const typed = this.times.map((t) => t.trim()).filter(Boolean)
    const read = typed.map(readTime).flatMap((t) => (t ? [clockText(t)] : []))
    return read.length < typed.length ? null : read.sort()
  }

  #check(): OrderProblem | null {
    if (!this.medicine) return 'medicine'
    if (this.dose.value === null) return 'dose'
    if (!this.dose.ready) return 'confirm'
    if (this.#times() === null) return 'times'
    if (!/^[1-9]\d{0,2}$/.test(this.every.trim())) return 'every'
    if (this.from === '') return 'from'
    if (this.lastUnfinished) return 'last'
    if (this.last !== '' && this.last < this.from) return 'reversed'
    if (this.prescriber.trim() === '') return 'prescriber'
    const terms = this.terms.problem()
    if (terms) {
      this.more = true
      return terms
    }
    return this.changes !== null && this.reason.trim() === '' ? 'reason' : null
  }

  async save(): Promise<OrderData | null> {
    if (this.saving) return null
    this.problem = this.#check()
    if (this.problem) return null
    this.saving = true
    this.refusal = null
    const times = this.#times() ?? []
    const order = {
      person: this.person,
      medicine: this.medicineId,
      dose: { value: this.dose.value!, unit: this.dose.unit },
      times,
      every_days: Number(this.every),
      from: this.from,
      to: this.last || null,
      prescriber: this.prescriber.trim(),
      note: this.note.trim() || null,
      recorder: session.recorder || null,
      terms: this.terms.read(times),
    }
    try {
      const saved =
        this.changes === null
          ? await ask('order_add', { ...order, id: this.id })
          : await ask('order_change', { order: this.changes, reason: this.reason.trim(), to: order })
      return saved.order
    } catch (fault) {
      this.refusal = asRefusal(fault)
      if (ofTerms.has(this.refusal.code)) this.more = true
      return null
    } finally {
      this.saving = false
    }
  }
}
