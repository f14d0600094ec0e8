/**
 * Passphrases and recovery codes as they are typed: opening the record, beginning it, changing what opens it.
 *
 * What was typed is dropped once it was used. Not here: whether a passphrase is right or long enough; the door says
 * that, and a first look at the length only spares a wait.
 */
import { ask, asRefusal, type FaultCode, type Refusal } from '../core'
import { session } from './session.svelte'

/** A new passphrase, typed twice. */
export class NewPassphrase {
  first = $state('')
  again = $state('')
  told = $state<'short' | 'different' | null>(null)

  get shortest(): number {
    return session.protection?.shortest ?? 12
  }

  /** Whether it can be asked for; else `told` says why not. */
  ready(): boolean {
    if ([...this.first.trim()].length < this.shortest) this.told = 'short'
    else this.told = this.first === this.again ? null : 'different'
    return this.told === null
  }

  drop(): void {
    this.first = ''
    this.again = ''
    this.told = null
  }
}

/** What is told on the screen of the lock itself; anything else closes the record and is told there. */
const stays: FaultCode[] = ['wrong_secret', 'try_later', 'weak_secret', 'bad_request', 'busy', 'unreachable', 'internal', 'disk_full', 'read_only']

export class Unlocking {
  by = $state<'passphrase' | 'code'>('passphrase')
  typed = $state('')
  told = $state(false)
  busy = $state(false)
  refusal = $state.raw<Refusal | null>(null)
  readonly fresh = new NewPassphrase()
  /** What was done with the new passphrase, in the door's words. */
  changed = $state<string | null>(null)
  /** The code that opened it, for as long as a new passphrase is being chosen. */
  #code = ''

  switch(): void {
    this.by = this.by === 'code' ? 'passphrase' : 'code'
    this.typed = ''
    this.told = false
    this.refusal = null
  }

  /** `true` once the record is open. */
  async unlock(): Promise<boolean> {
    if (this.busy || session.wait > 0) return false
    this.told = this.typed.trim() === ''
    this.refusal = null
    if (this.told) return false
    const typed = this.typed
    const code = this.by === 'code'
    const open = await this.#do(() =>
      session.unlock(() => ask('unlock', code ? { recovery_code: typed } : { passphrase: typed }), code ? 'passphrase' : null),
    )
    if (open) {
      this.#code = code ? typed : ''
      this.typed = ''
    }
    return open
  }

  async change(): Promise<boolean> {
    if (this.busy || !this.fresh.ready()) return false
    return this.#do(async () => {
      const { words } = await ask('passphrase_change', { recovery_code: this.#code, new: this.fresh.first })
      this.changed = words
      this.#code = ''
      this.fresh.drop()
    })
  }

  async #do(act: () => Promise<void>): Promise<boolean> {
    this.busy = true
    this.refusal = null
    try {
      await act()
      return true
    } catch (fault) {
      const refusal = asRefusal(fault)
      this.refusal = refusal
      // How long to wait, or what has become of the record.
      if (stays.includes(refusal.code)) await session.stay()
      else await session.open()
      return false
    } finally {
      this.busy = false
    }
  }
}

export class Beginning {
  readonly fresh = new NewPassphrase()
  busy = $state(false)
  refusal = $state.raw<Refusal | null>(null)
  code = $state<string | null>(null)
  /** Needed once more for the recovery code, and dropped with the step. */
  #passphrase = ''

  async begin(): Promise<boolean> {
    if (this.busy || !this.fresh.ready()) return false
    const passphrase = this.fresh.first
    return this.#do(async () => {
      await session.unlock(() => ask('begin', { passphrase }), 'code')
      this.#passphrase = passphrase
      this.fresh.drop()
    })
  }

  makeCode(): Promise<boolean> {
    return this.#do(async () => {
      this.code = (await ask('recovery_make', { passphrase: this.#passphrase })).code
      this.#passphrase = ''
    })
  }

  /** The step is done, with a code or without. */
  drop(): void {
    this.#passphrase = ''
    this.code = null
  }

  async #do(act: () => Promise<void>): Promise<boolean> {
    if (this.busy) return false
    this.busy = true
    this.refusal = null
    try {
      await act()
      return true
    } catch (fault) {
      this.refusal = asRefusal(fault)
      // Another window may have begun it meanwhile.
      if (this.refusal.code === 'already_begun') await session.open()
      return false
    } finally {
      this.busy = false
    }
  }
}

export type GuardTask = 'idle' | 'change' | 'code' | 'protect'

/** What is changed about the lock while the record is open. */
export class Guarding {
  present = $state('')
  forCode = $state('')
  readonly fresh = new NewPassphrase()
  busy = $state<GuardTask | null>(null)
  /** A passphrase of today is missing. */
  told = $state<'change' | 'code' | null>(null)
  done = $state.raw<{ task: GuardTask; words: string } | null>(null)
  refusal = $state.raw<{ task: GuardTask; refusal: Refusal } | null>(null)
  code = $state<string | null>(null)

  idle(minutes: number): Promise<boolean> {
    return this.#do('idle', async () => {
      session.told(await ask('idle_set', { minutes }))
      return ''
    })
  }

  async change(): Promise<boolean> {
    this.told = this.present === '' ? 'change' : null
    if (!this.fresh.ready() || this.told) return false
    return this.#do('change', async () => {
      const { words } = await ask('passphrase_change', { passphrase: this.present, new: this.fresh.first })
      this.present = ''
      this.fresh.drop()
      return words
    })
  }

  async makeCode(): Promise<boolean> {
    this.told = this.forCode === '' ? 'code' : null
    if (this.told) return false
    return this.#do('code', async () => {
      this.code = (await ask('recovery_make', { passphrase: this.forCode })).code
      this.forCode = ''
      await session.stay()
      return ''
    })
  }

  async protect(): Promise<boolean> {
    if (!this.fresh.ready()) return false
    return this.#do('protect', async () => {
      const { words } = await ask('protect', { passphrase: this.fresh.first })
      this.fresh.drop()
      await session.open()
      return words
    })
  }

  async #do(task: GuardTask, act: () => Promise<string>): Promise<boolean> {
    if (this.busy) return false
    this.busy = task
    this.done = null
    this.refusal = null
    try {
      this.done = { task, words: await act() }
      return true
    } catch (fault) {
      this.refusal = { task, refusal: asRefusal(fault) }
      return false
    } finally {
      this.busy = null
    }
  }
}
