/**
 * Shapes on the skin of one zone, in centimetres from its landmark: ellipses, and lines drawn by hand made fit to keep.
 *
 * Pure. Not here: what is pressed and pulled (`pen.svelte.ts`), and what a shape means for an injection; the door says that.
 */
import type { XY } from '../wire'

/** An ellipse as it is typed: whole axes in millimetres, the first turned from `across` towards `up`. */
export interface Ellipse {
  centre: XY
  length: number
  width: number
  degrees: number
}

/** Points of a drawn line that are kept at most; the door takes more. */
export const mostPoints = 60
/** A line that strays less than this from the drawn one says the same; centimetres. */
const strays = 0.05
/** The smallest size that is marked, and the longest; millimetres. */
export const [smallest, longest] = [1, 400] as const
/** Ends of a drawn line that cross or pass one another within this share of it are a hand that went past its beginning. */
const [crossed, passed] = [0.3, 0.15] as const

const distance = (a: XY, b: XY) => Math.hypot(a.across_cm - b.across_cm, a.up_cm - b.up_cm)
const hundredth = (cm: number) => Math.round(cm * 100) / 100 + 0
/** Whole millimetres that can be marked. */
export const sized = (mm: number) => Math.min(longest, Math.max(smallest, Math.round(mm)))

/** Points around an ellipse, closed. */
export function ellipse(centre: XY, lengthMm: number, widthMm: number, degrees: number): XY[] {
  const turn = (degrees * Math.PI) / 180
  return Array.from({ length: 49 }, (_, n) => {
    const angle = (2 * Math.PI * (n % 48)) / 48
    const [x, y] = [(lengthMm / 20) * Math.cos(angle), (widthMm / 20) * Math.sin(angle)]
    return {
      across_cm: centre.across_cm + x * Math.cos(turn) - y * Math.sin(turn),
      up_cm: centre.up_cm + x * Math.sin(turn) + y * Math.cos(turn),
    }
  })
}

/** The direction of an axis: 0 is the first, 90 the one square to it. */
export function axis(degrees: number, of: 0 | 90 = 0): XY {
  const turn = ((degrees + of) * Math.PI) / 180
  return { across_cm: Math.cos(turn), up_cm: Math.sin(turn) }
}

/**
 * The ellipse pulled out from its middle to a point. A pull straight along one line says nothing of the other axis,
 * which is then half as long.
 */
export function pulledOut(centre: XY, to: XY): Ellipse {
  const [x, y] = [Math.abs(to.across_cm - centre.across_cm), Math.abs(to.up_cm - centre.up_cm)]
  const [long, short] = [Math.max(x, y), Math.min(x, y)]
  return { centre, length: sized(long * 20), width: sized(Math.max(short, long / 2) * 20), degrees: y > x ? 90 : 0 }
}

/** The ellipse with its end, its side or its turn pulled from one point to another. */
export function pulled(of: Ellipse, what: 'length' | 'width' | 'turn', from: XY, to: XY, side: 1 | -1): Ellipse {
  if (what === 'turn') {
    const at = (p: XY) => Math.atan2(p.up_cm - of.centre.up_cm, p.across_cm - of.centre.across_cm)
    const degrees = of.degrees + ((at(to) - at(from)) * 180) / Math.PI
    return { ...of, degrees: turnOf(Math.round(degrees / 5) * 5) }
  }
  const way = axis(of.degrees, what === 'length' ? 0 : 90)
  const by = ((to.across_cm - from.across_cm) * way.across_cm + (to.up_cm - from.up_cm) * way.up_cm) * side
  return { ...of, [what]: sized(of[what] + by * 20) }
}

/** A turn as it is typed: half a turn is no turn. */
export const turnOf = (degrees: number) => ((degrees % 180) + 180) % 180

/** The same ellipse with its longer axis first. */
export function longestFirst(of: Ellipse): Ellipse {
  if (of.length >= of.width) return of
  return { ...of, length: of.width, width: of.length, degrees: turnOf(of.degrees + 90) }
}

export const moved = (line: XY[], across: number, up: number): XY[] =>
  line.map((p) => ({ across_cm: hundredth(p.across_cm + across), up_cm: hundredth(p.up_cm + up) }))

/** The middle of the box around a line, as the door has it. */
export function middleOf(line: XY[]): XY {
  const mid = (of: (p: XY) => number) => (Math.min(...line.map(of)) + Math.max(...line.map(of))) / 2
  return { across_cm: mid((p) => p.across_cm), up_cm: mid((p) => p.up_cm) }
}

/** The longest way across a line and the widest way square to that, in millimetres, as the door measures it. */
export function axesOf(line: XY[]): { length: number; width: number } {
  let [a, b] = [line[0]!, line[0]!]
  for (const p of line) for (const q of line) if (distance(p, q) > distance(a, b)) [a, b] = [p, q]
  const long = distance(a, b)
  if (long === 0) return { length: 0, width: 0 }
  const [x, y] = [(b.across_cm - a.across_cm) / long, (b.up_cm - a.up_cm) / long]
  const square = line.map((p) => p.up_cm * x - p.across_cm * y)
  return { length: long * 10, width: (Math.max(...square) - Math.min(...square)) * 10 }
}

