/** The screens as they are used: found by role and name, worked by tap and by keyboard. */
import { cleanup, fireEvent, render, screen, waitFor, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import App from '../App.svelte'
import { useTransport } from '../core'
import { session } from '../state/session.svelte'
import { person } from './fake-door'
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
  await goTo('/')
})
afterEach(cleanup)

/** Counts what a hand does. */
function hand() {
  const user = userEvent.setup()
  let taps = 0
  return {
    user,
    tap: async (element: Promise<HTMLElement>) => {
      await user.click(await element)
      taps++
    },
    get taps() {
      return taps
    },
  }
}

describe('a nurse, from the caseload', () => {
  it('records in at most eight taps and sees it on the map', async () => {
    const door = await doorOf({ people: [person(), person({ id: 'p2', name: 'Bram Quill' })] })
    door.add({ given_at: '2026-06-01T08:00:00+01:00', site: { zone: 'abdomen', across_cm: -5, up_cm: 3 } })
    render(App)
    const h = hand()
    await h.tap(button('Ottoline Farrow'))
    await h.tap(button('Give'))
    await h.tap(screen.findByRole('radio', { name: 'Nurse Imri Vane' }))
    await h.tap(button('Record injection'))
    await heading('Recorded')
    expect(h.taps).toBeLessThanOrEqual(8)
    expect(door.injections).toHaveLength(2)
    await h.tap(button('See it on the body map'))
    await heading('Body map')
    expect(await screen.findByRole('button', { name: 'Abdomen, left lower quadrant: today' })).toBeTruthy()
  })
  it('chooses another place by keyboard alone', async () => {
    const door = await doorOf({ people: [person(), person({ id: 'p2', name: 'Bram Quill' })] })
    await goTo('/person/p1/give')
    render(App)
    const { user } = hand()
    await user.click(await button('Another place'))
    const quadrant = await button(/^Abdomen, right upper quadrant/)
    quadrant.focus()
    await user.keyboard('{Enter}')
    const skin = await screen.findByRole('application')
    skin.focus()
    await user.keyboard('{ArrowLeft}{ArrowUp}{Shift>}{ArrowUp}{/Shift}')
    await screen.findByText('Abdomen, right upper quadrant: 8.5 cm to the person’s right of the landmark, 4.6 cm above it')
    await user.keyboard('{Enter}')
    await heading('Give')
    await screen.findByText('Chosen by you')
    await user.type(await screen.findByRole('textbox', { name: 'Another name' }), 'Imri Vane')
    await user.click(await button('Record injection'))
    await heading('Recorded')
    expect(door.injections[0]!.site).toMatchObject({ zone: 'abdomen', quadrant: 'right_upper', across_cm: -8.5, up_cm: 4.6 })
  })
  it('is told what is missing and is led there', async () => {
    const door = await doorOf()
    await goTo('/person/p1/give')
    render(App)
    await userEvent.click(await button('Record injection'))
    expect((await screen.findByRole('alert')).textContent).toContain('Say who gave it.')
    expect(door.count('injection_record')).toBe(0)
  })
  it('sees the earlier entry before a second dose, and cancelling leaves one (case S5)', async () => {
    const door = await doorOf()
    door.add({ given_at: '2026-06-03T07:56:00+01:00', site: { zone: 'left_thigh', quadrant: 'upper_outer' } })
    await goTo('/person/p1/give')
    render(App)
    await userEvent.click(await screen.findByRole('radio', { name: 'Nurse Imri Vane' }))
    await userEvent.click(await button('Record injection'))
    await heading('Was it given already?')
    const notice = screen.getByRole('group', { name: /4 min ago/ })
    expect(within(notice).getByText(/Left thigh, upper outer quadrant/)).toBeTruthy()
    await userEvent.click(await button('Go back, save nothing'))
    await heading('Give')
    expect(door.injections).toHaveLength(1)
  })
})

describe('one person who injects themself', () => {
  it('opens on the form and records in at most three taps; Back leads to the caseload', async () => {
    const door = await doorOf({ people: [person({ self_injects: true })] })
    render(App)
    const h = hand()
    await heading('Give')
    await h.tap(screen.findByRole('radio', { name: 'Ottoline Farrow (self)' }))
    await h.tap(button('Record injection'))
    await heading('Recorded')
    expect(h.taps).toBeLessThanOrEqual(3)
    expect(door.injections).toHaveLength(1)
    await h.tap(button('Back'))
    await heading('Fallow: Caseload')
  })
})

