/** Answers about the visit for unit tests of the screens; placeholders, only their shapes are the door's. */
import type {
  AsNeeded,
  DueData,
  DueSlot,
  EventCorrect,
  EventData,
  EventList,
  EventRecord,
  EventWithdraw,
  GlucoseCheck,
  GlucoseData,
  GlucoseJudged,
  HandoverData,
  LowSteps,
  OrderChange,
  OrderData,
  PersonData,
} from '../wire'

/** What the visit needs of the stand-in store. */
interface Store {
  now: string
  people: PersonData[]
  orders: OrderData[]
}

export const notLow = (over: Partial<LowSteps> = {}): LowSteps => ({
  step: 'not_low', until: null, seconds_left: 0, rounds: 0, words: 'No low value is recorded.', doubts: [], source: 'a published source', ...over,
})

export const glucose = (over: Partial<GlucoseData> = {}): GlucoseData => ({
  last: null, last_ago: null, judged: null, steps: notLow(), limit_words: 'Low is below 4.0 mmol/L (a published source).', unit: 'mmol/L', ...over,
})

export const emptyHandover = (): HandoverData => ({
  words: 'Wed 3 Jun, 00:00 to Wed 3 Jun, 08:00', summary: '0 given, 0 not given, 0 without a record, 0 concerns.', concerns: [], not_given: [], open: [], given: [],
})

export class FakeVisit {
  /** What `due` answers, for everybody. */
  slots: DueSlot[] = []
  asNeeded: AsNeeded[] = []
  nextWords: string | null = null
  events: EventData[] = []
  glucose: GlucoseData = glucose()
  /** The question `glucose_check` asks about a number, by the value. */
  questions: Record<string, string> = {}
  handover: HandoverData = emptyHandover()
  #store: Store

  constructor(store: Store) {
    this.#store = store
  }

  /** An injection of the day of the first order, as the door would tell of it. */
  slot(over: Partial<DueSlot> = {}): DueSlot {
    const order = over.order ?? this.#store.orders[0]!
    const person = this.#store.people.find((p) => p.id === order.person)!
    const made: DueSlot = {
      person: person.id, person_name: person.name, person_note: person.note, order, at: '2026-06-03T08:00:00+01:00', time: '08:00',
      standing: 'due', words: 'due at 08:00', injection: null, not_given: null, last_words: 'Last 23 h ago: 12 units by Nurse Imri Vane', ...over,
    }
    this.slots.push(made)
    return made
  }

  event(over: Partial<EventData> = {}): EventData {
    const made: EventData = {
      id: `e${this.events.length + 1}`, person: 'p1', order: 'o1', about: 'not_given', at: this.#store.now, at_words: 'Wed 3 Jun 2026, 08:00',
      recorded_at: this.#store.now, value: null, unit: null, code: 'declined', words: 'Not given: declined.', note: null, recorder: 'Nurse Imri Vane', reason: null,
      status: 'final', replaces: null, replaced_by: null, ...over,
    }
    this.events.unshift(made)
    return made
  }

  #due(person: string | null): DueData {
    const of = <T extends { person: string }>(list: T[]) => list.filter((one) => person === null || one.person === person)
    return { at: this.#store.now, words: 'Wed 3 Jun 2026, 08:00', slots: of(this.slots), as_needed: of(this.asNeeded), next_words: person === null ? null : this.nextWords }
  }

  #record(a: EventRecord): EventData {
    const known = this.events.find((e) => e.id === a.id)
    if (known) return known
    const words = a.about === 'not_given' ? `Not given: ${a.code}.` : `${a.about} ${[a.value, a.unit, a.code].filter(Boolean).join(' ')}.`
    return this.event({
      id: a.id, person: a.person, order: a.order ?? null, about: a.about as EventData['about'], at: a.at, value: a.value ?? null,
      unit: a.unit ?? null, code: a.code ?? null, note: a.note ?? null, recorder: a.recorder, words,
    })
  }

  #replace(a: EventWithdraw | EventCorrect, now: Partial<EventData>): EventData {
    const old = this.events.find((e) => e.id === a.replaces)!
    this.events = this.events.map((e) => (e === old ? { ...old, replaced_by: a.id } : e))
    return this.event({ ...old, ...now, id: a.id, replaces: old.id, recorder: a.recorder, reason: a.reason })
  }

  #judge(a: GlucoseCheck): GlucoseJudged {
    return {
      standing: 'in_range', low: false, shown: `${a.value} ${a.unit}`, words: `${a.value} ${a.unit} is within the limits.`,
      question: this.questions[a.value] ?? null,
    }
  }

  readonly answers = {
    due: (a: { person?: string | null }) => this.#due(a.person ?? null),
    handover: () => this.handover,
    event_record: (a: EventRecord) => this.#record(a),
    event_withdraw: (a: EventWithdraw) => this.#replace(a, { status: 'entered_in_error' }),
    event_correct: (a: EventCorrect) => {
      const kept = (key: 'value' | 'unit' | 'at' | 'code' | 'note') => (a[key] == null ? {} : { [key]: a[key] })
      const now = { ...kept('value'), ...kept('unit'), ...kept('at'), ...kept('code'), ...kept('note') }
      return this.#replace(a, { ...now, words: `Now ${Object.values(now).join(' ')}.` })
    },
    event_list: (a: EventList) => ({
      events: this.events.filter((e) => e.person === a.person && (a.superseded || (e.replaced_by === null && e.status === 'final'))),
    }),
    glucose_check: (a: GlucoseCheck) => this.#judge(a),
    glucose_state: () => this.glucose,
    order_change: (a: OrderChange) => {
      const orders = this.#store.orders
      const at = orders.findIndex((o) => o.id === a.order)
      const changed: OrderData = {
        ...orders[at]!, dose: a.to.dose, dose_words: `${a.to.dose.value} ${a.to.dose.unit}`, times: a.to.times ?? [],
        every_days: a.to.every_days ?? 1, from: a.to.from, to: a.to.to ?? null, prescriber: a.to.prescriber, note: a.to.note ?? null, terms: a.to.terms ?? {},
      }
      orders[at] = changed
      return { id: changed.id, order: changed }
    },
  }
}
