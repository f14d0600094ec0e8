/**
 * When an injection was given: now, some minutes ago, or a time that is typed; always echoed in words.
 *
 * The door says what a time means. A time that did not exist or happened twice is asked about, never guessed.
 */
import { ask, asRefusal, type Refusal } from '../core'
import type { TimeOffer } from '../wire'
import { settings } from './settings.svelte'
import { clockShown, earlier, localText, readTyped, wallIn, wallOf, type Wall } from './time'

export type WhenMode = 'now' | 'ago' | 'typed'
export type WhenProblem = 'day' | 'clock' | 'never' | 'twice' | 'future'

/** What a draft keeps of it. */
export interface WhenKept {
  mode: WhenMode
  minutes: number
  day: string
  month: string
  clock: string
  picked: string | null
}

export class When {
  mode = $state<WhenMode>('now')
  minutes = $state(0)
  day = $state('')
  month = $state('')
  clock = $state('')
  /** The instants on offer where a typed time is none or two. */
  offers = $state<TimeOffer[]>([])
  /** The one of {@link offers} that was picked. */
  picked = $state<string | null>(null)
  problem = $state<WhenProblem | null>(null)
  /** The instant in words, and how long ago; `null` while it is not known. */
  words = $state<string | null>(null)
  ago = $state<string | null>(null)
  /** The instant for the door; `null` while it is not known. */
  at = $state<string | null>(null)
  fault = $state<Refusal | null>(null)

  #zone: () => string
  #turn = 0

  constructor(zone: () => string) {
    this.#zone = zone
  }

  now(): Promise<void> {
    this.mode = 'now'
    this.minutes = 0
    return this.refresh()
  }

  back(minutes: number): Promise<void> {
    if (this.mode === 'now') this.minutes = 0
    this.minutes = (this.mode === 'typed' ? 0 : this.minutes) + minutes
    this.mode = 'ago'
    return this.refresh()
  }

  /** Opens the three fields, filled with the time shown so far. */
  async type(): Promise<void> {
    if (this.mode === 'typed') return
    if (this.at === null) await this.refresh()
    const wall = this.at ? this.#wall(this.at) : null
    this.mode = 'typed'
    if (wall) {
      this.day = String(wall.day)
      this.month = String(wall.month)
      this.clock = clockShown(wall, settings.units.clock)
    }
    return this.refresh()
  }

  /** A field was changed. */
  typed(): Promise<void> {
    this.picked = null
    return this.refresh()
  }

  pick(offer: TimeOffer): void {
    this.picked = offer.at
    this.#settle(offer, null)
  }

  /** Puts an instant into the fields, as a time to be confirmed by the one who reads it. */
  take(rfc3339: string): Promise<void> {
    const wall = this.#wall(rfc3339)
    this.mode = 'typed'
    this.day = String(wall.day)
    this.month = String(wall.month)
    this.clock = clockShown(wall, settings.units.clock)
    this.picked = rfc3339
    return this.refresh()
  }

  kept(): WhenKept {
    const { mode, minutes, day, month, clock, picked } = this
    return { mode, minutes, day, month, clock, picked }
  }

  restore(kept: WhenKept): Promise<void> {
    Object.assign(this, kept)
    return this.refresh()
  }

  /** Works the instant out again; the clock has gone on since. */
  async refresh(asking = ask): Promise<void> {
    const turn = ++this.#turn
    try {
      const { now } = await asking('status', {})
      if (turn !== this.#turn) return
      await (this.mode === 'typed' ? this.#resolveTyped(now, turn) : this.#resolveStep(now, turn, asking))
      if (turn === this.#turn) this.fault = null
    } catch (fault) {
      if (turn === this.#turn) this.fault = asRefusal(fault)
    }
  }

  async #resolveStep(now: string, turn: number, asking: typeof ask): Promise<void> {
    const at = earlier(now, this.mode === 'now' ? 0 : this.minutes)
    const wall = this.#wall(at)
    const meant = await asking('time_resolve', { local: localText(wall), zone: this.#zone() })
    if (turn !== this.#turn) return
    const minute = Math.floor(Date.parse(at) / 60_000)
    const offer = meant.offers.find((o) => Math.floor(Date.parse(o.at) / 60_000) === minute)
    this.offers = []
    this.problem = null
    // Where the two clocks disagree about the zone, the instant is the truth and has no words of its own.
    this.at = offer?.at ?? at
    this.words = offer?.words ?? at
    this.ago = meant.ago
  }

  async #resolveTyped(now: string, turn: number): Promise<void> {
    const typed = { day: this.day, month: this.month, clock: this.clock }
    const read = readTyped(typed, this.#wall(now), settings.units.clock)
    if ('problem' in read) return this.#fail(read.problem, [])
    const meant = await ask('time_resolve', { local: read.local, zone: this.#zone() })
    if (turn !== this.#turn) return
    const picked = meant.offers.find((o) => Date.parse(o.at) === Date.parse(this.picked ?? ''))
    if (meant.future) return this.#fail('future', [])
    if (meant.kind !== 'one') {
      this.#fail(meant.kind, meant.offers)
      if (picked) this.#settle(picked, meant.ago)
      return
    }
    this.offers = []
    this.problem = null
    const only = meant.offers[0]
    if (only) this.#settle(only, meant.ago)
  }

  #settle(offer: TimeOffer, ago: string | null): void {
    this.problem = null
    this.at = offer.at
    this.words = offer.words
    this.ago = ago
  }

  #fail(problem: WhenProblem, offers: TimeOffer[]): void {
    this.problem = problem
    this.offers = offers
    this.at = null
    this.words = null
    this.ago = null
  }

  #wall(rfc3339: string): Wall {
    return wallIn(this.#zone(), Date.parse(rfc3339)) ?? wallOf(rfc3339)
  }
}
