/**
 * A point being chosen on a zone's skin: by touch, by arrow keys, or by typed numbers.
 *
 * A centimetre is a centimetre here. What the point is called and what it is worth, the door says.
 */
import { ask, asRefusal, type Refusal } from '../core'
import type { PatchData, SiteCheckData, SiteWire, UseGridData, XY } from '../wire'

/** One press of an arrow, and one with Shift; centimetres. */
export const coarse = 0.5
export const fine = 0.1

export type Arrow = 'left' | 'right' | 'up' | 'down'
/** What a key means on the patch; `null` for keys that are not ours. */
export function arrowOf(key: string): Arrow | null {
  return { ArrowLeft: 'left', ArrowRight: 'right', ArrowUp: 'up', ArrowDown: 'down' }[key] as Arrow | undefined ?? null
}

const tenth = (cm: number) => Math.round(cm * 10) / 10 + 0
const within = (cm: number, low: number, high: number) => Math.min(Math.max(cm, low), high)

export interface PointOf {
  person: string
  order: string | null
  at: string | null
  giver: string | null
  without: string | null
}

export class PatchPoint {
  patch = $state.raw<PatchData | null>(null)
  /** Use of this skin, cell by cell; the patch does not wait for it. */
  cells = $state.raw<UseGridData | null>(null)
  /** The cells could not be had; the rest of the patch stands. */
  cellsFailed = $state(false)
  point = $state.raw<XY | null>(null)
  /** Only the quadrant is known. */
  quadrant = $state<string | null>(null)
  /** The quadrant being looked at. */
  near = $state<string | null>(null)
  check = $state.raw<SiteCheckData | null>(null)
  fault = $state.raw<Refusal | null>(null)
  pointFault = $state.raw<Refusal | null>(null)

  readonly #of: PointOf
  #turn = 0
  #timer: ReturnType<typeof setTimeout> | null = null

  get person(): string {
    return this.#of.person
  }

  readonly site = $derived.by<SiteWire | null>(() => {
    const zone = this.patch?.zone
    if (!zone) return null
    if (this.point) return { zone, quadrant: null, across_cm: this.point.across_cm, up_cm: this.point.up_cm }
    return this.quadrant ? { zone, quadrant: this.quadrant, across_cm: null, up_cm: null } : null
  })

  constructor(of: PointOf) {
    this.#of = of
  }

  async open(zone: string, start: SiteWire | null): Promise<void> {
    try {
      const { person, order, at } = this.#of
      this.patch = await ask('patch', { person, zone, order, at })
      this.fault = null
    } catch (fault) {
      this.fault = asRefusal(fault)
      return
    }
    void this.#colour(zone)
    if (start?.zone !== zone) return
    if (start.across_cm != null && start.up_cm != null) this.set({ across_cm: start.across_cm, up_cm: start.up_cm }, 0)
    else this.near = start.quadrant ?? null
  }

  async #colour(zone: string): Promise<void> {
    try {
      this.cells = await ask('use_grid', { person: this.#of.person, zone, at: this.#of.at })
      this.cellsFailed = false
    } catch {
      // Told by a sentence under the skin: colours are an aid, the sites and the check are not gone.
      this.cellsFailed = true
    }
  }

  /** Puts the point somewhere inside the drawing, to a millimetre. */
  set(to: XY, wait = 120): void {
    const patch = this.patch
    if (!patch || !Number.isFinite(to.across_cm) || !Number.isFinite(to.up_cm)) return
    const [minAcross, minUp, maxAcross, maxUp] = patch.bounds
    this.quadrant = null
    this.point = {
      across_cm: tenth(within(to.across_cm, minAcross, maxAcross)),
      up_cm: tenth(within(to.up_cm, minUp, maxUp)),
    }
    this.#look(wait)
  }

  /** Moves the point as the viewer sees it: left is the viewer's left. */
  move(arrow: Arrow, step: number): void {
    const patch = this.patch
    if (!patch) return
    const from = this.point ?? middle(patch, this.near)
    const sideways = (patch.grows_to_viewer_left ? -1 : 1) * (arrow === 'right' ? 1 : arrow === 'left' ? -1 : 0)
    const upwards = arrow === 'up' ? 1 : arrow === 'down' ? -1 : 0
    this.set({ across_cm: from.across_cm + sideways * step, up_cm: from.up_cm + upwards * step })
  }

  /** The point is not known, only the quadrant. */
  only(quadrant: string): void {
    this.point = null
    this.near = quadrant
    this.quadrant = quadrant
    this.#look(0)
  }

  #look(wait: number): void {
    if (this.#timer) clearTimeout(this.#timer)
    const { site } = this
    const { order, at } = this.#of
    const turn = ++this.#turn
    if (!site || !order || !at) {
      this.check = null
      return
    }
    this.#timer = setTimeout(() => void this.#ask(site, order, at, turn), wait)
  }

  async #ask(site: SiteWire, order: string, at: string, turn: number): Promise<void> {
    const { person, giver, without } = this.#of
    try {
      const check = await ask('site_check', { person, order, site, at, giver, without })
      if (turn !== this.#turn) return
      this.check = check
      this.near = check.site.quadrant ?? this.near
      this.pointFault = null
    } catch (fault) {
      if (turn !== this.#turn) return
      this.check = null
      this.pointFault = asRefusal(fault)
    }
  }
}

/** Where the arrows start from: the middle of the quadrant, or of the zone. */
function middle(patch: PatchData, quadrant: string | null): XY {
  const outline = patch.quadrants.find((q) => q.quadrant === quadrant)?.outline ?? patch.outline
  const mean = (of: (p: XY) => number) => outline.reduce((sum, p) => sum + of(p), 0) / Math.max(outline.length, 1)
  return { across_cm: mean((p) => p.across_cm), up_cm: mean((p) => p.up_cm) }
}
