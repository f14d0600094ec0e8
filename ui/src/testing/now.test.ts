/** What stands at the top of one person: what is due now, or what comes next. */
import { cleanup, render, screen, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import { order } from './fake-door'
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
  await goTo('/person/p1')
})
afterEach(cleanup)

describe('now', () => {
  it('says what is due, when and what was last, with giving and not giving beside it', async () => {
    const door = await doorOf({ orders: [order({ doubts: ['No signature date is on record.'] })] })
    door.visit.slot({ standing: 'late', words: 'late by 2 h' })
    render(App)
    const now = (await screen.findByRole('heading', { name: 'Now: 12 units insulin glargine 100 units/mL' })).closest('section')!
    for (const text of ['late by 2 h', 'Last 23 h ago: 12 units by Nurse Imri Vane', 'No signature date is on record.']) within(now).getByText(text)
    await userEvent.click(await button('Not given: Ottoline Farrow, 12 units insulin glargine 100 units/mL, 08:00'))
    await heading('Not given')
    await userEvent.click(await button('Back'))
    await userEvent.click(await button('Give'))
    await heading('Give')
  })
  it('tells several apart, and what is still to come or without a record', async () => {
    const door = await doorOf()
    door.visit.slot()
    door.visit.slot({ order: order({ id: 'o2', medicine_name: 'insulin aspart 100 units/mL' }) })
    door.visit.slot({ standing: 'upcoming', words: 'in 10 h', time: '18:00', at: '2026-06-03T18:00:00+01:00' })
    door.visit.slot({ standing: 'no_record', words: 'no record for 02:00', time: '02:00', at: '2026-06-03T02:00:00+01:00' })
    render(App)
    expect(await screen.findAllByRole('heading', { name: /^Now: / })).toHaveLength(2)
    const named = await screen.findAllByRole('button', { name: /^Not given/ })
    expect(named.map((b) => b.textContent?.trim())).toEqual([
      'Not given: 08:00 insulin glargine 100 units/mL', 'Not given: 08:00 insulin aspart 100 units/mL', 'Not given', 'Not given',
    ])
    await screen.findByRole('heading', { name: 'Still to come today' })
    await screen.findByRole('heading', { name: 'No record yet' })
  })
  it('says what comes next where nothing is open, and can always give', async () => {
    const door = await doorOf()
    door.visit.nextWords = 'Next tomorrow at 08:00'
    door.visit.asNeeded = [{ person: 'p1', person_name: 'Ottoline Farrow', order: door.orders[0]!, last_words: null }]
    render(App)
    await screen.findByRole('heading', { name: 'Next tomorrow at 08:00' })
    await screen.findByRole('heading', { name: 'When needed' })
    await button('Give')
  })
  it('has its heading also where nothing is due and what was is without a record', async () => {
    const door = await doorOf()
    door.visit.slot({ standing: 'no_record', words: 'no record for 02:00', time: '02:00', at: '2026-06-03T02:00:00+01:00' })
    render(App)
    const now = (await screen.findByRole('heading', { level: 2, name: 'Nothing is due now' })).closest('section')!
    within(now).getByRole('heading', { level: 3, name: 'No record yet' })
  })
  it('tells a fault and tries again without hiding the way to giving', async () => {
    const door = await doorOf()
    door.visit.slot()
    door.refuse.push({ op: 'due', error: { code: 'busy', message: 'Another copy is writing. Try again.' } })
    render(App)
    await button('Give')
    await userEvent.click(await button('Try again'))
    await screen.findByRole('heading', { name: /^Now: / })
  })
})
