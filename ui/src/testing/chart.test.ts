/** The chart, found by role and name, worked by keyboard. */
import { cleanup, render, screen, waitFor, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import App from '../App.svelte'
import { useTransport } from '../core'
import { session } from '../state/session.svelte'
import type { ChartGet } from '../wire'
import { drawing, svg } from './fake-chart'
import { person, type FakeDoor } from './fake-door'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const radio = (name: string) => screen.findByRole('radio', { name })
const heading = (name: RegExp | string) => screen.findByRole('heading', { level: 1, name })
const askedOf = (door: FakeDoor) => door.seen.filter((s) => s.op === 'chart').map((s) => s.args as ChartGet)

async function goTo(path: string) {
  window.history.replaceState(null, '', `#${path}`)
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
}

/** What the system says of its look, and the width of the column; changed by the test. */
const look = { dark: false, forced: false, column: NaN, changed: [] as (() => void)[], resized: [] as (() => void)[] }
const relook = (change: Partial<typeof look>) => {
  Object.assign(look, change)
  for (const tell of 'column' in change ? look.resized : look.changed) tell()
}

beforeEach(async () => {
  window.scrollTo = () => undefined
  Element.prototype.scrollIntoView = () => undefined
  session.status = null
  Object.assign(look, { dark: false, forced: false, column: NaN, changed: [], resized: [] })
  vi.stubGlobal('matchMedia', (query: string) => ({
    get matches() {
      return query.includes('dark') ? look.dark : query.includes('forced') && look.forced
    },
    addEventListener: (_: string, tell: () => void) => look.changed.push(tell),
    removeEventListener: (_: string, tell: () => void) => (look.changed = look.changed.filter((t) => t !== tell)),
  }))
  vi.stubGlobal('ResizeObserver', class {
    constructor(private tell: () => void) {}
    observe = () => look.resized.push(this.tell)
    disconnect = () => (look.resized = look.resized.filter((t) => t !== this.tell))
  })
  // Names in these tests need no escaping, and there is no CSS here to do it.
  vi.stubGlobal('CSS', { escape: (name: string) => name })
  const real = window.getComputedStyle.bind(window)
  vi.spyOn(window, 'getComputedStyle').mockImplementation((e, pseudo) =>
    e.classList.contains('drawings') ? ({ gridTemplateColumns: `${look.column}px ${look.column}px` } as CSSStyleDeclaration) : real(e, pseudo),
  )
  await goTo('/')
})
afterEach(() => {
  cleanup()
  vi.restoreAllMocks()
  vi.unstubAllGlobals()
})

async function opened(path = '/person/p1/chart', made?: (door: FakeDoor) => void): Promise<FakeDoor> {
  const door = await doorOf()
  made?.(door)
  await goTo(path)
  render(App)
  return door
}

describe('the chart', () => {
  it('is at most three taps from the caseload', async () => {
    const door = await doorOf({ people: [person(), person({ id: 'p2', name: 'Bram Quill' })] })
    render(App)
    const user = userEvent.setup()
    const path = ['Ottoline Farrow', 'Chart']
    for (const name of path) await user.click(await button(name))
    await heading('Chart')
    await screen.findByText('12 weeks to 3 Jun 2026')
    expect(path.length).toBeLessThanOrEqual(3)
    expect(askedOf(door)).toHaveLength(1)
  })
  it.each([['Rotation', '/person/p1/rotation'], ['Record', '/person/p1/record']])('is one tap from %s', async (_, path) => {
    await opened(path)
    await userEvent.click(await button('Chart'))
    await heading('Chart')
  })
  it('shows each drawing with its heading, its words, its notes and its table', async () => {
    await opened()
    const plate = await screen.findByRole('region', { name: '1 Days and hours' })
    expect(within(plate).getByRole('img', { name: 'Days and hours' })).toBeTruthy()
    within(plate).getByText('A gap is a day without a record.')
    await userEvent.click(within(plate).getByText(/^As a table/))
    const table = await within(plate).findByRole('table', { name: 'Injections a day' })
    expect(within(table).getAllByRole('columnheader').map((h) => h.textContent)).toEqual(['Day', 'Injections'])
    expect(within(table).getAllByRole('rowheader').map((h) => h.textContent)).toEqual(['Mon 1 Jun 2026', 'Tue 2 Jun 2026'])
    await screen.findByText('The chart shows what is on record.')
    await screen.findByText('Usual spacing: a published source.')
  })
  it('changes the period and the comparison by keyboard, keeps them in the address and the focus where it was', async () => {
    const door = await opened()
    const user = userEvent.setup()
    const twelve = await radio('12 weeks')
    await screen.findByText('12 weeks to 3 Jun 2026')
    twelve.focus()
    await user.keyboard('{ArrowRight}')
    await screen.findByText('26 weeks to 3 Jun 2026')
    expect(window.location.hash).toBe('#/person/p1/chart?weeks=26')
    expect(document.activeElement).toBe(await radio('26 weeks'))
    const beside = screen.getByRole('switch', { name: 'Beside the period before' })
    beside.focus()
    await user.keyboard(' ')
    await screen.findByText('26 weeks to 3 Jun 2026, beside the weeks before')
    expect(window.location.hash).toBe('#/person/p1/chart?weeks=26&compare=1')
    expect(document.activeElement).toBe(beside)
    expect(askedOf(door).map((a) => [a.weeks, a.compare])).toEqual([[12, false], [26, false], [26, true]])
  })
  it('opens as its address says, and Back leads out of it, not through its periods', async () => {
    await opened('/person/p1')
    await userEvent.click(await button('Chart'))
    await userEvent.click(await radio('4 weeks'))
    await screen.findByText('4 weeks to 3 Jun 2026')
    await userEvent.click(await button('Back'))
    await heading('Ottoline Farrow')
    cleanup()
    await goTo('/person/p1/chart?from=2026-01-05&to=2026-03-01&compare=1')
    render(App)
    await screen.findByText('2026-01-05 to 2026-03-01, beside the weeks before')
    expect((await radio('Two dates') as HTMLInputElement).checked).toBe(true)
    expect((screen.getByLabelText('First day') as HTMLInputElement).value).toBe('2026-01-05')
  })
  it('takes any two dates, and says when they are the wrong way round without losing them', async () => {
    const door = await opened('/person/p1/chart?from=2026-01-05&to=2026-03-01')
    const user = userEvent.setup()
    const from = (await screen.findByLabelText('First day')) as HTMLInputElement
    await user.clear(from)
    await user.type(from, '2026-04-01')
    await user.keyboard('{Enter}')
    expect((await screen.findByRole('alert')).textContent).toBe('The first day is after the last. Change one of them.')
    expect(from.value).toBe('2026-04-01')
    expect(document.activeElement).toBe(from)
    expect(from.getAttribute('aria-invalid')).toBe('true')
    expect(askedOf(door)).toHaveLength(1)
    const to = screen.getByLabelText('Last day')
    await user.clear(to)
    await user.type(to, '2026-05-01')
    expect(screen.queryByRole('alert')).toBeNull()
    await screen.findByText('1 April 2026 to 1 May 2026')
    await user.click(await button('Show these days'))
    await screen.findByText('2026-04-01 to 2026-05-01')
    expect(window.location.hash).toBe('#/person/p1/chart?from=2026-04-01&to=2026-05-01')
  })
  it('says which day is missing', async () => {
    await opened('/person/p1/chart?from=2026-01-05&to=2026-03-01')
    const to = await screen.findByLabelText('Last day')
    await userEvent.clear(to)
    await userEvent.click(await button('Show these days'))
    expect((await screen.findByRole('alert')).textContent).toMatch(/^Write the last day/)
    expect(document.activeElement).toBe(to)
  })
  it('starts two dates from the days on screen', async () => {
    await opened('/person/p1/chart', (door) => {
      const { transport } = door
      useTransport(async (line) => (await transport(line)).replace(/"from":"2026-06-03 less 12"/, '"from":"2026-03-12"'))
    })
    await screen.findByText('12 weeks to 3 Jun 2026')
    await userEvent.click(await radio('Two dates'))
    await screen.findByText('12 March 2026 to 3 June 2026')
    await userEvent.click(await radio('12 weeks'))
    expect(screen.queryByLabelText('First day')).toBeNull()
  })
  it('leads to a drawing', async () => {
    await opened()
    const jump = await screen.findByRole('navigation', { name: 'Jump to' })
    await userEvent.click(within(jump).getByText('Jump to'))
    await userEvent.click(within(jump).getByRole('button', { name: '2 Use of the skin' }))
    expect(document.activeElement).toBe(screen.getByRole('heading', { name: '2 Use of the skin' }))
    expect(window.location.hash).toBe('#/person/p1/chart')
  })
  it('leaves out a drawing that is not safe, and says so beside its table', async () => {
    await opened('/person/p1/chart', (door) => {
      door.chart.drawings = [drawing({ svg: svg(328, 'x').replace('<path', '<path onclick="alert(1)"') })]
    })
    await screen.findByText(/^This drawing could not be shown safely/)
    expect(screen.queryByRole('img')).toBeNull()
    await screen.findByText(/^As a table/)
  })
  it('says in words that nothing is on record', async () => {
    await opened('/person/p1/chart', (door) => {
      door.chart.drawings = [drawing({ svg: null, notes: ['No injection in these days.'], table: { caption: 'Injections a day', columns: ['Day'], rows: [] } })]
    })
    await screen.findByText('There is nothing on record in this period that could be drawn.')
    await screen.findByText('No injection in these days.')
  })
  it('keeps the last good chart through a fault, and says which it is', async () => {
    const door = await opened()
    await screen.findByText('12 weeks to 3 Jun 2026')
    door.refuse.push({ op: 'chart', error: { code: 'busy', message: 'Another copy holds it.' } })
    await userEvent.click(await radio('52 weeks, a year'))
    expect((await screen.findByRole('alert')).textContent).toContain('Another copy holds it.')
    await screen.findByText('What is shown below is still 12 weeks to 3 Jun 2026.')
    expect(screen.getAllByRole('img')).toHaveLength(2)
    await userEvent.click(await button('Try again'))
    await screen.findByText('52 weeks to 3 Jun 2026')
    expect(screen.queryByRole('alert')).toBeNull()
  })
  it('says that it is being drawn, and what is shown until then', async () => {
    const door = await opened()
    await screen.findByText('12 weeks to 3 Jun 2026')
    let go = () => {}
    useTransport(async (line) => {
      if (line.includes('"op":"chart"')) await new Promise<void>((now) => (go = now))
      return door.transport(line)
    })
    await userEvent.click(await radio('4 weeks'))
    await screen.findByText('Drawing the chart… Until then, 12 weeks to 3 Jun 2026 is shown.')
    go()
    await screen.findByText('4 weeks to 3 Jun 2026')
  })
})

describe('how the chart looks', () => {
  it('is drawn for its column and its theme, and anew when either changes', async () => {
    look.column = 332
    look.dark = true
    const door = await opened()
    await screen.findByText('12 weeks to 3 Jun 2026')
    expect(askedOf(door).map((a) => [a.width, a.theme])).toEqual([[328, 'dark']])
    relook({ column: 617 })
    await waitFor(() => expect(screen.getByRole('img', { name: 'Use of the skin' }).getAttribute('width')).toBe('616'))
    relook({ forced: true })
    await waitFor(() => expect(askedOf(door).at(-1)).toMatchObject({ width: 616, theme: 'light' }))
    relook({ forced: false, dark: false })
    expect(askedOf(door)).toHaveLength(3)
  })
  it('does not listen on once it is left', async () => {
    const door = await opened('/person/p1')
    await userEvent.click(await button('Chart'))
    await screen.findByText('12 weeks to 3 Jun 2026')
    await userEvent.click(await button('Back'))
    await heading('Ottoline Farrow')
    expect([look.changed, look.resized]).toEqual([[], []])
    relook({ dark: true })
    expect(askedOf(door)).toHaveLength(1)
  })
})
