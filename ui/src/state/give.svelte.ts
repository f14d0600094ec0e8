/**
 * The form for one injection: from the order to the entry. Nothing is saved but by {@link GiveForm.record}.
 *
 * The entry's id is made when the form opens and kept in the draft, so that pressing Record twice, or again
 * after a lost answer, saves once. Not here: what a place or a moment is worth; the door says that.
 */
import { ask, asRefusal, freshId, type Args, type Refusal } from '../core'
import type {
  BeforeSaid,
  InjectionData,
  OrderData,
  PersonDetail,
  ReasonData,
  SiteCheckData,
  SiteSuggestData,
  SiteWire,
} from '../wire'
import { Before } from './before.svelte'
import { DoseEntry } from './dose.svelte'
import { DraftKeeper } from './draft'
import { session } from './session.svelte'
import { When, type WhenKept } from './when.svelte'

export type Missing = 'order' | 'site' | 'time' | 'dose' | 'confirm' | 'dose_reason' | 'who' | 'reason'

/** What a draft holds. `at` is the instant that was shown when it was last touched. */
export interface GiveKept {
  v: 1
  id: string
  order: string | null
  site: SiteWire | null
  byHand: boolean
  when: WhenKept
  at: string | null
  /** What is in it, in words. */
  said: string
  recorder: string
  other: boolean
  doseText: string
  reason: string
  note: string
  /** Absent in forms of before there were checks. */
  doseReason?: string
  outcomes?: string[]
  disposed?: boolean
  said_before?: BeforeSaid
}

export function readKept(body: string | null | undefined): GiveKept | null {
  if (!body) return null
  try {
    const kept = JSON.parse(body) as GiveKept
    return kept.v === 1 && typeof kept.id === 'string' ? kept : null
  } catch {
    return null
  }
}

export const sameSite = (a: SiteWire | null, b: SiteWire | null): boolean =>
  a !== null &&
  b !== null &&
  a.zone === b.zone &&
  a.quadrant === b.quadrant &&
  (a.across_cm ?? null) === (b.across_cm ?? null) &&
  (a.up_cm ?? null) === (b.up_cm ?? null)

const sameName = (a: string, b: string) => a.trim().toLowerCase() === b.trim().toLowerCase()

export class GiveForm {
  readonly person: string
  readonly wanted: string | null
  readonly when: When
  readonly dose = new DoseEntry()

  id = $state(freshId())
  detail = $state.raw<PersonDetail | null>(null)
  order = $state.raw<OrderData | null>(null)
  suggested = $state.raw<SiteSuggestData | null>(null)
  site = $state.raw<SiteWire | null>(null)
  /** Whether the place was chosen by a person and not taken from the suggestion. */
  byHand = $state(false)
  check = $state.raw<SiteCheckData | null>(null)
  recorder = $state('')
  reason = $state('')
  note = $state('')
  /** Why the dose is not the order's. */
  doseReason = $state('')
  /** What was seen afterwards. */
  outcomes = $state<string[]>([])
  /** The needle is in the sharps bin. */
  disposed = $state(false)
  readonly before: Before
  /** Why in spite of an earlier dose or an order that is not in force. */
  askReason = $state('')
  /** The refusal that asks for {@link askReason}. */
  asking = $state.raw<Refusal | null>(null)

  /** A form begun earlier and not finished. */
  begun = $state.raw<{ kept: GiveKept; openedAt: string | null; words: string } | null>(null)
  loading = $state(true)
  fault = $state.raw<Refusal | null>(null)
  siteFault = $state.raw<Refusal | null>(null)
  refusal = $state.raw<Refusal | null>(null)
  draftFault = $state.raw<Refusal | null>(null)
  saving = $state(false)
  /** What was missing when Record was last pressed. */
  told = $state<Missing | null>(null)

  readonly giver = $derived.by(() => {
    if (!this.detail || this.recorder.trim() === '') return null
    return sameName(this.recorder, this.detail.person.name) ? 'self' : 'other'
  })
  readonly inForce = $derived(this.detail?.orders.filter((o) => o.state === 'in_force') ?? [])
  readonly notInForce = $derived(this.detail?.orders.filter((o) => o.state !== 'in_force') ?? [])
  readonly reasons = $derived<ReasonData[]>(this.check?.reasons ?? [])
  readonly needsReason = $derived(this.check?.verdict === 'avoid')
  /** Whether the dose is not the ordered one. */
  readonly otherDose = $derived(this.dose.other && this.dose.value !== null && this.dose.value !== this.dose.ordered)
  readonly missing = $derived.by<Missing | null>(() => {
    if (!this.order) return 'order'
    if (!this.site) return 'site'
    if (this.when.at === null) return 'time'
    if (this.dose.value === null) return 'dose'
    if (!this.dose.ready) return 'confirm'
    if (this.otherDose && this.doseReason.trim() === '') return 'dose_reason'
    if (this.recorder.trim() === '') return 'who'
    if (this.needsReason && this.reason.trim() === '') return 'reason'
    return null
  })

