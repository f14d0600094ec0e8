/** The second part of an order, and changing one, found by role and name. */
import { cleanup, render, screen, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import { TermsForm } from '../state/terms-form.svelte'
import { plain } from '../state/units'
import type { OrderChange, OrderTerms } from '../wire'
import { termLines } from '../words'
import { order } from './fake-door'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const heading = (name: RegExp | string) => screen.findByRole('heading', { level: 1, name })
const box = (name: RegExp | string) => screen.findByRole('textbox', { name })

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

const full: OrderTerms = {
  weekdays: [1, 4], window_before_min: 30, window_after_min: 60, device: 'pen', needle_mm: 4, signed_on: '2026-01-01', review_by: '2026-12-01',
  asks_glucose: true, glucose_unit: 'mmol/L', glucose_low: '4.0', glucose_high: '15', second_check: true, may_give: 'a registered nurse', regions: [{ time: '08:00', zones: ['abdomen'] }],
}

describe('a new order', () => {
  it('needs nothing of its second part, and tells what of it is wrong at the field', async () => {
    const door = await doorOf()
    await goTo('/person/p1/order')
    render(App)
    await userEvent.selectOptions(await screen.findByRole('combobox', { name: 'Medicine' }), 'insulin-glargine-100')
    await userEvent.type(await box('Amount (units)'), '12')
    await userEvent.type(await box('Prescribed by'), 'Dr Ines Calloway')
    await userEvent.click(await screen.findByText('More about this order'))
    await userEvent.click(await screen.findByRole('checkbox', { name: 'Monday' }))
    await userEvent.type(await box('Minutes before'), '30')
    await userEvent.click(await button('Save order'))
    expect((await screen.findByRole('alert')).textContent).toContain('Write both as whole minutes')
    expect(document.activeElement).toBe(await box('Minutes before'))
    await userEvent.type(await box('Minutes after'), '60')
    await userEvent.type(await box('Needle length (mm)'), '4,5')
    await userEvent.click(await screen.findByRole('radio', { name: 'Pen' }))
    await userEvent.click(await screen.findByRole('radio', { name: 'mmol/L' }))
    await userEvent.type(await box('Low is below (mmol/L)'), 'four')
    await userEvent.click(await button('Save order'))
    expect((await screen.findByRole('alert')).textContent).toContain('Write the limit as a plain number')
    await userEvent.clear(await box('Low is below (mmol/L)'))
    await userEvent.type(await box('Low is below (mmol/L)'), '4,0')
    const signed = await screen.findByRole('group', { name: 'Signed on' })
    await userEvent.type(within(signed).getByRole('textbox', { name: 'Day' }), '31')
    await userEvent.click(await button('Save order'))
    expect((await screen.findByRole('alert')).textContent).toContain('Write the day as three numbers, or leave all three empty.')
    await userEvent.clear(within(signed).getByRole('textbox', { name: 'Day' }))
    await userEvent.click(await screen.findByRole('checkbox', { name: 'Abdomen' }))
    await userEvent.click(await button('Save order'))
    await heading('Fallow: Caseload').catch(() => heading('Ottoline Farrow'))
    expect(door.seen.find((s) => s.op === 'order_add')!.args).toMatchObject({
      terms: {
        weekdays: [1], window_before_min: 30, window_after_min: 60, device: 'pen', needle_mm: 4.5, signed_on: null, review_by: null,
        asks_glucose: false, glucose_unit: 'mmol/L', glucose_low: '4.0', glucose_high: null, second_check: false, regions: [{ time: '08:00', zones: ['abdomen'] }],
      },
    })
  })
  it('is stopped loudly where a once-weekly medicine is ordered more often', async () => {
    const door = await doorOf()
    door.refuse.push({ op: 'order_add', error: { code: 'weekly_medicine', message: 'STOP. It is given once a WEEK only.' } })
    await goTo('/person/p1/order')
    render(App)
    await userEvent.selectOptions(await screen.findByRole('combobox', { name: 'Medicine' }), 'enoxaparin')
    await userEvent.type(await box('Amount (units)'), '40')
    await userEvent.type(await box('Prescribed by'), 'Dr Ines Calloway')
    await userEvent.click(await button('Save order'))
    const stop = await screen.findByRole('alert')
    within(stop).getByRole('heading', { name: 'Once a week only' })
    within(stop).getByText('STOP. It is given once a WEEK only.')
    expect(((await box('Amount (units)')) as HTMLInputElement).value).toBe('40')
  })
  it('shows a refusal about a limit at the limits', async () => {
    const door = await doorOf({ orders: [order({ terms: full })] })
    door.refuse.push({ op: 'order_change', error: { code: 'bad_glucose', message: 'A low limit is from 3 to 8 mmol/L.' } })
    await goTo('/person/p1/order/o1')
    render(App)
    await userEvent.type(await box('Why is it changed?'), 'Dr Ines Calloway, by phone')
    await userEvent.click(await button('Save the change'))
    expect((await screen.findByRole('alert')).textContent).toContain('A low limit is from 3 to 8 mmol/L.')
    expect(document.activeElement).toBe(await box('Low is below (mmol/L)'))
  })
})

describe('changing an order', () => {
  it('shows what it was, keeps the medicine and every term, and asks why', async () => {
    const door = await doorOf({ orders: [order({ terms: full, doubts: ['This order was to be reviewed.'], to: '2026-12-31' })] })
    await goTo('/person/p1')
    render(App)
    await screen.findByText('This order was to be reviewed.')
    await userEvent.click(await button('Change this order: insulin glargine 100 units/mL'))
    await heading('Change an order')
    expect((await screen.findByRole('heading', { name: 'As it is now' })).closest('section')!.textContent).toContain('12 units')
    expect(screen.queryByRole('combobox', { name: 'Medicine' })).toBeNull()
    await userEvent.clear(await box('Amount (units)'))
    await userEvent.type(await box('Amount (units)'), '14')
    await userEvent.click(await button('Save the change'))
    expect((await screen.findByRole('alert')).textContent).toContain('Write why, and who ordered it.')
    await userEvent.type(await box('Why is it changed?'), 'Dr Ines Calloway, by phone')
    await userEvent.click(await button('Save the change'))
    await screen.findByText('Order changed: 14 units insulin glargine 100 units/mL, daily at 08:00.')
    const { order: id, reason, to } = door.seen.find((s) => s.op === 'order_change')!.args as OrderChange
    expect({ id, reason }).toEqual({ id: 'o1', reason: 'Dr Ines Calloway, by phone' })
    expect(to).toMatchObject({ medicine: 'insulin-glargine-100', dose: { value: '14', unit: 'units' }, to: '2026-12-31', terms: full })
    expect(door.orders[0]!.dose.value).toBe('14')
  })
  it('can be given a last day, another one, or none; a dose with three decimals comes back as it was', async () => {
    const door = await doorOf({ orders: [order({ dose: { value: '1.125', unit: 'mL' }, to: '2026-12-31' })] })
    await goTo('/person/p1/order/o1')
    render(App)
    expect(((await box('Amount (mL)')) as HTMLInputElement).value).toBe('1.1250')
    const last = await screen.findByRole('group', { name: 'Last day, where there is one' })
    const [day, month, year] = ['Day', 'Month', 'Year'].map((name) => within(last).getByRole<HTMLInputElement>('textbox', { name }))
    expect([day!.value, month!.value, year!.value]).toEqual(['31', '12', '2026'])
    await userEvent.type(await box('Why is it changed?'), 'Dr Ines Calloway, by phone')
    await userEvent.clear(day!)
    await userEvent.click(await button('Save the change'))
    expect((await screen.findByRole('alert')).textContent).toContain('Write the last day as three numbers')
    await userEvent.type(day!, '31')
    await userEvent.clear(year!)
    await userEvent.type(year!, '2020')
    await userEvent.click(await button('Save the change'))
    expect((await screen.findByRole('alert')).textContent).toBe('It ends before it starts. Change one of the two days.')
    for (const field of [day!, month!, year!]) await userEvent.clear(field)
    await userEvent.click(await button('Save the change'))
    await screen.findByText(/^Order changed:/)
    const { to } = door.seen.find((s) => s.op === 'order_change')!.args as OrderChange
    expect(to).toMatchObject({ to: null, dose: { value: '1.125', unit: 'mL' } })
  })
  it('says so where the order is not there', async () => {
    await doorOf()
    await goTo('/person/p1/order/nowhere')
    render(App)
    await screen.findByText('This order is not on this device')
  })
})

describe('the terms of an order', () => {
  it('come back as they were filled in', () => {
    const form = new TermsForm()
    form.fill(full)
    expect(form.problem()).toBeNull()
    expect(form.read(['08:00'])).toEqual(full)
    expect(form.read(['09:00']).regions).toEqual([])
  })
  it.each<[string, Partial<TermsForm>, string]>([
    ['one side of the window', { after: '60' }, 'window'],
    ['more than a day', { before: '1441', after: '0' }, 'window'],
    ['a needle of 2 mm', { needle: '2' }, 'needle'],
    ['a needle in words', { needle: 'four' }, 'needle'],
    ['half a date', { reviewUnfinished: true }, 'review'],
    ['a limit in words', { unit: 'mg/dL', high: 'many' }, 'high'],
  ])('refuse %s', (_, typed, problem) => {
    expect(Object.assign(new TermsForm(), typed).problem()).toBe(problem)
  })
  it('are told in words, what is not known left out', () => {
    expect(termLines({}, plain)).toEqual([])
    expect(termLines(full, plain)).toEqual([
      ['Days', 'Monday, Thursday'], ['On time', '30 min before to 60 min after'], ['Given with', 'Pen, 4 mm needle'], ['Signed', '1 January 2026'],
      ['Review by', '1 December 2026'], ['Glucose', 'measured before each injection'],
      ['Limits', 'low below 4.0 mmol/L, high above 15 mmol/L, as ordered'], ['May give it', 'a registered nurse'], ['Second check', 'by another person'], ['At 08:00', 'Abdomen'],
    ])
  })
})
