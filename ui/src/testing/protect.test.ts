/** What is set about the lock, who writes by PIN, and copies under another passphrase. Found by role and name. */
import { cleanup, render, screen, waitFor, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import { person } from './fake-door'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const field = (name: RegExp | string) => screen.findByLabelText<HTMLInputElement>(name)
const right = 'heron lamp gravel tide'
const two = [person(), person({ id: 'p2', name: 'Bram Quill' })]

function goTo(path: string) {
  window.history.replaceState(null, '', `#${path}`)
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
}
const part = async (name: string) => (await screen.findByRole('heading', { level: 2, name })).closest('section')!
async function open(text: string) {
  await userEvent.click(await screen.findByText(text, { selector: 'summary' }))
}

beforeEach(() => {
  window.scrollTo = () => undefined
  Element.prototype.scrollIntoView = () => undefined
  session.status = null
  session.fault = null
  goTo('/practice')
})
afterEach(cleanup)

describe('who can read this record', () => {
  it('is chosen: after how many minutes it locks', async () => {
    const door = await doorOf()
    render(App)
    const five = await screen.findByRole<HTMLInputElement>('radio', { name: '5 minutes' })
    expect(five.checked).toBe(true)
    await userEvent.click(await screen.findByRole('radio', { name: '15 minutes' }))
    await waitFor(() => expect(door.guard.idleMinutes).toBe(15))
    await within(await part('Who can read this record')).findByText('Saved.')
  })
  it('changes with the passphrase, which needs the one of today', async () => {
    const door = await doorOf()
    render(App)
    await open('Change the passphrase')
    await userEvent.type(await field('New passphrase'), 'velvet anchor moss trumpet')
    await userEvent.type(await field('The same once more'), 'velvet anchor moss trumpet')
    await userEvent.click(await button('Change the passphrase'))
    await screen.findByText('Write the passphrase.')
    const form = (await field('New passphrase')).closest('form')!
    await userEvent.type(within(form).getByLabelText('Passphrase of today'), 'not this one')
    await userEvent.click(await button('Change the passphrase'))
    within(await within(form).findByRole('alert')).getByText('That is not it. Look at it again.')
    expect(door.guard.passphrase).toBe(right)
    await userEvent.clear(within(form).getByLabelText('Passphrase of today'))
    await userEvent.type(within(form).getByLabelText('Passphrase of today'), right)
    await userEvent.click(await button('Change the passphrase'))
    await screen.findByText('The passphrase is changed.')
    expect(door.guard.passphrase).toBe('velvet anchor moss trumpet')
    expect((await field('New passphrase')).value).toBe('')
  })
  it('says that a recovery code replaces the one before, and tells it once', async () => {
    const door = await doorOf()
    const before = door.guard.code
    render(App)
    await open('Make another recovery code')
    await screen.findByText('It replaces the one before, which no longer opens this record.')
    const form = (await button('Show me the code')).closest('form')!
    await userEvent.type(within(form).getByLabelText('Passphrase of today'), right)
    await userEvent.click(await button('Show me the code'))
    expect((await screen.findByRole('group', { name: 'The recovery code' })).textContent!.trim()).toBe(door.guard.code)
    expect(door.guard.code).not.toBe(before)
    await userEvent.click(await button('I have written it down'))
    await waitFor(() => expect(document.body.textContent).not.toContain(door.guard.code))
  })
  it('tells what is kept and what happens with a forgotten passphrase', async () => {
    await doorOf()
    render(App)
    await open('What is kept, and who can read it')
    const note = document.querySelector<HTMLElement>('[data-privacy]')!
    for (const text of [/^Kept on this device/, /^Who can read it/, /^It leaves the device only when you ask/, /^Copies of the record are encrypted too/, /^A forgotten passphrase/, /name nobody\.$/])
      within(note).getByText(text)
  })
})

describe('a record without a passphrase', () => {
  it('says so on every screen and leads to where it is protected', async () => {
    const door = await doorOf({ people: two, guard: { protected: false } })
    goTo('/')
    render(App)
    await screen.findByText(/^This record is not protected/)
    expect(screen.queryByRole('button', { name: 'Lock' })).toBeNull()
    await userEvent.click(await button('Protect it'))
    const form = await screen.findByRole('form', { name: 'Protect it with a passphrase' })
    await userEvent.type(within(form).getByLabelText('Passphrase'), right)
    await userEvent.type(within(form).getByLabelText('The same once more'), right)
    await userEvent.click(within(form).getByRole('button', { name: 'Encrypt the record' }))
    await screen.findByText('The record is encrypted now.')
    expect(screen.queryByText(/^This record is not protected/)).toBeNull()
    await button('Lock')
    expect(door.guard.passphrase).toBe(right)
  })
  it('keeps what was typed where the door refuses it', async () => {
    const door = await doorOf({ guard: { protected: false } })
    render(App)
    const form = await screen.findByRole('form', { name: 'Protect it with a passphrase' })
    await userEvent.type(within(form).getByLabelText('Passphrase'), right)
    await userEvent.type(within(form).getByLabelText('The same once more'), right)
    door.refuse.push({ op: 'protect', error: { code: 'disk_full', message: 'There is not room for both.' } })
    await userEvent.click(await button('Encrypt the record'))
    within(await within(form).findByRole('alert')).getByText('There is not room for both.')
    expect(within(form).getByLabelText<HTMLInputElement>('Passphrase').value).toBe(right)
  })
  it('of made-up people is not offered a passphrase', async () => {
    await doorOf({ guard: { protected: false, demo: true } })
    render(App)
    await screen.findByText('Made-up people are not protected: they are thrown away when Fallow ends.')
    expect(screen.queryByRole('button', { name: 'Encrypt the record' })).toBeNull()
  })
})

describe('who writes', () => {
  it('gets a PIN, another one, and none any more', async () => {
    const door = await doorOf()
    render(App)
    await screen.findByText('Nobody has a PIN.')
    await open('Give a name a PIN')
    await userEvent.type(await field('Name, as it stands in entries'), 'Nurse Imri Vane')
    await userEvent.type(await field('New PIN'), '4711')
    await userEvent.click(await button('Give this PIN'))
    await screen.findByText('Nurse Imri Vane has a PIN now.')
    expect(door.guard.pins.get('Nurse Imri Vane')).toBe('4711')

    await userEvent.click(await button('Change or take away the PIN of Nurse Imri Vane'))
    const form = await screen.findByRole('form', { name: 'Change or take away the PIN of Nurse Imri Vane' })
    await userEvent.type(within(form).getByLabelText('PIN of today'), '0000')
    await userEvent.click(within(form).getByRole('button', { name: 'Take the PIN away' }))
    await within(form).findByText(/^That is not the PIN/)
    await userEvent.clear(within(form).getByLabelText('PIN of today'))
    await userEvent.type(within(form).getByLabelText('PIN of today'), '4711')
    await userEvent.click(within(form).getByRole('button', { name: 'Take the PIN away' }))
    await screen.findByText('Nurse Imri Vane has no PIN any more.')
    expect(door.guard.pins.size).toBe(0)
  })
  it('is asked for the PIN where the name is chosen; given, the entry says so', async () => {
    const door = await doorOf({ people: two })
    door.add({ given_at: '2026-06-01T08:00:00+01:00', site: { zone: 'abdomen', across_cm: -5, up_cm: 3 } })
    door.guard.pins.set('Nurse Imri Vane', '4711')
    goTo('/person/p1/give')
    render(App)
    const name = await screen.findByRole('radio', { name: 'Nurse Imri Vane' })
    expect(screen.queryByLabelText('PIN of Nurse Imri Vane')).toBeNull()
    await userEvent.click(name)
    await userEvent.type(await field('PIN of Nurse Imri Vane'), '1111{Enter}')
    await screen.findByText(/^That is not the PIN/)
    expect(door.count('injection_record')).toBe(0)
    await userEvent.clear(await field('PIN of Nurse Imri Vane'))
    await userEvent.type(await field('PIN of Nurse Imri Vane'), '4711')
    await userEvent.click(await button('Confirm'))
    await screen.findByText('The PIN was given.')
    expect(screen.queryByLabelText('PIN of Nurse Imri Vane')).toBeNull()
    await userEvent.click(await button('Record injection'))
    await screen.findByRole('heading', { level: 1, name: 'Recorded' })
    await screen.findByText('by PIN')
    expect(door.injections[0]!.recorder_confirmed).toBe(true)
  })
  it('can save without the PIN, and the entry says that it was not given', async () => {
    const door = await doorOf({ people: two })
    door.add({ given_at: '2026-06-01T08:00:00+01:00', site: { zone: 'abdomen', across_cm: -5, up_cm: 3 } })
    door.guard.pins.set('Nurse Imri Vane', '4711')
    goTo('/person/p1/give')
    render(App)
    await userEvent.click(await screen.findByRole('radio', { name: 'Nurse Imri Vane' }))
    await screen.findByText('It can be saved without. The entry then says that the PIN was not given.')
    await userEvent.click(await button('Record injection'))
    await screen.findByRole('heading', { level: 1, name: 'Recorded' })
    goTo('/person/p1/record')
    const entries = await waitFor(() => {
      const found = [...document.querySelectorAll<HTMLElement>('article.entry')]
      expect(found).toHaveLength(2)
      return found
    })
    // The newest first: its name had a PIN then, that of the older one had none.
    within(entries[0]!).getByText('PIN not given')
    expect(within(entries[1]!).queryByText(/PIN/)).toBeNull()
  })
  it('is asked for nothing where the name has no PIN', async () => {
    const door = await doorOf({ people: two })
    door.guard.pins.set('Somebody Else', '4711')
    goTo('/person/p1/give')
    render(App)
    await userEvent.type(await screen.findByRole('textbox', { name: 'Another name' }), 'Imri Vane')
    await waitFor(() => expect(door.count('recorder_list')).toBeGreaterThan(0))
    expect(document.querySelector('[data-pin]')).toBeNull()
  })
})

describe('a copy under another passphrase', () => {
  const locked = { name: 'c1', made_words: '1 Jun 2026, 08:00', bytes: 4096, protected: true, locked: true, entries: null }
  it('says that it is locked, and is put back with its own passphrase', async () => {
    const door = await doorOf()
    door.backups = { ...door.backups, backups: [locked] }
    door.copySecrets.set('c1', 'the one of last year')
    render(App)
    await screen.findByText('locked: needs its own passphrase')
    expect(screen.queryByText(/does not read back/)).toBeNull()
    await userEvent.click(await button('Put back the copy of 1 Jun 2026, 08:00'))
    await userEvent.click(await button('Put it back'))
    await screen.findByText('Write the passphrase.')
    expect(door.count('backup_restore')).toBe(0)
    await userEvent.type(await field('Passphrase of the copy'), 'something else')
    await userEvent.click(await button('Put it back'))
    await screen.findByText('That is not it. Look at it again.')
    expect(document.activeElement).toBe(await field('Passphrase of the copy'))
    await userEvent.clear(await field('Passphrase of the copy'))
    await userEvent.type(await field('Passphrase of the copy'), 'the one of last year')
    await userEvent.click(await button('Put it back'))
    await screen.findByText('The copy c1 is the record now.')
    expect(door.seen.findLast((s) => s.op === 'backup_restore')!.args).toEqual({ name: 'c1', passphrase: 'the one of last year' })
  })
  it('that turns out to be locked asks for it, and the record stays on the screen', async () => {
    const door = await doorOf()
    door.backups = { ...door.backups, backups: [{ ...locked, locked: false, entries: 3 }] }
    door.copySecrets.set('c1', 'the one of last year')
    render(App)
    await userEvent.click(await button('Put back the copy of 1 Jun 2026, 08:00'))
    await userEvent.click(await button('Put it back'))
    await screen.findByText('This copy is locked.')
    expect(session.standing).toBe('open')
    await userEvent.click(await button('Use the recovery code'))
    await field('Recovery code of the copy')
    await screen.findByRole('heading', { level: 1, name: 'Practice and about' })
  })
})
