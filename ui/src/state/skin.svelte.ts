/**
 * The forms of the skin: marking a finding, looking at one again, and a skin check.
 *
 * Each entry's id is made when its form opens, so that saving twice saves once. What was typed is kept at the door as a
 * draft. Not here: what a finding means for the next injection; the door says that.
 */
import { ask, asRefusal, freshId, type Refusal } from '../core'
import type { FindingData, FindingListData, PersonDetail, SkinCheckData, SkinStateData } from '../wire'
import { DraftKeeper, keptDraft } from './draft'
import { PlaceForm, whole, type PlaceKept, type PlaceMissing } from './place.svelte'
import { session } from './session.svelte'
import { When, type WhenKept } from './when.svelte'

/** A moment in words, as the forms tell times. */
async function inWords(at: string | null, zone: string): Promise<string> {
  if (!at) return ''
  const shown = new When(() => zone)
  await shown.take(at)
  return shown.words ?? ''
}

export type FindingMissing = 'kind' | 'noticed' | PlaceMissing | 'wear' | 'note' | 'time' | 'who'

/** What {@link FindingForm} keeps. */
interface FindingKept {
  id: string
  kind: string
  feel: string
  noticed: string
  wear: string
  note: string
  recorder: string
  when: WhenKept
  place: PlaceKept
}

/** Marks something new, or says how a finding is now (`again`). */
export class FindingForm {
  id = freshId()
  readonly person: string
  readonly place: PlaceForm
  readonly when: When

  detail = $state.raw<PersonDetail | null>(null)
  list = $state.raw<FindingListData | null>(null)
  kind = $state('')
  feel = $state('')
  noticed = $state('')
  wear = $state('')
  note = $state('')
  recorder = $state('')
  told = $state<FindingMissing | null>(null)
  saving = $state(false)
  fault = $state.raw<Refusal | null>(null)
  refusal = $state.raw<Refusal | null>(null)
  draftFault = $state.raw<Refusal | null>(null)
  /** Since when an unfinished form was begun, in words; `null` for a new one. */
  begun = $state<string | null>(null)
  readonly #keeper: DraftKeeper

  readonly device = $derived(this.list?.kinds.find((k) => k.kind === this.kind)?.device ?? false)
  readonly missing = $derived.by<FindingMissing | null>(() => {
    if (this.kind === '') return 'kind'
    if (this.noticed === '') return 'noticed'
    if (this.place.missing) return this.place.missing
    const days = whole(this.wear)
    if (this.device && this.wear.trim() !== '' && (days === null || days < 1 || days > 366)) return 'wear'
    if (this.kind === 'other' && this.note.trim() === '') return 'note'
    if (this.when.at === null) return 'time'
    return this.recorder.trim() === '' ? 'who' : null
  })

  constructor(person: string, zone: string | null) {
    this.person = person
    this.place = new PlaceForm(person)
    this.when = new When(() => this.detail?.person.zone ?? 'UTC')
    this.recorder = session.recorder
    this.#keeper = new DraftKeeper(`finding:${person}`, (fault) => (this.draftFault = fault))
    this.#zone = zone
  }
  #zone: string | null

  async open(): Promise<void> {
    try {
      const [detail, list, draft] = await Promise.all([
        ask('person_get', { person: this.person }),
        ask('finding_list', { person: this.person }),
        keptDraft<FindingKept>(`finding:${this.person}`),
      ])
      this.list = list
      this.detail = detail
      this.fault = null
      // Where the answer to saving was lost, it may be on record all the same.
      const saved = [...list.findings, ...list.withdrawn].some((f) => f.id === draft?.kept.id)
      if (draft && !saved) {
        const { when, place, ...fields } = draft.kept
        Object.assign(this, fields)
        await Promise.all([this.when.restore(when), this.place.restore(place)])
        this.begun = await inWords(draft.since, detail.person.zone)
      } else {
        if (saved) await this.#keeper.drop()
        await this.when.refresh()
      }
      if (this.#zone && this.place.zone !== this.#zone) await this.place.choose(this.#zone)
    } catch (fault) {
      this.fault = asRefusal(fault)
    }
  }

  /** What was begun is thrown away; a new form is opened in its place. */
  discard(): Promise<void> {
    return this.#keeper.drop()
  }

  flush(): void {
    this.#keeper.flush()
  }

  /** Something was changed. */
  touch(): void {
    this.told = null
    this.#keeper.keep(() => {
      const { id, kind, feel, noticed, wear, note, recorder } = this
      const kept: FindingKept = { id, kind, feel, noticed, wear, note, recorder, when: this.when.kept(), place: this.place.kept() }
      return JSON.stringify(kept)
    })
  }

  async save(): Promise<FindingData | null> {
    if (this.saving) return null
    this.told = this.missing
    if (this.told) return null
    this.saving = true
    this.refusal = null
    try {
      const saved = await ask('finding_record', {
        id: this.id,
        person: this.person,
        kind: this.kind,
        zone: this.place.zone,
        place: this.place.wire(),
        noticed: this.noticed,
        feel: this.kind === 'lump' && this.feel ? this.feel : null,
        wear_days: this.device ? whole(this.wear) : null,
        at: this.when.at!,
        recorder: this.recorder.trim(),
        note: this.note.trim() || null,
      })
      session.recorder = this.recorder.trim()
      await this.#keeper.drop()
      return saved
    } catch (fault) {
      this.refusal = asRefusal(fault)
      return null
    } finally {
      this.saving = false
    }
  }
}

