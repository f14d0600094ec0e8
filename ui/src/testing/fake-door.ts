/**
 * A stand-in for the door, in memory, for unit tests of the screens. It is never part of the app.
 *
 * Its rules, sizes and drawing are placeholders: only the shapes of its answers are the door's.
 */
import type { Op, Transport } from '../core'
import type {
  BackupListData,
  BeforeCheck,
  BeforeSaid,
  BodyDrawingData,
  DrawnView,
  ErrorCode,
  ErrorData,
  InjectionData,
  InjectionRecord,
  JournalData,
  MeasuresData,
  MedicineData,
  OrderData,
  PatchData,
  PersonData,
  PlanData,
  ReasonData,
  RoomData,
  SiteCheck,
  SiteCheckData,
  SiteWire,
  TechniqueData,
  UseGridData,
  UseMapData,
  XY,
} from '../wire'
import { page, technique } from './fake-before'
import { FakeChart } from './fake-chart'
import { FakeRisk } from './fake-risk'
import { FakeGuard, type GuardOptions } from './fake-guard'
import { emptyPlan, emptyRoom } from './fake-plan'
import { FakeSkin } from './fake-skin'
import { FakeVisit } from './fake-visit'
import { localText, wallIn, wallOf, type Wall } from '../state/time'

export type Say = Partial<ErrorData> & { code: ErrorCode; message: string }
const no = (code: ErrorCode, message: string, more: Partial<ErrorData> = {}): never => {
  throw { code, message, ...more } satisfies Say
}

const zoneNames: Record<string, string> = {
  abdomen: 'Abdomen', left_thigh: 'Left thigh', right_thigh: 'Right thigh', left_arm: 'Left upper arm',
  right_arm: 'Right upper arm', left_buttock: 'Left buttock', right_buttock: 'Right buttock',
}
const zones = Object.keys(zoneNames)
const quadrantsOf = (zone: string) =>
  zone === 'abdomen'
    ? ['right_upper', 'left_upper', 'right_lower', 'left_lower']
    : ['upper_inner', 'upper_outer', 'lower_inner', 'lower_outer']
/** Half width and half height of a zone's skin; centimetres. */
const half = (zone: string) => (zone === 'abdomen' ? { w: 16, h: 8 } : { w: 6, h: 10 })
const quadrantName = (zone: string, q: string) => `${zoneNames[zone]}, ${q.replace('_', ' ')} quadrant`

function quadrantAt(zone: string, p: XY): string {
  const [upper, far] = [p.up_cm >= 0, p.across_cm >= 0]
  return quadrantsOf(zone)[(upper ? 0 : 2) + (far ? 1 : 0)]!
}

export const medicines: MedicineData[] = [
  {
    id: 'insulin-glargine-100', name: 'insulin glargine 100 units/mL', class: 'insulin', unit: 'units', units: ['units'],
    zones: ['abdomen', 'left_thigh', 'right_thigh'], zones_source: 'a published source', helper_zones: ['left_arm'],
    spacing: { value: 1, unit: 'cm', source: 'a published source' }, point_rest: { value: 28, unit: 'days', source: 'from memory' },
    zone_rest: null, pattern: 'One quadrant a week, clockwise', pattern_source: 'a published source', every_days: null,
    cautions: ['Never mix with another insulin in one syringe.'],
  },
  {
    id: 'enoxaparin', name: 'enoxaparin', class: 'anticoagulant', unit: 'units', units: ['units', 'mg'], zones: ['abdomen'], zones_source: 'a leaflet',
    helper_zones: [], spacing: null, point_rest: null, zone_rest: null, pattern: 'Alternate sides', pattern_source: 'a leaflet',
    every_days: null, cautions: [],
  },
]

export interface FakeOptions {
  now?: string
  zone?: string
  people?: PersonData[]
  orders?: OrderData[]
  writable?: boolean
  /** The lock; open and protected when left out. */
  guard?: GuardOptions
}

export function person(over: Partial<PersonData> = {}): PersonData {
  return {
    id: 'p1', name: 'Ottoline Farrow', born: '1951-03-09', born_words: '9 Mar 1951', age: 75, zone: 'Europe/London',
    allergies: [], self_injects: false, sizes: { height_cm: 168, waist_cm: 92, thigh_cm: null, upper_arm_cm: null }, weight_kg: null,
    zones: [], identifier: 'COAST 0417', note: null, ...over,
  }
}

