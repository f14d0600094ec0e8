import { describe, expect, it } from 'vitest'
import { FakeDoor } from '../testing/fake-door'
import type { KeptData, MeasuresData } from '../wire'
import { cellPaths } from '../parts/patch-drawing'
import type { PatchData, UseGridData } from '../wire'
import { alike, percent, periodOf, statements } from './rotation'

const kept = (over: Partial<KeptData> = {}): KeptData => ({ kept: 25, of: 28, share: 25 / 28, low: 0.728, high: 0.963, unknown: 0, worst: 0.64, ...over })
function data(over: Partial<MeasuresData> = {}): MeasuresData {
  return {
    ...new FakeDoor().measures('p1', '2026-05-07', '2026-06-03'),
    injections: 28,
    spacing: { words: 'Spacing sentence.', value: kept() },
    rest: { words: 'Rest sentence.', value: kept({ worst: 2 }) },
    ...over,
  }
}

describe('a period', () => {
  it('is whole weeks that end today on the person’s clock', () => {
    expect(periodOf(4, '2026-06-03T08:00:00+01:00', 'Europe/London')).toEqual({ from: '2026-05-07', to: '2026-06-03' })
    // Already tomorrow in Auckland.
    expect(periodOf(4, '2026-06-03T20:00:00+01:00', 'Pacific/Auckland')).toEqual({ from: '2026-05-08', to: '2026-06-04' })
    expect(periodOf(12, '2026-01-03T08:00:00Z', 'Europe/London').from).toBe('2025-10-12')
  })
})

describe('a percentage', () => {
  it.each([[0, '0 %'], [1, '100 %'], [25 / 28, '89 %'], [0.0002, '0.1 %'], [0.9999, '99.9 %'], [0.996, '99.6 %']])('%d reads %s', (share, words) => {
    expect(percent(share)).toBe(words)
  })
})

describe('the measures in words', () => {
  it('spacing and rest stand together where they are equal, with what differs below', () => {
    const [first, second] = statements(data())
    expect(first!.title).toBe('Spacing and rest')
    expect(first!.sentences).toHaveLength(1)
    expect(first!.sentences[0]).toMatch(/^25 of 28 injections \(89 %\) kept both/)
    expect(first!.figures).toEqual([
      { name: 'Likely habit (95 %)', value: '73 % to 96 %' },
      { name: 'Closest', value: '0.6 cm' },
      { name: 'Shortest rest', value: '2 days' },
    ])
    expect(second!.title).toBe('Skin used')
  })
  it('and apart, each in the door’s words, where they are not', () => {
    const apart = data({ rest: { words: 'Rest sentence.', value: kept({ kept: 20, share: 20 / 28 }) } })
    expect(alike(apart)).toBe(false)
    const [spacing, rest] = statements(apart)
    expect([spacing!.sentences, rest!.sentences]).toEqual([['Spacing sentence.'], ['Rest sentence.']])
  })
  it('says what cannot be known, and how many', () => {
    const unsure = statements(data({ quadrant_only: 3, spacing: { words: '', value: kept({ unknown: 2 }) }, rest: { words: '', value: kept({ unknown: 2 }) } }))
    expect(unsure[0]!.sentences[1]).toBe('Not counted: 3 known only to the quadrant.')
    expect(unsure[0]!.figures).toContainEqual({ name: 'Cannot be known', value: '2' })
    const none = { words: 'No injections in this period.', value: null }
    const empty = statements(data({ spacing: none, rest: none }))
    expect(empty[0]!.sentences).toEqual(['No injections in this period.'])
    expect(empty[0]!.figures).toEqual([])
    for (const s of empty) expect(s.sentences.every((w) => w.endsWith('.'))).toBe(true)
  })
})

describe('cells on the skin', () => {
  const patch = (flipped: boolean) => ({ zone: 'abdomen', grows_to_viewer_left: flipped }) as PatchData
  const grid = {
    cell_cm: 0.5,
    zones: [{ zone: 'abdomen', rows: [{ first: { across_cm: 0.25, up_cm: 0.25 }, days: [2, 3, 9], step: [1, 1, 3], load: [1, 1, 1] }] }],
  } as unknown as UseGridData
  it('join where they have one step', () => {
    expect(cellPaths(patch(false), grid)).toEqual([
      { step: 1, d: 'M0.0 -5.0H10.0v5H0.0Z' },
      { step: 3, d: 'M10.0 -5.0H15.0v5H10.0Z' },
    ])
  })
  it('are flipped with the drawing', () => {
    expect(cellPaths(patch(true), grid)[1]).toEqual({ step: 3, d: 'M-15.0 -5.0H-10.0v5H-15.0Z' })
  })
})
