import { describe, expect, it } from 'vitest'
import { doorOf } from '../testing/setup'
import { clockShown, codeShown, earlier, readClock, readDate, readTyped, wallIn, wallOf } from './time'
import { When } from './when.svelte'

const now = { year: 2026, month: 6, day: 3, hour: 8, minute: 0 }

describe('what was typed', () => {
  it.each([
    ['8:05', { hour: 8, minute: 5 }],
    ['08.05', { hour: 8, minute: 5 }],
    ['0805', { hour: 8, minute: 5 }],
    ['23:59', { hour: 23, minute: 59 }],
    ['24:00', null],
    ['8', null],
    ['8:5', null],
    ['', null],
    ['8:05 pm', { hour: 20, minute: 5 }],
    ['8 am', { hour: 8, minute: 0 }],
    ['20:05 pm', null],
  ])('clock %j', (text, clock) => expect(readClock(text, '24')).toEqual(clock))
  it.each([
    ['8:05 am', { hour: 8, minute: 5 }],
    ['8:05pm', { hour: 20, minute: 5 }],
    ['8.05 P.M.', { hour: 20, minute: 5 }],
    ['12:00 am', { hour: 0, minute: 0 }],
    ['12:30 pm', { hour: 12, minute: 30 }],
    ['1 p', null],
    ['8:05', null],
    ['08:05', null],
    ['12:00', null],
    // Nobody can take these for the other half of the day.
    ['13:05', { hour: 13, minute: 5 }],
    ['0:05', { hour: 0, minute: 5 }],
    ['13:05 pm', null],
    ['0:05 am', null],
    ['8:60 am', null],
    ['am', null],
  ])('clock of twelve hours %j', (text, clock) => expect(readClock(text, '12')).toEqual(clock))
  it('shows a time so that it is read back, by either clock', () => {
    for (let minute = 0; minute < 24 * 60; minute += 7) {
      const time = { hour: Math.floor(minute / 60), minute: minute % 60 }
      for (const clock of ['24', '12'] as const) expect(readClock(clockShown(time, clock), clock)).toEqual(time)
    }
    expect(['00:00', '12:00', '20:05', '??'].map((c) => codeShown(c, '12'))).toEqual(['12:00 am', '12:00 pm', '8:05 pm', '??'])
    expect(codeShown('20:05', '24')).toBe('20:05')
  })
  it.each([
    ['25', '10', '02:20', { local: '2026-10-25T02:20' }],
    ['3', '6', '07:55', { local: '2026-06-03T07:55' }],
    ['4', '6', '07:55', { local: '2026-06-04T07:55' }],
    ['29', '2', '07:55', { problem: 'day' }],
    ['31', '6', '07:55', { problem: 'day' }],
    ['', '6', '07:55', { problem: 'day' }],
    ['3', '6', '7', { problem: 'clock' }],
  ])('%s %s %s', (day, month, clock, read) => expect(readTyped({ day, month, clock }, now, '24')).toEqual(read))
  it('takes the year that lies nearest', () => {
    const january = { ...now, month: 1, day: 2 }
    expect(readTyped({ day: '30', month: '12', clock: '20:00' }, january, '24')).toEqual({ local: '2025-12-30T20:00' })
  })
  it.each([
    ['9', '3', '1951', '1951-03-09'],
    ['29', '2', '2024', '2024-02-29'],
    ['29', '2', '2023', null],
    ['9', '3', '51', null],
    ['9', '13', '1951', null],
    ['', '3', '1951', null],
  ])('date %s %s %s', (d, m, y, date) => expect(readDate(d, m, y)).toBe(date))
})

describe('instants', () => {
  it('steps back at the same offset, over midnight too', () => {
    expect(earlier('2026-06-03T00:02:30+01:00', 5)).toBe('2026-06-02T23:57:30+01:00')
    expect(earlier('2026-06-03T00:02:30-07:00', 60)).toBe('2026-06-02T23:02:30-07:00')
    expect(earlier('2026-06-03T00:02:30Z', 0)).toBe('2026-06-03T00:02:30Z')
  })
  it('reads the clock of a zone, and knows where it cannot', () => {
    expect(wallIn('Asia/Tokyo', Date.parse('2026-06-03T08:00:00+01:00'))).toEqual({ ...now, hour: 16 })
    expect(wallIn('Nowhere/Here', 0)).toBeNull()
    expect(wallOf('2026-06-03T08:00:00+01:00')).toEqual(now)
  })
})

describe('when it was given', () => {
  const shown = ({ at, words, ago, problem }: When) => ({ at, words, ago, problem })
  const at = async (clock: string, zone = 'Europe/Paris') => {
    await doorOf({ now: clock })
    return new When(() => zone)
  }
  it('is now, in words', async () => {
    const when = await at('2026-06-03T08:00:00+02:00')
    await when.now()
    expect(shown(when)).toMatchObject({ at: '2026-06-03T08:00:00+02:00', words: 'Wed 3 Jun 2026, 08:00', ago: 'now' })
  })
  it('steps add up', async () => {
    const when = await at('2026-06-03T08:00:00+02:00')
    await when.back(15)
    await when.back(5)
    expect(when.at).toBe('2026-06-03T07:40:00+02:00')
    await when.now()
    await when.back(60)
    expect(when.at).toBe('2026-06-03T07:00:00+02:00')
  })
  it('asks which of two equal times was meant (case S1)', async () => {
    const when = await at('2026-10-25T12:00:00+01:00')
    await when.type()
    when.clock = '02:20'
    await when.typed()
    expect(shown(when)).toMatchObject({ problem: 'twice', at: null })
    expect(when.offers.map((o) => o.at)).toEqual(['2026-10-25T02:20:00+02:00', '2026-10-25T02:20:00+01:00'])
    when.pick(when.offers[1]!)
    expect(shown(when)).toMatchObject({ problem: null, at: '2026-10-25T02:20:00+01:00' })
  })
  it('offers two times for one that did not exist (case S2)', async () => {
    const when = await at('2026-03-29T12:00:00+02:00')
    await when.type()
    when.clock = '02:30'
    await when.typed()
    expect(shown(when)).toMatchObject({ problem: 'never', at: null })
    expect(when.offers.map((o) => o.at)).toEqual(['2026-03-29T01:30:00+01:00', '2026-03-29T03:30:00+02:00'])
  })
  it('now is never a question, also while the clock goes back', async () => {
    const when = await at('2026-10-25T02:20:00+01:00')
    await when.now()
    expect(shown(when)).toMatchObject({ problem: null, at: '2026-10-25T02:20:00+01:00' })
  })
  it('refuses what is later than now', async () => {
    const when = await at('2026-06-03T08:00:00+02:00')
    await when.type()
    when.clock = '08:30'
    await when.typed()
    expect(shown(when)).toMatchObject({ problem: 'future', at: null })
  })
})