  #draft: DraftKeeper
  #turn = 0
  #lost: { key: string; body: Args<'injection_record'> } | null = null
  /** Codes that were shown and answered with a reason. */
  #answered = new Set<string>()

  /** `wanted` is the order the form is opened for. */
  constructor(person: string, wanted: string | null = null) {
    this.person = person
    this.wanted = wanted
    this.when = new When(() => this.detail?.person.zone ?? 'UTC')
    this.before = new Before(
      () => (this.order ? { person, order: this.order.id, at: this.when.at, recorder: this.recorder, giver: this.giver } : null),
      () => this.touch(),
    )
    this.#draft = new DraftKeeper(`give:${person}`, (fault) => (this.draftFault = fault))
  }

  async open(): Promise<void> {
    this.loading = true
    this.fault = null
    try {
      const [detail, draft] = await Promise.all([
        ask('person_get', { person: this.person }),
        ask('draft_get', { key: `give:${this.person}` }),
      ])
      this.detail = detail
      const kept = readKept(draft.body)
      if (kept && !(await this.#alreadySaved(kept.id))) {
        await this.#offer(kept, draft.opened_at ?? null)
      } else {
        if (kept) await this.#draft.drop()
        await this.begin()
      }
    } catch (fault) {
      this.fault = asRefusal(fault)
    } finally {
      this.loading = false
    }
  }

  /** Starts an empty form. */
  async begin(): Promise<void> {
    this.begun = null
    this.#answered.clear()
    this.id = freshId()
    // Where several people give, the one who gives is asked every time.
    if (!this.detail?.person.self_injects) this.recorder = session.recorder
    await this.when.now()
    // The order it was opened for, and no other in its place: where that is not in force a person chooses.
    const only = this.inForce.length === 1 ? this.inForce[0] : undefined
    const first = this.wanted === null ? only : this.inForce.find((o) => o.id === this.wanted)
    if (first) await this.#take(first)
  }

  /** Goes on with the form that was begun: it was given then, or it is to be given now. */
  async resume(given: boolean): Promise<void> {
    const begun = this.begun
    if (!begun) return
    const { kept } = begun
    this.begun = null
    this.id = kept.id
    this.recorder = kept.recorder
    this.reason = kept.reason
    this.note = kept.note
    const at = kept.at ?? begun.openedAt
    if (given && at) await this.when.take(at)
    else await this.when.now()
    const order = this.detail?.orders.find((o) => o.id === kept.order)
    if (!order) return
    this.byHand = kept.byHand
    this.site = kept.site
    this.doseReason = kept.doseReason ?? ''
    this.outcomes = kept.outcomes ?? []
    this.disposed = kept.disposed ?? false
    // What was checked then may not hold now: it is only taken over where the injection was given then.
    await this.#take(order, given ? kept.said_before : undefined)
    this.dose.other = kept.other
    this.dose.text = kept.doseText
  }

  /** It was not given: the form is cleared. */
  async discard(): Promise<void> {
    await this.#draft.drop()
    await this.begin()
  }

  async choose(order: OrderData): Promise<void> {
    this.byHand = false
    this.site = null
    this.check = null
    await this.#take(order)
    this.touch()
  }

  async place(site: SiteWire, byHand: boolean): Promise<void> {
    this.site = site
    this.byHand = byHand
    this.reason = ''
    this.touch()
    await this.look()
  }

  /** Checks the place again: the place, the time or the giver changed. */
  async look(): Promise<void> {
    const { order, site } = this
    if (!order || !site || !this.when.at) return
    const turn = ++this.#turn
    try {
      const check = await ask('site_check', {
        person: this.person,
        order: order.id,
        site,
        at: this.when.at,
        giver: this.giver,
      })
      if (turn !== this.#turn) return
      this.check = check
      this.siteFault = null
    } catch (fault) {
      if (turn === this.#turn) this.siteFault = asRefusal(fault)
    }
  }

  /** Asks for places again and keeps a place chosen by hand. */
  /** Said where the chosen place leaves a lump for healthy skin; recorded as shown. */
  readonly leaving = $derived.by(() => this.check?.leaving_lump ?? null)

  async suggest(): Promise<void> {
    const order = this.order
    if (!order) return
    try {
      const at = this.when.at ?? session.status?.now ?? ''
      const giver = this.giver
      this.suggested = await ask('site_suggest', { person: this.person, order: order.id, at, count: 5, giver })
      this.siteFault = null
      if (!this.byHand) this.site = this.suggested.sites[0]?.site ?? null
      await this.look()
    } catch (fault) {
      this.siteFault = asRefusal(fault)
    }
  }

  async who(name: string): Promise<void> {
    const before = this.giver
    this.recorder = name
    this.touch()
    // Reach depends on who gives: the suggestion is asked for again, a place chosen by hand stays.
    if (this.giver !== before && this.giver !== null) await Promise.all([this.suggest(), this.before.load()])
  }

  /** Something was changed by hand: the draft is kept. */
  touch(): void {
    this.told = null
    this.refusal = null
    this.#draft.keep(() => JSON.stringify(this.kept()))
  }

  kept(): GiveKept {
    return {
      v: 1,
      id: this.id,
      order: this.order?.id ?? null,
      site: this.site,
      byHand: this.byHand,
      when: this.when.kept(),
      at: this.when.at,
      said: [this.dose.words, this.order?.medicine_name, this.check?.words, this.recorder].filter(Boolean).join(', '),
      recorder: this.recorder,
      other: this.dose.other,
      doseText: this.dose.text,
      reason: this.reason,
      note: this.note,
      doseReason: this.doseReason,
      outcomes: [...this.outcomes],
      disposed: this.disposed,
      said_before: this.before.said,
    }
  }

  /** Saves the entry; `null` where something is missing, is asked about, or was refused. */
  async record(): Promise<InjectionData | null> {
    if (this.saving) return null
    this.told = this.missing
    if (this.told) return null
    this.saving = true
    this.refusal = null
    try {
      if (this.when.mode !== 'typed') await this.when.refresh()
      if (this.when.at === null) {
        this.told = 'time'
        return null
      }
      const saved = await ask('injection_record', this.#request())
      this.#lost = null
      session.recorder = this.recorder.trim()
      await this.#draft.drop()
      return saved
    } catch (fault) {
      this.#refused(asRefusal(fault))
      return null
    } finally {
      this.saving = false
    }
  }

  /** Nothing was saved; the form stays as it was. */
  cancelAsking(): void {
    this.asking = null
    this.askReason = ''
    this.#answered.clear()
  }

  flush(): void {
    this.#draft.flush()
  }

  #request(): Args<'injection_record'> {
    if (this.asking && this.askReason.trim() !== '') this.#answered.add(this.asking.code)
    // Only what was shown is answered: a reason for the place must not silence a second dose.
    const acknowledges = [...this.#answered]
    if (this.needsReason && this.reason.trim() !== '') acknowledges.push('avoid_needs_reason')
    const reason = [this.reason, this.askReason].map((r) => r.trim()).filter(Boolean).join('; ')
    const body: Args<'injection_record'> = {
      id: this.id,
      person: this.person,
      order: this.order!.id,
      site: this.site!,
      given_at: this.when.at!,
      dose: { value: this.dose.value!, unit: this.dose.unit },
      recorder: this.recorder.trim(),
      reason: reason || null,
      acknowledges,
      note: this.note.trim() || null,
      giver: this.giver,
      act: {
        outcomes: [...this.outcomes],
        checks: this.leaving ? [...this.before.done, 'leaving_lump'] : this.before.done,
        dose_reason: this.otherDose ? this.doseReason.trim() || null : null,
        second_checker: this.before.said.second ?? null,
        needle_disposed: this.disposed ? true : null,
        container: this.before.said.container ?? null,
      },
    }
    // After a lost answer the same entry is sent again, not the same entry a minute later.
    const key = JSON.stringify(this.when.mode === 'now' ? { ...body, given_at: 'now' } : body)
    if (this.#lost?.key === key) return this.#lost.body
    this.#lost = { key, body }
    return body
  }

  #refused(refusal: Refusal): void {
    if (!refusal.lost) this.#lost = null
    if (refusal.code === 'second_dose' || refusal.code === 'order_not_in_force') {
      this.asking = refusal
      return
    }
    if (refusal.code === 'avoid_needs_reason') {
      this.told = 'reason'
      if (this.check) this.check = { ...this.check, verdict: 'avoid', reasons: refusal.reasons }
    }
    this.refusal = refusal
  }

  async #take(order: OrderData, said?: BeforeSaid): Promise<void> {
    this.order = order
    this.dose.order(order.dose.value, order.dose.unit)
    this.before.begin(said)
    await Promise.all([this.suggest(), this.before.load()])
  }

  async #alreadySaved(id: string): Promise<boolean> {
    const { injections } = await ask('injection_list', { person: this.person, superseded: true, limit: 50 })
    return injections.some((i) => i.id === id)
  }

  async #offer(kept: GiveKept, openedAt: string | null): Promise<void> {
    const at = kept.at ?? openedAt
    const shown = new When(() => this.detail?.person.zone ?? 'UTC')
    if (at) await shown.take(at)
    this.begun = { kept, openedAt, words: shown.words ?? at ?? '' }
  }
}