export type LookMissing = 'state' | 'noticed' | PlaceMissing | 'time' | 'who'

/** What {@link LookForm} keeps. */
interface LookKept {
  id: string
  state: string
  feel: string
  noticed: string
  note: string
  recorder: string
  when: WhenKept
  place: PlaceKept
}

/** The key of an unfinished look. */
export const lookKey = (finding: string) => `look:${finding}`

/** One more look at a finding. */
export class LookForm {
  id = freshId()
  readonly #zone: string
  readonly #keeper: DraftKeeper
  readonly of: FindingData
  readonly place: PlaceForm
  readonly when: When
  state = $state('')
  feel = $state('')
  noticed = $state('')
  note = $state('')
  recorder = $state('')
  told = $state<LookMissing | null>(null)
  saving = $state(false)
  refusal = $state.raw<Refusal | null>(null)
  draftFault = $state.raw<Refusal | null>(null)
  /** Since when an unfinished form was begun, in words; `null` for a new one. */
  begun = $state<string | null>(null)

  readonly missing = $derived.by<LookMissing | null>(() => {
    if (this.state === '') return 'state'
    if (this.state === 'there') {
      if (this.noticed === '') return 'noticed'
      if (this.place.missing) return this.place.missing
    }
    if (this.when.at === null) return 'time'
    return this.recorder.trim() === '' ? 'who' : null
  })

  constructor(of: FindingData, zone: string) {
    this.of = of
    this.place = new PlaceForm(of.person)
    this.when = new When(() => zone)
    this.recorder = session.recorder
    this.#zone = zone
    this.#keeper = new DraftKeeper(lookKey(of.id), (fault) => (this.draftFault = fault))
  }

  async open(): Promise<void> {
    const draft = await keptDraft<LookKept>(lookKey(this.of.id)).catch(() => null)
    const saved = this.of.looks.some((l) => l.id === draft?.kept.id)
    if (draft && !saved) {
      const { when, place, ...fields } = draft.kept
      Object.assign(this, fields)
      await Promise.all([this.when.restore(when), this.place.restore(place)])
      this.begun = await inWords(draft.since, this.#zone)
    } else {
      if (saved) await this.#keeper.drop()
      await Promise.all([this.when.refresh(), this.place.take(this.of)])
    }
  }

  /** Something was changed. */
  touch(): void {
    this.told = null
    this.#keeper.keep(() => {
      const { id, state, feel, noticed, note, recorder } = this
      const kept: LookKept = { id, state, feel, noticed, note, recorder, when: this.when.kept(), place: this.place.kept() }
      return JSON.stringify(kept)
    })
  }

  discard(): Promise<void> {
    return this.#keeper.drop()
  }

  flush(): void {
    this.#keeper.flush()
  }

  async save(): Promise<FindingData | null> {
    if (this.saving) return null
    this.told = this.missing
    if (this.told) return null
    this.saving = true
    this.refusal = null
    const there = this.state === 'there'
    try {
      const saved = await ask('finding_look', {
        id: this.id,
        finding: this.of.id,
        state: this.state,
        place: there ? this.place.wire() : null,
        noticed: there ? this.noticed : null,
        feel: there && this.of.kind === 'lump' && this.feel ? this.feel : null,
        at: this.when.at!,
        recorder: this.recorder.trim(),
        note: this.note.trim() || null,
      })
      session.recorder = this.recorder.trim()
      await this.#keeper.drop()
      return saved
    } catch (fault) {
      this.refusal = asRefusal(fault)
      return null
    } finally {
      this.saving = false
    }
  }
}

