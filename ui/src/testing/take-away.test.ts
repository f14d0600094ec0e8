/** Taking the chart away: which file is asked for, what is said of it, and that a wrong one is never handed on. */
import { cleanup, render, screen, waitFor } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { keepFile, Refusal, useKeeper, useTransport, type TakenFile } from '../core'
import TakeAway from '../parts/TakeAway.svelte'
import { paperOf } from '../state/take-away.svelte'
import type { ChartFileGet } from '../wire'
import type { FakeDoor } from './fake-door'
import { doorOf } from './setup'

const asked = { period: { weeks: 12 }, compare: true }
const files = (door: FakeDoor) => door.seen.filter((s) => s.op === 'chart_file').map((s) => s.args as ChartFileGet)
const make = () => screen.getByRole('button', { name: 'Make the file' })
const status = () => screen.getByRole('status').textContent

let kept: TakenFile[] = []
beforeEach(() => {
  kept = []
  useKeeper(async (file) => {
    kept.push(file)
    return { how: 'kept', where: '/home/ottoline/chart.pdf' }
  })
})
afterEach(() => {
  cleanup()
  useKeeper()
  vi.restoreAllMocks()
})

async function opened(): Promise<FakeDoor> {
  const door = await doorOf()
  render(TakeAway, { person: 'p1', asked })
  return door
}

describe('taking the chart away', () => {
  it('asks for these days on the paper of the device, and says where the file is', async () => {
    const door = await opened()
    expect((screen.getByRole('radio', { name: 'PDF, A4' }) as HTMLInputElement).checked).toBe(true)
    await userEvent.click(make())
    await waitFor(() => expect(status()).toBe('Kept and read back, 5 pages: /home/ottoline/chart.pdf'))
    expect(files(door)).toEqual([{ person: 'p1', weeks: 12, compare: true, format: 'pdf', paper: 'a4' }])
    expect(kept.map((f) => f.name)).toEqual(['fallow-chart.pdf'])
  })
  it.each([['PDF, Letter', 'pdf', 'letter'], ['SVG drawing', 'svg', undefined], ['PNG picture', 'png', undefined]])(
    'makes %s by keyboard',
    async (name, format, paper) => {
      const door = await opened()
      const user = userEvent.setup()
      screen.getByRole('radio', { name }).focus()
      await user.keyboard(' ')
      make().focus()
      await user.keyboard('{Enter}')
      await waitFor(() => expect(kept).toHaveLength(1))
      expect(files(door)[0]).toMatchObject({ format })
      expect(files(door)[0]?.paper).toBe(paper)
    },
  )
  it('says that it is being made, and drops the answer when it is called back', async () => {
    const door = await opened()
    let go = () => {}
    useTransport(async (line) => {
      await new Promise<void>((now) => (go = now))
      return door.transport(line)
    })
    await userEvent.click(make())
    expect(status()).toBe('Making the file…')
    await userEvent.click(screen.getByRole('button', { name: 'Cancel' }))
    expect(status()).toBe('No file was kept.')
    await waitFor(() => expect(document.activeElement).toBe(make()))
    go()
    await new Promise((later) => setTimeout(later, 20))
    expect(kept).toEqual([])
    expect(status()).toBe('No file was kept.')
  })
  it('says so when the dialog was closed, and when the file could not be kept, and tries again', async () => {
    await opened()
    useKeeper(async () => ({ how: 'cancelled' }))
    await userEvent.click(make())
    await waitFor(() => expect(status()).toBe('No file was kept.'))
    useKeeper(() => Promise.reject('There is no room left in that place. Nothing was kept: make room or choose another.'))
    await userEvent.click(make())
    expect((await screen.findByRole('alert')).textContent).toContain('There is no room left in that place.')
    expect(status()).toBe('')
    useKeeper(async () => ({ how: 'handed' }))
    await userEvent.click(make())
    await waitFor(() => expect(status()).toBe('Handed to the browser, 5 pages: fallow-chart.pdf. Look for it among its downloads.'))
    expect(screen.queryByRole('alert')).toBeNull()
  })
  it('says what the door refused', async () => {
    const door = await opened()
    door.refuse.push({ op: 'chart_file', error: { code: 'busy', message: 'Another copy holds it.' } })
    await userEvent.click(make())
    expect((await screen.findByRole('alert')).textContent).toContain('Another copy holds it.')
    expect(kept).toEqual([])
  })
})

describe('handing a file to the browser', () => {
  const file = { name: 'fallow-chart.pdf', media_type: 'application/pdf', base64: 'YWJj', sha256: 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad' }
  let blobs: Blob[] = []
  let clicked: [string, string][] = []
  beforeEach(() => {
    useKeeper()
    blobs = []
    clicked = []
    URL.createObjectURL = (blob) => (blobs.push(blob as Blob), 'blob:one')
    URL.revokeObjectURL = () => undefined
    vi.spyOn(HTMLAnchorElement.prototype, 'click').mockImplementation(function (this: HTMLAnchorElement) {
      clicked.push([this.href, this.download])
    })
  })
  it('gives it the bytes under the name', async () => {
    expect(await keepFile(file)).toEqual({ how: 'handed' })
    expect(clicked).toEqual([['blob:one', 'fallow-chart.pdf']])
    expect(blobs.map((b) => [b.size, b.type])).toEqual([[3, 'application/pdf']])
  })
  it('never hands on bytes that are not those meant', async () => {
    const fault = await keepFile({ ...file, base64: 'YWJk' }).catch((e: unknown) => e)
    expect(fault).toBeInstanceOf(Refusal)
    expect(fault).toMatchObject({ code: 'not_kept', message: 'The file was damaged on its way and was not kept. Make it again.' })
    expect(clicked).toEqual([])
  })
})

describe('the paper of the device', () => {
  it.each([['en-US', 'pdf-letter'], ['en-CA', 'pdf-letter'], ['es-Latn-MX', 'pdf-letter'], ['en-GB', 'pdf-a4'], ['de', 'pdf-a4'], ['', 'pdf-a4'], ['fr-FR', 'pdf-a4']])(
    'of %s is %s',
    (language, kind) => expect(paperOf(language)).toBe(kind),
  )
})
