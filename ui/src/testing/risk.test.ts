/** The risk factors, found by role and name. */
import { cleanup, render, screen, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import { factor } from './fake-risk'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const heading = (name: RegExp | string) => screen.findByRole('heading', { level: 1, name })

async function goTo(path: string) {
  window.history.replaceState(null, '', `#${path}`)
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
}
beforeEach(async () => {
  // Names in these tests need no escaping, and there is no CSS here to do it.
  vi.stubGlobal('CSS', { escape: (name: string) => name })
  window.scrollTo = () => undefined
  session.status = null
  await goTo('/')
})
afterEach(() => {
  cleanup()
  vi.unstubAllGlobals()
})

async function opened(path = '/person/p1/risk') {
  const door = await doorOf()
  await goTo(path)
  render(App)
  return door
}

describe('risk factors', () => {
  it.each(['/person/p1', '/person/p1/rotation', '/person/p1/record', '/person/p1/chart'])('are one tap from %s', async (path) => {
    await opened(path)
    await userEvent.click(await button('Risk factors'))
    await heading('Risk factors')
  })
  it('stand one by one, each in words, with its figure, what helps and what was published', async () => {
    await opened()
    const close = (await screen.findByRole('heading', { name: 'Injections close together' })).closest('section')!
    const said = [...close.querySelectorAll('dt')].map((dt) => [dt.textContent, dt.nextElementSibling?.querySelector('.numbers')?.textContent ?? dt.nextElementSibling?.textContent])
    expect(said).toEqual([
      ['On this record', '6 of 20 were closer than 1 cm.'],
      ['What helps', 'Leave a finger’s width between two injections.'],
      ['What was published', 'Odds ratio 20.4 (10.5 to 39.6)'],
    ])
    within(close).getByText('a published source')
    const years = screen.getByRole('heading', { name: 'Years of injecting' }).closest('section')!
    expect(years.textContent).toContain('Nothing is published about it that we know of.')
    const standings = [...document.querySelectorAll('[data-factor]')].map((f) => [
      f.querySelector('.factor-standing')!.textContent?.trim(), f.querySelector('[data-mark]')!.innerHTML,
    ])
    expect(standings.map(([words]) => words)).toEqual(['found here', 'not known', 'not found here', 'shown only'])
    expect(new Set(standings.map(([, mark]) => mark)).size).toBe(4)
  })
  it('show what else is published, beside an odds ratio or where there is none', async () => {
    const door = await doorOf()
    door.risk.factors = [
      factor({ code: 'lump', name: 'Injecting into a lump', odds: [], published: 'One person’s exposure varies: a named study' }),
      factor({ code: 'needle', name: 'Needle used again', published: 'Rose above 5 uses: another study' }),
    ]
    await goTo('/person/p1/risk')
    render(App)
    const said = async (name: string) => [...(await screen.findByRole('heading', { name })).closest('section')!.querySelectorAll('dd')].slice(2).map((dd) => dd.textContent)
    expect(await said('Injecting into a lump')).toEqual(['No odds ratio is published that we know of.', 'One person’s exposure varies: a named study.'])
    expect((await said('Needle used again')).at(-1)).toBe('Rose above 5 uses: another study.')
    expect(document.body.textContent).not.toContain('Nothing is published')
  })
  it('say first that they are never added up, that a lump is felt by hands, and to ask the team', async () => {
    await opened()
    await screen.findByText('Listed one by one, never added up.')
    const first = document.querySelector('main')!.firstElementChild!.textContent!
    expect(first).toContain('Listed one by one, never added up.')
    expect(first).toContain('A lump is found by hands')
    expect(first).toContain('Ask your team')
  })
  it('are looked at over another time by keyboard, kept in the address', async () => {
    const door = await opened('/person/p1/risk?weeks=4')
    const four = await screen.findByRole('radio', { name: '4 weeks' })
    expect((four as HTMLInputElement).checked).toBe(true)
    await screen.findByText('28 days to 3 Jun 2026')
    four.focus()
    await userEvent.keyboard('{ArrowRight}')
    await screen.findByText('84 days to 3 Jun 2026')
    expect(window.location.hash).toBe('#/person/p1/risk?weeks=12')
    expect(door.seen.filter((s) => s.op === 'risk').map((s) => (s.args as { days: number }).days)).toEqual([28, 84])
  })
  it('stay on screen through a fault, and come with another try', async () => {
    const door = await opened()
    await screen.findByText('84 days to 3 Jun 2026')
    door.refuse.push({ op: 'risk', error: { code: 'busy', message: 'Another copy holds it.' } })
    await userEvent.click(await screen.findByRole('radio', { name: '26 weeks' }))
    expect((await screen.findByRole('alert')).textContent).toContain('Another copy holds it.')
    screen.getByRole('heading', { name: 'Injections close together' })
    await userEvent.click(await button('Try again'))
    await screen.findByText('182 days to 3 Jun 2026')
  })
})