describe('the record', () => {
  it('keeps a withdrawn entry, struck, with its reason', async () => {
    const door = await doorOf()
    door.add({ given_at: '2026-06-02T08:00:00+01:00', site: { zone: 'abdomen', across_cm: 5, up_cm: 3 } })
    await goTo('/person/p1/record')
    render(App)
    await userEvent.click(await button(/^Correct 12 units/))
    await userEvent.click(await screen.findByRole('checkbox', { name: /it never happened/ }))
    await userEvent.type(await screen.findByRole('textbox', { name: 'What was wrong with it?' }), 'wrong person')
    await userEvent.click(await screen.findByRole('radio', { name: 'Nurse Imri Vane' }))
    await userEvent.click(await button('Mark as entered in error'))
    await heading('Record')
    await waitFor(() => expect(document.querySelectorAll('.entry.struck')).toHaveLength(2))
    expect(screen.queryByRole('button', { name: /^Correct/ })).toBeNull()
    expect(screen.getAllByText('wrong person')).toHaveLength(2)
  })
})

describe('what must never look like a first run', () => {
  it.each(['file_damaged', 'file_missing'] as const)('%s closes the app and offers to try again', async (code) => {
    const door = await doorOf()
    door.refuse.push({ op: 'status', error: { code, message: 'The file is not what it should be.' } })
    session.status = null
    render(App)
    const alert = await screen.findByRole('alert')
    expect(alert.textContent).toContain('The file is not what it should be.')
    expect(screen.queryByRole('button', { name: 'Add a person' })).toBeNull()
    await userEvent.click(await button('Try again'))
    await heading('Fallow: Caseload')
  })
  it('a newer file is read only, and says so on every screen', async () => {
    await doorOf({ writable: false })
    render(App)
    await heading('Fallow: Caseload')
    expect(screen.getByRole('alert').textContent).toContain('newer version')
    expect(screen.queryByRole('button', { name: 'Add a person' })).toBeNull()
    await userEvent.click(await button('Ottoline Farrow'))
    await button('Record')
    expect(screen.queryByRole('button', { name: 'Give' })).toBeNull()
  })
  it('shows every refusal, with a way to try again', async () => {
    const door = await doorOf({ people: [person(), person({ id: 'p2', name: 'Bram Quill' })] })
    door.refuse.push({ op: 'person_list', error: { code: 'busy', message: 'Another copy holds it.' } })
    render(App)
    expect((await screen.findByRole('alert')).textContent).toContain('Another copy holds it.')
    await userEvent.click(await button('Try again'))
    await button('Ottoline Farrow')
  })
})

describe('allergies', () => {
  it.each([
    [null, 'Allergies not asked yet'],
    [[], 'No known allergies'],
    [['latex'], 'Allergies: latex'],
  ])('%j reads %s', async (allergies, words) => {
    await doorOf({ people: [person({ allergies })] })
    await goTo('/person/p1')
    render(App)
    await screen.findByText(words)
  })
})

describe('rotation', () => {
  it('is reached from the person, says the figures, and asks again for another period', async () => {
    const door = await doorOf()
    door.add({ given_at: '2026-06-01T08:00:00+01:00', site: { zone: 'abdomen', across_cm: -5, up_cm: 3 } })
    door.add({ given_at: '2026-04-01T08:00:00+01:00', site: { zone: 'abdomen', across_cm: 5, up_cm: 3 } })
    await goTo('/person/p1')
    render(App)
    await userEvent.click(await button('Rotation'))
    await heading('Rotation')
    await screen.findByText(/^1 of 1 injection \(100 %\) kept both/)
    await userEvent.click(await screen.findByRole('radio', { name: '12 weeks' }))
    await screen.findByText(/^2 of 2 injections \(100 %\) kept both/)
    expect(door.seen.filter((s) => s.op === 'measures').map((s) => (s.args as { from: string }).from)).toEqual(['2026-05-07', '2026-03-12'])
  })
})

