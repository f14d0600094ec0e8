/** The plan, its sheet and the room on this skin, found by role and name. */
import { cleanup, render, screen, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import { figuresOf, numbered } from '../state/plan'
import { emptyRoom, entry, planOf } from './fake-plan'
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
afterEach(cleanup)

describe('the plan', () => {
  it('is reached from the person, shows the next place, the week and the places on the skin', async () => {
    const door = await doorOf()
    door.plan = planOf([entry(1, { overdue: true }), entry(2), entry(3)])
    await goTo('/person/p1')
    render(App)
    await userEvent.click(await button('Plan'))
    await heading('Plan')
    const next = (await screen.findByRole('heading', { name: 'Next' })).closest('section')!
    expect(next.textContent).toContain('Abdomen, place 1')
    expect(next.textContent).toContain('No record for this time yet')
    const list = await screen.findByRole('list')
    expect(within(list).getAllByRole('listitem').map((li) => li.textContent?.includes('place'))).toEqual([true, true, true])
    const drawings = await screen.findAllByRole('img', { name: /Planned places: 1, 2, 3\.$/ })
    expect(drawings).toHaveLength(2)
    expect(drawings[0]!.querySelectorAll('[data-number]')).toHaveLength(3)
    await userEvent.click(await screen.findByRole('radio', { name: '12 weeks' }))
    expect(door.seen.filter((s) => s.op === 'plan').map((s) => (s.args as { weeks: number }).weeks)).toEqual([4, 12])
  })
  it('says what it cannot hold, and what to do where there is nothing to plan', async () => {
    const door = await doorOf()
    await goTo('/person/p1/plan')
    const shown = render(App)
    await screen.findByText(/no order in force says when/)
    await button('Add an order')
    shown.unmount()
    door.plan = planOf([entry(1)], {
      note: 'From 9 Jun 2026 on not every injection has a clear place.',
      unplanned: [{ order: 'o2', medicine_name: 'insulin aspart 100 units/mL', words: 'It has no times of day.' }],
    })
    render(App)
    await screen.findByText(/From 9 Jun 2026 on/)
    await screen.findByText('It has no times of day.')
  })
  it('is a sheet a zone, printed on demand', async () => {
    const door = await doorOf()
    door.plan = planOf([entry(1), entry(2)])
    await goTo('/person/p1/plan/sheet')
    render(App)
    await heading('Sheet to print')
    const places = await screen.findAllByRole('listitem')
    expect(places.map((p) => p.textContent?.replace(/\s+/g, ' ').trim())).toEqual([
      '1 place 1Wed 3 Jun 2026, 08:00', '2 place 2Wed 4 Jun 2026, 08:00',
    ])
    const print = vi.fn()
    vi.stubGlobal('print', print)
    await userEvent.click(await button('Print'))
    expect(print).toHaveBeenCalledOnce()
    vi.unstubAllGlobals()
  })
  it('tells a fault and tries again', async () => {
    const door = await doorOf()
    door.plan = planOf([entry(1)])
    door.refuse.push({ op: 'plan', error: { code: 'busy', message: 'Another copy is writing. Try again.' } })
    await goTo('/person/p1/plan')
    render(App)
    await userEvent.click(await button('Try again'))
    await screen.findByRole('heading', { name: 'Next' })
  })
})

describe('drawings of a week', () => {
  it('keep to the one quadrant, or show the whole zone; each place once', () => {
    const other = entry(3)
    other.place = { ...other.place, site: { ...other.place.site, quadrant: 'right_upper' } }
    const week = { first: '', words: '', places: [], entries: [entry(1), entry(2), entry(1)] }
    expect(figuresOf(week, 2)).toMatchObject([{ zone: 'abdomen', quadrant: 'left_upper', points: [{ number: 1, next: false }, { number: 2, next: true }] }])
    expect(figuresOf({ ...week, entries: [entry(1), other] }, null)[0]!.quadrant).toBeNull()
    const unknown = entry(4)
    unknown.place = { ...unknown.place, site: { zone: 'abdomen', quadrant: 'left_upper', across_cm: null, up_cm: null } }
    expect(numbered([unknown], null)).toEqual([])
  })
})

const short = () => emptyRoom({
  words: 'This skin cannot carry 9 a day.', enough: false, short_sites: 30, working_spacing_cm: null, margin_words: null,
})

describe('room on this skin', () => {
  it('says need, capacity and what would help', async () => {
    const door = await doorOf()
    door.room = short()
    await goTo('/person/p1')
    render(App)
    await userEvent.click(await button('Room on this skin'))
    await screen.findByRole('heading', { name: 'Not enough room' })
    await screen.findByText('This skin cannot carry 9 a day.')
    expect((await screen.findByText('Sites lacking')).nextElementSibling?.textContent).toBe('30 sites')
    await screen.findByText('The thighs would add 300 sites.')
    await screen.findByRole('img', { name: '28 sites needed, 400 found, 430 at most' })
  })
  it('warns on giving, once a day', async () => {
    const door = await doorOf()
    door.room = short()
    await goTo('/person/p1/give')
    const first = render(App)
    await screen.findByText('This skin has not enough room for these orders.')
    await vi.waitFor(() => expect(door.drafts.get('room-seen:p1')?.body).toBe('2026-06-03'))
    first.unmount()
    const second = render(App)
    await button('Record injection')
    await vi.waitFor(() => expect(door.count('draft_get')).toBeGreaterThan(3))
    expect(screen.queryByText('This skin has not enough room for these orders.')).toBeNull()
    second.unmount()
    door.now = '2026-06-04T08:00:00+01:00'
    render(App)
    await screen.findByText('This skin has not enough room for these orders.')
  })
  it('is silent on giving where there is room', async () => {
    const door = await doorOf()
    await goTo('/person/p1/give')
    render(App)
    await button('Record injection')
    await vi.waitFor(() => expect(door.count('room')).toBe(1))
    expect(screen.queryByText('This skin has not enough room for these orders.')).toBeNull()
  })
})
