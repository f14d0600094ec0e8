/**
 * Where a finding lies and how large it is: a middle with two sizes, or a line drawn around it.
 *
 * Both ways stand side by side, and going from one to the other loses nothing; the chosen one is what is saved. Every
 * change of the shape can be taken back until it is saved. Not here: what is pressed on the screen (`parts/pen.ts`).
 */
import type { FindingData, PlaceWire, XY } from '../wire'
import { PatchPoint, type Arrow } from './point.svelte'
import { axesOf, ellipse, kept, longest, longestFirst, middleOf, moved, pulled, pulledOut, smallest, turnOf, wrongWith, type Ellipse } from './shape'

/** A number as typed, with a comma or a point; `null` where it is none. */
export function typedNumber(text: string): number | null {
  const plain = text.trim().replace(',', '.')
  return /^\d{1,4}(\.\d)?$/.test(plain) ? Number(plain) : null
}

export const whole = (text: string) => (/^\d{1,4}$/.test(text.trim()) ? Number(text.trim()) : null)

const ofPlace = ['zone', 'point', 'size', 'turned', 'line', 'tiny', 'crosses'] as const
export type PlaceMissing = (typeof ofPlace)[number]

/** What is missing, where it is of the place. */
export const ofPlaceOnly = (missing: string | null): PlaceMissing | null => ofPlace.find((one) => one === missing) ?? null

/** How a shape is said: a middle with sizes, or a drawn line. */
export type Way = 'size' | 'line'
/** What can be taken hold of on the skin; `out` where there is no size to pull at yet. */
export type Grip = 'skin' | 'middle' | 'out' | 'length' | 'width' | 'turn'

interface Shape {
  way: Way
  length: string
  width: string
  turned: string
  point: XY | null
  line: XY[] | null
}

/** What a draft holds; `way` and `line` are absent in those of before there were lines. */
export interface PlaceKept {
  zone: string
  length: string
  width: string
  turned: string
  point: XY | null
  way?: Way
  line?: XY[] | null
}

export class PlaceForm {
  zone = $state('')
  way = $state<Way>('size')
  length = $state('')
  width = $state('')
  turned = $state('0')
  /** A line drawn around it, as it would be saved. */
  line = $state.raw<XY[] | null>(null)
  /** The line that is being drawn just now. */
  stroke = $state.raw<XY[] | null>(null)
  /** What is being pulled just now. */
  holding = $state<Grip | null>(null)
  readonly at: PatchPoint
  #past = $state.raw<Shape[]>([])
  #last: string | null = null
  #pull: { grip: Grip; from: XY; of: Ellipse | null; side: 1 | -1; before: Shape } | null = null
  readonly #zones = new Map<string, { point: XY | null; line: XY[] | null }>()

