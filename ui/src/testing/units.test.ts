/** Units and times: chosen, kept, asked for at the door, and followed by every field. */
import { cleanup, render, screen, waitFor, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import App from '../App.svelte'
import { ask, useTransport } from '../core'
import { session } from '../state/session.svelte'
import { settings } from '../state/settings.svelte'
import type { OrderAdd, PersonChange } from '../wire'
import { person } from './fake-door'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const heading = (name: RegExp | string) => screen.findByRole('heading', { level: 1, name })
const box = (name: RegExp | string) => screen.findByRole('textbox', { name })
const radio = (name: RegExp | string) => screen.findByRole('radio', { name })

async function goTo(path: string) {
  window.history.replaceState(null, '', `#${path}`)
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
}

beforeEach(async () => {
  window.scrollTo = () => undefined
  Element.prototype.scrollIntoView = () => undefined
  session.status = null
  settings.forget()
  await goTo('/')
})
afterEach(() => {
  cleanup()
  settings.forget()
  vi.restoreAllMocks()
})

describe('the choice', () => {
  it('is made on the screen of the practice, said, kept, and taken back', async () => {
    await doorOf()
    await goTo('/practice')
    render(App)
    const user = userEvent.setup()
    const times = await screen.findByRole('group', { name: 'Times of day' })
    expect(within(times).getByRole<HTMLInputElement>('radio', { name: '24 hours, 20:05' }).checked).toBe(true)
    expect(screen.queryByRole('button', { name: 'As this device has it' })).toBeNull()
    // By keyboard.
    within(times).getByRole('radio', { name: '12 hours, 8:05 pm' }).focus()
    await user.keyboard(' ')
    await user.click(await radio('Inches'))
    await user.click(await radio('Pounds'))
    await user.click(await radio('mg/dL'))
    await user.click(await radio('A comma: 4,5'))
    await user.click(await radio('Sunday'))
    expect(await screen.findByText('Changed for this device.')).toBeTruthy()
    const chosen = { clock: '12', glucose: 'mg/dL', length: 'in', weight: 'lb', decimal: 'comma', firstDay: 7 }
    expect(settings.units).toEqual(chosen)
    expect(JSON.parse(localStorage.getItem('fallow.units')!)).toEqual(chosen)
    expect(screen.getByText(/in centimetres everywhere/)).toBeTruthy()
    await user.click(await button('As this device has it'))
    expect(localStorage.getItem('fallow.units')).toBeNull()
    expect(within(times).getByRole<HTMLInputElement>('radio', { name: '24 hours, 20:05' }).checked).toBe(true)
  })
  it('says so where the browser keeps nothing, and holds all the same', async () => {
    await doorOf()
    await goTo('/practice')
    render(App)
    vi.spyOn(Storage.prototype, 'setItem').mockImplementation(() => {
      throw new Error('full')
    })
    await userEvent.click(await radio('Pounds'))
    expect(await screen.findByText(/keeps nothing/)).toBeTruthy()
    expect(settings.units.weight).toBe('lb')
  })
  it('goes with every request', async () => {
    const lines: string[] = []
    useTransport(async (line) => {
      lines.push(line)
      return '{"ok":{"op":"person_list","data":{"people":[]}}}'
    })
    await ask('person_list', {})
    settings.choose('clock', '12')
    await ask('person_list', {})
    expect(lines.map((l) => (JSON.parse(l) as { display: unknown }).display)).toEqual([{ clock: '24' }, { clock: '12' }])
  })
})

describe('a clock of twelve hours', () => {
  it('fills and reads the time an injection was given', async () => {
    settings.choose('clock', '12')
    const door = await doorOf()
    await goTo('/person/p1/give')
    render(App)
    const user = userEvent.setup()
    await user.click(await button('Type the time'))
    const time = await box('Time')
    expect((time as HTMLInputElement).value).toBe('8:00 am')
    expect(screen.getByText('With am or pm, for example 8:05 am')).toBeTruthy()
    await user.clear(time)
    await user.type(time, '7:10')
    expect(await screen.findByText(/Write the time with am or pm/)).toBeTruthy()
    await user.type(time, ' am')
    await waitFor(() => {
      const asked = door.seen.filter((s) => s.op === 'time_resolve').at(-1)
      expect((asked!.args as { local: string }).local).toBe('2026-06-03T07:10')
    })
    expect(screen.queryByText(/Write the time with am or pm/)).toBeNull()
  })
  it('takes the times of an order, which the door gets with 24 hours', async () => {
    settings.choose('clock', '12')
    const door = await doorOf()
    await goTo('/person/p1/order')
    render(App)
    const user = userEvent.setup()
    await user.selectOptions(await screen.findByRole('combobox', { name: 'Medicine' }), 'insulin-glargine-100')
    await user.type(await box('Amount (units)'), '12')
    await user.type(await box('Prescribed by'), 'Dr Ines Calloway')
    const time = await box('Time 1')
    expect((time as HTMLInputElement).value).toBe('8:00 am')
    await user.clear(time)
    await user.type(time, '9:30')
    await user.click(await button('Save order'))
    expect((await screen.findByRole('alert')).textContent).toContain('Write each time with am or pm')
    await user.type(time, ' pm')
    await user.click(await button('Save order'))
    await waitFor(() => expect(door.seen.some((s) => s.op === 'order_add')).toBe(true))
    const sent = door.seen.find((s) => s.op === 'order_add')!.args as OrderAdd
    expect(sent.times).toEqual(['21:30'])
  })
})

describe('inches', () => {
  it('are read, shown in centimetres as they are kept, and what nobody touched stays as it is', async () => {
    settings.choose('length', 'in')
    const sizes = { height_cm: 168, waist_cm: 92.4, thigh_cm: null, upper_arm_cm: null }
    const door = await doorOf({ people: [person({ sizes })] })
    await goTo('/person/p1/edit')
    render(App)
    await heading('Edit person')
    const user = userEvent.setup()
    expect(await screen.findByRole('heading', { name: 'Measures in inches' })).toBeTruthy()
    expect((await box('Waist at the navel') as HTMLInputElement).value).toBe('36.4')
    await user.type(await box('Upper thigh, around'), '22,5')
    expect(await screen.findByText('Kept as 57.2 cm')).toBeTruthy()
    await user.type(await box('Upper arm, around'), 'twelve')
    await user.click(await button('Save'))
    expect((await screen.findByRole('alert')).textContent).toContain('plain number of inches')
    await user.clear(await box('Upper arm, around'))
    await user.clear(await box('Height'))
    await user.type(await box('Height'), "5'7")
    await user.click(await button('Save'))
    await waitFor(() => expect(door.seen.some((s) => s.op === 'person_change')).toBe(true))
    const sent = door.seen.find((s) => s.op === 'person_change')!.args as PersonChange
    expect(sent.to.sizes).toMatchObject({ height_cm: 170.2, waist_cm: 92.4, thigh_cm: 57.2, upper_arm_cm: null })
  })
  it('are how a person is shown', async () => {
    settings.choose('length', 'in')
    await doorOf({ people: [person({ sizes: { height_cm: 168, waist_cm: 92, thigh_cm: null, upper_arm_cm: null } })] })
    await goTo('/person/p1')
    render(App)
    expect(await screen.findByText('66.1 in')).toBeTruthy()
  })
})

describe('pounds', () => {
  it('are read, shown in kilograms as they are kept, and shown again as they were typed', async () => {
    settings.choose('weight', 'lb')
    const door = await doorOf()
    await goTo('/person/p1/edit')
    render(App)
    const user = userEvent.setup()
    const weight = await box(/^Weight in pounds/)
    await user.type(weight, 'ten')
    await user.click(await button('Save'))
    expect((await screen.findByRole('alert')).textContent).toContain('plain number of pounds')
    await user.clear(weight)
    await user.type(weight, '154,3')
    expect(await screen.findByText('Kept as 69.99 kg')).toBeTruthy()
    await user.click(await button('Save'))
    await waitFor(() => expect(door.seen.some((s) => s.op === 'person_change')).toBe(true))
    expect((door.seen.find((s) => s.op === 'person_change')!.args as PersonChange).to.weight_kg).toBe(69.99)
  })
  it('are how a person is shown, and a weight nobody knows is said to be so', async () => {
    settings.choose('weight', 'lb')
    await doorOf({ people: [person({ weight_kg: 69.99 }), person({ id: 'p2', name: 'Bram Quill' })] })
    await goTo('/person/p1')
    render(App)
    expect(await screen.findByText('154.3 lb')).toBeTruthy()
    await goTo('/person/p2')
    expect((await screen.findByText('Weight')).nextElementSibling!.textContent).toBe('Not known')
  })
})

describe('glucose', () => {
  it('is typed in the unit chosen where neither an order nor a value says another', async () => {
    settings.choose('glucose', 'mg/dL')
    await doorOf()
    await goTo('/person/p1/glucose')
    render(App)
    expect(await box('Glucose (mg/dL)')).toBeTruthy()
  })
})

describe('the week', () => {
  it('begins on the day chosen where days are listed', async () => {
    settings.choose('firstDay', 7)
    await doorOf()
    await goTo('/person/p1/order')
    render(App)
    await userEvent.click(await screen.findByText('More about this order'))
    const days = await screen.findByRole('group', { name: 'Only on these days of the week' })
    const names = within(days).getAllByRole('checkbox').map((c) => c.parentElement!.textContent!.trim())
    expect(names).toEqual(['Sunday', 'Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday'])
    expect(within(days).getByRole<HTMLInputElement>('checkbox', { name: 'Sunday' }).value).toBe('7')
  })
})
