/**
 * What holds for the whole sitting: whether the record is open, what this copy is, who is recording.
 *
 * Once the record is locked nothing that was read from it is left here. Not here: when to look whether it still is open
 * ({@link ./presence}), and what the passphrase must be ({@link ./secrets.svelte}).
 */
import { ask, askUnattended, asRefusal, whenShut, type Refusal } from '../core'
import type { BodyDrawingData, ProtectionData, StatusData } from '../wire'
import { flushDrafts } from './draft'
import { said } from './said'

export type Standing = ProtectionData['standing']
/** What comes before the record itself: its recovery code once it was begun, a new passphrase once the code opened it. */
export type Step = 'code' | 'passphrase'

/** From so many seconds on it is said that the record will lock. */
const warned = 30

/** What else is to be forgotten when the record is locked. */
const forgetting: (() => void)[] = []
export function whenForgotten(forget: () => void): void {
  forgetting.push(forget)
}

class Session {
  status = $state<StatusData | null>(null)
  fault = $state<Refusal | null>(null)
  /** The last recorder of this sitting; offered to the next entry, always in sight. */
  recorder = $state('')
  protection = $state.raw<ProtectionData | null>(null)
  standing = $state<Standing | null>(null)
  step = $state<Step | null>(null)
  /** Why it could not be locked when somebody asked for it. */
  lockFault = $state.raw<Refusal | null>(null)
  /** The device's clock, as last looked at. */
  now = $state(Date.now())
  #locksAt = $state<number | null>(null)
  #triesAt = $state(0)

  readonly writable = $derived(this.status?.writable ?? false)
  readonly lockable = $derived(this.status?.protected ?? false)
  /** Seconds until it locks, where that is soon. */
  readonly locksIn = $derived.by(() => {
    if (this.#locksAt === null || this.standing !== 'open') return null
    const left = Math.max(Math.ceil((this.#locksAt - this.now) / 1000), 0)
    return left <= warned ? left : null
  })
  /** Seconds until a passphrase may be tried again. */
  readonly wait = $derived(Math.max(Math.ceil((this.#triesAt - this.now) / 1000), 0))

  /** Questions that were sent, and the newest whose answer was taken: a late answer tells of a lock that is gone. */
  #sent = 0
  #taken = 0
  #acting = 0

  constructor() {
    whenShut((refusal) => {
      this.#shut(refusal.code === 'locked' ? 'locked' : 'not_begun')
      void this.look()
    })
  }

  async open(): Promise<void> {
    try {
      await this.#protection(ask)
      if (this.standing === 'locked' || this.standing === 'not_begun') return
      this.status = await ask('status', {})
      this.fault = null
    } catch (fault) {
      const refusal = asRefusal(fault)
      if (refusal.code !== 'locked' && refusal.code !== 'not_begun') this.fault = refusal
    }
  }

  /** Asks how it stands; `asking` says whether somebody is there. */
  async look(asking = askUnattended): Promise<void> {
    if (this.#acting > 0) return
    try {
      const was = this.standing
      await this.#protection(asking)
      // Unlocked or begun from another window of this program.
      if (this.standing === 'open' && (was === 'locked' || was === 'not_begun') && this.step === null) await this.open()
    } catch {
      // The next look, or whatever is asked next, tells it.
    }
  }

  /** Somebody is there: it will not lock for a while. */
  stay(): Promise<void> {
    return this.look(ask)
  }

  /** Runs what opens or makes the record; nothing looks at it meanwhile. `step` comes before the record is shown. */
  async unlock(act: () => Promise<ProtectionData>, step: Step | null): Promise<void> {
    this.#acting++
    try {
      const turn = ++this.#sent
      const opened = await act()
      this.step = step
      this.#take(opened, turn)
    } finally {
      this.#acting--
    }
  }

  /** Locks the record; what was being typed is kept at the door first. */
  async lock(): Promise<void> {
    this.lockFault = null
    try {
      await flushDrafts()
      const turn = ++this.#sent
      this.#take(await ask('lock', {}), turn)
    } catch (fault) {
      const refusal = asRefusal(fault)
      if (refusal.code !== 'locked') this.lockFault = refusal
    }
  }

  /** What an answer said of the lock. */
  told(data: ProtectionData): void {
    this.#take(data, ++this.#sent)
  }

  async #protection(asking: typeof ask): Promise<void> {
    const turn = ++this.#sent
    this.#take(await asking('protection', {}), turn)
  }

  #take(data: ProtectionData, turn: number): void {
    if (turn < this.#taken) return
    this.#taken = turn
    this.protection = data
    this.now = Date.now()
    this.#locksAt = data.locks_in_s === null ? null : this.now + data.locks_in_s * 1000
    this.#triesAt = this.now + data.wait_s * 1000
    if (data.standing === 'locked' || data.standing === 'not_begun') this.#shut(data.standing)
    else this.standing = data.standing
  }

  /** Nothing of the record stays on the screen or in memory. */
  #shut(standing: Standing): void {
    this.standing = standing
    this.status = null
    this.fault = null
    this.lockFault = null
    this.step = null
    this.recorder = ''
    this.#locksAt = null
    sitting++
    drawings.clear()
    said.take()
    for (const forget of forgetting) forget()
  }
}

/** Drawings by person: the same for a sitting, and the largest answer the door gives. */
const drawings = new Map<string, BodyDrawingData>()
/** Counts how often the record was locked: a drawing that comes after that is not kept. */
let sitting = 0

export const session = new Session()

export async function drawingOf(person: string): Promise<BodyDrawingData> {
  const known = drawings.get(person)
  if (known) return known
  const asked = sitting
  const drawing = await ask('body_drawing', { person })
  if (asked === sitting) drawings.set(person, drawing)
  return drawing
}

/** A change of measures changes the drawing. */
export function forgetDrawing(person: string): void {
  drawings.delete(person)
}
