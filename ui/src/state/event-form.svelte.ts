/**
 * Putting right what happened around an injection, or saying that it never did. The old entry stays in the record.
 *
 * Not here: the slot of an injection not given; another slot is another entry.
 */
import { ask, asRefusal, freshId, type Refusal } from '../core'
import type { EventData, PersonDetail } from '../wire'
import { readValue } from './glucose.svelte'
import { session } from './session.svelte'
import { When } from './when.svelte'

export type EventMissing = 'nothing' | 'value' | 'time' | 'why' | 'note' | 'reason' | 'who'

export class EventForm {
  /** Kept while the form is open, so that pressing twice saves once. */
  readonly id = freshId()
  readonly person: string
  readonly when: When

  detail = $state.raw<PersonDetail | null>(null)
  what = $state.raw<EventData | null>(null)
  valueWrong = $state(false)
  value = $state('')
  unit = $state('')
  timeWrong = $state(false)
  whyWrong = $state(false)
  why = $state('')
  noteWrong = $state(false)
  note = $state('')
  /** It never happened. */
  never = $state(false)
  reason = $state('')
  recorder = $state('')
  told = $state<EventMissing | null>(null)
  saving = $state(false)
  fault = $state.raw<Refusal | null>(null)
  refusal = $state.raw<Refusal | null>(null)

  readonly missing = $derived.by<EventMissing | null>(() => {
    if (!this.never) {
      if (!this.valueWrong && !this.timeWrong && !this.whyWrong && !this.noteWrong) return 'nothing'
      if (this.valueWrong && readValue(this.value) === '') return 'value'
      if (this.timeWrong && this.when.at === null) return 'time'
      if (this.whyWrong && this.why === '') return 'why'
      const why = this.whyWrong ? this.why : this.what?.code
      const note = this.noteWrong ? this.note : (this.what?.note ?? '')
      if (this.what?.about === 'not_given' && why === 'other' && note.trim() === '') return 'note'
    }
    if (this.reason.trim() === '') return 'reason'
    return this.recorder.trim() === '' ? 'who' : null
  })

  constructor(person: string) {
    this.person = person
    this.when = new When(() => this.detail?.person.zone ?? 'UTC')
  }

  async open(event: string): Promise<void> {
    try {
      const [detail, list] = await Promise.all([
        ask('person_get', { person: this.person }),
        ask('event_list', { person: this.person, superseded: true }),
      ])
      const what = list.events.find((e) => e.id === event && e.status === 'final') ?? null
      this.detail = detail
      this.fault = null
      this.recorder = session.recorder
      if (what) {
        this.value = what.value ?? ''
        this.unit = what.unit ?? 'g'
        this.note = what.note ?? ''
        await this.when.take(what.at)
      }
      this.what = what
    } catch (fault) {
      this.fault = asRefusal(fault)
    }
  }

  /** Saves the new entry; `null` where something is missing or was refused. */
  async save(): Promise<EventData | null> {
    if (this.saving || !this.what) return null
    this.told = this.missing
    if (this.told) return null
    this.saving = true
    this.refusal = null
    const of = { id: this.id, replaces: this.what.id, reason: this.reason.trim(), recorder: this.recorder.trim() }
    try {
      const saved = this.never
        ? await ask('event_withdraw', of)
        : await ask('event_correct', {
            ...of,
            value: this.valueWrong ? readValue(this.value) : null,
            unit: this.valueWrong ? this.unit : null,
            at: this.timeWrong ? this.when.at : null,
            code: this.whyWrong ? this.why : null,
            note: this.noteWrong ? this.note.trim() : null,
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
