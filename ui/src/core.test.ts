import { afterEach, describe, expect, it, vi } from 'vitest'
import { ask, asRefusal, freshId, Refusal, useTransport } from './core'
import { faults } from './words'

const replying = (text: string) => useTransport(async () => text)

describe('asking the door', () => {
  it('sends one line and gives the data', async () => {
    let sent = ''
    useTransport(async (line) => {
      sent = line
      return '{"ok":{"op":"person_list","data":{"people":[]}}}'
    })
    expect(await ask('person_list', { search: 'a' })).toEqual({ people: [] })
    expect(sent).toBe('{"op":"person_list","args":{"search":"a"}}')
  })
  it('throws a refusal with its code and what the screen needs', async () => {
    replying('{"error":{"code":"time_in_gap","message":"no","offers":[{"at":"x","words":"y"}]}}')
    const fault = await ask('status', {}).catch(asRefusal)
    expect(fault).toMatchObject({ code: 'time_in_gap', message: 'no', offers: [{ at: 'x', words: 'y' }] })
  })
  it.each(['', '<html>', 'null', '{}'])('calls %j no answer at all', async (text) => {
    replying(text)
    expect(await ask('status', {}).catch(asRefusal)).toMatchObject({ code: 'unreachable' })
  })
  it('calls a rejected call unreachable, and keeps its words', async () => {
    useTransport(() => Promise.reject(new Error('not allowed by the capability')))
    const fault = await ask('status', {}).catch(asRefusal)
    expect(fault).toMatchObject({ code: 'unreachable', message: 'not allowed by the capability' })
    expect((fault as Refusal).lost).toBe(true)
  })
  it('says of every code what happened', () => {
    for (const [code, heading] of Object.entries(faults)) expect(heading.length, code).toBeGreaterThan(10)
  })
})

describe('a fresh id', () => {
  afterEach(() => vi.unstubAllGlobals())
  const uuid = /^[0-9a-f]{8}-[0-9a-f]{4}-[47][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/
  it('is a UUID, also outside a secure context', () => {
    expect(freshId()).toMatch(uuid)
    const real = crypto
    vi.stubGlobal('crypto', { getRandomValues: real.getRandomValues.bind(real) })
    const ids = new Set(Array.from({ length: 200 }, freshId))
    expect(ids.size).toBe(200)
    for (const id of ids) expect(id).toMatch(uuid)
  })
})
