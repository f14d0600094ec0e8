/**
 * The map of a past day: a day chosen by slider, step or play, and the use of the skin as of then.
 *
 * At most one question is on its way; a day chosen meanwhile is asked next, days skipped over are never asked.
 * Not here: what a day looked like, which the door says.
 */
import { ask, askUnattended, asRefusal, type Refusal } from '../core'
import type { UseMapData } from '../wire'
import { earlier } from './time'

/** How far back the slider goes; days. */
export const reach = 182
/** Time between two days while playing; milliseconds. */
export const beat = 250
/** With reduced motion the map changes seldom, a week at a time. */
export const calmBeat = 1500
const minutesADay = 1440

/** What a key does to the slider, in days towards now; `null` for keys that are not ours. */
export function keyStep(key: string): number | 'first' | 'last' | null {
  const steps: Record<string, number | 'first' | 'last'> = {
    ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -7, PageUp: 7, Home: 'first', End: 'last',
  }
  return steps[key] ?? null
}

const within = (ago: number): number => Math.min(Math.max(Math.round(ago), 0), reach)

export class Replay {
  /** Days before now, 0 to {@link reach}. */
  ago = $state(0)
  playing = $state(false)
  /** The newest answer; `shown` says of which day. */
  map = $state.raw<UseMapData | null>(null)
  shown = $state(0)
  fault = $state.raw<Refusal | null>(null)

  readonly person: string
  readonly #calm: () => boolean
  #now: string | null = null
  #asking = false
  #timer: ReturnType<typeof setTimeout> | null = null

  constructor(person: string, calm: () => boolean) {
    this.person = person
    this.#calm = calm
  }

  /** The day asked for is not on the map yet. */
  readonly waiting = $derived(this.map !== null && this.shown !== this.ago)

  /** Opens with the map of so many days before now. */
  async open(ago = this.ago): Promise<void> {
    this.ago = within(ago)
    this.fault = null
    await this.#catchUp(true)
  }

  /** Goes to so many days before now, and stops playing. */
  to(ago: number): void {
    this.pause()
    this.#set(ago)
  }

  /** Days forward (towards now) or, below 0, back. */
  step(days: number): void {
    this.to(this.ago - days)
  }

  key(key: string): boolean {
    const step = keyStep(key)
    if (step === null) return false
    if (step === 'first') this.to(reach)
    else if (step === 'last') this.to(0)
    else this.step(step)
    return true
  }

  play(): void {
    if (this.playing) return
    // From the end it begins again at the start.
    if (this.ago === 0) this.#set(reach)
    this.playing = true
    this.#tick()
  }

  pause(): void {
    this.playing = false
    if (this.#timer) clearTimeout(this.#timer)
    this.#timer = null
  }

  #tick(): void {
    const calm = this.#calm()
    this.#timer = setTimeout(() => {
      if (!this.playing) return
      // A slow answer holds the days back rather than skipping them.
      if (!this.#asking && !this.fault) this.#set(this.ago - (calm ? 7 : 1), askUnattended)
      if (this.ago === 0 || this.fault) this.pause()
      else this.#tick()
    }, calm ? calmBeat : beat)
  }

  #set(ago: number, asking = ask): void {
    if (!Number.isFinite(ago)) return
    this.ago = within(ago)
    void this.#catchUp(false, asking)
  }

  async #catchUp(force: boolean, asking = ask): Promise<void> {
    if (this.#asking) return
    this.#asking = true
    try {
      while (force || this.shown !== this.ago) {
        force = false
        const ago = this.ago
        // Today is asked without a time, so that it is this moment; earlier days are read at the same clock time.
        const at = ago === 0 || this.#now === null ? null : earlier(this.#now, ago * minutesADay)
        const map = await asking('use_map', { person: this.person, at })
        if (at === null) this.#now = map.at
        this.map = map
        this.shown = at === null ? 0 : ago
      }
      this.fault = null
    } catch (fault) {
      this.fault = asRefusal(fault)
    } finally {
      this.#asking = false
    }
  }
}

/** Whether this person's device asks for little motion. */
export const wantsCalm = (): boolean =>
  typeof matchMedia === 'function' && matchMedia('(prefers-reduced-motion: reduce)').matches