export function order(over: Partial<OrderData> = {}): OrderData {
  return {
    id: 'o1', person: 'p1', medicine: 'insulin-glargine-100', medicine_name: 'insulin glargine 100 units/mL',
    dose: { value: '12', unit: 'units' }, dose_words: '12 units', times: ['08:00'], every_days: 1, times_words: 'daily at 08:00',
    from: '2026-01-01', to: null, prescriber: 'Dr Ines Calloway', note: null, state: 'in_force', cautions: [], ...over, terms: over.terms ?? {}, doubts: over.doubts ?? [],
  }
}

const week = ['Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat']
const year = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']
const two = (n: number) => String(n).padStart(2, '0')
function timeWords(w: Wall): string {
  const day = new Date(Date.UTC(w.year, w.month - 1, w.day)).getUTCDay()
  return `${week[day]} ${w.day} ${year[w.month - 1]} ${w.year}, ${two(w.hour)}:${two(w.minute)}`
}
function span(minutes: number): string {
  if (minutes < 60) return `${minutes} min`
  return minutes < 2880 ? `${Math.floor(minutes / 60)} h ${minutes % 60} min` : `${Math.floor(minutes / 1440)} days`
}
const step = (days: number | null) => (days === null || days >= 28 ? 5 : days >= 14 ? 4 : days >= 7 ? 3 : days >= 4 ? 2 : days >= 1 ? 1 : 0)

/** One stand-in store and the requests it has seen. */
export class FakeDoor {
  now: string
  people: PersonData[]
  orders: OrderData[]
  injections: InjectionData[] = []
  drafts = new Map<string, { body: string; opened: string }>()
  /** Every request, in order. */
  seen: { op: string; args: unknown; unattended: boolean }[] = []
  /** Refusals to give instead of an answer, once each. */
  refuse: { op: Op; error: Say }[] = []
  writable: boolean
  margin = 2
  backupFault: string | null = null
  /** How far the copy in the making will be said to be, look by look; `null` when there is none. */
  copying: number[] | null = null
  backups: BackupListData = { folder: '/usual', usual: true, backups: [], fault: null }
  /** What `journal_verify` answers. */
  journal: JournalData = { entries: 2, last_hash: 'ab'.repeat(32), broken: null, words: 'All 2 entries are as they were made.' }
  /** A check that does not fit; set by the test. */
  wrong: BeforeCheck['what'] | null = null
  /** How to give it; set by the test. */
  technique: TechniqueData = technique()
  /** What `plan` and `room` answer; set by the test. */
  plan: PlanData = emptyPlan()
  room: RoomData = emptyRoom()
  /** What is due, what happened around injections, glucose, the handover. */
  readonly visit = new FakeVisit(this)
  /** Who may open it. */
  readonly guard: FakeGuard
  /** What opens a locked copy, by its name. */
  copySecrets = new Map<string, string>()
  /** Findings and skin checks. */
  readonly skin = new FakeSkin()
  /** Risk factors. */
  readonly chart = new FakeChart()
  readonly risk = new FakeRisk()

  constructor(options: FakeOptions = {}) {
    this.now = options.now ?? '2026-06-03T08:00:00+01:00'
    this.people = options.people ?? [person()]
    this.orders = options.orders ?? [order()]
    this.writable = options.writable ?? true
    this.guard = new FakeGuard(options.guard ?? {}, no)
  }

