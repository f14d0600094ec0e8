/**
 * Adding an order: what was prescribed, as it was prescribed.
 */
import { ask, asRefusal, freshId, type Refusal } from '../core'
import type { MedicineData, OrderData } from '../wire'
import { DoseEntry } from './dose.svelte'
import { session } from './session.svelte'
import { clockText, dateText, readClock, wallOf, type Wall } from './time'

export type OrderProblem = 'medicine' | 'dose' | 'confirm' | 'times' | 'every' | 'from' | 'prescriber'

export class OrderForm {
  readonly id = freshId()
  readonly person: string
  readonly dose = new DoseEntry()
  medicines = $state.raw<MedicineData[]>([])
  medicineId = $state('')
  times = $state<string[]>(['08:00'])
  every = $state('1')
  from = $state('')
  prescriber = $state('')
  note = $state('')
  ready = $state(false)
  fault = $state.raw<Refusal | null>(null)
  refusal = $state.raw<Refusal | null>(null)
  problem = $state<OrderProblem | null>(null)
  saving = $state(false)

  readonly medicine = $derived(this.medicines.find((m) => m.id === this.medicineId) ?? null)

  constructor(person: string) {
    this.person = person
    this.dose.other = true
  }

  async open(): Promise<void> {
    try {
      const [list, status] = await Promise.all([ask('medicine_list', {}), ask('status', {})])
      this.medicines = list.medicines
      this.from = dateText(wallOf(status.now))
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

  #times(): string[] | null {
    const typed = this.times.map((t) => t.trim()).filter(Boolean)
    const read = typed.map(readClock)
    return read.some((t) => t === null) ? null : read.map((t) => clockText(t as Wall)).sort()
  }

  #check(): OrderProblem | null {
    if (!this.medicine) return 'medicine'
    if (this.dose.value === null) return 'dose'
    if (!this.dose.ready) return 'confirm'
    if (this.#times() === null) return 'times'
    if (!/^[1-9]\d{0,2}$/.test(this.every.trim())) return 'every'
    if (this.from === '') return 'from'
    return this.prescriber.trim() === '' ? 'prescriber' : null
  }

  async save(): Promise<OrderData | null> {
    if (this.saving) return null
    this.problem = this.#check()
    if (this.problem) return null
    this.saving = true
    this.refusal = null
    try {
      const saved = await ask('order_add', {
        id: this.id,
        person: this.person,
        medicine: this.medicineId,
        dose: { value: this.dose.value!, unit: this.dose.unit },
        times: this.#times() ?? [],
        every_days: Number(this.every),
        from: this.from,
        prescriber: this.prescriber.trim(),
        note: this.note.trim() || null,
        recorder: session.recorder || null,
      })
      return saved.order
    } catch (fault) {
      this.refusal = asRefusal(fault)
      return null
    } finally {
      this.saving = false
    }
  }
}
