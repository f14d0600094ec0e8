/**
 * The checks before giving: what was said so far, and what the door makes of it. Nothing is ticked here by itself.
 *
 * Not here: what a check means; the door says that. Whether an injection is recorded never depends on it.
 */
import { ask, asRefusal, freshId, type Args, type Refusal } from '../core'
import type { BeforeCheck, BeforeData, BeforeSaid, ContainerData } from '../wire'

/** What the checks are about; `null` until an order is chosen. */
export interface About {
  person: string
  order: string
  at: string | null
  recorder: string
  giver: 'self' | 'other' | null
}

export class Before {
  said = $state.raw<BeforeSaid>({})
  page = $state.raw<BeforeData | null>(null)
  fault = $state.raw<Refusal | null>(null)

  readonly checks = $derived<BeforeCheck[]>(this.page?.checks ?? [])
  /** Problems that must not be overlooked and that nobody has answered. */
  readonly loud = $derived(this.checks.filter((c) => c.open && c.problems.some((p) => p.loud)))
  /** Codes of what was checked, for the record. */
  readonly done = $derived(this.checks.filter((c) => c.state === 'done' || (c.state === 'problem' && !c.open)).map((c) => c.what))
  readonly container = $derived(this.page?.containers.find((c) => c.id === this.said.container) ?? null)

  #about: () => About | null
  #changed: () => void
  #turn = 0

  constructor(about: () => About | null, changed: () => void) {
    this.#about = about
    this.#changed = changed
  }

  /** Forgets what was said: another order, or another person in front of you. */
  begin(said: BeforeSaid = {}): void {
    this.said = said
    this.page = null
  }

  async load(): Promise<void> {
    const about = this.#about()
    if (!about) return
    const turn = ++this.#turn
    try {
      const page = await ask('before', {
        person: about.person,
        order: about.order,
        at: about.at,
        recorder: about.recorder.trim() || null,
        giver: about.giver,
        said: this.said,
      })
      if (turn !== this.#turn) return
      this.page = page
      this.fault = null
    } catch (fault) {
      if (turn === this.#turn) this.fault = asRefusal(fault)
    }
  }

  async say(more: Partial<BeforeSaid>): Promise<void> {
    this.said = { ...this.said, ...more }
    this.#changed()
    await this.load()
  }

  async readBack(identifier: string, matches: boolean): Promise<void> {
    const others = (this.said.identity ?? []).filter((i) => i.identifier !== identifier)
    await this.say({ identity: [...others, { identifier, matches }] })
  }

  /** What was said of an identifier; `null` where it was not asked. */
  readBackOf(identifier: string): boolean | null {
    return (this.said.identity ?? []).find((i) => i.identifier === identifier)?.matches ?? null
  }

  async reason(what: string, text: string): Promise<void> {
    const others = (this.said.reasons ?? []).filter((r) => r.what !== what)
    await this.say({ reasons: text.trim() === '' ? others : [...others, { what, text: text.trim() }] })
  }

  /** Puts a container in use on record and takes it. A refusal is thrown and loses nothing that was typed. */
  async add(label: Omit<Args<'container_add'>, 'id' | 'person' | 'order'>): Promise<ContainerData | null> {
    const about = this.#about()
    if (!about) return null
    const made = await ask('container_add', { ...label, id: freshId(), person: about.person, order: about.order })
    await this.say({ container: made.id })
    return made
  }
}
