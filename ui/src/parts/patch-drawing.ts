/**
 * The lines of a patch drawing, worked out from centimetres. A unit of the drawing is a millimetre of skin.
 *
 * The viewer faces the skin: where `across` grows towards the viewer's left, the drawing is flipped.
 */
import type { PatchData, PatchSite, UseGridData, XY } from '../wire'

export const mm = 10

/** A place of the plan. */
export interface NumberedPoint {
  number: number
  point: XY
  /** Whether it is the next one. */
  next: boolean
}

export interface Window {
  x: number
  y: number
  width: number
  height: number
}

/** Which way `across` runs on the drawing. */
export const direction = (patch: PatchData): 1 | -1 => (patch.grows_to_viewer_left ? -1 : 1)

export const toDrawing = (patch: PatchData, p: XY): { x: number; y: number } => ({
  x: direction(patch) * p.across_cm * mm,
  y: -p.up_cm * mm,
})

export const toSkin = (patch: PatchData, p: { x: number; y: number }): XY => ({
  across_cm: (direction(patch) * p.x) / mm,
  up_cm: -p.y / mm,
})

export function pathOf(patch: PatchData, outline: XY[], close = true): string {
  const points = outline.map((p) => toDrawing(patch, p))
  return points.map((p, i) => `${i ? 'L' : 'M'}${p.x.toFixed(1)} ${p.y.toFixed(1)}`).join('') + (close ? 'Z' : '')
}

/** The words at the drawing's left and right edge, as the viewer sees it. */
export function edgesOf(patch: PatchData): { left: string; right: string } {
  const [low, high] = [patch.edge_low, patch.edge_high]
  return patch.grows_to_viewer_left ? { left: high, right: low } : { left: low, right: high }
}

/** The part of the skin that is shown: all of it, or one quadrant, with room around it for the scale. */
export function windowOf(patch: PatchData, quadrant: string | null): Window {
  const outline = patch.quadrants.find((q) => q.quadrant === quadrant)?.outline ?? patch.outline
  const points = outline.map((p) => toDrawing(patch, p))
  const xs = points.map((p) => p.x)
  const ys = points.map((p) => p.y)
  const [left, top] = [Math.min(...xs), Math.min(...ys)]
  const [right, bottom] = [Math.max(...xs), Math.max(...ys)]
  const room = Math.max(6, (right - left) * 0.05)
  return { x: left - room, y: top - room, width: right - left + 2 * room, height: bottom - top + 2 * room }
}

/** How much skin is shown close up, across and up; centimetres. */
const closeUp = { across: 12, up: 10 }

/** The skin around a point, close enough to draw on. */
export function windowAround(patch: PatchData, centre: XY): Window {
  const { x, y } = toDrawing(patch, centre)
  const [width, height] = [closeUp.across * mm, closeUp.up * mm]
  return { x: x - width / 2, y: y - height / 2, width, height }
}

/** Whole centimetres of the window, each with its place on the drawing. */
export function gridLines(window: Window): { columns: number[]; rows: number[] } {
  const between = (from: number, to: number) => {
    const first = Math.ceil(from / mm)
    return Array.from({ length: Math.max(0, Math.floor(to / mm) - first + 1) }, (_, i) => first + i)
  }
  return { columns: between(window.x, window.x + window.width), rows: between(window.y, window.y + window.height) }
}

export interface Dot {
  site: PatchSite
  x: number
  y: number
  /** Of the disc with its age on it. */
  r: number
  /** Whether its age fits beside the others; the list has them all. */
  labelled: boolean
}

/** Earlier sites, the oldest drawn first; ages are written newest first where they do not touch. */
export function dots(patch: PatchData, unit: number): Dot[] {
  const placed: { x: number; y: number; r: number }[] = []
  const newestFirst = [...patch.sites].sort((a, b) => a.days - b.days)
  const all = newestFirst.map((site) => {
    const { x, y } = toDrawing(patch, site.point)
    const r = (String(site.days).length * 2.8 + 5) * unit
    const free = placed.every((p) => Math.hypot(p.x - x, p.y - y) > p.r + r)
    if (free) placed.push({ x, y, r })
    return { site, x, y, r, labelled: free }
  })
  // Small dots under the numbers, older under newer.
  return all.reverse().sort((a, b) => Number(a.labelled) - Number(b.labelled))
}

export interface NumberMark extends NumberedPoint {
  x: number
  y: number
  r: number
  /** Whether its number fits beside the others; the list has them all. */
  labelled: boolean
}

/** Places of the plan, the next one drawn last; numbers are written in their order where they do not touch. */
export function numberMarks(patch: PatchData, numbers: NumberedPoint[], unit: number): NumberMark[] {
  const placed: { x: number; y: number; r: number }[] = []
  const order = [...numbers].sort((a, b) => Number(b.next) - Number(a.next) || a.number - b.number)
  const marks = order.map((one) => {
    const { x, y } = toDrawing(patch, one.point)
    const r = (String(one.number).length * 2.6 + 5.5) * unit
    const room = one.next ? r + 4.5 * unit : r
    const labelled = one.next || placed.every((p) => Math.hypot(p.x - x, p.y - y) > p.r + room - unit)
    if (labelled) placed.push({ x, y, r: room })
    return { ...one, x, y, r, labelled }
  })
  return marks.reverse().sort((a, b) => Number(a.labelled) - Number(b.labelled))
}

/** One path for each step of the ramp, of the cells of this zone; neighbours of one step are one rectangle. */
export function cellPaths(patch: PatchData, grid: UseGridData): { step: number; d: string }[] {
  const side = grid.cell_cm * mm
  const paths = new Map<number, string>()
  for (const row of grid.zones.find((z) => z.zone === patch.zone)?.rows ?? []) {
    let from = 0
    for (let i = 1; i <= row.step.length; i++) {
      if (i < row.step.length && row.step[i] === row.step[from]) continue
      const ends = [from - 0.5, i - 0.5].map((n) => direction(patch) * (row.first.across_cm * mm + n * side))
      const [left, right] = [Math.min(...ends), Math.max(...ends)]
      const top = -row.first.up_cm * mm - side / 2
      const step = row.step[from]!
      paths.set(step, `${paths.get(step) ?? ''}M${left.toFixed(1)} ${top.toFixed(1)}H${right.toFixed(1)}v${side}H${left.toFixed(1)}Z`)
      from = i
    }
  }
  return [...paths].map(([step, d]) => ({ step, d })).sort((a, b) => a.step - b.step)
}
