/**
 * The way to the door: the only file that knows whether this is the window or a browser.
 *
 * One question, one answer. Not here: what to ask ({@link ./state}) or how an answer looks ({@link ./screens}).
 */
import { invoke, isTauri } from '@tauri-apps/api/core'
import type { ChartFileData, ErrorCode, ErrorData, InjectionData, ReasonData, Request, Response, TimeOffer } from './wire'

/** Every code of the door, the two that mean it was not reached, and the two of a file that was not kept. */
export type FaultCode = ErrorCode | 'unreachable' | 'locked_out' | 'not_whole' | 'not_kept'

export type Op = Request['op']
/** Members that may be `null` may also be left out. */
type Loose<T> = { [K in keyof T as null extends T[K] ? never : K]: T[K] } & {
  [K in keyof T as null extends T[K] ? K : never]?: T[K]
}
export type Args<O extends Op> = Loose<Extract<Request, { op: O }>['args']>
export type Data<O extends Op> = Extract<Response, { op: O }>['data']

/** What the door said no to. */
export class Refusal extends Error {
  readonly code: FaultCode
  readonly earlier: InjectionData | null
  readonly ago: string | null
  readonly offers: TimeOffer[]
  readonly reasons: ReasonData[]

  constructor(code: FaultCode, message: string, details: Partial<ErrorData> = {}) {
    super(message)
    this.name = 'Refusal'
    this.code = code
    this.earlier = details.earlier ?? null
    this.ago = details.ago ?? null
    this.offers = details.offers ?? []
    this.reasons = details.reasons ?? []
  }

  /** Whether the answer may have been lost on the way: asking the same again is then the right thing. */
  get lost(): boolean {
    return this.code === 'unreachable' || this.code === 'internal' || this.code === 'busy'
  }
}

/** Takes one request as JSON text, gives one reply as JSON text. */
export type Transport = (request: string) => Promise<string>

const patience = 20_000

async function inWindow(request: string): Promise<string> {
  return invoke<string>('door', { request })
}

async function inBrowser(request: string): Promise<string> {
  const reply = await fetch('/door', {
    method: 'POST',
    body: request,
    credentials: 'same-origin',
    headers: { 'content-type': 'application/json' },
    signal: AbortSignal.timeout(patience),
  })
  const text = await reply.text()
  if (reply.status === 401 || reply.status === 403) throw new Refusal('locked_out', text)
  return text
}

let transport: Transport = isTauri() ? inWindow : inBrowser

/** Puts another way to the door in place; for tests. */
export function useTransport(other: Transport): void {
  transport = other
}

/** Asks the door; a refusal is thrown as {@link Refusal}, whatever went wrong. */
export async function ask<O extends Op>(op: O, args: Args<O>): Promise<Data<O>> {
  let text: string
  try {
    text = await transport(JSON.stringify({ op, args }))
  } catch (fault) {
    if (fault instanceof Refusal) throw fault
    throw new Refusal('unreachable', fault instanceof Error ? fault.message : String(fault))
  }
  return read<O>(text)
}

function read<O extends Op>(text: string): Data<O> {
  let reply: { ok?: { data: Data<O> }; error?: ErrorData }
  try {
    reply = JSON.parse(text) as typeof reply
  } catch {
    throw new Refusal('unreachable', text.slice(0, 200))
  }
  if (reply?.error) throw new Refusal(reply.error.code as FaultCode, reply.error.message, reply.error)
  if (!reply?.ok) throw new Refusal('unreachable', text.slice(0, 200))
  return reply.ok.data
}

/** What became of a file that was to be kept. */
export interface Kept {
  /** `window` asked where; a `browser` has a folder of its own for it. */
  by: 'window' | 'browser'
  /** The person closed the question where to. */
  cancelled: boolean
  /** Where it went, in words; a browser does not tell. */
  path_words?: string | null
}
/** What of a file is needed to keep it. */
export type KeepableFile = Pick<ChartFileData, 'name' | 'media_type' | 'base64' | 'sha256'>
export type Keeper = (file: KeepableFile) => Promise<Kept>

/** How long the browser is given to read the file before its address is taken back; milliseconds. */
const readingTime = 60_000

/** The window's shell asks where, writes, reads back and compares. */
export async function keepInWindow({ name, base64, sha256 }: KeepableFile): Promise<Kept> {
  try {
    return { ...(await invoke<Omit<Kept, 'by'>>('keep', { name, base64, sha256 })), by: 'window' }
  } catch (fault) {
    throw new Refusal('not_kept', fault instanceof Error ? fault.message : String(fault))
  }
}

/** Checks the file, then gives it to the browser as a download. */
export async function keepInBrowser(file: KeepableFile): Promise<Kept> {
  const bytes = bytesOf(file.base64)
  const found = await sha256Of(bytes)
  if (found !== file.sha256) throw new Refusal('not_whole', notWhole)
  const address = URL.createObjectURL(new Blob([bytes], { type: file.media_type }))
  const link = document.createElement('a')
  link.href = address
  link.download = file.name
  link.click()
  setTimeout(() => URL.revokeObjectURL(address), readingTime)
  return { by: 'browser', cancelled: false }
}

const notWhole = 'What arrived is not what was made, so nothing was saved.'

function bytesOf(base64: string): Uint8Array<ArrayBuffer> {
  try {
    return Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))
  } catch {
    throw new Refusal('not_whole', notWhole)
  }
}

/** In lower-case hexadecimal. Only there in a secure context, which 127.0.0.1 is. */
async function sha256Of(bytes: Uint8Array<ArrayBuffer>): Promise<string> {
  if (!crypto.subtle) throw new Refusal('not_kept', 'This browser cannot check the file here, so nothing was saved.')
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes))
  return [...digest].map((b) => b.toString(16).padStart(2, '0')).join('')
}

let keeper: Keeper = isTauri() ? keepInWindow : keepInBrowser

/** Puts another way to keep a file in place; for tests. */
export function useKeeper(other: Keeper): void {
  keeper = other
}

/**
 * Keeps a file for the person: by the system's dialog in the window, as a download in a browser.
 *
 * Answers only once the file is known to be the one that was made. Otherwise throws a {@link Refusal}: `not_whole`
 * where it arrived as something else, `not_kept` where it could not be written or checked.
 */
export async function keepFile(file: KeepableFile): Promise<Kept> {
  return keeper(file)
}

/** Any thrown thing as a refusal, so that no screen swallows one. */
export function asRefusal(fault: unknown): Refusal {
  if (fault instanceof Refusal) return fault
  return new Refusal('internal', fault instanceof Error ? fault.message : String(fault))
}

/** A fresh id for an entry. `randomUUID` is missing outside secure contexts. */
export function freshId(): string {
  if (typeof crypto.randomUUID === 'function') return crypto.randomUUID()
  const bytes = crypto.getRandomValues(new Uint8Array(16))
  bytes[6] = (bytes[6]! & 0x0f) | 0x40
  bytes[8] = (bytes[8]! & 0x3f) | 0x80
  const hex = [...bytes].map((b) => b.toString(16).padStart(2, '0')).join('')
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-')
}
