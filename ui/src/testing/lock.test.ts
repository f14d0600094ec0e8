/** The lock as it is used: beginning, unlocking, locking, and what is said before it locks. Found by role and name. */
import { cleanup, fireEvent, render, screen, waitFor } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import App from '../App.svelte'
import { useTransport } from '../core'
import { drawingOf, session } from '../state/session.svelte'
import { FakeDoor, person, type FakeOptions } from './fake-door'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const heading = (name: RegExp | string, level = 1) => screen.findByRole('heading', { level, name })
const field = (name: RegExp | string) => screen.findByLabelText<HTMLInputElement>(name)
const right = 'heron lamp gravel tide'
const people = [person(), person({ id: 'p2', name: 'Bram Quill' })]

function goTo(path: string) {
  window.history.replaceState(null, '', `#${path}`)
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
}
/** A door that nothing was asked of yet: as the app finds it when it starts. */
function doorAt(options: FakeOptions = {}): FakeDoor {
  const door = new FakeDoor(options)
  useTransport(door.transport)
  return door
}
/** Nothing that was read from the record is on the page. */
function nothingOfIt() {
  for (const name of ['Ottoline Farrow', 'Bram Quill', 'Nurse Imri Vane', 'insulin']) expect(document.documentElement.outerHTML).not.toContain(name)
  expect(document.title).not.toMatch(/Ottoline|Bram/)
}

beforeEach(() => {
  window.scrollTo = () => undefined
  Element.prototype.scrollIntoView = () => undefined
  session.status = null
  session.protection = null
  session.fault = null
  session.lockFault = null
  session.standing = null
  session.step = null
  session.recorder = ''
  goTo('/')
})
afterEach(() => {
  vi.useRealTimers()
  cleanup()
})

describe('where there is no record yet', () => {
  it('a passphrase begins one, a recovery code follows, and then the caseload', async () => {
    const door = doorAt({ people: [], guard: { standing: 'not_begun' } })
    render(App)
    await heading('Begin a record', 2)
    await userEvent.type(await field('Passphrase'), right)
    await userEvent.type(await field('The same once more'), right)
    await userEvent.click(await button('Begin the record'))
    await heading('A recovery code, on paper', 2)
    expect(screen.queryByText('Nobody is on this device yet.')).toBeNull()
    await userEvent.click(await button('Show me the code'))
    const code = await screen.findByRole('group', { name: 'The recovery code' })
    expect(code.textContent!.trim()).toBe(door.guard.code)
    expect([...code.querySelectorAll('span')].map((s) => s.textContent)).toEqual(door.guard.code!.split(' '))
    await button('Print')
    await userEvent.click(await button('I have written it down'))
    await heading('Fallow: Caseload')
    expect(document.body.textContent).not.toContain(door.guard.code)
    expect(door.seen.filter((s) => s.op === 'begin').map((s) => s.args)).toEqual([{ passphrase: right }])
  })
  it('it can go without a code, and says where one is made later', async () => {
    const door = doorAt({ people: [], guard: { standing: 'not_begun' } })
    render(App)
    await userEvent.type(await field('Passphrase'), right)
    await userEvent.type(await field('The same once more'), right)
    await userEvent.click(await button('Begin the record'))
    await screen.findByText('You can make one at any time under “Practice and about”.')
    await userEvent.click(await button('Not now'))
    await heading('Fallow: Caseload')
    expect(door.guard.code).toBeNull()
  })
  it('nothing is begun with one that is short, or that is not the same twice', async () => {
    const door = doorAt({ people: [], guard: { standing: 'not_begun' } })
    render(App)
    await userEvent.type(await field('Passphrase'), 'short')
    await userEvent.click(await button('Begin the record'))
    expect((await screen.findByRole('alert')).textContent).toContain('shorter than 12 characters')
    expect(document.activeElement).toBe(await field('Passphrase'))
    await userEvent.type(await field('Passphrase'), ' but longer now')
    await userEvent.type(await field('The same once more'), 'something else again')
    await userEvent.click(await button('Begin the record'))
    await screen.findByText('The two are not the same. Write the second once more.')
    expect(door.count('begin')).toBe(0)
  })
})