export type CheckMissing = { zone: string } | 'needle' | 'since' | 'time' | 'who'

interface CheckKept {
  id: string
  seen: Record<string, string>
  needle: string
  since: string
  lows: string
  note: string
  recorder: string
  when: WhenKept
}

/** A skin check. */
export class CheckForm {
  id = freshId()
  readonly person: string
  readonly when: When
  detail = $state.raw<PersonDetail | null>(null)
  data = $state.raw<SkinStateData | null>(null)
  seen = $state<Record<string, string>>({})
  needle = $state('')
  since = $state('')
  lows = $state('')
  note = $state('')
  recorder = $state('')
  told = $state.raw<CheckMissing | null>(null)
  saving = $state(false)
  fault = $state.raw<Refusal | null>(null)
  refusal = $state.raw<Refusal | null>(null)
  draftFault = $state.raw<Refusal | null>(null)
  /** Since when an unfinished form was begun, in words; `null` for a new one. */
  begun = $state<string | null>(null)
  readonly #keeper: DraftKeeper

  readonly missing = $derived.by<CheckMissing | null>(() => {
    const open = this.data?.zones.find((z) => !this.seen[z.zone])
    if (open) return { zone: open.zone_words }
    const needle = whole(this.needle)
    if (this.needle.trim() !== '' && (needle === null || needle < 1 || needle > 100)) return 'needle'
    if (this.since.trim() !== '' && !/^\d{4}$/.test(this.since.trim())) return 'since'
    if (this.when.at === null) return 'time'
    return this.recorder.trim() === '' ? 'who' : null
  })

  constructor(person: string) {
    this.person = person
    this.when = new When(() => this.detail?.person.zone ?? 'UTC')
    this.recorder = session.recorder
    this.#keeper = new DraftKeeper(`skin-check:${person}`, (fault) => (this.draftFault = fault))
  }

  async open(): Promise<void> {
    try {
      const [detail, data, draft] = await Promise.all([
        ask('person_get', { person: this.person }),
        ask('skin_state', { person: this.person }),
        keptDraft<CheckKept>(`skin-check:${this.person}`),
      ])
      this.detail = detail
      this.data = data
      this.fault = null
      const saved = data.checks.some((c) => c.id === draft?.kept.id)
      if (draft && !saved) {
        const { when, ...fields } = draft.kept
        Object.assign(this, fields)
        await this.when.restore(when)
        this.begun = await inWords(draft.since, detail.person.zone)
      } else {
        if (saved) await this.#keeper.drop()
        await this.when.refresh()
      }
    } catch (fault) {
      this.fault = asRefusal(fault)
    }
  }

  touch(): void {
    this.told = null
    this.#keeper.keep(() => {
      const { id, needle, since, lows, note, recorder } = this
      const kept: CheckKept = { id, seen: { ...this.seen }, needle, since, lows, note, recorder, when: this.when.kept() }
      return JSON.stringify(kept)
    })
  }

  discard(): Promise<void> {
    return this.#keeper.drop()
  }

  flush(): void {
    this.#keeper.flush()
  }

  /** Keeps what there is at once; for leaving the form to come back. */
  leave(): void {
    this.touch()
    this.#keeper.flush()
  }

  async save(): Promise<SkinCheckData | null> {
    if (this.saving) return null
    this.told = this.missing
    if (this.told) return null
    this.saving = true
    this.refusal = null
    try {
      const saved = await ask('skin_check_record', {
        id: this.id,
        person: this.person,
        at: this.when.at!,
        recorder: this.recorder.trim(),
        zones: this.data!.zones.map((z) => ({ zone: z.zone, seen: this.seen[z.zone]! })),
        needle_uses: whole(this.needle),
        insulin_since: whole(this.since),
        unexplained_lows: this.lows === '' ? null : this.lows === 'yes',
        note: this.note.trim() || null,
      })
      session.recorder = this.recorder.trim()
      await this.#keeper.drop()
      return saved
    } catch (fault) {
      this.refusal = asRefusal(fault)
      return null
    } finally {
      this.saving = false
    }
  }
}
