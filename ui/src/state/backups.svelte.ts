/**
 * The copies of the record: listed, made, kept elsewhere, put back after a question.
 *
 * Not here: when the copy of the day is made; the door sees to that.
 */
import { ask, askUnattended, asRefusal, type FaultCode, Refusal } from '../core'
import type { BackupData, BackupListData, BackupStateData } from '../wire'
import { backups } from '../words'

/** Between two looks at a copy in the making. */
const pause = 250

/** Told at the field where the copy's secret is typed. */
const ofSecret: FaultCode[] = ['locked', 'wrong_secret', 'try_later']

export type BackupTask = 'list' | 'make' | 'folder' | 'restore'

export class Backups {
  data = $state.raw<BackupListData | null>(null)
  /** What is being done. */
  busy = $state<BackupTask | null>(null)
  /** How far the copy is that is being made. */
  percent = $state<number | null>(null)
  /** What stopping it came to. */
  #told: BackupStateData | null = null
  /** What was done last. */
  done = $state.raw<{ task: Exclude<BackupTask, 'list'>; words: string } | null>(null)
  fault = $state.raw<Refusal | null>(null)
  /** The copy somebody asked to put back. */
  asked = $state.raw<BackupData | null>(null)
  folder = $state('')
  /** What opens a locked copy, as it is typed. */
  secret = $state('')
  by = $state<'passphrase' | 'code'>('passphrase')
  /** What is wrong with it. */
  secretFault = $state.raw<Refusal | 'missing' | null>(null)

  open(): Promise<boolean> {
    return this.#do('list', async () => {
      this.#take(await ask('backup_list', {}))
    })
  }

  /** Makes a copy, and looks now and then how far it is. */
  make(): Promise<boolean> {
    return this.#do('make', async () => {
      let state = await ask('backup_start', {})
      while (state.percent !== null) {
        this.percent = state.percent
        await new Promise((done) => setTimeout(done, pause))
        // Stopped meanwhile: that answer told what became of it, and there is nothing more to ask.
        if (this.#told) break
        state = await askUnattended('backup_state', {})
      }
      state = this.#told ?? state
      if (state.fault) throw new Refusal('internal', state.fault)
      this.#take(await ask('backup_list', {}))
      if (state.made) this.done = { task: 'make', words: backups.made(state.made.made_words) }
      else if (state.stopped) this.done = { task: 'make', words: backups.stopped }
    }).finally(() => {
      this.percent = null
      this.#told = null
    })
  }

  async stop(): Promise<void> {
    this.#told = await ask('backup_stop', {}).catch(() => null)
  }

  /** Keeps copies in the typed folder; an empty one is the usual. */
  keepThere(): Promise<boolean> {
    return this.#do('folder', async () => {
      this.#take(await ask('backup_folder', { folder: this.folder.trim() || null }))
      this.done = { task: 'folder', words: this.data?.folder ?? '' }
    })
  }

  /** Asks about a copy; nothing typed for another one is left. */
  ask(copy: BackupData | null): void {
    this.asked = copy
    this.by = 'passphrase'
    this.secret = ''
    this.secretFault = null
  }

  switchSecret(): void {
    this.by = this.by === 'code' ? 'passphrase' : 'code'
    this.secret = ''
    this.secretFault = null
  }

  /** Puts the copy back that was asked about. */
  restore(): Promise<boolean> {
    const { asked } = this
    if (!asked) return Promise.resolve(false)
    if (asked.locked && this.secret.trim() === '') {
      this.secretFault = 'missing'
      return Promise.resolve(false)
    }
    this.secretFault = null
    const opened = asked.locked ? (this.by === 'code' ? { recovery_code: this.secret } : { passphrase: this.secret }) : {}
    return this.#do('restore', async () => {
      const { words } = await ask('backup_restore', { name: asked.name, ...opened })
      this.ask(null)
      this.done = { task: 'restore', words }
    }).finally(() => {
      if (!this.fault || !ofSecret.includes(this.fault.code)) return
      // It has turned out to be locked, or what was typed does not open it: told at the field.
      this.asked = { ...asked, locked: true }
      this.secretFault = this.fault
      this.fault = null
    })
  }

  #take(data: BackupListData): void {
    this.data = data
    this.folder = data.usual ? '' : data.folder
  }

  async #do(task: BackupTask, act: () => Promise<void>): Promise<boolean> {
    if (this.busy) return false
    this.busy = task
    this.done = null
    this.fault = null
    try {
      await act()
      return true
    } catch (fault) {
      this.fault = asRefusal(fault)
      return false
    } finally {
      this.busy = null
    }
  }
}
