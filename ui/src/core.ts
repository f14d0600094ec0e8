/**
 * The way to the door: the only file that knows whether this is the window or a browser.
 *
 * One question, one answer. Not here: what to ask ({@link ./state}) or how an answer looks ({@link ./screens}).
 */
import { invoke, isTauri } from '@tauri-apps/api/core'
import type { ChartFileData, Display, ErrorCode, ErrorData, InjectionData, ReasonData, Request, Response, TimeOffer } from './wire'

/** Every code of the door, the two that mean the door was not reached, and a file that could not be kept. */
export type FaultCode = ErrorCode | 'unreachable' | 'locked_out' | 'not_kept'

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

let display: Display | null = null

/** From now on every request asks for times of day told by this clock. */
export function tellTimesBy(clock: Display['clock']): void {
  display = { clock }
}

/** Told of every refusal that says the record is not open to anybody. */
type Shut = (refusal: Refusal) => void
let shut: Shut = () => undefined

/** From now on `told` hears when an answer says that the record is locked, or that there is none yet. */
export function whenShut(told: Shut): void {
  shut = told
}

/** Asks the door for a person; a refusal is thrown as {@link Refusal}, whatever went wrong. */
export function ask<O extends Op>(op: O, args: Args<O>): Promise<Data<O>> {
  return send(op, args, false)
}

/** Asks the door where nobody did anything: it does not keep the record from locking. */
export function askUnattended<O extends Op>(op: O, args: Args<O>): Promise<Data<O>> {
  return send(op, args, true)
}

async function send<O extends Op>(op: O, args: Args<O>, unattended: boolean): Promise<Data<O>> {
  let text: string
  try {
    text = await transport(JSON.stringify({ op, args, ...(display && { display }), ...(unattended && { unattended }) }))
  } catch (fault) {
    if (fault instanceof Refusal) throw fault
    throw new Refusal('unreachable', fault instanceof Error ? fault.message : String(fault))
  }
  try {
    return read<O>(text)
  } catch (fault) {
    // A copy that is put back can be locked by itself, while the record is open.
    if (fault instanceof Refusal && op !== 'backup_restore' && (fault.code === 'locked' || fault.code === 'not_begun')) shut(fault)
    throw fault
  }
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

/** Whether there is something here to print with: the window on a phone has nothing. */
export const canPrint = (): boolean => typeof window.print === 'function' && !(isTauri() && /Android/.test(navigator.userAgent))

/** A file to take away, and what its bytes must hash to. */
export type TakenFile = Pick<ChartFileData, 'name' | 'media_type' | 'base64' | 'sha256'>
/**
 * What became of it: kept at a place and read back, handed to the browser (which tells nobody what it did with it), or
 * the person closed the dialog.
 */
export type Kept = { how: 'kept'; where: string } | { how: 'handed' } | { how: 'cancelled' }
export type Keeper = (file: TakenFile) => Promise<Kept>

async function keptByWindow({ name, base64, sha256 }: TakenFile): Promise<Kept> {
  const reply = await invoke<{ cancelled: boolean; path_words?: string }>('keep', { name, base64, sha256 })
  return reply.cancelled ? { how: 'cancelled' } : { how: 'kept', where: reply.path_words ?? name }
}

async function handedToBrowser(file: TakenFile): Promise<Kept> {
  const bytes = Uint8Array.from(atob(file.base64), (c) => c.charCodeAt(0))
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes))
  const found = [...digest].map((b) => b.toString(16).padStart(2, '0')).join('')
  if (found !== file.sha256) throw new Error('The file was damaged on its way and was not kept. Make it again.')
  const address = URL.createObjectURL(new Blob([bytes], { type: file.media_type }))
  const link = document.createElement('a')
  link.href = address
  link.download = file.name
  link.click()
  // The browser has begun to read it by then; a minute is for slow ones.
  setTimeout(() => URL.revokeObjectURL(address), 60_000)
  return { how: 'handed' }
}

let keeper: Keeper = isTauri() ? keptByWindow : handedToBrowser

/** Puts another way to keep files in place; for tests. Without one, the browser's. */
export function useKeeper(other: Keeper = handedToBrowser): void {
  keeper = other
}

/** Keeps a file where the person says; a fault is thrown as {@link Refusal} with a sentence. */
export async function keepFile(file: TakenFile): Promise<Kept> {
  try {
    return await keeper(file)
  } catch (fault) {
    throw new Refusal('not_kept', fault instanceof Error ? fault.message : String(fault))
  }
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
