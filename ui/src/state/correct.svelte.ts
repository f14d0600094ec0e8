/**
 * Putting an entry right. The wrong one stays in the record; a new one takes its place and says why.
 */
import { ask, asRefusal, freshId, type Refusal } from '../core'
import type { InjectionData, PersonDetail, SiteWire } from '../wire'
import { DoseEntry } from './dose.svelte'
import { sameSite } from './give.svelte'
import { session } from './session.svelte'
import { When } from './when.svelte'

export type CorrectMissing = 'nothing' | 'reason' | 'who' | 'time' | 'dose' | 'confirm'

export class CorrectForm {
  readonly person: string
  readonly when: When
  readonly dose = new DoseEntry()
  readonly id = freshId()

  detail = $state.raw<PersonDetail | null>(null)
  wrong = $state.raw<InjectionData | null>(null)
  site = $state.raw<SiteWire | null>(null)
  siteWords = $state('')
  timeWrong = $state(false)
  inError = $state(false)
  reason = $state('')
  recorder = $state('')
  loading = $state(true)
  fault = $state.raw<Refusal | null>(null)
  refusal = $state.raw<Refusal | null>(null)
  saving = $state(false)
  told = $state<CorrectMissing | null>(null)

  readonly siteChanged = $derived(this.site !== null && !sameSite(this.site, this.wrong?.site ?? null))
  readonly missing = $derived.by<CorrectMissing | null>(() => {
    if (!this.inError && !this.siteChanged && !this.timeWrong && !this.dose.other) return 'nothing'
    if (!this.inError && this.timeWrong && this.when.at === null) return 'time'
    if (!this.inError && this.dose.other && this.dose.value === null) return 'dose'
    if (!this.inError && this.dose.other && !this.dose.ready) return 'confirm'
    if (this.reason.trim() === '') return 'reason'
    return this.recorder.trim() === '' ? 'who' : null
  })

  constructor(person: string) {
    this.person = person
    this.when = new When(() => this.wrong?.zone ?? this.detail?.person.zone ?? 'UTC')
  }

  async open(injection: string): Promise<void> {
    this.loading = true
    try {
      const [detail, list] = await Promise.all([
        ask('person_get', { person: this.person }),
        ask('injection_list', { person: this.person, superseded: true, limit: 5000 }),
      ])
      this.detail = detail
      this.wrong = list.injections.find((i) => i.id === injection) ?? null
      this.fault = null
      if (!this.wrong) return
      this.site = this.wrong.site
      this.siteWords = this.wrong.words
      this.dose.order(this.wrong.dose.value, this.wrong.dose.unit)
      this.recorder = session.recorder
      await this.when.take(this.wrong.given_at)
    } catch (fault) {
      this.fault = asRefusal(fault)
    } finally {
      this.loading = false
    }
  }

  place(site: SiteWire, words: string): void {
    this.site = site
    this.siteWords = words
  }

  async save(): Promise<InjectionData | null> {
    if (this.saving || !this.wrong) return null
    this.told = this.missing
    if (this.told) return null
    this.saving = true
    this.refusal = null
    const error = this.inError
    try {
      const saved = await ask('injection_correct', {
        id: this.id,
        replaces: this.wrong.id,
        reason: this.reason.trim(),
        entered_in_error: error,
        site: !error && this.siteChanged ? this.site : null,
        given_at: !error && this.timeWrong ? this.when.at : null,
        dose: !error && this.dose.other ? { value: this.dose.value!, unit: this.dose.unit } : null,
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