describe('a locked record', () => {
  it('opens by its passphrase, at the address that was asked for', async () => {
    const door = doorAt({ people, guard: { standing: 'locked' } })
    goTo('/person/p2')
    render(App)
    await heading('The record is locked', 2)
    const typed = await field('Passphrase')
    expect(document.activeElement).toBe(typed)
    expect([typed.type, typed.autocomplete]).toEqual(['password', 'current-password'])
    expect(screen.queryByRole('button', { name: /Begin|Add/ })).toBeNull()
    expect(door.seen.map((s) => s.op)).toEqual(['protection'])
    await userEvent.type(typed, `${right}{Enter}`)
    await heading('Bram Quill')
    await screen.findByText('Bram Quill')
  })
  it('shows what is typed when asked', async () => {
    doorAt({ people, guard: { standing: 'locked' } })
    render(App)
    const typed = await field('Passphrase')
    await userEvent.click(await button('Show: passphrase'))
    expect(typed.type).toBe('text')
    await userEvent.click(await button('Hide: passphrase'))
    expect(typed.type).toBe('password')
  })
  it('says that it was wrong, keeps what was typed selected, and counts the wait down', async () => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'Date'], now: Date.parse('2026-06-03T08:00:00+01:00') })
    const door = doorAt({ people, guard: { standing: 'locked' } })
    render(App)
    const typed = await field('Passphrase')
    const unlock = (await button('Unlock')) as HTMLButtonElement
    await fireEvent.input(typed, { target: { value: 'wrong one' } })
    for (const n of [1, 2, 3]) {
      await fireEvent.click(unlock)
      await waitFor(() => expect(door.count('unlock')).toBe(n))
      expect((await screen.findByRole('alert')).textContent).toBe('That is not it. Look at it again.')
    }
    await waitFor(() => expect(unlock.disabled).toBe(true))
    expect(typed.value).toBe('wrong one')
    expect(document.activeElement).toBe(typed)
    expect([typed.selectionStart, typed.selectionEnd]).toEqual([0, 9])
    const wait = () => document.querySelector('[data-wait]')?.textContent
    expect(wait()).toBe('Next try in 5 seconds.')
    expect((await screen.findByRole('status')).textContent).toBe('Next try in 5 seconds.')
    door.guard.waitFor = 3
    vi.advanceTimersByTime(2000)
    await waitFor(() => expect(wait()).toBe('Next try in 3 seconds.'))
    door.guard.waitFor = 0
    vi.advanceTimersByTime(3000)
    await waitFor(() => expect(unlock.disabled).toBe(false))
    expect(screen.getByRole('status').textContent).toBe('It can be tried again.')
    await fireEvent.input(typed, { target: { value: right } })
    await fireEvent.click(unlock)
    await heading('Fallow: Caseload')
  })
  it('opens by the recovery code and leads to a new passphrase', async () => {
    const door = doorAt({ people, guard: { standing: 'locked' } })
    const old = door.guard.code!
    render(App)
    await userEvent.click(await button('Use the recovery code'))
    const typed = await field('Recovery code')
    await waitFor(() => expect(document.activeElement).toBe(typed))
    expect([typed.type, typed.getAttribute('autocapitalize'), typed.getAttribute('spellcheck')]).toEqual(['text', 'characters', 'false'])
    await userEvent.type(typed, old.toLowerCase().replaceAll(' ', '-'))
    await userEvent.click(await button('Unlock'))
    await heading('Choose a new passphrase', 2)
    nothingOfIt()
    await userEvent.type(await field('New passphrase'), 'velvet anchor moss trumpet')
    await userEvent.type(await field('The same once more'), 'velvet anchor moss trumpet')
    await userEvent.click(await button('Change it'))
    await screen.findByText('The passphrase is changed.')
    expect(door.guard.passphrase).toBe('velvet anchor moss trumpet')
    await userEvent.click(await button('To the record'))
    await screen.findByText('Ottoline Farrow')
  })
  it('can be opened by the code without another passphrase', async () => {
    const door = doorAt({ people, guard: { standing: 'locked' } })
    render(App)
    await userEvent.click(await button('Use the recovery code'))
    await userEvent.type(await field('Recovery code'), door.guard.code!)
    await userEvent.click(await button('Unlock'))
    await userEvent.click(await button('Not now'))
    await screen.findByText('Ottoline Farrow')
    expect(door.guard.passphrase).toBe(right)
  })
  it('whose file is damaged says so once it was unlocked, and offers copies', async () => {
    const door = doorAt({ people, guard: { standing: 'locked' } })
    door.backups = { ...door.backups, backups: [{ name: 'c1', made_words: '1 Jun 2026, 08:00', bytes: 4096, protected: true, locked: false, entries: 3 }] }
    const error = { code: 'file_damaged' as const, message: 'It does not read back.' }
    door.refuse.push({ op: 'unlock', error }, { op: 'status', error })
    render(App)
    await userEvent.type(await field('Passphrase'), right)
    door.guard.standing = 'closed'
    await userEvent.click(await button('Unlock'))
    await heading('The record’s file is damaged', 2)
    await button('Put back the copy of 1 Jun 2026, 08:00')
  })
  it.each(['file_damaged', 'file_missing', 'file_too_new', 'read_only', 'disk_full', 'keys_missing', 'keys_damaged'] as const)('that is closed by %s says what it is and what can be done, and is no first run', async (code) => {
    const door = doorAt({ people, guard: { standing: 'closed' } })
    door.refuse.push({ op: 'status', error: { code, message: 'What the door says.' } })
    render(App)
    const alert = await screen.findByRole('alert')
    expect(alert.dataset.code).toBe(code)
    expect(alert.querySelectorAll('p')).toHaveLength(2)
    expect(screen.queryByLabelText('Passphrase')).toBeNull()
    expect(screen.queryByRole('button', { name: /Begin|Add|Lock/ })).toBeNull()
    if (code.startsWith('keys')) await heading('Copies that can be put back', 2)
  })
})