  readonly #mm = $derived.by(() => {
    const [length, width] = [typedNumber(this.length), typedNumber(this.width)]
    const fits = (mm: number | null) => mm !== null && mm >= smallest && mm <= longest
    return fits(length) && fits(width) ? { length: length!, width: width! } : null
  })
  readonly #degrees = $derived.by(() => {
    const degrees = whole(this.turned)
    return degrees !== null && degrees <= 180 ? degrees : null
  })
  /** The ellipse that is said; `null` while a part of it is missing. */
  readonly ellipse = $derived.by<Ellipse | null>(() => {
    const { point } = this.at
    return this.way === 'size' && point && this.#mm ? { centre: point, ...this.#mm, degrees: this.#degrees ?? 0 } : null
  })
  /** What is wrong with the drawn line; it stays as it was drawn. */
  readonly wrong = $derived(this.way === 'line' && this.line && !this.stroke ? wrongWith(this.line) : null)
  readonly missing = $derived.by<PlaceMissing | null>(() => {
    if (this.zone === '') return 'zone'
    if (this.way === 'line') return this.line ? this.wrong : 'line'
    if (!this.at.point) return 'point'
    if (!this.#mm) return 'size'
    return this.#degrees === null ? 'turned' : null
  })
  /** What is drawn on the skin while it is being said; a line being drawn is not closed. */
  readonly ring = $derived.by<XY[] | null>(() => {
    if (this.stroke) return this.stroke
    if (this.way === 'line') return this.line ? [...this.line, ...this.line.slice(0, 1)] : null
    const e = this.ellipse
    return e ? ellipse(e.centre, e.length, e.width, e.degrees) : null
  })
  /** The point that is marked on the skin; beside a drawn line it says nothing. */
  readonly point = $derived.by(() => (this.way === 'line' && (this.line || this.stroke) ? null : this.at.point))
  /** Where the shape is, in the middle of it. */
  readonly middle = $derived.by<XY | null>(() => (this.way === 'line' && this.line ? middleOf(this.line) : this.at.point))
  /** Its longer and shorter size as it would be recorded, and how far it is turned. */
  readonly sizes = $derived.by(() => {
    if (this.way === 'line') return this.line ? { ...axesOf(this.line), degrees: 0 } : null
    return this.ellipse && { ...longestFirst(this.ellipse) }
  })
  readonly changed = $derived(this.#past.length > 0)
  readonly empty = $derived.by(() => (this.way === 'line' ? !this.line : !this.at.point && this.length === '' && this.width === ''))

  constructor(person: string) {
    this.at = new PatchPoint({ person, order: null, at: null, giver: null, without: null })
  }

  /** Goes to a zone; what was marked on another waits there. */
  async choose(zone: string, start?: XY | null, line: XY[] | null = null): Promise<void> {
    if (this.zone) this.#zones.set(this.zone, { point: this.at.point, line: this.line })
    const known = start === undefined ? this.#zones.get(zone) : { point: start, line }
    this.zone = zone
    this.line = null
    this.at.point = null
    this.#past = []
    await this.at.open(zone, known?.point ? { zone, quadrant: null, ...known.point } : null)
    if (this.zone === zone) this.line = known?.line ?? null
  }

  /** Fills the form with the last place of a finding. */
  async take(of: FindingData): Promise<void> {
    const { shape } = of
    this.length = shape.length_mm ? String(Math.round(shape.length_mm)) : ''
    this.width = shape.width_mm ? String(Math.round(shape.width_mm)) : ''
    this.turned = String(Math.round(turnOf(shape.turned_degrees ?? 0)))
    this.way = shape.outline ? 'line' : 'size'
    await this.choose(of.zone, shape.centre ?? null, shape.outline ?? null)
  }

  /** A size or the turn as typed. */
  type(what: 'length' | 'width' | 'turned', text: string): void {
    this.#remember(what)
    this[what] = text
  }

  step(what: 'length' | 'width' | 'turned', by: number): void {
    this.#remember(what)
    if (what === 'turned') this.turned = String(turnOf((whole(this.turned) ?? 0) + by * 5))
    else this[what] = String(Math.min(longest, Math.max(smallest, Math.round((typedNumber(this[what]) ?? 10) + by))))
  }

  /** A touch that pulled nothing: the middle. Where a line is drawn it is no part of it, and leaves it alone. */
  tap(p: XY): void {
    if (this.way === 'line' && this.line) return
    this.#remember('tap')
    this.at.set(p, 0)
  }

  /** Moves the point, or the drawn line, as the viewer sees it. */
  move(arrow: Arrow, step: number): void {
    this.#remember('arrow')
    const { patch } = this.at
    if (this.way === 'size' || !this.line || !patch) return this.at.move(arrow, step)
    const sideways = (patch.grows_to_viewer_left ? -1 : 1) * (arrow === 'right' ? 1 : arrow === 'left' ? -1 : 0)
    this.line = moved(this.line, sideways * step, (arrow === 'up' ? 1 : arrow === 'down' ? -1 : 0) * step)
  }

  /**
   * Something is pulled. `false` where this pull is the page's: a finger that strokes over a shape that is there already
   * scrolls.
   */
  hold(grip: Grip, from: XY, side: 1 | -1, finger: boolean): boolean {
    if (this.way === 'size' && grip === 'skin' && finger && this.ellipse) return false
    this.#pull = { grip, from, of: this.ellipse, side, before: this.#shape() }
    this.holding = grip
    if (this.way === 'line') this.stroke = [from]
    return true
  }

  pull(to: XY): void {
    const pull = this.#pull
    if (!pull) return
    if (this.stroke) {
      this.stroke = [...this.stroke, to]
      return
    }
    const { grip, from, of, side, before } = pull
    if (grip === 'skin' || !of) {
      // From the middle outwards: the point that was there, or where the skin was pressed.
      const centre = grip === 'skin' ? from : before.point
      if (!centre) return
      if (grip === 'skin') this.at.set(centre, 0)
      this.#write(pulledOut(centre, to))
    } else if (grip === 'middle' || grip === 'out') {
      const [x, y] = [to.across_cm - from.across_cm, to.up_cm - from.up_cm]
      this.at.set({ across_cm: of.centre.across_cm + x, up_cm: of.centre.up_cm + y }, 0)
    } else {
      this.#write(pulled(of, grip, from, to, side))
    }
  }

  /** Let go: what was pulled counts. */
  drop(): void {
    const pull = this.#pull
    if (!pull) return
    this.#past = [...this.#past, pull.before]
    this.#last = null
    if (this.stroke) this.line = kept(this.stroke)
    else if (this.ellipse) this.#write(longestFirst(this.ellipse))
    this.#end()
  }

  /** Taken away from the hand, by a scroll or a call: as it was before. */
  cancel(): void {
    if (this.#pull) this.#put(this.#pull.before)
    this.#end()
  }

  /** Takes the last change of the shape back. */
  undo(): void {
    const last = this.#past.at(-1)
    if (!last) return
    this.#past = this.#past.slice(0, -1)
    this.#last = null
    this.#put(last)
  }

  clear(): void {
    this.#remember(null)
    this.#put(this.way === 'line' ? { ...this.#shape(), line: null } : { ...this.#shape(), point: null, length: '', width: '', turned: '0' })
  }

  /** For the door; only where nothing is missing. */
  wire(): PlaceWire {
    if (this.way === 'line') return { outline: this.line! }
    return {
      centre: this.at.point!,
      length_mm: this.#mm!.length,
      width_mm: this.#mm!.width,
      turned_degrees: this.#degrees!,
    }
  }

  kept(): PlaceKept {
    return { zone: this.zone, ...this.#shape() }
  }

  async restore(kept: PlaceKept): Promise<void> {
    Object.assign(this, { length: kept.length, width: kept.width, turned: kept.turned, way: kept.way ?? 'size' })
    if (kept.zone) await this.choose(kept.zone, kept.point, kept.line ?? null)
  }

  #shape(): Shape {
    const { way, length, width, turned, line } = this
    return { way, length, width, turned, line, point: this.at.point }
  }

  #put({ point, ...shape }: Shape): void {
    Object.assign(this, shape)
    if (point) this.at.set(point, 0)
    else this.at.point = null
  }

  #write(of: Ellipse): void {
    this.length = String(of.length)
    this.width = String(of.width)
    this.turned = String(of.degrees)
  }

  #end(): void {
    this.#pull = null
    this.stroke = null
    this.holding = null
  }

  /** Keeps the shape as it was; the same small change over and over is one. */
  #remember(change: string | null): void {
    if (change !== null && change !== 'tap' && change === this.#last) return
    this.#last = change
    this.#past = [...this.#past, this.#shape()]
  }
}
