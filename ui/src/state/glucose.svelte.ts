/**
 * Glucose and ketones of one person, and the steps for a low value.
 *
 * What a value means, what comes next and until when is the door's. Not here: any dose; nothing is withheld.
 */
import { ask, asRefusal, freshId, type Args, type Refusal } from '../core'
import type { EventData, GlucoseData, GlucoseJudged, OrderData, PersonDetail } from '../wire'
import { session } from './session.svelte'
import { settings } from './settings.svelte'
import { When } from './when.svelte'

export type GlucoseMissing = 'value' | 'time' | 'who' | 'question'
export type Measured = 'glucose' | 'ketones'
export type Alarm = 'drowsy' | 'cannot_swallow' | 'help_called' | 'emergency_called' | 'over'

export const units = ['mmol/L', 'mg/dL'] as const

/** What a meter shows instead of a number. */
export const meterWords: Record<Measured, string[]> = { glucose: ['LO', 'HI'], ketones: ['HI'] }

/** What was typed, as the door reads it: a comma is a point. */
export const readValue = (text: string): string => text.trim().replace(',', '.')

/** Whole seconds from `now` to an instant, never below 0. */
export function secondsTo(until: string, now: number): number {
  return Math.max(0, Math.ceil((Date.parse(until) - now) / 1000))
}

/** `4:05`. */
export const countdown = (seconds: number): string => `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`

const hours = 12
const pause = 600

type Happened = Pick<Args<'event_record'>, 'about' | 'value' | 'unit' | 'code'>

export class GlucoseForm {
  readonly person: string
  /** When the value was measured. */
  readonly when: When
  detail = $state.raw<PersonDetail | null>(null)
  order = $state.raw<OrderData | null>(null)
  data = $state.raw<GlucoseData | null>(null)
  lately = $state.raw<EventData[]>([])
  about = $state<Measured>('glucose')
  text = $state('')
  chosenUnit = $state('')
  recorder = $state('')
  /** What the typed value would mean. */
  judged = $state.raw<GlucoseJudged | null>(null)
  saved = $state.raw<EventData | null>(null)
  told = $state<GlucoseMissing | null>(null)
  saving = $state(false)
  fault = $state.raw<Refusal | null>(null)
  /** The last refusal, and whether it is about the typed value. */
  refusal = $state.raw<{ refusal: Refusal; field: boolean; again: (() => void) | null } | null>(null)