describe('locking', () => {
  it('is one tap away, clears the page of names, and leads back to the place with the form that was begun', async () => {
    const door = doorAt({ people })
    door.add({ given_at: '2026-06-01T08:00:00+01:00', site: { zone: 'abdomen', across_cm: -5, up_cm: 3 } })
    goTo('/person/p1/give')
    render(App)
    await userEvent.click(await screen.findByRole('radio', { name: 'Nurse Imri Vane' }))
    session.recorder = 'Nurse Imri Vane'
    // At once: what was typed last is still on its way.
    await userEvent.click(await button('Lock'))
    await heading('The record is locked', 2)
    nothingOfIt()
    expect(session.recorder).toBe('')
    expect(session.status).toBeNull()
    expect(door.drafts.has('give:p1')).toBe(true)
    expect(door.seen.findIndex((s) => s.op === 'draft_save')).toBeLessThan(door.seen.findIndex((s) => s.op === 'lock'))
    await userEvent.type(await field('Passphrase'), `${right}{Enter}`)
    await heading('Give')
    await heading(/^You had begun at/, 2)
    expect(window.location.hash).toMatch(/^#\/person\/p1\/give/)
  })
  it.each([
    ['/person/p1/skin/mark', 'lump', 'Mark a finding'],
    ['/person/p1/skin/check', 'Yes', 'Skin check'],
  ])('keeps what was begun at %s', async (path, choice, title) => {
    doorAt({ people })
    goTo(path)
    render(App)
    await userEvent.click(await screen.findByRole('radio', { name: choice }))
    await userEvent.click(await button('Lock'))
    const typed = await field('Passphrase')
    nothingOfIt()
    await userEvent.type(typed, `${right}{Enter}`)
    await heading(title)
    await waitFor(() => expect(document.querySelector('[data-begun]')).not.toBeNull())
    expect((await screen.findByRole<HTMLInputElement>('radio', { name: choice })).checked).toBe(true)
  })
  it('forgets the drawings', async () => {
    const door = doorAt({ people })
    render(App)
    await screen.findByText('Ottoline Farrow')
    await drawingOf('p1')
    await drawingOf('p1')
    expect(door.count('body_drawing')).toBe(1)
    await session.lock()
    door.guard.standing = 'open'
    await drawingOf('p1')
    expect(door.count('body_drawing')).toBe(2)
  })
  it('is not undone by an answer of before that comes late', async () => {
    const door = doorAt({ people })
    render(App)
    await screen.findByText('Ottoline Farrow')
    let late = () => undefined as void
    useTransport(async (line) => {
      const answer = await door.transport(line)
      if (line.includes('"unattended":true')) await new Promise<void>((go) => (late = go))
      return answer
    })
    const looking = session.look()
    await Promise.resolve()
    await session.lock()
    const statuses = door.count('status')
    late()
    await looking
    expect(session.standing).toBe('locked')
    expect(door.count('status')).toBe(statuses)
  })
  it('is seen from any answer, wherever one is', async () => {
    const door = doorAt({ people })
    render(App)
    await screen.findByText('Ottoline Farrow')
    door.guard.lock()
    await userEvent.type(await screen.findByRole('searchbox'), 'b')
    // The refusal itself has the same heading; only the screen has a field.
    await field('Passphrase')
    nothingOfIt()
  })
  it('elsewhere is seen within five seconds', async () => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'Date'] })
    const door = doorAt({ people })
    render(App)
    await screen.findByText('Ottoline Farrow')
    door.guard.lock()
    vi.advanceTimersByTime(5000)
    await field('Passphrase')
    nothingOfIt()
  })
  it('that the door refuses is told', async () => {
    const door = doorAt({ people })
    render(App)
    door.refuse.push({ op: 'lock', error: { code: 'internal', message: 'It could not be done.' } })
    await userEvent.click(await button('Lock'))
    expect((await screen.findByRole('alert')).textContent).toBe('It could not be locked. It could not be done.')
  })
  it('is not offered where there is no passphrase', async () => {
    doorAt({ people, guard: { protected: false, demo: true } })
    render(App)
    await screen.findByText(/It is not protected by a passphrase/)
    expect(screen.queryByRole('button', { name: 'Lock' })).toBeNull()
    expect(document.querySelector('[data-unprotected]')).toBeNull()
  })
})

