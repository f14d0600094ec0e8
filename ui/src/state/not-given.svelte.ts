/**
 * The form that says an injection was not given, and why. Nothing is saved but by {@link NotGivenForm.save}.
 *
 * The entry's id is made when the form opens, so that saving twice saves once. Not here: whether it should be given.
 */
import { ask, asRefusal, freshId, type Refusal } from '../core'
import type { DueSlot, EventData, InjectionData, OrderData, PersonDetail } from '../wire'
import { session } from './session.svelte'
import { settings } from './settings.svelte'
import { clockShown, wallIn, wallOf } from './time'

export type NotGivenMissing = 'why' | 'note' | 'who'

export class NotGivenForm {
  readonly id = freshId()
  readonly person: string
  readonly order: string
  /** The instant it was due. */
  readonly at: string

  detail = $state.raw<PersonDetail | null>(null)
  what = $state.raw<OrderData | null>(null)
  /** Where the injection stands today; `null` where it is of another day. */
  slot = $state.raw<DueSlot | null>(null)
  why = $state('')
  note = $state('')
  recorder = $state('')
  told = $state<NotGivenMissing | null>(null)
  saving = $state(false)
  fault = $state.raw<Refusal | null>(null)
  refusal = $state.raw<Refusal | null>(null)

  readonly missing = $derived.by<NotGivenMissing | null>(() => {
    if (this.why === '') return 'why'
    if (this.why === 'other' && this.note.trim() === '') return 'note'
    return this.recorder.trim() === '' ? 'who' : null
  })
  /** The injection that was given all the same, as the list or the refusal tells of it. */
  readonly given = $derived<InjectionData | null>(this.refusal?.earlier ?? this.slot?.injection ?? null)
  /** The time of day on the person's clock. */
  readonly time = $derived.by(
    () => this.slot?.time ?? clockShown(wallIn(this.detail?.person.zone ?? '', Date.parse(this.at)) ?? wallOf(this.at), settings.units.clock),
  )

  constructor(person: string, order: string, at: string) {
    this.person = person
    this.order = order
    this.at = at
    this.recorder = session.recorder
  }

  async open(): Promise<void> {
    try {
      const [detail, due] = await Promise.all([
        ask('person_get', { person: this.person }),
        ask('due', { person: this.person }),
      ])
      this.slot = due.slots.find((s) => s.order.id === this.order && Date.parse(s.at) === Date.parse(this.at)) ?? null
      this.what = this.slot?.order ?? detail.orders.find((o) => o.id === this.order) ?? null
      this.detail = detail
      this.fault = null
    } catch (fault) {
      this.fault = asRefusal(fault)
    }
  }

  /** Saves the entry; `null` where something is missing or was refused. */
  async save(): Promise<EventData | null> {
    if (this.saving) return null
    this.told = this.missing
    if (this.told) return null
    this.saving = true
    this.refusal = null
    try {
      const saved = await ask('event_record', {
        id: this.id,
        person: this.person,
        order: this.order,
        about: 'not_given',
        at: this.at,
        code: this.why,
        note: this.note.trim() || null,
        recorder: this.recorder.trim(),
      })
      session.recorder = this.recorder.trim()
      return saved
    } catch (fault) {
      this.refusal = asRefusal(fault)
      return null
    } finally {
      this.saving = false
    }
  }
}