describe('past months on the map', () => {
  it('are replayed by keyboard, with the date in words', async () => {
    const door = await doorOf()
    door.add({ given_at: '2026-06-01T08:00:00+01:00', site: { zone: 'abdomen', across_cm: -5, up_cm: 3 } })
    await goTo('/person/p1/map')
    render(App)
    await button('Abdomen, right upper quadrant: 2 days ago')
    const slider = await screen.findByRole('slider', { name: 'Day shown on the map' })
    slider.focus()
    await userEvent.keyboard('{ArrowLeft}')
    await screen.findByText('As it was on 2 June 2026, 1 day ago')
    await button('Abdomen, right upper quadrant: 1 day ago')
    await userEvent.keyboard('{PageDown}')
    await button('Abdomen, right upper quadrant: not used in the last year')
    expect(slider.getAttribute('aria-valuetext')).toBe('As it was on 26 May 2026, 8 days ago')
    await userEvent.keyboard('{End}')
    await screen.findByText('As it is now')
  })
  it('stay on the day that was looked at when a zone is opened, and on the way back', async () => {
    const door = await doorOf()
    door.add({ given_at: '2026-05-20T08:00:00+01:00', site: { zone: 'abdomen', across_cm: -5, up_cm: 3 } })
    await goTo('/person/p1/map')
    render(App)
    const slider = await screen.findByRole('slider', { name: 'Day shown on the map' })
    slider.focus()
    await userEvent.keyboard('{PageDown}')
    ;(await button('Abdomen, right upper quadrant: 7 days ago')).focus()
    await userEvent.keyboard('{Enter}')
    await heading('Abdomen, close up')
    await screen.findByText('As it was on 27 May 2026, 7 days ago.')
    const asked = (op: string) => (door.seen.findLast((s) => s.op === op)!.args as { at: string }).at
    expect([asked('patch'), asked('use_grid')]).toEqual(['2026-05-27T08:00:00+01:00', '2026-05-27T08:00:00+01:00'])
    expect(door.count('site_check')).toBe(0)
    await userEvent.click(await button('Back'))
    await screen.findByText('As it was on 27 May 2026, 7 days ago')
    ;(await button('Abdomen, right upper quadrant: 7 days ago')).focus()
    await userEvent.keyboard('{Enter}')
    await userEvent.click(await button('Show it as it is now'))
    await vi.waitFor(() => expect(asked('patch')).toBe(door.now))
    expect(screen.queryByText(/^As it was on/)).toBeNull()
  })
  it('are not offered where a place is being chosen', async () => {
    await doorOf({ people: [person(), person({ id: 'p2', name: 'Bram Quill' })] })
    await goTo('/person/p1/give/place')
    render(App)
    await screen.findByRole('group', { name: 'Front of the body' })
    expect(screen.queryByRole('slider')).toBeNull()
  })
  it('colour the skin close up', async () => {
    const door = await doorOf()
    door.add({ given_at: '2026-06-01T08:00:00+01:00', site: { zone: 'abdomen', across_cm: -5, up_cm: 3 } })
    await goTo('/person/p1/map/abdomen')
    render(App)
    await screen.findByText(/^The skin itself is coloured/)
    expect(document.querySelectorAll('[data-cells="1"]')).toHaveLength(1)
  })
})

describe('a touch on the body', () => {
  /** The next touches are answered with this place and these neighbours. */
  async function touching(near: { zone: string; quadrant: string; words: string }[]) {
    const door = await doorOf()
    await goTo('/person/p1/map')
    render(App)
    const front = await screen.findByRole('group', { name: 'Front of the body' })
    const place = door.place({ zone: 'abdomen', across_cm: 0.2, up_cm: -4 })
    const data = { words: 'Abdomen', zone: 'abdomen', place, near }
    useTransport(async (line) =>
      line.includes('"site_at"') ? JSON.stringify({ ok: { op: 'site_at', data } }) : door.transport(line),
    )
    await fireEvent.click(front)
  }
  it('is taken as it is where nothing else was near', async () => {
    await touching([])
    await heading('Abdomen, close up')
    await screen.findByText(/^Abdomen, left lower quadrant: 0.2 cm/)
  })
  it('near the border of another zone asks which, and the answer opens that skin', async () => {
    await touching([{ zone: 'left_thigh', quadrant: 'upper_inner', words: 'Left thigh, upper inner quadrant' }])
    await screen.findByRole('heading', { name: 'That was close to a border. Which one?' })
    await userEvent.click(await screen.findByRole('button', { name: 'Left thigh, upper inner quadrant' }))
    await heading('Left thigh, close up')
    await screen.findByText('No point chosen yet.')
  })
  it('near a border within the zone opens the skin with nothing chosen', async () => {
    await touching([{ zone: 'abdomen', quadrant: 'right_lower', words: 'Abdomen, right lower quadrant' }])
    await heading('Abdomen, close up')
    await screen.findByText('No point chosen yet.')
  })
})
