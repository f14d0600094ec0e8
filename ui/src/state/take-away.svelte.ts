/**
 * Taking the chart away as a file: which kind, making it, keeping it, and what became of it.
 *
 * The door answers once, so how far it is cannot be known, and calling it back drops its answer. Not here: what is in
 * the file, where it goes ({@link ../core}).
 */
import { ask, asRefusal, keepFile, type Kept, type Refusal } from '../core'
import type { Asked } from './chart-period'

export const fileKinds = ['pdf-a4', 'pdf-letter', 'svg', 'png'] as const
export type FileKind = (typeof fileKinds)[number]

/** Where letters are written on Letter paper: CLDR's territories of `US-Letter` (from memory). */
const letterPaper = new Set('BZ CA CL CO CR GT MX NI PA PH PR SV US VE'.split(' '))

/** The paper that the language of the device suggests. */
export function paperOf(language: string): FileKind {
  const parts = language.split('-').slice(1)
  return parts.some((part) => letterPaper.has(part.toUpperCase())) ? 'pdf-letter' : 'pdf-a4'
}

const asked: Record<FileKind, { format: string; paper?: string }> = {
  'pdf-a4': { format: 'pdf', paper: 'a4' },
  'pdf-letter': { format: 'pdf', paper: 'letter' },
  svg: { format: 'svg' },
  png: { format: 'png' },
}

/** Waiting for the door, waiting for the person and the disk, or neither. */
export type Taking = 'making' | 'keeping' | null

export class TakeAway {
  readonly person: string
  kind = $state<FileKind>(paperOf(navigator.language ?? ''))
  taking = $state<Taking>(null)
  /** What became of the last one. */
  end = $state.raw<(Kept & { name: string; pages: number }) | null>(null)
  fault = $state.raw<Refusal | null>(null)

  #turn = 0

  constructor(person: string) {
    this.person = person
  }

  choose(kind: FileKind): void {
    this.kind = kind
    this.end = null
    this.fault = null
  }

  /** Makes a file of these days and keeps it; one at a time. */
  async take({ period, compare }: Asked): Promise<void> {
    if (this.taking !== null) return
    const turn = ++this.#turn
    this.taking = 'making'
    this.end = null
    this.fault = null
    try {
      const file = await ask('chart_file', { person: this.person, ...period, compare, ...asked[this.kind] })
      if (turn !== this.#turn) return
      this.taking = 'keeping'
      const kept = await keepFile(file)
      if (turn !== this.#turn) return
      this.end = { ...kept, name: file.name, pages: file.pages }
    } catch (fault) {
      if (turn === this.#turn) this.fault = asRefusal(fault)
    } finally {
      if (turn === this.#turn) this.taking = null
    }
  }

  /** No longer wanted: an answer that is still to come is dropped. */
  cancel(): void {
    if (this.taking !== 'making') return
    this.#turn++
    this.taking = null
    this.end = { how: 'cancelled', name: '', pages: 0 }
  }

  close(): void {
    this.#turn++
  }
}
