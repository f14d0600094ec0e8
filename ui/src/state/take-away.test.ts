/** A chart as a file: kept only when it is whole, and said to be kept only then. */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { keepFile, keepInBrowser, keepInWindow, Refusal, useKeeper, useTransport, type KeepableFile, type Kept } from '../core'
import { FakeDoor } from '../testing/fake-door'
import type { ChartFileGet } from '../wire'
import { TakeAway, usualPaper } from './take-away.svelte'

const days = { from: '2026-03-12', to: '2026-06-03', compare: true }

describe('the usual paper', () => {
  it.each([
    [['en-GB'], 'a4'], [['en-US'], 'letter'], [['fr-CA', 'fr'], 'letter'], [['es-MX'], 'letter'], [['fil-PH'], 'letter'],
    [['en', 'de-DE', 'en-US'], 'a4'], [['en'], 'a4'], [['not a language', 'es-CL'], 'letter'], [[], 'a4'],
  ] as const)('for %j is %s', (languages, paper) => expect(usualPaper(languages)).toBe(paper))
})

describe('making a file', () => {
  let door: FakeDoor
  let kept: KeepableFile[]
  beforeEach(() => {
    door = new FakeDoor()
    useTransport(door.transport)
    kept = []
    useKeeper(async (file) => {
      kept.push(file)
      return { by: 'window', cancelled: false, path_words: 'in Documents' }
    })
  })
  const asked = () => door.seen.filter((s) => s.op === 'chart_file').map((s) => s.args as ChartFileGet)

  it('asks for the days on screen, and for paper only where there is some', async () => {
    const files = new TakeAway('p1', ['en-US'])
    await files.make('pdf', days)
    await files.make('png', days)
    expect(asked()).toMatchObject([{ ...days, person: 'p1', kind: 'pdf', paper: 'letter' }, { ...days, kind: 'png', paper: null }])
    expect(files.standing).toMatchObject({ at: 'saved', kind: 'png', kept: { path_words: 'in Documents' } })
  })
  it('keeps the chosen paper for the next time', async () => {
    const first = new TakeAway('p1', ['en-US'])
    await first.choosePaper('a4')
    const next = new TakeAway('p2', ['en-US'])
    await next.open()
    expect(next.paper).toBe('a4')
  })
  it('ignores the answer of what was cancelled, and keeps nothing', async () => {
    const files = new TakeAway('p1', ['en-GB'])
    const made = files.make('pdf', days)
    files.cancel()
    await made
    expect(files.standing).toEqual({ at: 'cancelled', kind: 'pdf' })
    expect(kept).toEqual([])
    expect(asked()).toHaveLength(1)
  })
  it('makes one at a time', async () => {
    const files = new TakeAway('p1', ['en-GB'])
    await Promise.all([files.make('pdf', days), files.make('svg', days)])
    expect(asked().map((a) => a.kind)).toEqual(['pdf'])
  })
  it('says nothing was saved where the question where to was closed', async () => {
    useKeeper(async (): Promise<Kept> => ({ by: 'window', cancelled: true }))
    const files = new TakeAway('p1', ['en-GB'])
    await files.make('svg', days)
    expect(files.standing).toEqual({ at: 'cancelled', kind: 'svg' })
  })
  it('tells a refusal of the door, and of the disk', async () => {
    door.refuse.push({ op: 'chart_file', error: { code: 'bad_count', message: 'Too many weeks.' } })
    const files = new TakeAway('p1', ['en-GB'])
    await files.make('pdf', days)
    expect(files.standing).toMatchObject({ at: 'failed', refusal: { code: 'bad_count' } })
    useKeeper(() => Promise.reject(new Refusal('not_kept', 'The disk is full.')))
    await files.make('pdf', days)
    expect(files.standing).toMatchObject({ at: 'failed', refusal: { code: 'not_kept' } })
  })
})

/** SHA-256 of "abc": the example of the Secure Hash Standard, FIPS 180-4. */
const abc: KeepableFile = {
  name: 'abc.png', media_type: 'image/png', base64: 'YWJj',
  sha256: 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
}

describe('keeping a file in the window', () => {
  const invoke = vi.fn()
  // The name is put together here, since only the way to the door may hold it.
  beforeEach(() => vi.stubGlobal('__' + 'TAURI_INTERNALS__', { invoke }))
  afterEach(() => vi.unstubAllGlobals())

  it('is left to the shell, which says where it went', async () => {
    invoke.mockResolvedValue({ cancelled: false, path_words: 'abc.png in Documents' })
    expect(await keepInWindow(abc)).toEqual({ by: 'window', cancelled: false, path_words: 'abc.png in Documents' })
    const { name, base64, sha256 } = abc
    expect(invoke.mock.calls[0]!.slice(0, 2)).toEqual(['keep', { name, base64, sha256 }])
  })
  it('tells what the shell says no to', async () => {
    invoke.mockRejectedValue('The disk is full.')
    await expect(keepInWindow(abc)).rejects.toMatchObject({ code: 'not_kept', message: 'The disk is full.' })
  })
})

describe('keeping a file in a browser', () => {
  let saved: { name: string; type: string }[]
  beforeEach(() => {
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] })
    saved = []
    useKeeper(keepInBrowser)
    const blobs = new Map<string, Blob>()
    URL.createObjectURL = vi.fn((blob: Blob) => (blobs.set('blob:one', blob), 'blob:one'))
    URL.revokeObjectURL = vi.fn()
    vi.spyOn(HTMLAnchorElement.prototype, 'click').mockImplementation(function (this: HTMLAnchorElement) {
      saved.push({ name: this.download, type: blobs.get(this.href)!.type })
    })
  })
  afterEach(() => {
    vi.useRealTimers()
    vi.restoreAllMocks()
    vi.unstubAllGlobals()
  })

  it('hands over what is whole, and takes its address back later', async () => {
    expect(await keepFile(abc)).toEqual({ by: 'browser', cancelled: false })
    expect(saved).toEqual([{ name: 'abc.png', type: 'image/png' }])
    expect(URL.revokeObjectURL).not.toHaveBeenCalled()
    vi.runAllTimers()
    expect(URL.revokeObjectURL).toHaveBeenCalledWith('blob:one')
  })
  it.each([
    ['other bytes', { ...abc, base64: 'YWJk' }],
    ['no Base64', { ...abc, base64: '%%%' }],
    ['another hash', { ...abc, sha256: abc.sha256.replace('b', 'c') }],
  ])('keeps nothing of %s', async (_, file) => {
    await expect(keepFile(file)).rejects.toMatchObject({ code: 'not_whole' })
    expect(saved).toEqual([])
  })
  it('keeps nothing that it cannot check', async () => {
    vi.stubGlobal('crypto', {})
    await expect(keepFile(abc)).rejects.toMatchObject({ code: 'not_kept' })
    expect(saved).toEqual([])
  })
})