  /** Ketones are counted in mmol/L only. */
  readonly unit = $derived(this.about === 'ketones' ? 'mmol/L' : this.chosenUnit)
  readonly steps = $derived(this.data?.steps ?? null)
  readonly low = $derived(this.steps !== null && this.steps.step !== 'not_low' && this.steps.step !== 'finished')
  /** Orders with limits of their own; where there are several, somebody chooses. */
  readonly limited = $derived(this.detail?.orders.filter((o) => o.state === 'in_force' && o.terms.glucose_unit) ?? [])
  /** A question about the number that nobody has answered yet. */
  readonly asking = $derived.by(() => (this.judged?.question && this.#answered !== this.#key ? this.judged.question : null))

  /** Device clock to the door's clock; differs only where that was set by hand. */
  #ahead = 0
  #answered = $state<string | null>(null)
  readonly #key = $derived.by(() => JSON.stringify([this.about, readValue(this.text), this.unit]))
  #timer: ReturnType<typeof setTimeout> | null = null
  #turn = 0
  #lost: { key: string; body: Args<'event_record'> } | null = null

  constructor(person: string) {
    this.person = person
    this.when = new When(() => this.detail?.person.zone ?? 'UTC')
  }

  async open(): Promise<void> {
    try {
      if (!this.detail) {
        const detail = await ask('person_get', { person: this.person })
        const live = detail.orders.filter((o) => o.state === 'in_force')
        this.order = live.find((o) => o.terms.glucose_unit) ?? live.find((o) => o.terms.asks_glucose) ?? null
        this.detail = detail
      }
      await this.#read()
      if (this.chosenUnit === '') this.chosenUnit = this.order?.terms.glucose_unit ?? this.data?.last?.unit ?? settings.units.glucose
      await this.when.refresh()
      if (this.recorder === '') this.recorder = session.recorder || (this.low ? (this.data?.last?.recorder ?? '') : '')
      this.fault = null
    } catch (fault) {
      this.fault = asRefusal(fault)
    }
  }

  /** Where things stand now; a fault leaves what is shown. */
  async look(asking = ask): Promise<void> {
    try {
      await this.#read(asking)
      this.fault = null
    } catch {
      // The next look, or the next press, tells it.
    }
  }

  async limitsOf(order: OrderData): Promise<void> {
    this.order = order
    await this.look()
    this.typed()
  }

  /** The moment by the door's clock. */
  now(): number {
    return Date.now() + this.#ahead
  }

  /** The value, its unit or what it is was changed. */
  typed(): void {
    this.told = null
    this.refusal = null
    this.saved = null
    this.judged = null
    this.#answered = null
    if (this.#timer !== null) clearTimeout(this.#timer)
    this.#turn++
    if (readValue(this.text) !== '') this.#timer = setTimeout(() => void this.#judge(false), pause)
  }

  close(): void {
    if (this.#timer !== null) clearTimeout(this.#timer)
  }

  /** The question about the number is answered: the meter really shows it. */
  async really(): Promise<void> {
    this.#answered = this.#key
    await this.save()
  }

  /** Records the typed value; `false` where something is missing, is asked about, or was refused. */
  async save(): Promise<boolean> {
    if (this.saving) return false
    if (this.#timer !== null) clearTimeout(this.#timer)
    this.told = this.#missing()
    if (this.told) return false
    this.saving = true
    this.refusal = null
    try {
      const key = this.#key
      // Typed on while it was asked about: what was asked is not what stands there now.
      if (!(await this.#judge(true)) || key !== this.#key) return false
      if (this.asking) {
        this.told = 'question'
        return false
      }
      const value = { about: this.about, value: readValue(this.text), unit: this.unit }
      return await this.#record(value, () => void this.save(), true)
    } finally {
      this.saving = false
    }
  }

  #missing(): GlucoseMissing | null {
    if (readValue(this.text) === '') return 'value'
    if (this.when.mode !== 'now' && this.when.at === null) return 'time'
    return this.recorder.trim() === '' ? 'who' : null
  }

  took(): Promise<boolean> {
    return this.#happened({ about: 'carbohydrate' })
  }

  alarm(code: Alarm): Promise<boolean> {
    return this.#happened({ about: 'alarm', code })
  }

  async #happened(what: Happened): Promise<boolean> {
    if (this.saving) return false
    this.told = this.recorder.trim() === '' ? 'who' : null
    if (this.told) return false
    this.saving = true
    this.refusal = null
    try {
      return await this.#record(what, () => void this.#happened(what), false)
    } finally {
      this.saving = false
    }
  }

  async #record(what: Happened, again: () => void, field: boolean): Promise<boolean> {
    try {
      this.saved = await ask('event_record', await this.#body(what, field && this.when.mode !== 'now' ? this.when.at : null))
      this.#lost = null
      session.recorder = this.recorder.trim()
      if (field) {
        this.text = ''
        this.judged = null
        this.#answered = null
        void this.when.now()
      }
    } catch (fault) {
      const refusal = asRefusal(fault)
      if (!refusal.lost) this.#lost = null
      this.refusal = { refusal, field: field && !refusal.lost, again: refusal.lost ? again : null }
      return false
    }
    await this.look()
    return true
  }

  /** After a lost answer the same entry is sent again, under its id and with its time. */
  async #body(what: Happened, at: string | null): Promise<Args<'event_record'>> {
    const of = { ...what, at, person: this.person, order: this.order?.id ?? null, recorder: this.recorder.trim() }
    const key = JSON.stringify(of)
    if (this.#lost?.key !== key) {
      this.#lost = { key, body: { ...of, id: freshId(), at: at ?? (await ask('status', {})).now } }
    }
    return this.#lost.body
  }

  /** Asks what the value would mean. While it is still being typed a refusal says nothing. */
  async #judge(telling: boolean): Promise<boolean> {
    const turn = ++this.#turn
    try {
      const judged = await ask('glucose_check', {
        person: this.person,
        order: this.order?.id ?? null,
        about: this.about,
        value: readValue(this.text),
        unit: this.unit,
      })
      if (turn === this.#turn) this.judged = judged
      return true
    } catch (fault) {
      const refusal = asRefusal(fault)
      if (telling) this.refusal = { refusal, field: !refusal.lost, again: refusal.lost ? () => void this.save() : null }
      return false
    }
  }

  async #read(asking = ask): Promise<void> {
    const [data, list, status] = await Promise.all([
      asking('glucose_state', { person: this.person, order: this.order?.id ?? null }),
      asking('event_list', { person: this.person, superseded: false }),
      asking('status', {}),
    ])
    const now = Date.parse(status.now)
    this.#ahead = status.clock_set ? now - Date.now() : 0
    this.lately = list.events.filter((e) => e.about !== 'not_given' && Date.parse(e.at) > now - hours * 3_600_000)
    this.data = data
  }
}