describe('when nobody is there', () => {
  const start = Date.parse('2026-06-03T08:00:00+01:00')
  it('it is said before it locks, and Stay keeps it open', async () => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'Date'], now: start })
    const door = doorAt({ people })
    door.guard.locksIn = 31
    render(App)
    await screen.findByText('Ottoline Farrow')
    expect(screen.queryByRole('alert')).toBeNull()
    vi.advanceTimersByTime(1000)
    const alert = await screen.findByRole('alert')
    expect(alert.textContent).toContain('Fallow locks in 30 seconds')
    vi.advanceTimersByTime(3000)
    await waitFor(() => expect(alert.querySelector('[aria-hidden]')!.textContent).toBe('Fallow locks in 27 seconds'))
    // Not read out at each second.
    expect(alert.querySelector('.out-of-sight')!.textContent).toBe('Fallow locks in 30 seconds')
    const before = door.seen.length
    door.guard.locksIn = 300
    await fireEvent.click(await button('Stay'))
    await waitFor(() => expect(screen.queryByRole('alert')).toBeNull())
    expect(door.seen.slice(before)).toEqual([{ op: 'protection', args: {}, unattended: false }])
  })
  it.each([
    ['a key', () => fireEvent.keyDown(document.body, { key: 'a' })],
    ['a touch', () => fireEvent.pointerDown(document.body)],
    ['a movement', () => fireEvent.pointerMove(document.body)],
  ])('%s takes the notice away', async (_, act) => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'Date'], now: start })
    const door = doorAt({ people })
    door.guard.locksIn = 20
    render(App)
    await screen.findByRole('alert')
    door.guard.locksIn = 300
    vi.advanceTimersByTime(1000)
    await act()
    await waitFor(() => expect(screen.queryByRole('alert')).toBeNull())
  })
  it('somebody who is there is told to the door, at most every twenty seconds', async () => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'Date'], now: start })
    const door = doorAt({ people })
    render(App)
    await screen.findByText('Ottoline Farrow')
    const told = () => door.seen.filter((s) => s.op === 'protection' && !s.unattended).length
    const before = told()
    for (let second = 0; second < 41; second++) {
      vi.advanceTimersByTime(1000)
      await fireEvent.pointerMove(document.body)
    }
    expect(told() - before).toBe(2)
  })
  it('whatever a page asks by itself is asked unattended', async () => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'Date'], now: start })
    for (const [path, op, title] of [
      ['/today', 'due', 'Today'],
      ['/person/p1', 'due', /./],
      ['/person/p1/glucose', 'glucose_state', /./],
      ['/person/p1/give', 'time_resolve', 'Give'],
    ] as const) {
      const door = doorAt({ people })
      door.visit.slot()
      goTo(path)
      render(App)
      await heading(title)
      await waitFor(() => expect(door.count(op)).toBeGreaterThan(0))
      await vi.waitFor(() => expect(document.querySelector('.skeleton')).toBeNull())
      const before = door.seen.length
      const clock = door.count(op)
      for (let second = 0; second < 61; second++) {
        // The door's clock goes on with the page's.
        door.now = new Date(start + (second + 1) * 1000).toISOString().replace('.000Z', '+00:00')
        vi.advanceTimersByTime(1000)
        await Promise.resolve()
      }
      await waitFor(() => expect(door.count(op)).toBeGreaterThan(clock))
      await new Promise((done) => setTimeout(done, 50))
      const asked = door.seen.slice(before)
      expect(asked.filter((s) => s.op === 'protection').length, path).toBeGreaterThanOrEqual(12)
      expect(asked.filter((s) => !s.unattended).map((s) => s.op), path).toEqual([])
      cleanup()
    }
  })
})
