/**
 * The units and times chosen on this device, kept by the browser; until then those its language suggests.
 *
 * Not here: what the choices mean ({@link ./units}), or any setting of the practice, which the record keeps.
 */
import { tellTimesBy } from '../core'
import { keep, kept } from './kept'
import { ofLanguage, readKept, type Units } from './units'

const key = 'fallow.units'

class Settings {
  /** What the language of the device suggests. */
  readonly device: Units = ofLanguage(navigator.language ?? '')
  chosen = $state.raw<Partial<Units>>(readKept(kept(key)))
  readonly units = $derived<Units>({ ...this.device, ...this.chosen })
  /** The browser refused to keep the last choice: it holds until the page is closed. */
  lost = $state(false)

  constructor() {
    tellTimesBy(this.units.clock)
  }

  choose<K extends keyof Units>(what: K, value: Units[K]): void {
    this.#take({ ...this.chosen, [what]: value })
  }

  /** Back to what the device suggests. */
  forget(): void {
    this.#take({})
  }

  #take(chosen: Partial<Units>): void {
    this.chosen = chosen
    tellTimesBy(this.units.clock)
    this.lost = !keep(key, Object.keys(chosen).length > 0 ? JSON.stringify(chosen) : null)
  }
}

export const settings = new Settings()
