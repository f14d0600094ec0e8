/**
 * The chart of one person: what is asked for, at which width and in which theme, and what is shown.
 *
 * An answer that was overtaken is dropped; a fault leaves the last good chart. Not here: any figure or word of it.
 */
import { ask, asRefusal, type Refusal } from '../core'
import type { ChartData, PersonDetail } from '../wire'
import { sameAsked, type Asked } from './chart-period'
import type { Theme } from './look'

/** How long a column has to keep its width before it is drawn anew; milliseconds. */
export const settling = 300
/** Widths the door draws for; pixels. */
const least = 280
const most = 1200
const grain = 8

/** The width to draw for, never wider than the column where that is possible; `null` where it is not known. */
export function drawnWidth(column: number | null): number | null {
  if (column === null || !(column > 0)) return null
  return Math.min(most, Math.max(least, Math.floor(column / grain) * grain))
}

/** Why it is being drawn: other days, or only another width or theme. */
export type Drawing = 'period' | 'look'

export class ChartView {
  readonly person: string
  detail = $state.raw<PersonDetail | null>(null)
  data = $state.raw<ChartData | null>(null)
  /** What {@link data} is the answer to. */
  shown = $state.raw<Asked | null>(null)
  fault = $state.raw<Refusal | null>(null)
  drawing = $state<Drawing | null>(null)

  /** Nothing at all could be drawn. */
  readonly empty = $derived(this.data !== null && this.data.drawings.every((d) => d.svg === null))

  #asked: Asked
  #theme: Theme
  #width: number | null = null
  #turn = 0
  #timer: ReturnType<typeof setTimeout> | null = null

  constructor(person: string, asked: Asked, theme: Theme) {
    this.person = person
    this.#asked = asked
    this.#theme = theme
  }

  /** Asks for the first time, for a column of this width. */
  open(column: number | null): Promise<void> {
    this.#width = drawnWidth(column)
    return this.#draw('period')
  }

  /** Other days, or the same ones: those are not asked for twice. */
  choose(asked: Asked): void {
    if (sameAsked(asked, this.#asked)) return
    this.#asked = asked
    void this.#draw('period')
  }

  again(): void {
    void this.#draw('period')
  }

  /** The column has another width now. */
  resized(column: number | null): void {
    this.#settled()
    const width = drawnWidth(column)
    if (width === null || width === this.#width) return
    this.#timer = setTimeout(() => {
      this.#timer = null
      this.#width = width
      void this.#draw('look')
    }, settling)
  }

  themed(theme: Theme): void {
    if (theme === this.#theme) return
    this.#theme = theme
    void this.#draw('look')
  }

  close(): void {
    this.#settled()
    this.#turn++
  }

  #settled(): void {
    if (this.#timer !== null) clearTimeout(this.#timer)
    this.#timer = null
  }

  async #draw(why: Drawing): Promise<void> {
    const turn = ++this.#turn
    const asked = this.#asked
    // Days that were not answered yet are still to come, whatever else has changed meanwhile.
    if (this.drawing !== 'period') this.drawing = why
    try {
      const [detail, data] = await Promise.all([
        this.detail ?? ask('person_get', { person: this.person }),
        ask('chart', { person: this.person, ...asked.period, compare: asked.compare, width: this.#width, theme: this.#theme }),
      ])
      if (turn !== this.#turn) return
      this.detail = detail
      this.data = data
      this.shown = asked
      this.fault = null
    } catch (fault) {
      if (turn === this.#turn) this.fault = asRefusal(fault)
    } finally {
      if (turn === this.#turn) this.drawing = null
    }
  }
}
