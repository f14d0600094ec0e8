/** What a chart is asked for, when, and which answer is shown. */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { useTransport } from '../core'
import { FakeDoor } from '../testing/fake-door'
import type { ChartGet } from '../wire'
import { queryOf, readAsked, readDates, readWeeks, type Asked } from './chart-period'
import { ChartView, drawnWidth, settling } from './chart.svelte'

const weeks = (n: number, compare = false): Asked => ({ period: { weeks: n }, compare })

describe('the period in the address', () => {
  it.each<[string, Asked]>([
    ['', weeks(12)],
    ['weeks=4', weeks(4)],
    ['weeks=52&compare=1', weeks(52, true)],
    ['weeks=13', weeks(12)],
    ['weeks=1e9', weeks(12)],
    ['from=2026-01-05&to=2026-03-01', { period: { from: '2026-01-05', to: '2026-03-01' }, compare: false }],
    ['from=2026-03-01&to=2026-01-05&compare=1', weeks(12, true)],
    ['from=2026-02-30&to=2026-03-01', weeks(12)],
    ['from=2026-01-05', weeks(12)],
  ])('%j', (query, asked) => {
    expect(readAsked(query)).toEqual(asked)
    expect(readAsked(queryOf(asked))).toEqual(asked)
  })
  it('takes only weeks on offer', () => {
    expect(readWeeks('weeks=52', [4, 12, 26])).toBe(12)
    expect(readWeeks('weeks=26', [4, 12, 26])).toBe(26)
  })
})

describe('two dates', () => {
  it.each([
    ['2026-01-05', '2026-01-05', { from: '2026-01-05', to: '2026-01-05' }],
    [' 2026-1-5', '2026-03-01', { from: '2026-01-05', to: '2026-03-01' }],
    ['', '2026-03-01', { problem: 'from' }],
    ['2026-01-05', '', { problem: 'to' }],
    // A field that is typed into year by year, or 2026-02-30: neither is a day anybody means.
    ['0025-12-11', '2026-03-01', { problem: 'from' }],
    ['2026-01-05', '2026-02-30', { problem: 'to' }],
    ['2026-03-02', '2026-03-01', { problem: 'reversed' }],
  ])('%s to %s', (from, to, read) => expect(readDates(from, to)).toEqual(read))
})

describe('the width to draw for', () => {
  it.each([
    [null, null], [0, null], [100, 280], [324, 320], [328, 328], [335.9, 328], [616.5, 616], [3000, 1200],
  ])('of a column of %s is %s', (column, width) => expect(drawnWidth(column)).toBe(width))
})

/** A door whose charts are answered when the test says so. */
function heldDoor() {
  const door = new FakeDoor()
  const held: { args: ChartGet; answer: () => void }[] = []
  useTransport(async (line) => {
    const { op, args } = JSON.parse(line)
    if (op === 'chart') await new Promise<void>((go) => held.push({ args, answer: () => go() }))
    return door.transport(line)
  })
  return { door, held }
}
const settled = () => vi.advanceTimersByTimeAsync(0)

describe('the chart', () => {
  beforeEach(() => void vi.useFakeTimers())
  afterEach(() => void vi.useRealTimers())

  it('drops an answer that was overtaken, whichever comes first', async () => {
    for (const order of [[0, 1], [1, 0]]) {
      const { held } = heldDoor()
      const view = new ChartView('p1', weeks(12), 'light')
      void view.open(328)
      await settled()
      view.choose(weeks(26))
      await settled()
      expect(held.map((h) => h.args.weeks)).toEqual([12, 26])
      for (const i of order) {
        held[i]!.answer()
        await settled()
      }
      expect(view.data?.period_words).toBe('26 weeks to 3 Jun 2026')
      expect(view.shown).toEqual(weeks(26))
      expect(view.drawing).toBeNull()
    }
  })
  it('is still drawing while only the overtaken answer has come', async () => {
    const { held } = heldDoor()
    const view = new ChartView('p1', weeks(12), 'light')
    void view.open(null)
    await settled()
    view.choose(weeks(4))
    await settled()
    held[0]!.answer()
    await settled()
    expect(view.data).toBeNull()
    expect(view.drawing).toBe('period')
  })
  it('is asked for again once a new width has settled, and not for one that draws the same', async () => {
    const { held } = heldDoor()
    const view = new ChartView('p1', weeks(12), 'light')
    void view.open(330)
    await settled()
    held[0]!.answer()
    await settled()
    for (const column of [400, 500, 600, 616]) {
      view.resized(column)
      await vi.advanceTimersByTimeAsync(settling - 1)
    }
    expect(held).toHaveLength(1)
    await vi.advanceTimersByTimeAsync(1)
    expect(held.map((h) => h.args.width)).toEqual([328, 616])
    expect(view.drawing).toBe('look')
    held[1]!.answer()
    await settled()
    view.resized(623)
    view.resized(null)
    await vi.advanceTimersByTimeAsync(settling)
    expect(held).toHaveLength(2)
  })
  it('keeps a width it had on the way to another', async () => {
    const { held } = heldDoor()
    const view = new ChartView('p1', weeks(12), 'light')
    void view.open(328)
    view.resized(640)
    view.resized(328)
    await vi.advanceTimersByTimeAsync(settling)
    expect(held).toHaveLength(1)
  })
  it('still says that other days are on their way when the theme changes meanwhile', async () => {
    const { held } = heldDoor()
    const view = new ChartView('p1', weeks(12), 'light')
    void view.open(328)
    await settled()
    view.themed('dark')
    await settled()
    expect(held.map((h) => h.args.theme)).toEqual(['light', 'dark'])
    expect(view.drawing).toBe('period')
  })
  it('keeps the last good chart through a fault', async () => {
    const { door, held } = heldDoor()
    const view = new ChartView('p1', weeks(12), 'light')
    void view.open(328)
    await settled()
    held[0]!.answer()
    await settled()
    door.refuse.push({ op: 'chart', error: { code: 'busy', message: 'Another copy holds it.' } })
    view.choose(weeks(52))
    await settled()
    held[1]!.answer()
    await settled()
    expect(view.fault?.code).toBe('busy')
    expect(view.data?.period_words).toBe('12 weeks to 3 Jun 2026')
    expect(view.shown).toEqual(weeks(12))
    view.again()
    await settled()
    held[2]!.answer()
    await settled()
    expect(view.fault).toBeNull()
    expect(view.shown).toEqual(weeks(52))
  })
  it('says nothing more once it is closed', async () => {
    const { held } = heldDoor()
    const view = new ChartView('p1', weeks(12), 'light')
    void view.open(328)
    await settled()
    view.resized(640)
    view.close()
    held[0]!.answer()
    await vi.advanceTimersByTimeAsync(settling)
    expect(view.data).toBeNull()
    expect(held).toHaveLength(1)
  })
})
