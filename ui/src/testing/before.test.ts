/** The checks before giving, inside the form, by tap. */
import { cleanup, render, screen, waitFor } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import { person } from './fake-door'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const nurse = { self_injects: false, allergies: [] as string[] }

async function goTo(path: string) {
  window.history.replaceState(null, '', `#${path}`)
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
}

beforeEach(async () => {
  window.scrollTo = () => undefined
  Element.prototype.scrollIntoView = () => undefined
  session.status = null
  session.recorder = ''
  await goTo('/')
})
afterEach(cleanup)

describe('the checks before giving', () => {
  it('are done by tap, none by itself, and go on record with the injection', async () => {
    const door = await doorOf({ people: [person(nurse)] })
    await goTo('/person/p1/give')
    render(App)
    await screen.findByText('Before giving: 6 checks open')
    for (const name of ['Name matches', 'Born matches', 'Read and asked about', 'Order read', /^As last time: insulin glargine/, 'Agrees', 'Looked and felt: nothing against it'])
      await userEvent.click(await button(name))
    await screen.findByText('Before giving: all checked')
    await userEvent.click(await button('Bleeding'))
    await userEvent.click(await screen.findByRole('checkbox', { name: 'Needle is in the sharps bin' }))
    await userEvent.type(await screen.findByRole('textbox', { name: /name|who/i }).catch(() => screen.findAllByRole('textbox').then((all) => all[0]!)), 'Nurse Imri Vane')
    await userEvent.click(await button('Record injection'))
    await waitFor(() => expect(door.injections).toHaveLength(1))
    const sent = door.seen.find((s) => s.op === 'injection_record')!.args as { act: Record<string, unknown> }
    expect(sent.act).toEqual({
      outcomes: ['bleeding'], checks: ['identity', 'allergies', 'order', 'container', 'consent', 'skin'],
      dose_reason: null, second_checker: null, needle_disposed: true, container: 'c1',
    })
  })
  it('show a loud problem even folded, and ask for a reason', async () => {
    const door = await doorOf()
    door.wrong = 'container'
    await goTo('/person/p1/give')
    render(App)
    expect((await screen.findByRole('alert')).textContent).toContain('It does not fit the order.')
    await userEvent.type(await screen.findByRole('textbox', { name: 'Go on because' }), 'The label is smudged.{Tab}')
    await waitFor(() => expect(screen.queryByRole('alert')).toBeNull())
    await screen.findByText('does not fit, going on with a reason')
    await userEvent.click(await button('Look again: What is in your hand'))
    expect((await screen.findByRole<HTMLInputElement>('textbox', { name: 'Go on because' })).value).toBe('The label is smudged.')
  })
  it('never stop a recording: at home it takes three taps', async () => {
    const door = await doorOf({ people: [person({ self_injects: true })] })
    await goTo('/person/p1/give')
    render(App)
    await screen.findByText('Before giving: 6 checks open')
    await userEvent.click(await screen.findByRole('radio', { name: /Ottoline Farrow/ }))
    await userEvent.click(await button('Record injection'))
    await waitFor(() => expect(door.injections).toHaveLength(1))
    const sent = door.seen.find((s) => s.op === 'injection_record')!.args as { act: { checks: string[] } }
    expect(sent.act.checks).toEqual([])
  })
  it('ask why the dose is another one', async () => {
    const door = await doorOf({ people: [person({ self_injects: true })] })
    await goTo('/person/p1/give')
    render(App)
    await userEvent.click(await screen.findByRole('radio', { name: /Ottoline Farrow/ }))
    await userEvent.click(await button('Another amount'))
    await userEvent.type(await screen.findByRole('textbox', { name: /units/ }), '10')
    await userEvent.click(await button('Record injection'))
    await screen.findByText('Write why another dose was given.')
    expect(door.injections).toHaveLength(0)
    await userEvent.type(await screen.findByRole('textbox', { name: 'Why another dose?' }), 'The prescriber rang.')
    await userEvent.click(await button('Record injection'))
    await waitFor(() => expect(door.injections).toHaveLength(1))
    const sent = door.seen.findLast((s) => s.op === 'injection_record')!.args as { act: { dose_reason: string } }
    expect(sent.act.dose_reason).toBe('The prescriber rang.')
  })
})
