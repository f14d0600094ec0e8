/**
 * Keeps an unfinished form at the door, soon after each change. The door is where it survives; nothing is kept
 * in the browser's own storage.
 */
import { ask, asRefusal, type Refusal } from '../core'

const pause = 250

/** Forms with something that the door has not got yet. */
const unsaved = new Set<DraftKeeper>()

/** Keeps at the door what is still on its way; for just before the record is locked. */
export async function flushDrafts(): Promise<void> {
  await Promise.all([...unsaved].map((keeper) => keeper.settled()))
}

/** What was kept under a key, and since when; `null` where there is nothing, or nothing that can be read. */
export async function keptDraft<T extends { id: string }>(key: string): Promise<{ kept: T; since: string | null } | null> {
  const { body, opened_at } = await ask('draft_get', { key })
  if (!body) return null
  try {
    const kept = JSON.parse(body) as T | null
    return typeof kept?.id === 'string' ? { kept, since: opened_at } : null
  } catch {
    return null
  }
}

export class DraftKeeper {
  #key: string
  #failed: (fault: Refusal | null) => void
  #timer: ReturnType<typeof setTimeout> | null = null
  #body: (() => string) | null = null
  #last: Promise<unknown> = Promise.resolve()

  constructor(key: string, failed: (fault: Refusal | null) => void) {
    this.#key = key
    this.#failed = failed
  }

  /** Saves what `body` gives a moment from now; many changes in that moment are one save. */
  keep(body: () => string): void {
    this.#body = body
    unsaved.add(this)
    this.#timer ??= setTimeout(() => this.flush(), pause)
  }

  flush(): void {
    if (this.#timer !== null) clearTimeout(this.#timer)
    this.#timer = null
    if (!this.#body) return
    const body = this.#body()
    this.#body = null
    const saving = this.#last
      .then(() => ask('draft_save', { key: this.#key, body }))
      .then(() => this.#failed(null), (fault: unknown) => this.#failed(asRefusal(fault)))
      .finally(() => {
        if (this.#last === saving && !this.#body) unsaved.delete(this)
      })
    this.#last = saving
  }

  /** Saves what is waiting and gives the end of it. */
  settled(): Promise<unknown> {
    this.flush()
    return this.#last
  }

  /** Forgets the draft, after any save still on its way. */
  async drop(): Promise<void> {
    if (this.#timer !== null) clearTimeout(this.#timer)
    this.#timer = null
    this.#body = null
    unsaved.delete(this)
    await this.#last
    try {
      await ask('draft_drop', { key: this.#key })
    } catch (fault) {
      this.#failed(asRefusal(fault))
    }
  }
}
