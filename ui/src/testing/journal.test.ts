/** The check of the journal, found by role and name. */
import { cleanup, render, screen, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import { doorOf } from './setup'

const check = () => screen.findByRole('button', { name: 'Check the journal' })

beforeEach(() => {
  window.scrollTo = () => undefined
  session.status = null
  window.history.replaceState(null, '', '#/practice')
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
})
afterEach(cleanup)

describe('the journal', () => {
  it('is checked when asked, and says that it is as it was made', async () => {
    const door = await doorOf()
    render(App)
    const button = await check()
    expect(door.count('journal_verify')).toBe(0)
    await userEvent.click(button)
    await screen.findByText('All 2 entries are as they were made.')
    screen.getByText('ab'.repeat(32))
    expect(screen.queryByRole('alert')).toBeNull()
  })
  it('says loudly where it was changed', async () => {
    const door = await doorOf()
    door.journal = { entries: 3, last_hash: 'cd'.repeat(32), broken: { misfit: 'changed', seq: 4, entry: 'i2' }, words: 'Entry 4 does not say what it said.' }
    render(App)
    await userEvent.click(await check())
    const told = await screen.findByRole('alert')
    within(told).getByRole('heading', { name: 'The journal was changed' })
    within(told).getByText('Entry 4 does not say what it said.')
  })
  it('that could not be read is tried again', async () => {
    const door = await doorOf()
    door.refuse.push({ op: 'journal_verify', error: { code: 'busy', message: 'Another copy is writing. Try again.' } })
    render(App)
    await userEvent.click(await check())
    await userEvent.click(await screen.findByRole('button', { name: 'Try again' }))
    await screen.findByText('All 2 entries are as they were made.')
  })
})
