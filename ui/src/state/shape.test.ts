/** Shapes on the skin: laws of pulling and turning, and what is kept of a line drawn by hand. */
import { describe, expect, it } from 'vitest'
import type { XY } from '../wire'
import { axesOf, crossesItself, ellipse, kept, longestFirst, middleOf, mostPoints, moved, pulled, pulledOut, wrongWith } from './shape'

const at = (across_cm: number, up_cm: number): XY => ({ across_cm, up_cm })
const of = (...pairs: [number, number][]) => pairs.map(([x, y]) => at(x, y))

describe('an ellipse', () => {
  it('begins at the end of its first axis, turned from across towards up', () => {
    const [first] = ellipse(at(1, 2), 20, 10, 90)
    expect(first!.across_cm).toBeCloseTo(1)
    expect(first!.up_cm).toBeCloseTo(3)
  })
  it('is pulled out from its middle, longest along the pull', () => {
    expect(pulledOut(at(1, 1), at(2.2, 1.9))).toEqual({ centre: at(1, 1), length: 24, width: 18, degrees: 0 })
    expect(pulledOut(at(1, 1), at(1, -1))).toEqual({ centre: at(1, 1), length: 40, width: 20, degrees: 90 })
    expect(pulledOut(at(0, 0), at(0, 0))).toMatchObject({ length: 1, width: 1 })
    expect(pulledOut(at(0, 0), at(90, 0))).toMatchObject({ length: 400 })
  })
  it('is pulled longer and wider from either side, and turned', () => {
    const flat = { centre: at(0, 0), length: 20, width: 10, degrees: 0 }
    expect(pulled(flat, 'length', at(1, 0), at(1.4, 3), 1)).toMatchObject({ length: 28, width: 10 })
    expect(pulled(flat, 'length', at(-1, 0), at(-1.4, 0), -1)).toMatchObject({ length: 28 })
    expect(pulled(flat, 'width', at(0, 0.5), at(7, 0.2), 1)).toMatchObject({ length: 20, width: 4 })
    expect(pulled(flat, 'turn', at(-2, 0), at(0, -2), 1)).toMatchObject({ degrees: 90 })
    expect(pulled(flat, 'turn', at(2, 0), at(2, -2), 1)).toMatchObject({ degrees: 135 })
    expect(pulled({ ...flat, degrees: 90 }, 'length', at(0, 1), at(0, 1.5), 1)).toMatchObject({ length: 30 })
  })
  it('has its longer axis first, and is the same skin', () => {
    const tall = { centre: at(3, 1), length: 10, width: 30, degrees: 20 }
    const told = longestFirst(tall)
    expect(told).toEqual({ centre: at(3, 1), length: 30, width: 10, degrees: 110 })
    const box = (e: typeof tall) => axesOf(ellipse(e.centre, e.length, e.width, e.degrees))
    expect(box(told).length).toBeCloseTo(box(tall).length, 6)
  })
})

describe('a line drawn by hand', () => {
  /** A circle of a shaking hand, a sample every tenth of a millimetre or so. */
  const circle = (n: number, r = 1, shake = 0.01) =>
    Array.from({ length: n }, (_, i) => {
      const [angle, far] = [(2 * Math.PI * i) / n, r + shake * Math.sin(i * 12.9898)]
      return at(5 + far * Math.cos(angle), -3 + far * Math.sin(angle))
    })
  it('is kept with few points, none of the drawn ones farther off than half a millimetre', () => {
    const drawn = circle(600)
    const line = kept(drawn)
    expect(line.length).toBeLessThanOrEqual(mostPoints)
    expect(line.length).toBeGreaterThan(8)
    const { length, width } = axesOf(line)
    expect(Math.abs(length - 20)).toBeLessThan(1)
    expect(Math.abs(width - 20)).toBeLessThan(1.2)
    expect(middleOf(line).across_cm).toBeCloseTo(5, 1)
    expect(wrongWith(line)).toBeNull()
  })
  it('never has more points than that, however it wriggles', () => {
    const line = kept(circle(2000, 8, 0.6))
    expect(line.length).toBeLessThanOrEqual(mostPoints)
  })
  it('loses ends that overlap, and is not called crossed for them', () => {
    const past = of([0, 0], [2, 0], [2, 2], [0.2, 2], [0.2, -0.3])
    expect(crossesItself(past)).toBe(true)
    const line = kept(past)
    expect(wrongWith(line)).toBeNull()
    expect(line).toEqual(of([0.2, 0], [2, 0], [2, 2], [0.2, 2]))
  })
  it('loses an end that passes its beginning beside it, and nothing where it stops short of it', () => {
    const turn = (from: number, to: number, shrinks: number) =>
      Array.from({ length: 200 }, (_, i) => {
        const share = i / 199
        const [angle, far] = [from + share * (to - from), 2 - shrinks * share]
        return at(far * Math.cos(angle), far * Math.sin(angle))
      })
    const past = kept(turn(0, 2 * Math.PI + 0.4, 0.1))
    const end = past.at(-1)!
    expect(Math.hypot(end.across_cm - past[0]!.across_cm, end.up_cm - past[0]!.up_cm)).toBeLessThan(0.2)
    expect(Math.atan2(end.up_cm, end.across_cm)).toBeLessThan(0.15)
    const short = turn(0.3, 2 * Math.PI - 0.3, 0)
    expect(kept(short)[0]).toEqual({ across_cm: 1.91, up_cm: 0.59 })
    expect(kept(short).at(-1)).toEqual({ across_cm: 1.91, up_cm: -0.59 })
  })
  it('is told to cross itself where it is an eight', () => {
    expect(wrongWith(kept(of([0, 0], [2, 2], [2, 0], [0, 2])))).toBe('crosses')
  })
  it('is told to be tiny where it encloses nothing', () => {
    for (const drawn of [[at(1, 1)], of([1, 1], [1.02, 1.01], [1.01, 1.03]), of([0, 0], [2, 0.01], [4, 0])])
      expect(wrongWith(kept(drawn)), JSON.stringify(drawn)).toBe('tiny')
  })
  it('is moved whole', () => {
    expect(moved(of([0, 0], [1, 2]), 0.5, -0.1)).toEqual(of([0.5, -0.1], [1.5, 1.9]))
  })
})
