/**
 * What axe-core finds on the chart, the skin's screens, the risk factors and the lock. Rules that need layout or colours as painted are off:
 * there are none here.
 */
import { cleanup, render, screen } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import axe from 'axe-core'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import { useTransport } from '../core'
import { drawing } from './fake-chart'
import { FakeDoor } from './fake-door'
import { finding, skinCheck } from './fake-skin'
import { doorOf } from './setup'

const needLayout = ['color-contrast', 'target-size', 'scrollable-region-focusable', 'css-orientation-lock', 'meta-viewport']

/** `rule: where` for each fault. */
async function faults(): Promise<string[]> {
  const rules = Object.fromEntries(needLayout.map((rule) => [rule, { enabled: false }]))
  const found = await axe.run(document.body, { rules })
  return found.violations.flatMap((v) => v.nodes.map((n) => `${v.id}: ${n.target.join(' ')}`))
}

async function goTo(path: string) {
  window.history.replaceState(null, '', `#${path}`)
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
}
beforeEach(() => {
  // It paints letters to tell icons from words; there is nothing to paint on.
  HTMLCanvasElement.prototype.getContext = () => null
  window.scrollTo = () => undefined
  Element.prototype.scrollIntoView = () => undefined
  session.status = null
  session.step = null
})
afterEach(cleanup)

describe('axe', () => {
  it('finds a fault where there is one', async () => {
    document.body.innerHTML = '<main><button></button></main>'
    expect(await faults()).toContain('button-name: button')
    document.body.innerHTML = ''
  })
  it('finds none on the chart, with everything unfolded and something wrong', async () => {
    await doorOf()
    await goTo('/person/p1/chart?from=2026-01-05&to=2026-03-01')
    render(App)
    await screen.findAllByRole('img')
    for (const summary of document.querySelectorAll('summary')) await userEvent.click(summary)
    await userEvent.clear(screen.getByLabelText('Last day'))
    await userEvent.click(screen.getByRole('button', { name: 'Show these days' }))
    await screen.findByRole('alert')
    expect(screen.getAllByRole('table')).toHaveLength(2)
    expect(await faults()).toEqual([])
  })
  it('finds none on a chart with nothing to draw', async () => {
    const door = await doorOf()
    door.chart.drawings = [drawing({ svg: null })]
    await goTo('/person/p1/chart')
    render(App)
    await screen.findByText(/^There is nothing on record/)
    expect(await faults()).toEqual([])
  })
  it('finds none on the risk factors', async () => {
    await doorOf()
    await goTo('/person/p1/risk')
    render(App)
    await screen.findByRole('heading', { name: 'Injections close together' })
    for (const summary of document.querySelectorAll('summary')) await userEvent.click(summary)
    expect(await faults()).toEqual([])
  })
  it('finds none on the skin, a finding, marking one and a skin check', async () => {
    for (const [path, title] of [
      ['/person/p1/skin', 'Skin'],
      ['/person/p1/skin/f1', 'Finding'],
      ['/person/p1/skin/mark/abdomen', 'Mark a finding'],
      ['/person/p1/skin/check', 'Skin check'],
    ] as const) {
      const door = await doorOf()
      door.skin.findings = [finding()]
      door.skin.checks = [skinCheck()]
      await goTo(path)
      render(App)
      await screen.findByRole('heading', { level: 1, name: title })
      await screen.findAllByText(/abdomen/i)
      for (const summary of document.querySelectorAll('summary')) await userEvent.click(summary)
      expect(await faults(), path).toEqual([])
      cleanup()
      session.status = null
    }
  })
  it('finds none where the record is begun, with its recovery code', async () => {
    const door = new FakeDoor({ guard: { standing: 'not_begun' } })
    useTransport(door.transport)
    await goTo('/')
    render(App)
    await userEvent.click(await screen.findByRole('button', { name: 'Begin the record' }))
    await screen.findByRole('alert')
    expect(await faults()).toEqual([])
    await userEvent.type(screen.getByLabelText('Passphrase'), 'heron lamp gravel tide')
    await userEvent.type(screen.getByLabelText('The same once more'), 'heron lamp gravel tide')
    await userEvent.click(screen.getByRole('button', { name: 'Begin the record' }))
    await screen.findByRole('heading', { name: 'A recovery code, on paper' })
    expect(await faults()).toEqual([])
    await userEvent.click(screen.getByRole('button', { name: 'Show me the code' }))
    await screen.findByRole('group', { name: 'The recovery code' })
    expect(await faults()).toEqual([])
  })
  it('finds none where it is unlocked, by passphrase and by code, with something wrong', async () => {
    const door = new FakeDoor({ guard: { standing: 'locked' } })
    useTransport(door.transport)
    await goTo('/')
    render(App)
    await userEvent.type(await screen.findByLabelText('Passphrase'), 'wrong one{Enter}')
    await screen.findByRole('alert')
    for (const summary of document.querySelectorAll('summary')) await userEvent.click(summary)
    expect(await faults()).toEqual([])
    await userEvent.click(screen.getByRole('button', { name: 'Use the recovery code' }))
    await userEvent.type(await screen.findByLabelText('Recovery code'), door.guard.code!)
    expect(await faults()).toEqual([])
    await userEvent.click(screen.getByRole('button', { name: 'Unlock' }))
    await screen.findByRole('heading', { name: 'Choose a new passphrase' })
    expect(await faults()).toEqual([])
  })
  it('finds none where the record is not protected', async () => {
    await doorOf({ guard: { protected: false } })
    await goTo('/practice')
    render(App)
    await screen.findByText(/^This record is not protected/)
    await screen.findByRole('heading', { name: 'Who writes' })
    expect(await faults()).toEqual([])
  })
  it('finds none on the practice with everything unfolded, with the notice that it will lock', async () => {
    const door = await doorOf()
    door.guard.pins.set('Nurse Imri Vane', '4711')
    door.guard.locksIn = 20
    await goTo('/practice')
    render(App)
    await screen.findByRole('heading', { name: 'Who writes' })
    await screen.findByText(/^Fallow locks in \d+ seconds$/, { selector: '[aria-hidden]' })
    for (const summary of document.querySelectorAll('summary')) (summary.parentElement as HTMLDetailsElement).open = true
    await userEvent.click(await screen.findByRole('button', { name: /^Change or take away/ }))
    expect(await faults()).toEqual([])
  })
})
