/** The order in the address of the form, and the steps of giving that are hidden person by person. */
import { cleanup, render, screen, waitFor } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import App from '../App.svelte'
import { router, to } from '../router.svelte'
import { session } from '../state/session.svelte'
import { hideSteps, stepsHidden } from '../state/technique'
import { order, person } from './fake-door'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const heading = (name: RegExp | string) => screen.findByRole('heading', { level: 1, name })
const other = () => order({ id: 'o2', medicine: 'enoxaparin', medicine_name: 'enoxaparin', dose: { value: '40', unit: 'mg' }, dose_words: '40 mg' })

async function goTo(path: string) {
  window.history.replaceState(null, '', `#${path}`)
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
}
/** The page as a reload finds it. */
async function reload(path: string) {
  cleanup()
  session.status = null
  await goTo(path)
  render(App)
}

beforeEach(async () => {
  window.scrollTo = () => undefined
  Element.prototype.scrollIntoView = () => undefined
  session.status = null
  localStorage.clear()
  await goTo('/')
})
afterEach(cleanup)

const asked = (door: Awaited<ReturnType<typeof doorOf>>) => (door.seen.filter((s) => s.op === 'site_suggest').at(-1)?.args as { order: string } | undefined)?.order

describe('the order in the address', () => {
  it('is opened from the round, and a reload keeps it', async () => {
    const door = await doorOf({ orders: [order(), other()] })
    door.visit.slot({ order: other() })
    await goTo('/today')
    render(App)
    await userEvent.click(await button(/^Give: /))
    await heading('Give')
    await waitFor(() => expect(asked(door)).toBe('o2'))
    expect(router.path).toBe('/person/p1/give/for/o2')
    door.seen.length = 0
    await reload(router.path)
    await waitFor(() => expect(asked(door)).toBe('o2'))
    expect((await screen.findByLabelText('About to be recorded')).textContent).toContain('40 mg')
  })
  it('follows the form, through its layers too', async () => {
    const door = await doorOf({ orders: [order(), other()] })
    await goTo('/person/p1/give')
    render(App)
    // Of two orders nobody chose yet.
    await userEvent.click(await screen.findByRole('radio', { name: /enoxaparin/ }))
    await waitFor(() => expect(router.path).toBe('/person/p1/give/for/o2'))
    await userEvent.click(await button('Another place'))
    await heading('Where on the body?')
    expect(router.path).toBe('/person/p1/give/for/o2/place')
    await reload(router.path)
    await heading('Where on the body?')
    await waitFor(() => expect(asked(door)).toBe('o2'))
  })
  it('is the only one there is where nothing was said', async () => {
    await doorOf()
    await goTo('/person/p1/give')
    render(App)
    await waitFor(() => expect(router.path).toBe('/person/p1/give/for/o1'))
  })
  it('takes no other order in the place of one that is not in force', async () => {
    const door = await doorOf({ orders: [order(), { ...other(), state: 'ended' }] })
    await goTo(to.give('p1', 'o2'))
    render(App)
    await screen.findByText('Which order?')
    expect(asked(door)).toBeUndefined()
    expect(screen.queryByRole('button', { name: 'Record injection' })).toBeNull()
  })
  it('is opened when another one is put into the address', async () => {
    const door = await doorOf({ orders: [order(), other()] })
    await goTo(to.give('p1', 'o1'))
    render(App)
    await waitFor(() => expect(asked(door)).toBe('o1'))
    await goTo(to.give('p1', 'o2'))
    await waitFor(() => expect(asked(door)).toBe('o2'))
    expect(router.path).toBe('/person/p1/give/for/o2')
  })
})

describe('the steps of giving', () => {
  const opened = async () => (await screen.findByText('How to give it')).closest('details')!.open

  it('are shown until they are hidden, for one person on this device', async () => {
    await doorOf({ people: [person(), person({ id: 'p2', name: 'Bram Quill' })], orders: [order(), order({ id: 'o3', person: 'p2' })] })
    await goTo('/person/p1/give')
    render(App)
    expect(await opened()).toBe(true)
    expect(screen.getByText(/Wash the hands/)).toBeTruthy()
    const summary = await screen.findByText('How to give it')
    summary.focus()
    await userEvent.click(summary)
    await waitFor(() => expect(stepsHidden('p1')).toBe(true))
    await reload('/person/p1/give')
    expect(await opened()).toBe(false)
    // A loud caution and the sentence itself are never hidden.
    expect(screen.getByText(/Never into muscle/).closest('details')).toBeNull()
    expect(screen.getByText('4 mm needle: straight in, no fold.').closest('details')).toBeNull()
    await reload('/person/p2/give')
    expect(await opened()).toBe(true)
    await reload('/person/p1/give')
    await userEvent.click(await screen.findByText('How to give it'))
    await waitFor(() => expect(stepsHidden('p1')).toBe(false))
    expect(localStorage.length).toBe(0)
  })
  it.each(['{', '7', '{"p1":true}', '[1,null]'])('are shown where what was kept is nonsense: %j', (text) => {
    localStorage.setItem('fallow.steps-hidden', text)
    expect(stepsHidden('p1')).toBe(false)
    hideSteps('p1', true)
    expect(stepsHidden('p1')).toBe(true)
  })
  it('forget the oldest of very many people', () => {
    for (let n = 0; n < 1005; n++) hideSteps(`p${n}`, true)
    expect([stepsHidden('p0'), stepsHidden('p1004')]).toEqual([false, true])
  })
})