/** Where two stretches of a line cross; `null` where they do not. */
function crossing(a: XY, b: XY, c: XY, d: XY): XY | null {
  const cross = (x1: number, y1: number, x2: number, y2: number) => x1 * y2 - y1 * x2
  const [rx, ry] = [b.across_cm - a.across_cm, b.up_cm - a.up_cm]
  const [sx, sy] = [d.across_cm - c.across_cm, d.up_cm - c.up_cm]
  const both = cross(rx, ry, sx, sy)
  if (both === 0) return null
  const [qx, qy] = [c.across_cm - a.across_cm, c.up_cm - a.up_cm]
  const [t, u] = [cross(qx, qy, sx, sy) / both, cross(qx, qy, rx, ry) / both]
  return t > 0 && t < 1 && u > 0 && u < 1 ? { across_cm: a.across_cm + t * rx, up_cm: a.up_cm + t * ry } : null
}

/** Whether a closed line crosses itself. */
export function crossesItself(line: XY[]): boolean {
  const n = line.length
  for (let i = 0; i < n; i++)
    for (let j = i + 1; j < n; j++) if (crossing(line[i]!, line[(i + 1) % n]!, line[j]!, line[(j + 1) % n]!)) return true
  return false
}

/** What is wrong with a drawn line. */
export type LineWrong = 'tiny' | 'crosses'

export function wrongWith(line: XY[]): LineWrong | null {
  if (line.length < 3 || axesOf(line).width < smallest) return 'tiny'
  return crossesItself(line) ? 'crosses' : null
}

/** A line as it was drawn, made fit to keep: without ends that overlap, and with no more points than its form needs. */
export function kept(drawn: XY[]): XY[] {
  const loop = withoutTails(simplified(meeting(apart(drawn)), strays / 2))
  let [line, within] = [loop, strays]
  do {
    line = simplified(loop, within)
    within *= 1.4
  } while (line.length > mostPoints)
  return line.map((p) => ({ across_cm: hundredth(p.across_cm), up_cm: hundredth(p.up_cm) }))
}

/** Without points that lie on one another. */
const apart = (line: XY[]) => line.filter((p, i) => i === 0 || distance(p, line[i - 1]!) > 0.005)

/** How far along the line each of its points is. */
function alongOf(line: XY[]): number[] {
  const along = [0]
  for (let i = 1; i < line.length; i++) along.push(along[i - 1]! + distance(line[i - 1]!, line[i]!))
  return along
}

/** A hand that goes past its beginning without crossing it: the line ends where it comes closest to where it began. */
function meeting(line: XY[]): XY[] {
  const along = alongOf(line)
  const whole = along.at(-1) ?? 0
  let [first, last, least] = [0, line.length - 1, Infinity]
  for (let i = 0; i < line.length && along[i]! <= passed * whole; i++) {
    for (let j = line.length - 1; j > i && whole - along[j]! <= passed * whole; j--) {
      // What is cut off counts too, so that a line that stops short of its beginning loses nothing.
      const cost = distance(line[i]!, line[j]!) + 0.2 * (along[i]! + whole - along[j]!)
      if (cost < least) [first, last, least] = [i, j, cost]
    }
  }
  return line.slice(first, last + 1)
}

/** A hand that closes a loop goes past its beginning, or begins before it: the loop is what was meant. */
function withoutTails(line: XY[]): XY[] {
  const along = alongOf(line)
  const whole = along.at(-1) ?? 0
  for (let i = 0; i < line.length - 1; i++) {
    for (let j = line.length - 2; j > i + 1; j--) {
      const at = crossing(line[i]!, line[i + 1]!, line[j]!, line[j + 1]!)
      if (!at) continue
      const ends = along[i]! + distance(line[i]!, at) + whole - along[j]! - distance(line[j]!, at)
      if (ends < crossed * whole) return [at, ...line.slice(i + 1, j + 1)]
    }
  }
  return line
}

/** Ramer, Douglas and Peucker: keeps a point only where leaving it out would move the line by more than `within`. */
function simplified(line: XY[], within: number): XY[] {
  const [first, last] = [line[0], line.at(-1)]
  if (line.length < 3 || !first || !last) return line
  let [far, at] = [0, 0]
  for (let i = 1; i < line.length - 1; i++) {
    const off = distanceTo(line[i]!, first, last)
    if (off > far) [far, at] = [off, i]
  }
  if (far <= within) return [first, last]
  return [...simplified(line.slice(0, at + 1), within).slice(0, -1), ...simplified(line.slice(at), within)]
}

function distanceTo(p: XY, a: XY, b: XY): number {
  const long = distance(a, b)
  if (long === 0) return distance(p, a)
  const [x, y] = [(b.across_cm - a.across_cm) / long, (b.up_cm - a.up_cm) / long]
  const along = (p.across_cm - a.across_cm) * x + (p.up_cm - a.up_cm) * y
  const t = Math.min(long, Math.max(0, along))
  return Math.hypot(p.across_cm - a.across_cm - t * x, p.up_cm - a.up_cm - t * y)
}
