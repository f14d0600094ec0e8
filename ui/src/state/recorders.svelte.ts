/**
 * Which names have a PIN on this device, and whose was given since the record was unlocked.
 *
 * A PIN never stands in the way of an entry. Not here: the passphrase ({@link ./secrets.svelte}).
 */
import { ask, asRefusal, type Refusal } from '../core'
import type { RecorderListData } from '../wire'
import { whenForgotten } from './session.svelte'

export type PinStanding = 'none' | 'open' | 'confirmed'

class Recorders {
  data = $state.raw<RecorderListData | null>(null)
  /** Counts how often the record was locked: an answer that comes after that is not kept. */
  #sitting = 0

  /** A list that cannot be had asks for no PIN: entries are made all the same, and say what was given. */
  load(): Promise<Refusal | null> {
    return this.#take(() => ask('recorder_list', {}))
  }

  standing(name: string): PinStanding {
    const known = this.data?.recorders.find((r) => r.name === name.trim())
    return !known ? 'none' : known.confirmed ? 'confirmed' : 'open'
  }

  /** Gives the PIN of a name; what is wrong with it, or `null`. */
  confirm(name: string, pin: string): Promise<Refusal | null> {
    return this.#take(() => ask('recorder_confirm', { name: name.trim(), pin }))
  }

  /** Gives a name a PIN, another one, or none any more. */
  set(name: string, pin: string | null, fresh: string | null): Promise<Refusal | null> {
    return this.#take(() => ask('recorder_set', { name: name.trim(), pin, new: fresh }))
  }

  forget(): void {
    this.#sitting++
    this.data = null
  }

  async #take(asking: () => Promise<RecorderListData>): Promise<Refusal | null> {
    const sitting = this.#sitting
    try {
      const data = await asking()
      if (sitting === this.#sitting) this.data = data
      return null
    } catch (fault) {
      return asRefusal(fault)
    }
  }
}

export const recorders = new Recorders()
whenForgotten(() => recorders.forget())
