/** Glucose, ketones and the steps for a low value, found by role and name. */
import { cleanup, fireEvent, render, screen, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import App from '../App.svelte'
import { countdown, readValue, secondsTo } from '../state/glucose.svelte'
import { session } from '../state/session.svelte'
import { order, person } from './fake-door'
import { glucose, notLow } from './fake-visit'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const heading = (name: RegExp | string) => screen.findByRole('heading', { level: 1, name })
const field = (name = 'Glucose (mmol/L)') => screen.findByRole('textbox', { name })

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

const self = () => doorOf({ people: [person({ self_injects: true })] })
const me = () => screen.findByRole('radio', { name: 'Ottoline Farrow (self)' })

describe('a value', () => {
  it('is reached from the person and shows the last one, how long ago, and the limit', async () => {
    const door = await self()
    door.visit.glucose = glucose({
      last: door.visit.event({ about: 'glucose', words: 'Glucose 5.5 mmol/L.' }), last_ago: '20 min',
      judged: { standing: 'in_range', low: false, shown: '5.5 mmol/L (99 mg/dL)', words: 'Within the limits.', question: null },
    })
    await goTo('/person/p1')
    render(App)
    await userEvent.click(await button('Glucose'))
    await heading('Glucose')
    const last = (await screen.findByRole('heading', { name: 'Last value' })).closest('section')!
    for (const text of ['5.5 mmol/L (99 mg/dL)', '20 min ago', 'Within the limits.', 'Low is below 4.0 mmol/L (a published source).'])
      expect(within(last).getByText(text)).toBeTruthy()
  })
  it('reads a comma as a point, is checked before it is recorded, and is recorded once', async () => {
    const door = await self()
    await goTo('/person/p1/glucose')
    render(App)
    await userEvent.click(await me())
    await userEvent.type(await field(), '4,5')
    const save = await button('Record value')
    void fireEvent.click(save)
    void fireEvent.click(save)
    await screen.findByText(/^Recorded\./)
    const asked = door.seen.filter((s) => ['glucose_check', 'event_record'].includes(s.op))
    expect(asked.map((s) => s.op)).toEqual(['glucose_check', 'event_record'])
    expect(asked[1]!.args).toMatchObject({ about: 'glucose', value: '4.5', unit: 'mmol/L', recorder: 'Ottoline Farrow', at: door.now })
    expect(((await field()) as HTMLInputElement).value).toBe('')
  })
  it('has a time of its own, which goes back to now afterwards', async () => {
    const door = await self()
    await goTo('/person/p1/glucose')
    render(App)
    await userEvent.click(await me())
    await userEvent.type(await field(), '5.1')
    const when = await screen.findByRole('group', { name: 'When was it measured?' })
    await userEvent.click(within(when).getByRole('button', { name: /60/ }))
    await userEvent.click(await button('Record value'))
    await screen.findByText(/^Recorded\./)
    expect(door.visit.events[0]).toMatchObject({ value: '5.1', at: '2026-06-03T07:00:00+01:00' })
    await vi.waitFor(() => expect(within(when).getByRole('button', { name: 'Now' }).getAttribute('aria-pressed')).toBe('true'))
    // A time that is none is asked for, and nothing is recorded meanwhile.
    await userEvent.click(within(when).getByRole('button', { name: /type/i }))
    const clock = within(when).getByRole('textbox', { name: /Time/ })
    await userEvent.clear(clock)
    await userEvent.type(clock, '25:00')
    await userEvent.type(await field(), '5.2')
    await userEvent.click(await button('Record value'))
    await screen.findByText('Say when it was measured.')
    expect(door.visit.events).toHaveLength(1)
  })
  it('says what it would mean while it is typed', async () => {
    await self()
    await goTo('/person/p1/glucose')
    render(App)
    await userEvent.type(await field(), '6.1')
    await screen.findByText('6.1 mmol/L is within the limits.', undefined, { timeout: 2000 })
  })
  it('asks about a number that looks like the other unit, and waits for the answer', async () => {
    const door = await self()
    door.visit.questions['97'] = '97.0 mmol/L looks like 97 mg/dL: look at the meter again.'
    await goTo('/person/p1/glucose')
    render(App)
    await userEvent.click(await me())
    await userEvent.type(await field(), '97')
    await userEvent.click(await button('Record value'))
    const question = await screen.findByRole('group', { name: 'Is the number right?' })
    within(question).getByText(/look at the meter again/)
    expect(door.count('event_record')).toBe(0)
    await userEvent.click(await button('Record value'))
    expect(door.count('event_record')).toBe(0)
    await userEvent.click(await button('Correct it'))
    expect(document.activeElement).toBe(await field())
    await userEvent.click(await screen.findByRole('radio', { name: 'mg/dL' }))
    expect(((await field('Glucose (mg/dL)')) as HTMLInputElement).value).toBe('97')
    await userEvent.click(await screen.findByRole('radio', { name: 'mmol/L' }))
    await userEvent.click(await button('Record value'))
    await userEvent.click(await button('The meter really shows this'))
    await vi.waitFor(() => expect(door.visit.events).toHaveLength(1))
    expect(door.visit.events[0]).toMatchObject({ value: '97', unit: 'mmol/L' })
  })
  it('keeps what was typed where it is refused, and says why at the field', async () => {
    const door = await self()
    door.refuse.push({ op: 'glucose_check', error: { code: 'bad_glucose', message: 'Write the glucose as the meter shows it.' } })
    await goTo('/person/p1/glucose')
    render(App)
    await userEvent.click(await me())
    await userEvent.type(await field(), '4,,5')
    await userEvent.click(await button('Record value'))
    expect((await screen.findByRole('alert')).textContent).toBe('Write the glucose as the meter shows it.')
    const typed = (await field()) as HTMLInputElement
    expect(typed.value).toBe('4,,5')
    expect(document.activeElement).toBe(typed)
  })
  it('can be a word of the meter, or ketones', async () => {
    const door = await self()
    await goTo('/person/p1/glucose')
    render(App)
    await userEvent.click(await me())
    await userEvent.click(await button('LO'))
    await userEvent.click(await button('Record value'))
    await vi.waitFor(() => expect(door.visit.events[0]).toMatchObject({ about: 'glucose', value: 'LO' }))
    await userEvent.click(await screen.findByRole('radio', { name: 'Ketones' }))
    expect(screen.queryByRole('button', { name: 'LO' })).toBeNull()
    await userEvent.type(await field('Ketones (mmol/L)'), '0.6')
    await userEvent.click(await button('Record value'))
    await vi.waitFor(() => expect(door.visit.events[0]).toMatchObject({ about: 'ketones', value: '0.6', unit: 'mmol/L' }))
  })
  it('is asked who records it, and starts in the unit of the order', async () => {
    const door = await doorOf({ orders: [order({ terms: { glucose_unit: 'mg/dL', glucose_low: '72' } })] })
    door.visit.glucose = glucose({ unit: 'mg/dL' })
    await goTo('/person/p1/glucose')
    render(App)
    await userEvent.type(await field('Glucose (mg/dL)'), '99')
    await userEvent.click(await button('Record value'))
    expect((await screen.findByRole('alert')).textContent).toBe('Say who records it.')
    expect(door.seen.find((s) => s.op === 'glucose_state')!.args).toMatchObject({ order: 'o1' })
  })
})

describe('the steps for a low value', () => {
  it('say what to do, record what happens, and leave a way on to giving', async () => {
    const door = await self()
    door.visit.glucose = glucose({ steps: notLow({ step: 'take_carbohydrate', words: 'Take 15 to 20 g of fast carbohydrate now.', doubts: ['Look at the clock.'] }) })
    await goTo('/person/p1/glucose')
    render(App)
    const steps = await screen.findByRole('region', { name: 'Steps for a low value' })
    within(steps).getByText('Take 15 to 20 g of fast carbohydrate now.')
    within(steps).getByText('Source: a published source')
    within(steps).getByText('Look at the clock.')
    await userEvent.click(await button('Carbohydrate taken'))
    expect((await screen.findByRole('alert')).textContent).toBe('Say who records it.')
    await userEvent.click(await me())
    door.visit.glucose = glucose({ steps: notLow({ step: 'check_again', words: 'Check the glucose now.' }) })
    const took = await button('Carbohydrate taken')
    void fireEvent.click(took)
    void fireEvent.click(took)
    await screen.findByText('Check the glucose now.')
    expect(door.visit.events).toHaveLength(1)
    expect(door.visit.events[0]).toMatchObject({ about: 'carbohydrate', value: null })
    await userEvent.click(await button('Check again'))
    expect(document.activeElement).toBe(await field())
    await userEvent.click(await button('Drowsy'))
    await vi.waitFor(() => expect(door.visit.events[0]).toMatchObject({ about: 'alarm', code: 'drowsy' }))
    await userEvent.click(await button('On to giving'))
    await heading('Give')
  })
  it('count down to an instant, through closing and opening, and look again at its end', async () => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'Date'], now: Date.parse('2026-06-03T08:05:00+01:00') })
    const door = await self()
    door.visit.glucose = glucose({ steps: notLow({ step: 'wait', until: '2026-06-03T08:15:00+01:00', seconds_left: 600, words: 'Check again at 08:15.' }) })
    await goTo('/person/p1/glucose')
    const first = render(App)
    expect((await screen.findByRole('timer')).textContent).toBe('10:00')
    vi.advanceTimersByTime(55_000)
    await vi.waitFor(() => expect(screen.getByRole('timer').textContent).toBe('9:05'))
    // The clock is set back: the wait grows no longer than the door said.
    vi.setSystemTime(Date.parse('2026-06-03T07:00:00+01:00'))
    vi.advanceTimersByTime(1_000)
    await vi.waitFor(() => expect(screen.getByRole('timer').textContent).toBe('10:00'))
    first.unmount()
    vi.setSystemTime(Date.parse('2026-06-03T08:14:58+01:00'))
    render(App)
    expect((await screen.findByRole('timer')).textContent).toBe('0:02')
    door.visit.glucose = glucose({ steps: notLow({ step: 'check_again', words: 'Check the glucose now.' }) })
    vi.advanceTimersByTime(3_000)
    await screen.findByText('Check the glucose now.')
    expect(screen.queryByRole('timer')).toBeNull()
  })
  it('are loudest in an emergency, and a press by mistake can be taken back', async () => {
    const door = await self()
    door.visit.glucose = glucose({ steps: notLow({ step: 'call_emergency_services', words: 'Call emergency services now.' }) })
    await goTo('/person/p1/glucose')
    render(App)
    expect((await screen.findByRole('alert')).textContent).toContain('Call emergency services now.')
    await userEvent.click(await me())
    await userEvent.click(await button('Emergency services were called'))
    await vi.waitFor(() => expect(door.visit.events[0]).toMatchObject({ about: 'alarm', code: 'emergency_called' }))
    await userEvent.click(await button('Pressed by mistake? Take it back in the record'))
    await heading('Record')
  })
  it('are gone, but for a word, once the value is not low', async () => {
    const door = await self()
    door.visit.glucose = glucose({ steps: notLow({ step: 'finished', words: 'Eat something now.' }) })
    await goTo('/person/p1/glucose')
    render(App)
    await screen.findByText('Eat something now.')
    expect(screen.queryByRole('button', { name: 'Drowsy' })).toBeNull()
  })
})

describe('reading', () => {
  it.each([['4,5', '4.5'], [' 4.5 ', '4.5'], ['LO', 'LO'], ['97', '97'], ['1,000', '1.000'], ['4,5,6', '4.5,6']])('%s is sent as %s', (typed, sent) => {
    expect(readValue(typed)).toBe(sent)
  })
  it('counts down in whole seconds and never below none', () => {
    const until = '2026-06-03T08:15:00+01:00'
    expect([0, 1, 999, 1000, 1001].map((ms) => secondsTo(until, Date.parse(until) - ms))).toEqual([0, 1, 1, 1, 2])
    expect(secondsTo(until, Date.parse(until) + 5000)).toBe(0)
    expect([0, 5, 65, 900].map(countdown)).toEqual(['0:00', '0:05', '1:05', '15:00'])
  })
})
