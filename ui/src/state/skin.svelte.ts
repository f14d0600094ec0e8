/**
 * The forms of the skin: marking a finding, looking at one again, and a skin check.
 *
 * Each entry's id is made when its form opens, so that saving twice saves once. What was typed is kept at the door as a
 * draft. Not here: what a finding means for the next injection; the door says that.
 */
import { ask, asRefusal, freshId, type Refusal } from '../core'
import type { FindingData, FindingListData, PersonDetail, PlaceWire, SkinCheckData, SkinStateData, XY } from '../wire'
import { DraftKeeper } from './draft'
import { PatchPoint } from './point.svelte'
import { session } from './session.svelte'
import { When, type WhenKept } from './when.svelte'

/** A number as typed, with a comma or a point; `null` where it is none. */
export function typedNumber(text: string): number | null {
  const plain = text.trim().replace(',', '.')
  return /^\d{1,4}(\.\d)?$/.test(plain) ? Number(plain) : null
}

const whole = (text: string) => (/^\d{1,4}$/.test(text.trim()) ? Number(text.trim()) : null)

/** Points around an ellipse, closed, in centimetres on the patch. */
export function ellipse(centre: XY, lengthMm: number, widthMm: number, degrees: number): XY[] {
  const turn = (degrees * Math.PI) / 180
  return Array.from({ length: 49 }, (_, n) => {
    const angle = (2 * Math.PI * (n % 48)) / 48
    const [x, y] = [(lengthMm / 20) * Math.cos(angle), (widthMm / 20) * Math.sin(angle)]
    return {
      across_cm: centre.across_cm + x * Math.cos(turn) - y * Math.sin(turn),
      up_cm: centre.up_cm + x * Math.sin(turn) + y * Math.cos(turn),
    }
  })
}

const ofPlace = ['zone', 'point', 'size', 'turned'] as const
export type PlaceMissing = (typeof ofPlace)[number]

/** What is missing, where it is of the place. */
export const ofPlaceOnly = (missing: string | null): PlaceMissing | null => ofPlace.find((one) => one === missing) ?? null

/** Where a finding lies and how large it is: a middle on the patch and two sizes. */
export class PlaceForm {
  zone = $state('')
  length = $state('')
  width = $state('')
  turned = $state('0')
  /** A line drawn around it at an earlier look; kept until the middle or a size is changed. */
  outline = $state.raw<XY[] | null>(null)
  readonly at: PatchPoint

  readonly #mm = $derived.by(() => {
    const [length, width] = [typedNumber(this.length), typedNumber(this.width)]
    const fits = (mm: number | null) => mm !== null && mm >= 1 && mm <= 400
    return fits(length) && fits(width) ? { length: length!, width: width! } : null
  })
  readonly #degrees = $derived.by(() => {
    const degrees = whole(this.turned)
    return degrees !== null && degrees <= 180 ? degrees : null
  })
  readonly missing = $derived.by<PlaceMissing | null>(() => {
    if (this.outline) return null
    if (this.zone === '') return 'zone'
    if (!this.at.point) return 'point'
    if (!this.#mm) return 'size'
    return this.#degrees === null ? 'turned' : null
  })
  /** What is drawn on the skin while it is being said. */
  readonly ring = $derived.by<XY[] | null>(() => {
    if (this.outline) return [...this.outline, ...this.outline.slice(0, 1)]
    const { point } = this.at
    return point && this.#mm ? ellipse(point, this.#mm.length, this.#mm.width, this.#degrees ?? 0) : null
  })

  constructor(person: string) {
    this.at = new PatchPoint({ person, order: null, at: null, giver: null, without: null })
  }

  async choose(zone: string, start: XY | null = null): Promise<void> {
    this.zone = zone
    this.outline = null
    this.at.point = null
    await this.at.open(zone, start ? { zone, quadrant: null, ...start } : null)
  }

  /** Fills the form with the last place of a finding. */
  async take(of: FindingData): Promise<void> {
    const { shape } = of
    this.length = shape.length_mm ? String(Math.round(shape.length_mm)) : ''
    this.width = shape.width_mm ? String(Math.round(shape.width_mm)) : ''
    this.turned = String(Math.round((((shape.turned_degrees ?? 0) % 180) + 180) % 180))
    await this.choose(of.zone, shape.centre ?? null)
    this.outline = shape.outline ?? null
  }

  step(what: 'length' | 'width', by: number): void {
    const now = typedNumber(this[what]) ?? 10
    this[what] = String(Math.min(400, Math.max(1, Math.round(now + by))))
    this.outline = null
  }

  /** For the door; only where nothing is missing. */
  wire(): PlaceWire {
    if (this.outline) return { outline: this.outline }
    return {
      centre: this.at.point!,
      length_mm: this.#mm!.length,
      width_mm: this.#mm!.width,
      turned_degrees: this.#degrees!,
    }
  }

  kept() {
    const { zone, length, width, turned } = this
    return { zone, length, width, turned, point: this.at.point }
  }

  async restore(kept: ReturnType<PlaceForm['kept']>): Promise<void> {
    Object.assign(this, { length: kept.length, width: kept.width, turned: kept.turned })
    if (kept.zone) await this.choose(kept.zone, kept.point)
  }
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
  place: ReturnType<PlaceForm['kept']>
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
        ask('draft_get', { key: `finding:${this.person}` }),
      ])
      this.list = list
      this.detail = detail
      this.fault = null
      const kept = draft.body === null ? null : (JSON.parse(draft.body) as FindingKept)
      if (kept) {
        const { when, place, ...fields } = kept
        Object.assign(this, fields)
        await Promise.all([this.when.restore(when), this.place.restore(place)])
      } else {
        await this.when.refresh()
      }
      if (this.#zone && this.place.zone !== this.#zone) await this.place.choose(this.#zone)
    } catch (fault) {
      this.fault = asRefusal(fault)
    }
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

/** One more look at a finding. */
export class LookForm {
  readonly id = freshId()
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
  }

  async open(): Promise<void> {
    await Promise.all([this.when.refresh(), this.place.take(this.of)])
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
        ask('draft_get', { key: `skin-check:${this.person}` }),
      ])
      this.detail = detail
      this.data = data
      this.fault = null
      const kept = draft.body === null ? null : (JSON.parse(draft.body) as CheckKept)
      if (kept) {
        const { when, ...fields } = kept
        Object.assign(this, fields)
        await this.when.restore(when)
      } else {
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
