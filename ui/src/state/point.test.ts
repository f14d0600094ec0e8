import { beforeEach, describe, expect, it, vi } from 'vitest'
import { doorOf } from '../testing/setup'
import { arrowOf, coarse, fine, PatchPoint } from './point.svelte'

const of = { person: 'p1', order: 'o1', at: '2026-06-03T08:00:00+01:00', giver: null, without: null }

describe('a point by arrow keys', () => {
  beforeEach(() => {
    vi.useFakeTimers()
    return () => vi.useRealTimers()
  })
  const at = async (zone: string) => {
    await doorOf()
    const point = new PatchPoint(of)
    await point.open(zone, { zone, quadrant: null, across_cm: 3, up_cm: -2 })
    return point
  }
  it('knows its four keys and no other', () => {
    expect(['ArrowLeft', 'ArrowUp', 'Enter', 'a'].map(arrowOf)).toEqual(['left', 'up', null, null])
  })
  it('moves half a centimetre, and a millimetre finely', async () => {
    const point = await at('abdomen')
    point.move('right', coarse)
    point.move('up', fine)
    expect(point.point).toEqual({ across_cm: 3.5, up_cm: -1.9 })
  })
  it('moves as the viewer sees it on a drawing that is flipped', async () => {
    const point = await at('right_thigh')
    expect(point.patch?.grows_to_viewer_left).toBe(true)
    point.move('left', coarse)
    expect(point.point?.across_cm).toBe(3.5)
  })
  it('never leaves the drawing, and a hundred millimetres are ten centimetres', async () => {
    const point = await at('abdomen')
    for (let i = 0; i < 100; i++) point.move('left', fine)
    expect(point.point?.across_cm).toBe(-7)
    for (let i = 0; i < 100; i++) point.move('left', coarse)
    expect(point.point?.across_cm).toBe(-16)
  })
  it('is read out by the door once the hand rests', async () => {
    const point = await at('abdomen')
    await vi.advanceTimersByTimeAsync(200)
    point.move('down', coarse)
    point.move('down', coarse)
    await vi.advanceTimersByTimeAsync(200)
    expect(point.check?.words).toContain('3 cm below')
    expect(point.check?.site.quadrant).toBe('left_lower')
  })
  it('may be known only to the quadrant', async () => {
    const point = await at('abdomen')
    point.only('right_upper')
    expect(point.site).toEqual({ zone: 'abdomen', quadrant: 'right_upper', across_cm: null, up_cm: null })
  })
})
