/** Copies of the record, found by role and name. */
import { cleanup, render, screen, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const copy = (n: number, entries: number | null = n) => ({ name: `c${n}`, made_words: `${n} Jun 2026, 08:00`, bytes: 4096, protected: true, locked: false, entries })

function goTo(path: string) {
  window.history.replaceState(null, '', `#${path}`)
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
}

beforeEach(() => {
  window.scrollTo = () => undefined
  session.status = null
  goTo('/practice')
})
afterEach(cleanup)

describe('copies of the record', () => {
  it('are made when asked, and listed with what they hold', async () => {
    const door = await doorOf()
    render(App)
    await screen.findByText(/^No copy yet/)
    await screen.findByText('Kept in /usual')
    await userEvent.click(await button('Make a copy now'))
    await screen.findByText('Copy made and checked: 3 Jun 2026, 08:00.')
    await screen.findByText('2 entries')
    expect(door.count('backup_start')).toBe(1)
  })
  it('are seen in the making, and stopped', async () => {
    const door = await doorOf()
    door.copying = Array.from({ length: 50 }, (_, n) => n)
    render(App)
    await userEvent.click(await button('Make a copy now'))
    const bar = await screen.findByRole('progressbar', { name: 'Making a copy…' })
    await vi.waitFor(() => expect((bar as HTMLProgressElement).value).toBeGreaterThan(0))
    expect(screen.queryByRole('button', { name: 'Make a copy now' })).toBeNull()
    await userEvent.click(await button('Stop'))
    await screen.findByText('Stopped. Nothing of it is left.')
    await button('Make a copy now')
    expect(screen.queryByRole('progressbar')).toBeNull()
    expect(door.backups.backups).toEqual([])
    expect(door.seen.filter((s) => s.op === 'backup_state').every((s) => s.unattended)).toBe(true)
  })
  it('are put back only after a question', async () => {
    const door = await doorOf()
    door.backups = { ...door.backups, backups: [copy(4), copy(3), copy(2, null), copy(1)] }
    render(App)
    await screen.findByText('does not read back: it cannot be put back')
    expect(screen.queryByRole('button', { name: 'Put back the copy of 1 Jun 2026, 08:00' })).toBeNull()
    await userEvent.click(await button('Show all 4'))
    await button('Put back the copy of 1 Jun 2026, 08:00')
    await userEvent.click(await button('Put back the copy of 3 Jun 2026, 08:00'))
    const sure = await screen.findByRole('group', { name: 'Put back the copy of 3 Jun 2026, 08:00?' })
    expect(document.activeElement).toBe(within(sure).getByRole('heading'))
    await userEvent.click(within(sure).getByRole('button', { name: 'Leave everything as it is' }))
    expect(door.count('backup_restore')).toBe(0)
    await userEvent.click(await button('Put back the copy of 3 Jun 2026, 08:00'))
    await userEvent.click(await button('Put it back'))
    await screen.findByText('The copy c3 is the record now.')
    expect(screen.queryByRole('group', { name: /^Put back/ })).toBeNull()
  })
  it('are kept in another folder, or it is said why not and nothing typed is lost', async () => {
    const door = await doorOf()
    render(App)
    await userEvent.click(await screen.findByText('Keep copies in another folder'))
    const path = await screen.findByRole('textbox', { name: 'Whole path of the folder' })
    await userEvent.type(path, '/media/stick')
    door.refuse.push({ op: 'backup_folder', error: { code: 'read_only', message: 'The folder cannot be written.' } })
    await userEvent.click(await button('Keep copies there'))
    within(await screen.findByRole('alert')).getByText('The folder cannot be written.')
    expect((path as HTMLInputElement).value).toBe('/media/stick')
    await userEvent.click(await button('Keep copies there'))
    await screen.findByText('Copies are kept in /media/stick from now on, and the first one is there.')
    await screen.findByText('Kept in /media/stick')
  })
  it('are offered where the record is damaged, and lead on once one is put back', async () => {
    const door = await doorOf()
    door.backups = { ...door.backups, backups: [copy(2)] }
    const lost = { op: 'status' as const, error: { code: 'file_damaged' as const, message: 'The record’s file is damaged.' } }
    session.status = null
    door.refuse.push(lost)
    goTo('/')
    render(App)
    await screen.findByRole('heading', { name: 'Copies that can be put back' })
    await userEvent.click(await button('Put back the copy of 2 Jun 2026, 08:00'))
    await userEvent.click(await button('Put it back'))
    await vi.waitFor(() => expect(document.querySelector('[data-closed]')).toBeNull())
  })
  it('that failed today are told on every screen', async () => {
    const door = await doorOf()
    door.backupFault = 'There is no room left on this device.'
    goTo('/')
    render(App)
    expect((await screen.findByRole('alert')).textContent).toBe('Today’s copy of the record could not be made. There is no room left on this device.')
  })
})
