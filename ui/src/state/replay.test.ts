import { beforeEach, describe, expect, it, vi } from 'vitest'
import { useTransport } from '../core'
import type { FakeDoor } from '../testing/fake-door'
import { doorOf } from '../testing/setup'
import { beat, calmBeat, keyStep, reach, Replay } from './replay.svelte'

const asked = (door: FakeDoor) => door.seen.filter((s) => s.op === 'use_map').map((s) => (s.args as { at?: string | null }).at ?? null)

describe('the slider over past months', () => {
  beforeEach(() => {
    vi.useFakeTimers()
    return () => vi.useRealTimers()
  })
  async function open(calm = false) {
    const door = await doorOf()
    const replay = new Replay('p1', () => calm)
    await replay.open()
    return { door, replay }
  }
  it('knows its keys and no other', () => {
    expect(['ArrowLeft', 'ArrowRight', 'PageDown', 'PageUp', 'Home', 'End', 'a'].map(keyStep)).toEqual([-1, 1, -7, 7, 'first', 'last', null])
  })
  it('steps by a day and a week, and asks for the same clock time', async () => {
    const { door, replay } = await open()
    replay.key('ArrowLeft')
    await vi.advanceTimersByTimeAsync(0)
    replay.key('PageDown')
    await vi.advanceTimersByTimeAsync(0)
    expect(replay.shown).toBe(8)
    expect(asked(door)).toEqual([null, '2026-06-02T08:00:00+01:00', '2026-05-26T08:00:00+01:00'])
    expect(replay.key('x')).toBe(false)
  })
  it('never leaves the half year', async () => {
    const { replay } = await open()
    replay.step(5)
    expect(replay.ago).toBe(0)
    replay.key('Home')
    replay.step(-7)
    expect(replay.ago).toBe(reach)
    replay.to(Number.NaN)
    expect(replay.ago).toBe(reach)
  })
  it('has one question on its way, and asks only the last of what was chosen meanwhile', async () => {
    const door = await doorOf()
    let open = 0
    let most = 0
    useTransport(async (line) => {
      open++
      most = Math.max(most, open)
      await new Promise((done) => setTimeout(done, 100))
      open--
      return door.transport(line)
    })
    const replay = new Replay('p1', () => false)
    const opened = replay.open()
    await vi.advanceTimersByTimeAsync(100)
    await opened
    for (let day = 1; day <= 50; day++) replay.to(day)
    expect(replay.waiting).toBe(true)
    await vi.advanceTimersByTimeAsync(1000)
    expect(most).toBe(1)
    expect(asked(door)).toHaveLength(3)
    expect([replay.shown, replay.waiting]).toEqual([50, false])
  })
  it('plays from the start to now, day by day, and stops there', async () => {
    const { door, replay } = await open()
    replay.play()
    expect([replay.playing, replay.ago]).toEqual([true, reach])
    await vi.advanceTimersByTimeAsync(beat * 3)
    expect(replay.shown).toBe(reach - 3)
    await vi.advanceTimersByTimeAsync(beat * reach)
    expect([replay.playing, replay.ago, replay.shown]).toEqual([false, 0, 0])
    expect(asked(door)).toHaveLength(reach + 2)
  })
  it('pauses, and a step by hand pauses too', async () => {
    const { replay } = await open()
    replay.play()
    await vi.advanceTimersByTimeAsync(beat)
    replay.pause()
    const { ago } = replay
    await vi.advanceTimersByTimeAsync(beat * 5)
    expect(replay.ago).toBe(ago)
    replay.play()
    replay.step(-1)
    expect(replay.playing).toBe(false)
  })
  it('changes seldom, a week at a time, where little motion is wanted', async () => {
    const { replay } = await open(true)
    replay.play()
    await vi.advanceTimersByTimeAsync(calmBeat - 1)
    expect(replay.ago).toBe(reach)
    await vi.advanceTimersByTimeAsync(1)
    expect(replay.ago).toBe(reach - 7)
  })
  it('stops at a refusal, keeps the last map and says so', async () => {
    const { door, replay } = await open()
    door.refuse.push({ op: 'use_map', error: { code: 'busy', message: 'Another copy holds it.' } })
    replay.play()
    await vi.advanceTimersByTimeAsync(beat * 2)
    expect(replay.playing).toBe(false)
    expect(replay.fault?.code).toBe('busy')
    expect(replay.shown).toBe(0)
    await replay.open()
    expect([replay.fault, replay.shown]).toEqual([null, reach])
  })
})
