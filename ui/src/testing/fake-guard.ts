/** A stand-in for the lock, for unit tests of the screens: a passphrase that is compared, a clock that is set by hand. */
import type { ErrorCode, ProtectionData, RecorderConfirm, RecorderListData, RecorderSet } from '../wire'

type No = (code: ErrorCode, message: string) => never

export interface GuardOptions {
  standing?: ProtectionData['standing']
  protected?: boolean
  demo?: boolean
  passphrase?: string
  code?: string | null
}

/** What is answered while the record is not open. */
const always = ['protection', 'begin', 'unlock', 'lock', 'backup_list', 'backup_restore']

export class FakeGuard {
  standing: ProtectionData['standing']
  protected: boolean
  readonly demo: boolean
  passphrase: string
  code: string | null
  idleMinutes = 5
  /** In how many seconds it locks; set by the test. */
  locksIn: number | null
  waitFor = 0
  wrong = 0
  /** PINs by name, and whose was given. */
  pins = new Map<string, string>()
  confirmed = new Set<string>()
  readonly #no: No

  constructor(options: GuardOptions, no: No) {
    this.standing = options.standing ?? 'open'
    this.protected = options.protected ?? this.standing !== 'not_begun'
    this.demo = options.demo ?? false
    this.passphrase = options.passphrase ?? 'heron lamp gravel tide'
    this.code = options.code === undefined ? '7K2M 9QXD 4HTB ZC3W PN6R 8YVE J5FA G1SL' : options.code
    this.locksIn = this.protected && this.standing === 'open' ? 300 : null
    this.#no = no
  }

  /** Refuses what a record that is not open refuses. */
  admit(op: string): void {
    if (always.includes(op)) return
    if (this.standing === 'locked') this.#no('locked', 'The record is locked.')
    if (this.standing === 'not_begun') this.#no('not_begun', 'There is no record on this device yet.')
  }

  lock(): void {
    this.standing = 'locked'
    this.locksIn = null
    this.confirmed.clear()
  }

  /** Whether the PIN of a name was given; `null` where it has none. */
  ofRecorder(name: string): boolean | null {
    return this.pins.has(name) ? this.confirmed.has(name) : null
  }

  data(): ProtectionData {
    return {
      standing: this.standing, protected: this.protected, demo: this.demo, recovery_code: this.code !== null,
      idle_minutes: this.idleMinutes, idle_choices: [1, 2, 5, 10, 15, 30], locks_in_s: this.locksIn, wait_s: this.waitFor, shortest: 12,
    }
  }

  /** Compares a secret; the third wrong one makes the next wait. */
  opens(a: { passphrase?: string | null; recovery_code?: string | null }): void {
    if (this.waitFor > 0) this.#no('try_later', `That was wrong ${this.wrong} times. The next can be tried in ${this.waitFor} seconds.`)
    const bare = (text: string) => text.replace(/[\s-]/g, '').toUpperCase()
    const fits = a.passphrase != null ? a.passphrase === this.passphrase : this.code !== null && bare(a.recovery_code ?? '') === bare(this.code)
    if (fits) {
      this.wrong = 0
      return
    }
    this.wrong++
    if (this.wrong >= 3) this.waitFor = 5
    this.#no('wrong_secret', 'That is not it. Look at it again.')
  }

  #open(): ProtectionData {
    this.standing = 'open'
    this.protected = true
    this.locksIn = this.idleMinutes * 60
    return this.data()
  }
  #strong(passphrase: string): void {
    if (passphrase.length < 12) this.#no('weak_secret', 'Choose a longer passphrase.')
  }
  #recorders(): RecorderListData {
    return { recorders: [...this.pins.keys()].sort().map((name) => ({ name, confirmed: this.confirmed.has(name) })), words: 'A PIN says who writes. It does not protect the record.' }
  }
  #pin(name: string, pin: string | null | undefined): void {
    if (this.pins.get(name) !== pin) this.#no('wrong_secret', 'That is not the PIN. An entry can be made without it, and says so.')
  }

  readonly answers = {
    protection: () => this.data(),
    begin: (a: { passphrase: string }) => {
      if (this.standing !== 'not_begun') this.#no('already_begun', 'There is a record in this folder already.')
      this.#strong(a.passphrase)
      this.passphrase = a.passphrase
      this.code = null
      return this.#open()
    },
    unlock: (a: { passphrase?: string | null; recovery_code?: string | null }) => (this.opens(a), this.#open()),
    lock: () => (this.lock(), this.data()),
    idle_set: (a: { minutes: number }) => {
      this.idleMinutes = a.minutes
      this.locksIn = a.minutes * 60
      return this.data()
    },
    passphrase_change: (a: { passphrase?: string | null; recovery_code?: string | null; new: string }) => {
      this.#strong(a.new)
      this.opens(a)
      this.passphrase = a.new
      return { words: 'The passphrase is changed.' }
    },
    recovery_make: (a: { passphrase: string }) => {
      this.opens(a)
      this.code = 'QX4M TB7Z 2HKD 9CWE R6NP V8YJ A5FG L3S1'
      return { code: this.code }
    },
    protect: (a: { passphrase: string }) => {
      this.#strong(a.passphrase)
      this.passphrase = a.passphrase
      this.code = null
      this.#open()
      return { words: 'The record is encrypted now.' }
    },
    recorder_list: () => this.#recorders(),
    recorder_set: (a: RecorderSet) => {
      if (this.pins.has(a.name)) this.#pin(a.name, a.pin)
      this.confirmed.delete(a.name)
      if (a.new == null) this.pins.delete(a.name)
      else {
        this.pins.set(a.name, a.new)
        this.confirmed.add(a.name)
      }
      return this.#recorders()
    },
    recorder_confirm: (a: RecorderConfirm) => {
      this.#pin(a.name, a.pin)
      this.confirmed.add(a.name)
      return this.#recorders()
    },
  }
}
