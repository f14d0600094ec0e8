/**
 * The copies of the record: listed, made, kept elsewhere, put back after a question.
 *
 * Not here: when the copy of the day is made; the door sees to that.
 */
import { ask, asRefusal, type Refusal } from '../core'
import type { BackupData, BackupListData } from '../wire'

export type BackupTask = 'list' | 'make' | 'folder' | 'restore'

export class Backups {
  data = $state.raw<BackupListData | null>(null)
  /** What is being done. */
  busy = $state<BackupTask | null>(null)
  /** What was done last. */
  done = $state.raw<{ task: Exclude<BackupTask, 'list'>; words: string } | null>(null)
  fault = $state.raw<Refusal | null>(null)
  /** The copy somebody asked to put back. */
  asked = $state.raw<BackupData | null>(null)
  folder = $state('')

  open(): Promise<boolean> {
    return this.#do('list', async () => {
      this.#take(await ask('backup_list', {}))
    })
  }

  make(): Promise<boolean> {
    return this.#do('make', async () => {
      const made = await ask('backup_make', {})
      this.#take(await ask('backup_list', {}))
      this.done = { task: 'make', words: made.made_words }
    })
  }

  /** Keeps copies in the typed folder; an empty one is the usual. */
  keepThere(): Promise<boolean> {
    return this.#do('folder', async () => {
      this.#take(await ask('backup_folder', { folder: this.folder.trim() || null }))
      this.done = { task: 'folder', words: this.data?.folder ?? '' }
    })
  }

  /** Puts the copy back that was asked about. */
  restore(): Promise<boolean> {
    const { asked } = this
    if (!asked) return Promise.resolve(false)
    return this.#do('restore', async () => {
      const { words } = await ask('backup_restore', { name: asked.name })
      this.asked = null
      this.done = { task: 'restore', words }
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
