/** The round of the day, found by role and name. */
import { cleanup, render, screen, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import App from '../App.svelte'
import { grouped, named } from '../state/round'
import { session } from '../state/session.svelte'
import { order, person } from './fake-door'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const heading = (name: RegExp | string) => screen.findByRole('heading', { level: 1, name })

async function goTo(path: string) {
  window.history.replaceState(null, '', `#${path}`)
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
}

beforeEach(async () => {
  window.scrollTo = () => undefined
  Element.prototype.scrollIntoView = () => undefined
  session.status = null
  await goTo('/')
})
afterEach(() => {
  vi.useRealTimers()
  cleanup()
})

async function fourKinds() {
  const door = await doorOf({
    people: [person({ note: 'Key safe at the side door.' }), person({ id: 'p2', name: 'Bram Quill' })],
    orders: [order({ doubts: ['No signature date is on record.'] }), order({ id: 'o2', person: 'p2' })],
  })
  const [one, two] = door.orders as [ReturnType<typeof order>, ReturnType<typeof order>]
  door.visit.slot({ order: one, standing: 'late', words: 'late by 2 h', time: '06:00', at: '2026-06-03T06:00:00+01:00' })
  door.visit.slot({ order: two, standing: 'due' })
  door.visit.slot({ order: two, standing: 'upcoming', words: 'in 10 h', time: '18:00', at: '2026-06-03T18:00:00+01:00' })
  const injection = door.add({ order: 'o2', given_at: '2026-06-03T00:04:00+01:00', site: { zone: 'abdomen', across_cm: -5, up_cm: 3 } })
  door.visit.slot({ order: two, standing: 'given', words: 'given for 00:00', time: '00:00', at: '2026-06-03T00:00:00+01:00', injection })
  return door
}

describe('the round of the day', () => {
  it('is one tap from the caseload and stands in groups, in the order of the door', async () => {
    await fourKinds()
    render(App)
    await userEvent.click(await button('Today'))
    await heading('Today')
    const groups = await screen.findAllByRole('heading', { level: 2 })
    expect(groups.map((g) => g.textContent)).toEqual(['Late', 'Due now', 'Still to come', 'Done and not done'])
    expect((await screen.findByText(/1 late/)).textContent).toBe('1 late · 1 due now · 1 to come · 1 past')
    const late = groups[0]!.closest('section')!
    for (const text of ['06:00', 'late by 2 h', 'Ottoline Farrow', '12 units', 'Key safe at the side door.', 'No signature date is on record.', 'Last 23 h ago: 12 units by Nurse Imri Vane'])
      expect(within(late).getByText(text)).toBeTruthy()
    await userEvent.click(await button('Back'))
    await heading('Fallow: Caseload')
  })
  it('opens the form by the big tap, and the record where it was given', async () => {
    await fourKinds()
    await goTo('/today')
    render(App)
    await userEvent.click(await button(/^Give: Ottoline Farrow, 12 units insulin glargine 100 units\/mL, 06:00, late by 2 h$/))
    await heading('Give')
    await userEvent.click(await button('Back'))
    const done = await button(/^See the record: Bram Quill/)
    expect(done.textContent).toContain('12 units at 00:04, by Nurse Imri Vane')
    expect(screen.queryByRole('button', { name: /^Not given: Bram Quill.*00:00$/ })).toBeNull()
    await userEvent.click(done)
    await heading('Record')
  })
  it('finds by name, and keeps orders given when needed apart', async () => {
    const door = await fourKinds()
    door.visit.asNeeded = [{ person: 'p1', person_name: 'Ottoline Farrow', order: door.orders[0]!, last_words: null }]
    await goTo('/today')
    render(App)
    const needed = (await screen.findByRole('heading', { name: 'When needed' })).closest('section')!
    within(needed).getByRole('button', { name: /^Give when needed: Ottoline Farrow/ })
    await userEvent.type(await screen.findByRole('searchbox', { name: 'Find a person' }), 'bram')
    expect(screen.queryByText('Ottoline Farrow')).toBeNull()
    expect(screen.getAllByText('Bram Quill')).toHaveLength(3)
    await userEvent.type(screen.getByRole('searchbox'), 'x')
    await screen.findByText('Nobody with something due today matches “bramx”.')
  })
  it('looks again each minute, and says when what it shows may be old', async () => {
    const door = await fourKinds()
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] })
    await goTo('/today')
    render(App)
    await heading('Today')
    await screen.findByText('late by 2 h')
    const asked = door.count('due')
    door.visit.slots[0]!.words = 'late by 2 h 1 min'
    vi.advanceTimersByTime(60_000)
    await screen.findByText('late by 2 h 1 min')
    expect(door.count('due')).toBe(asked + 1)
    door.refuse.push({ op: 'due', error: { code: 'busy', message: 'Another copy is writing. Try again.' } })
    vi.advanceTimersByTime(60_000)
    await screen.findByText('What is shown may be out of date.')
    await screen.findByText('late by 2 h 1 min')
    await userEvent.click(await button('Try again'))
    await vi.waitFor(() => expect(screen.queryByText('What is shown may be out of date.')).toBeNull())
  })
  it('says what to do where nothing is due, and tells a fault', async () => {
    const door = await doorOf()
    door.refuse.push({ op: 'due', error: { code: 'busy', message: 'Another copy is writing. Try again.' } })
    await goTo('/today')
    render(App)
    await userEvent.click(await button('Try again'))
    await screen.findByText('Nothing is due today.')
    await userEvent.click(await button('To the caseload'))
    await heading('Fallow: Caseload')
  })
  it('offers no writing where the record cannot be written', async () => {
    const door = await doorOf({ writable: false })
    door.visit.slot()
    await goTo('/today')
    render(App)
    await button(/^See the record: Ottoline Farrow/)
    expect(screen.queryByRole('button', { name: /^Not given/ })).toBeNull()
  })
})

describe('groups', () => {
  it('keep the order of the door and leave nothing out', async () => {
    const door = await fourKinds()
    const groups = grouped(door.visit.slots)
    expect(groups.flatMap((g) => g.slots)).toEqual(door.visit.slots)
    expect(named(door.visit.slots, '  OTTO ')).toHaveLength(1)
  })
})
