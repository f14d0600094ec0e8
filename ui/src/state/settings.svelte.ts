/**
 * The units and times chosen on this device, kept by the browser; until then those its language suggests.
 *
 * Not here: what the choices mean ({@link ./units}), or any setting of the practice, which the record keeps.
 */
import { tellTimesBy } from '../core'
import { ofLanguage, readKept, type Units } from './units'

const key = 'fallow.units'

function kept(): string | null {
  try {
    return localStorage.getItem(key)
  } catch {
    return null
  }
}

class Settings {
  /** What the language of the device suggests. */
  readonly device: Units = ofLanguage(navigator.language ?? '')
  chosen = $state.raw<Partial<Units>>(readKept(kept()))
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
    try {
      if (Object.keys(chosen).length > 0) localStorage.setItem(key, JSON.stringify(chosen))
      else localStorage.removeItem(key)
      this.lost = false
    } catch {
      this.lost = true
    }
  }
}

export const settings = new Settings()
