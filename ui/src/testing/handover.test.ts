/** The handover at the end of a shift, found by role and name. */
import { cleanup, render, screen, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import type { HandoverGet } from '../wire'
import { emptyHandover } from './fake-visit'
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
  await goTo('/today')
})
afterEach(cleanup)

const line = (words: string, at: string | null = null) => ({ person: 'p1', person_name: 'Ottoline Farrow', words, order: at ? 'o1' : null, at })
const asked = (door: Awaited<ReturnType<typeof doorOf>>) =>
  door.seen.filter((s) => s.op === 'handover').map((s) => s.args as HandoverGet)

describe('the handover', () => {
  it('is reached from the round and tells what to look after first', async () => {
    const door = await doorOf()
    door.visit.handover = {
      ...emptyHandover(), summary: '1 given, 1 not given, 1 without a record, 1 concern.', concerns: [line('Lump felt.')],
      not_given: [line('Not given: declined.')], open: [line('08:00 12 units.')], given: [line('07:00 12 units.')],
    }
    render(App)
    await userEvent.click(await button('Handover'))
    await heading('Handover')
    await screen.findByRole('heading', { level: 2, name: '1 given, 1 not given, 1 without a record, 1 concern.' })
    const sections = await screen.findAllByRole('heading', { level: 3 })
    expect(sections.map((h) => h.textContent)).toEqual(['To look after', 'Not given', 'Without a record', 'Given'])
    within(sections[0]!.closest('section')!).getByText('Lump felt.')
    expect(asked(door)).toEqual([{ from: '2026-06-03T00:00:00+01:00', to: '2026-06-03T08:00:00+01:00' }])
    const print = vi.fn()
    vi.stubGlobal('print', print)
    await userEvent.click(await button('Print'))
    expect(print).toHaveBeenCalledOnce()
    vi.unstubAllGlobals()
    await userEvent.click(await button('Back'))
    await heading('Today')
  })
  it('leads from a line without a record to what became of it', async () => {
    const door = await doorOf()
    door.visit.handover = { ...emptyHandover(), given: [line('07:00 12 units.')], open: [line('08:00 12 units.', '2026-06-03T08:00:00+01:00')] }
    await goTo('/handover')
    render(App)
    await userEvent.click(await button('Not given: Ottoline Farrow, 08:00 12 units.'))
    await heading('Not given')
    expect(window.location.hash).toBe('#/person/p1/not-given/o1/2026-06-03T08%3A00%3A00%2B01%3A00')
    await userEvent.click(await button('Back'))
    await userEvent.click(await button('It was given: Ottoline Farrow, 08:00 12 units.'))
    await vi.waitFor(() => expect(window.location.hash).toBe('#/person/p1/give/for/o1'))
  })
  it('covers twelve hours, or the hours that are typed', async () => {
    const door = await doorOf()
    await goTo('/handover')
    render(App)
    await screen.findByText('Nothing was due and nothing was recorded in these hours.')
    await userEvent.click(await screen.findByRole('radio', { name: '12 h' }))
    await vi.waitFor(() => expect(asked(door)).toHaveLength(2))
    expect(asked(door)[1]!.from).toBe('2026-06-02T20:00:00+01:00')
    await userEvent.click(await screen.findByRole('radio', { name: 'Other' }))
    const from = await screen.findByRole('group', { name: 'From' })
    const clock = await within(from).findByRole('textbox', { name: 'Time' })
    await userEvent.clear(clock)
    await userEvent.type(clock, '0115')
    await vi.waitFor(() => expect(from.querySelector('[data-when]')!.getAttribute('data-when')).not.toBeNull())
    await userEvent.click(await button('Show these hours'))
    await vi.waitFor(() => expect(asked(door)).toHaveLength(3))
    expect(asked(door)[2]!.from).toContain(':15:00')
    expect(Date.parse(asked(door)[2]!.to!)).toBe(Date.parse(door.now))
  })
  it('tells a fault and tries again', async () => {
    const door = await doorOf()
    door.refuse.push({ op: 'handover', error: { code: 'dates_reversed', message: 'The shift ends before it starts.' } })
    await goTo('/handover')
    render(App)
    await screen.findByText('The shift ends before it starts.')
    await userEvent.click(await button('Try again'))
    await screen.findByText('Nothing was due and nothing was recorded in these hours.')
  })
})
