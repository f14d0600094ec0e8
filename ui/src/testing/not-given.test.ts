/** Not given, and taking an entry back, found by role and name. */
import { cleanup, fireEvent, render, screen, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import { person } from './fake-door'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const heading = (name: RegExp | string) => screen.findByRole('heading', { level: 1, name })
const radio = (name: RegExp | string) => screen.findByRole('radio', { name })

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

const path = '/person/p1/not-given/o1/2026-06-03T08%3A00%3A00%2B01%3A00'

describe('not given', () => {
  it('is asked for its reason and who records it, saves once, and leads back with a sentence', async () => {
    const door = await doorOf()
    door.visit.slot()
    await goTo('/today')
    render(App)
    await userEvent.click(await button(/^Not given: Ottoline Farrow/))
    await heading('Not given')
    await screen.findByText('Last 23 h ago: 12 units by Nurse Imri Vane')
    await userEvent.click(await button('Record “not given”'))
    expect((await screen.findByRole('alert')).textContent).toBe('Choose why.')
    expect(document.activeElement).toBe(await radio('Declined'))
    await userEvent.click(await radio('Low glucose'))
    await userEvent.click(await button('Record “not given”'))
    expect((await screen.findByRole('alert')).textContent).toBe('Say who records it.')
    await userEvent.type(await screen.findByRole('textbox', { name: 'Another name' }), 'Imri Vane')
    const save = await button('Record “not given”')
    void fireEvent.click(save)
    void fireEvent.click(save)
    await heading('Today')
    await screen.findByText('Recorded for Ottoline Farrow, insulin glargine 100 units/mL, 08:00. Not given: low_glucose.')
    expect(door.visit.events).toHaveLength(1)
    expect(door.visit.events[0]).toMatchObject({ order: 'o1', about: 'not_given', at: '2026-06-03T08:00:00+01:00', code: 'low_glucose', recorder: 'Imri Vane' })
    expect(door.count('event_record')).toBe(1)
  })
  it('needs words for another reason, and keeps them through a lost answer under one id', async () => {
    const door = await doorOf({ people: [person({ self_injects: true })] })
    await goTo(path)
    render(App)
    await userEvent.click(await radio('Another reason'))
    await userEvent.click(await radio('Ottoline Farrow (self)'))
    await userEvent.click(await button('Record “not given”'))
    expect((await screen.findByRole('alert')).textContent).toBe('Write the reason in words.')
    await userEvent.type(await screen.findByRole('textbox', { name: /^In words/ }), 'On a trip')
    door.refuse.push({ op: 'event_record', error: { code: 'busy', message: 'Another copy is writing. Try again.' } })
    await userEvent.click(await button('Record “not given”'))
    await userEvent.click(await button('Try again'))
    await vi.waitFor(() => expect(door.visit.events).toHaveLength(1))
    expect(door.visit.events[0]).toMatchObject({ code: 'other', note: 'On a trip' })
    const ids = door.seen.filter((s) => s.op === 'event_record').map((s) => (s.args as { id: string }).id)
    expect(new Set(ids).size).toBe(1)
    expect(ids).toHaveLength(2)
    await heading('Ottoline Farrow')
  })
  it('shows the earlier entry where it was given all the same', async () => {
    const door = await doorOf()
    const earlier = door.add({ given_at: '2026-06-03T07:56:00+01:00', site: { zone: 'left_thigh', quadrant: 'upper_outer' } })
    door.visit.slot()
    door.refuse.push({ op: 'event_record', error: { code: 'already_given', message: 'This one was given. If that is wrong, correct that entry.', earlier } })
    await goTo(path)
    render(App)
    await userEvent.click(await radio('Declined'))
    await userEvent.click(await radio('Nurse Imri Vane'))
    await userEvent.click(await button('Record “not given”'))
    const told = await screen.findByRole('alert')
    within(told).getByText('It was given:')
    within(told).getByText(/Left thigh, upper outer quadrant/)
    await userEvent.click(await button('See the record'))
    await heading('Record')
  })
  it('says so where it is recorded already', async () => {
    const door = await doorOf()
    door.visit.slot({ standing: 'not_given', words: 'not given at 08:00', not_given: door.visit.event() })
    await goTo(path)
    render(App)
    await screen.findByText('It is recorded already:')
    expect(screen.queryByRole('button', { name: 'Record “not given”' })).toBeNull()
  })
})

describe('what happened around injections', () => {
  it('stands in the record under its own heading and can be taken back with a reason', async () => {
    const door = await doorOf()
    for (let i = 0; i < 5; i++) door.visit.event({ words: `Not given: reason ${i}.` })
    await goTo('/person/p1/record')
    render(App)
    const list = (await screen.findByRole('heading', { name: 'Around injections' })).closest('section')!
    expect(within(list).getAllByRole('listitem')).toHaveLength(3)
    await userEvent.click(await button('Show all 5'))
    expect(within(list).getAllByRole('listitem')).toHaveLength(5)
    expect(list.textContent).toContain('insulin glargine 100 units/mL · by Nurse Imri Vane')
    await userEvent.click(await button(/^Take back: Not given: reason 4\./))
    await heading('Take an entry back')
    await userEvent.click(await button('Take it back'))
    expect((await screen.findByRole('alert')).textContent).toBe('Write why.')
    await userEvent.type(await screen.findByRole('textbox', { name: 'Why is it taken back?' }), 'Wrong person')
    await userEvent.type(await screen.findByRole('textbox', { name: 'Another name' }), 'Imri Vane')
    await userEvent.click(await button('Take it back'))
    await heading('Record')
    await screen.findByText('Taken back. Not given: reason 4.')
    expect(door.visit.events).toHaveLength(4)
    expect(door.seen.find((s) => s.op === 'event_withdraw')!.args).toMatchObject({ replaces: 'e5', reason: 'Wrong person', recorder: 'Imri Vane' })
  })
})