  readonly transport: Transport = async (line) => {
    const { op, args, unattended = false } = JSON.parse(line) as { op: Op; args: never; unattended?: boolean }
    this.seen.push({ op, args, unattended })
    try {
      const refusal = this.refuse.findIndex((r) => r.op === op)
      if (refusal >= 0) throw this.refuse.splice(refusal, 1)[0]!.error
      this.guard.admit(op)
      const answers = { ...this.#answers, ...this.guard.answers } as unknown as Record<string, (args: never) => unknown>
      const answer = answers[op] ?? no('unknown_op', op)
      return JSON.stringify({ ok: { op, data: answer(args) } })
    } catch (error) {
      return JSON.stringify({ error })
    }
  }

  count(op: Op): number {
    return this.seen.filter((s) => s.op === op).length
  }

  place(site: SiteWire): { site: SiteWire; words: string; words_patient: string } {
    const point = site.across_cm != null && site.up_cm != null ? { across_cm: site.across_cm, up_cm: site.up_cm } : null
    const quadrant = point ? quadrantAt(site.zone, point) : site.quadrant!
    const side = (at: XY) => (at.across_cm < 0 ? 'right' : 'left')
    const tail = (whose: string) =>
      point ? `: ${Math.abs(point.across_cm)} cm to ${whose} ${side(point)} of the landmark, ${Math.abs(point.up_cm)} cm ${point.up_cm < 0 ? 'below' : 'above'} it` : ''
    const name = quadrantName(site.zone, quadrant)
    return {
      site: { zone: site.zone, quadrant, across_cm: point?.across_cm ?? null, up_cm: point?.up_cm ?? null },
      words: name + tail('the person’s'),
      words_patient: name + tail('your'),
    }
  }

  /** Puts an injection into the record, as if it had been recorded. */
  add(over: Partial<InjectionRecord> & { given_at: string; site: SiteWire }): InjectionData {
    const ord = this.orders.find((o) => o.id === (over.order ?? this.orders[0]!.id))!
    const dose = over.dose ?? ord.dose
    const entry: InjectionData = {
      id: over.id ?? `i${this.injections.length + 1}`, person: ord.person, order: ord.id, medicine: ord.medicine,
      medicine_name: ord.medicine_name, ...this.place(over.site), given_at: over.given_at,
      given_words: timeWords(wallOf(over.given_at)), day: over.given_at.slice(0, 10), recorded_at: this.now,
      corrected_by: null, late: false, clock_set: false, zone: 'Europe/London', dose, dose_words: `${dose.value} ${dose.unit}`,
      recorder: over.recorder ?? 'Nurse Imri Vane', recorder_confirmed: this.guard.ofRecorder(over.recorder ?? 'Nurse Imri Vane'), reason: over.reason ?? null, note: over.note ?? null,
      act: { self_given: null, outcome_words: null }, status: 'given', replaces: null, replaced_by: null,
    }
    this.injections.unshift(entry)
    return entry
  }

  #minutes(entry: InjectionData): number {
    return Math.round((Date.parse(this.now) - Date.parse(entry.given_at)) / 60_000)
  }
  #live(personId: string): InjectionData[] {
    return this.injections.filter((i) => i.person === personId && !i.replaced_by && i.status === 'given')
  }
  #days(personId: string, zone: string, quadrant: string, at = this.now): number | null {
    const here = this.#live(personId).filter(
      (i) => i.site.zone === zone && i.site.quadrant === quadrant && Date.parse(i.given_at) <= Date.parse(at),
    )
    return here.length ? Math.min(...here.map((i) => Math.floor((Date.parse(at) - Date.parse(i.given_at)) / 86_400_000))) : null
  }

  #check(args: { person: string; order: string; site: SiteWire }): SiteCheckData {
    const spot = this.place(args.site)
    const { across_cm: x, up_cm: y } = spot.site
    const reasons: ReasonData[] = []
    if (x != null && y != null) {
      const h = half(spot.site.zone)
      if (Math.abs(x) > h.w + 2 || Math.abs(y) > h.h + 2) no('site_off_zone', 'The point is far from this skin.')
      const near = this.#live(args.person)
        .filter((i) => i.site.zone === spot.site.zone && i.site.across_cm != null)
        .map((i) => ({ i, d: Math.hypot(x - i.site.across_cm!, y - i.site.up_cm!) }))
        .sort((a, b) => a.d - b.d)[0]
      if (spot.site.zone === 'abdomen' && Math.hypot(x, y) < 1)
        reasons.push({ rule: 'navel_margin', level: 'avoid', words: 'Too close to the navel.', measured: Math.hypot(x, y), measured_high: null, limit: 1, unit: 'cm', source: 'a published source', injections: [], findings: [] })
      reasons.unshift(...this.skin.reasons(spot.site.zone, { across_cm: x, up_cm: y }))
      if (near && near.d < 1)
        reasons.push({ rule: 'spacing', level: 'caution', words: 'Close to an earlier injection.', measured: near.d, measured_high: null, limit: 1, unit: 'cm', source: 'a published source', injections: [near.i.id], findings: [] })
    }
    const last = this.#live(args.person)[0]
    const minutes = last ? this.#minutes(last) : 0
    return {
      verdict: reasons[0]?.level ?? 'clear', reasons, ...spot, nearest_cm: null, assumed: [], leaving_lump: null,
      since_last: last ? { injection: last, minutes, words: span(minutes), early: minutes < 900, needs_reason: minutes < 360, usual_hours: 24 } : null,
    }
  }

  #patch(args: { person: string; zone: string }): PatchData {
    const { w, h } = half(args.zone)
    const box = (a: number, b: number, c: number, d: number): XY[] => [
      { across_cm: a, up_cm: b }, { across_cm: c, up_cm: b }, { across_cm: c, up_cm: d }, { across_cm: a, up_cm: d },
    ]
    const abdomen = args.zone === 'abdomen'
    return {
      zone: args.zone, words: zoneNames[args.zone]!, landmark: abdomen ? 'navel' : 'middle of the skin',
      edge_low: abdomen ? 'person’s right' : 'inner', edge_high: abdomen ? 'person’s left' : 'outer',
      grows_to_viewer_left: args.zone.startsWith('right'), bounds: [-w, -h, w, h], outline: box(-w, -h, w, h), area_cm2: 4 * w * h,
      quadrants: quadrantsOf(args.zone).map((quadrant, i) => ({
        quadrant, words: quadrantName(args.zone, quadrant), unplaced_28_days: 0,
        outline: box(i % 2 ? 0 : -w, i < 2 ? 0 : -h, i % 2 ? w : 0, i < 2 ? h : 0),
        days: this.#days(args.person, args.zone, quadrant), step: step(this.#days(args.person, args.zone, quadrant)),
      })),
      margins: abdomen ? [{ name: 'navel', line: [{ across_cm: 0, up_cm: 0 }], radius_cm: this.margin, source: 'a published source' }] : [],
      sites: this.#live(args.person)
        .filter((i) => i.site.zone === args.zone && i.site.across_cm != null)
        .map((i) => {
          const days = Math.floor(this.#minutes(i) / 1440)
          return { injection: i.id, point: { across_cm: i.site.across_cm!, up_cm: i.site.up_cm! }, days, step: step(days), words: `${i.medicine_name}, ${days} days ago`, resting: days < 28 }
        }),
      assumed: abdomen ? [] : ['thigh girth'],
      findings: this.skin.onPatch(args.zone),
    }
  }

  #useMap(personId: string, at: string): UseMapData {
    return {
      at,
      zones: zones.map((zone) => {
        const quadrants = quadrantsOf(zone).map((quadrant) => {
          const days = this.#days(personId, zone, quadrant, at)
          return { quadrant, words: quadrantName(zone, quadrant), days, count_28_days: 0, step: step(days) }
        })
        const used = quadrants.map((q) => q.days).filter((d) => d !== null)
        return { zone, words: zoneNames[zone]!, days: used.length ? Math.min(...used) : null, count_28_days: 0, quadrants }
      }),
      ramp: ['today', '1 to 3 days', '4 to 6 days', '7 to 13 days', '14 to 27 days', '28 days or more, or not used'].map((words, i) => ({ step: i, words })),
      assumed: [],
      findings: this.skin.onBody(this.#drawing()),
    }
  }

  /** One cell for each injection with a point. */
  #useGrid(personId: string, only: string | null): UseGridData {
    const cell = (cm: number) => Math.floor(cm / 0.5) * 0.5 + 0.25
    return {
      at: this.now, cell_cm: 0.5, radius_cm: 1, half_life_days: 28, rules: null,
      zones: zones.filter((zone) => only === null || zone === only).map((zone) => ({
        zone, words: zoneNames[zone]!, cells: 100, unplaced: [],
        rows: this.#live(personId)
          .filter((i) => i.site.zone === zone && i.site.across_cm != null)
          .map((i) => {
            const days = Math.floor(this.#minutes(i) / 1440)
            return { first: { across_cm: cell(i.site.across_cm!), up_cm: cell(i.site.up_cm!) }, days: [days], step: [step(days)], load: [1] }
          }),
      })),
    }
  }

  /** Counts are real, everything that needs geometry is a placeholder. */
  measures(personId: string, from: string, to: string): MeasuresData {
    const live = this.#live(personId).filter((i) => i.day >= from && i.day <= to)
    const placed = live.filter((i) => i.site.across_cm != null).length
    const kept = placed ? { kept: placed, of: placed, share: 1, low: 0.5, high: 1, unknown: 0, worst: null } : null
    const none = { words: 'No injections in this period.', value: null }
    return {
      from, to, words: `${from} to ${to}`, injections: live.length, quadrant_only: live.length - placed,
      rules: { medicine: 'insulin-glargine-100', name: 'insulin glargine 100 units/mL', words: 'By the rules of insulin glargine 100 units/mL (the order in force).' },
      allowed: [{ zone: 'abdomen', words: 'Abdomen', area_cm2: 500 }],
      spacing: kept ? { words: 'All kept their spacing.', value: kept } : none,
      rest: kept ? { words: 'All went into rested skin.', value: kept } : none,
      skin_used: none, neighbours: [], sides: none, quadrants: none, longest_run: none, busiest: none, assumed: [],
    }
  }

  #drawing(): BodyDrawingData {
    const rect = (x: number, y: number, w: number, h: number) => `M${x} ${y}h${w}v${h}h${-w}Z`
    const quad = (zone: string, x: number, y: number, w: number, h: number, flip: boolean) =>
      quadrantsOf(zone).map((quadrant, i) => {
        const far = i % 2 === 1
        const left = x + (far !== flip ? w / 2 : 0)
        const top = y + (i < 2 ? 0 : h / 2)
        return { zone, quadrant, words: quadrantName(zone, quadrant), d: rect(left, top, w / 2, h / 2), label_x: left + w / 4, label_y: top + h / 4 }
      })
    const view = (name: 'front' | 'back', quadrants: DrawnView['quadrants']): DrawnView => ({
      view: name, width: 200, height: 400, silhouette: [{ name: 'body', d: 'M85 10h30v40h50v150h-20v180h-90V200H35V50h50Z' }],
      details: [], zones: [], quadrants,
      viewer_left: name === 'front' ? 'person’s right' : 'person’s left', viewer_right: name === 'front' ? 'person’s left' : 'person’s right',
    })
    return {
      outline: 1,
      views: [
        view('front', [...quad('abdomen', 70, 120, 60, 60, false), ...quad('right_thigh', 58, 215, 38, 80, true), ...quad('left_thigh', 104, 215, 38, 80, false)]),
        view('back', [...quad('left_arm', 38, 70, 24, 70, true), ...quad('right_arm', 138, 70, 24, 70, false), ...quad('left_buttock', 65, 165, 34, 40, true), ...quad('right_buttock', 101, 165, 34, 40, false)]),
      ],
    }
  }

  #resolve(local: string, zone: string) {
    const utc = Date.parse(`${local}:00Z`)
    // The instants whose wall time in the zone is the one typed: none, one or two.
    const found = Array.from({ length: 28 }, (_, i) => i - 14)
      .flatMap((h) => [h * 60, h * 60 + 30])
      .map((offset) => ({ offset, at: utc - offset * 60_000 }))
      .filter(({ offset, at }) => {
        const wall = wallIn(zone, at)
        return wall !== null && localText(wall) === local && Math.abs(offset) <= 840
      })
    const offer = ({ offset, at }: { offset: number; at: number }) => {
      const sign = offset < 0 ? '-' : '+'
      const wall = wallIn(zone, at)!
      const text = `${sign}${two(Math.floor(Math.abs(offset) / 60))}:${two(Math.abs(offset) % 60)}`
      return { at: `${localText(wall)}:00${text}`, words: timeWords(wall) + (found.length > 1 ? ` (${text})` : '') }
    }
    const offsetAt = (at: number) => Math.round((Date.parse(`${localText(wallIn(zone, at)!)}:00Z`) - at) / 60_000)
    // In a gap: the typed time by the offset after it, and by the one before it.
    const around = [86_400_000, -86_400_000]
      .map((away) => utc - offsetAt(utc + away) * 60_000)
      .map((at) => ({ at, offset: offsetAt(at) }))
    const offers = (found.length ? found.sort((a, b) => a.at - b.at) : around).map(offer)
    const minutes = Math.round((Date.parse(this.now) - Date.parse(offers[0]!.at)) / 60_000)
    return {
      kind: found.length === 1 ? 'one' : found.length ? 'twice' : 'never', offers,
      ago: minutes === 0 ? 'now' : minutes > 0 ? `${span(minutes)} ago` : `in ${span(-minutes)}`, future: minutes < 0,
    }
  }

  /** The copy in the making as the door tells of it; made once there is nothing more to say. */
  copyState() {
    const percent = this.copying?.shift() ?? null
    const made = percent === null && this.copying !== null ? this.copy() : null
    if (percent === null) this.copying = null
    return { percent, made, fault: null, stopped: false }
  }

  copy() {
    const made = { name: `c${this.backups.backups.length + 1}`, made_words: '3 Jun 2026, 08:00', bytes: 4096, protected: true, locked: false, entries: 2 }
    this.backups = { ...this.backups, backups: [made, ...this.backups.backups] }
    return made
  }

  readonly #answers = {
    ...this.visit.answers,
    ...this.chart.answers,
    ...this.risk.answers,
    ...this.skin.answers,
    status: () => ({ version: '0.1.0', writable: this.writable, demo: this.guard.demo, protected: this.guard.protected, clock_set: false, now: this.now, tz_version: 'test', clock_behind: false, backup_fault: this.backupFault, people: this.people.length }),
    medicine_list: () => ({ medicines }),
    journal_verify: () => this.journal,
    backup_list: () => this.backups,
    backup_start: () => {
      this.copying ??= [20]
      return this.copyState()
    },
    backup_state: () => this.copyState(),
    backup_stop: () => {
      this.copying = null
      return { percent: null, made: null, fault: null, stopped: true }
    },
    backup_make: () => this.copy(),
    backup_folder: (a: { folder?: string | null }) => (this.backups = { ...this.backups, folder: a.folder ?? '/usual', usual: a.folder == null }),
    backup_restore: (a: { name: string; passphrase?: string | null }) => {
      const secret = this.copySecrets.get(a.name)
      if (secret !== undefined && a.passphrase == null) no('locked', 'This copy is locked.')
      if (secret !== undefined && a.passphrase !== secret) no('wrong_secret', 'That is not it. Look at it again.')
      return { kept: 'fallow-set-aside.db', words: `The copy ${a.name} is the record now.` }
    },
    practice_get: () => this.#practice(),
    practice_set: (a: { navel_margin_cm: number }) => ((this.margin = a.navel_margin_cm), this.#practice()),
    person_add: (a: PersonData) => {
      const added = person({ ...a, id: a.id ?? 'new' })
      this.people.push(added)
      return { id: added.id, person: added }
    },
    person_list: (a: { search?: string | null }) => ({
      people: this.people
        .filter((p) => p.name.toLowerCase().includes((a.search ?? '').toLowerCase()))
        .map((p) => {
          const last = this.#live(p.id)[0] ?? null
          return { person: p, orders: this.orders.filter((o) => o.person === p.id && o.state === 'in_force'), last, last_ago: last ? span(this.#minutes(last)) : null }
        }),
    }),
    person_get: (a: { person: string }) => {
      const p = this.people.find((x) => x.id === a.person) ?? no('unknown_person', 'No such person.')
      const last = this.#live(p.id)[0] ?? null
      return {
        person: p, orders: this.orders.filter((o) => o.person === p.id), assumed: ['thigh girth'], last,
        last_ago: last ? span(this.#minutes(last)) : null, count_28_days: this.#live(p.id).length,
        recorders: [...new Set(this.#live(p.id).map((i) => i.recorder))],
      }
    },
    order_add: (a: Partial<OrderData>) => {
      const added = order(a)
      this.orders.push(added)
      return { id: added.id, order: added }
    },
    site_check: (a: SiteCheck) => this.#check(a),
    site_suggest: (a: { person: string; order: string }) => ({
      sites: [5, 4, 3, 2, 1].map((n) => {
        const check = this.#check({ ...a, site: { zone: 'abdomen', quadrant: null, across_cm: n + 2.5, up_cm: -3 } })
        return { site: check.site, words: check.words, words_patient: check.words_patient, reasons: check.reasons, verdict: check.verdict, nearest_cm: 2 }
      }),
      pattern_words: 'This week: left lower quadrant.', note: null, leaving_lump: null,
    }),
    site_at: (a: { view: string; x: number; y: number }) => {
      const view = this.#drawing().views.find((v) => v.view === a.view)!
      const hit = view.quadrants.map((q) => ({ q, d: Math.hypot(q.label_x - a.x, q.label_y - a.y) })).sort((m, n) => m.d - n.d)[0]!
      if (hit.d > 30) return { words: null, zone: null, place: null, near: [] }
      return { words: hit.q.words, zone: hit.q.zone, place: this.place({ zone: hit.q.zone, quadrant: hit.q.quadrant, across_cm: null, up_cm: null }), near: [] }
    },
    injection_record: (a: InjectionRecord) => {
      const before = this.injections.find((i) => i.id === a.id)
      if (before) return before
      const check = this.#check(a)
      const told = (code: string) => Boolean(a.reason) && (a.acknowledges ?? [code]).includes(code)
      if (check.verdict === 'avoid' && !told('avoid_needs_reason')) no('avoid_needs_reason', 'Say why.', { reasons: check.reasons })
      if (check.since_last?.needs_reason && !told('second_dose'))
        no('second_dose', 'The same medicine was given a short while ago.', { earlier: check.since_last.injection, ago: check.since_last.words })
      return this.add(a)
    },
    injection_correct: (a: { id: string; replaces: string; reason: string; entered_in_error: boolean; site?: SiteWire | null; recorder?: string | null }) => {
      const wrong = this.injections.find((i) => i.id === a.replaces)!
      wrong.replaced_by = a.id
      const entry: InjectionData = { ...wrong, ...(a.site ? this.place(a.site) : {}), id: a.id, replaces: wrong.id, replaced_by: null, corrected_by: a.recorder ?? null, reason: a.reason, status: a.entered_in_error ? 'entered_in_error' : 'given' }
      this.injections.unshift(entry)
      return entry
    },
    injection_list: (a: { person: string; limit?: number | null }) => ({ injections: this.injections.filter((i) => i.person === a.person).slice(0, a.limit ?? 1000), more: false }),
    use_map: (a: { person: string; at?: string | null }) => this.#useMap(a.person, a.at ?? this.now),
    use_grid: (a: { person: string; zone?: string | null }) => this.#useGrid(a.person, a.zone ?? null),
    measures: (a: { person: string; from: string; to: string }) => this.measures(a.person, a.from, a.to),
    technique: () => this.technique,
    before: (a: { order: string; said?: BeforeSaid }) => page(this.orders.find((o) => o.id === a.order)!, a.said ?? {}, this.wrong),
    plan: () => this.plan,
    room: () => this.room,
    body_drawing: () => this.#drawing(),
    patch: (a: { person: string; zone: string }) => this.#patch(a),
    time_resolve: (a: { local: string; zone: string }) => this.#resolve(a.local, a.zone),
    draft_save: (a: { key: string; body: string }) => {
      const opened = this.drafts.get(a.key)?.opened ?? this.now
      this.drafts.set(a.key, { body: a.body, opened })
      return { key: a.key, body: a.body, opened_at: opened }
    },
    draft_get: (a: { key: string }) => ({ key: a.key, body: this.drafts.get(a.key)?.body ?? null, opened_at: this.drafts.get(a.key)?.opened ?? null }),
    draft_drop: (a: { key: string }) => (this.drafts.delete(a.key), { key: a.key, body: null, opened_at: null }),
  }

  #practice() {
    return { navel_margin_cm: this.margin, navel_margins: [1, 2, 2.5, 5].map((value) => ({ value, unit: 'cm', source: 'a published source' })) }
  }
}
