/**
 * A chart as a file: making it, keeping it, and what became of it.
 *
 * Not here: writing or checking a file, which is the way to the door's ({@link keepFile}).
 */
import { ask, asRefusal, keepFile, type Kept, type Refusal } from '../core'

export const fileKinds = ['pdf', 'svg', 'png'] as const
export type FileKind = (typeof fileKinds)[number]
export const papers = ['a4', 'letter'] as const
export type Paper = (typeof papers)[number]

/** The days that are on screen. */
export interface TakenDays {
  from: string
  to: string
  compare: boolean
}

/** How far it is. While it is being kept, the system may be asking where. */
export type Standing =
  | { at: 'rest' }
  | { at: 'making' | 'keeping' | 'cancelled'; kind: FileKind }
  | { at: 'saved'; kind: FileKind; name: string; kept: Kept }
  | { at: 'failed'; kind: FileKind; refusal: Refusal; days: TakenDays }

/** Regions whose everyday paper is Letter: Unicode CLDR, supplemental measurementData, `paperSize` (read in UTS #35). */
const letterRegions = ['BZ', 'CA', 'CL', 'CO', 'CR', 'GT', 'MX', 'NI', 'PA', 'PH', 'PR', 'SV', 'US', 'VE']

/** The paper of the first language that names a region; A4 where none does. */
export function usualPaper(languages: readonly string[]): Paper {
  for (const language of languages) {
    try {
      const { region } = new Intl.Locale(language)
      if (region) return letterRegions.includes(region) ? 'letter' : 'a4'
    } catch {
      // A name that is no language says nothing about paper.
    }
  }
  return 'a4'
}

/** Where the chosen paper is kept, at the door. */
const paperKey = 'chart-paper'

export class TakeAway {
  readonly person: string
  paper = $state<Paper>('a4')
  standing = $state.raw<Standing>({ at: 'rest' })
  readonly busy = $derived(this.standing.at === 'making' || this.standing.at === 'keeping')

  #turn = 0
  #chosen = false

  constructor(person: string, languages: readonly string[]) {
    this.person = person
    this.paper = usualPaper(languages)
  }

  /** The paper that was chosen before, if one was. */
  async open(): Promise<void> {
    try {
      const { body } = await ask('draft_get', { key: paperKey })
      const kept = papers.find((paper) => paper === body)
      if (kept && !this.#chosen) this.paper = kept
    } catch {
      // The usual paper stands; a fault of the door is told by the chart itself.
    }
  }

  async choosePaper(paper: Paper): Promise<void> {
    this.#chosen = true
    this.paper = paper
    try {
      await ask('draft_save', { key: paperKey, body: paper })
    } catch {
      // A record that cannot be written keeps no choice either; the file is made on this paper all the same.
    }
  }

  async make(kind: FileKind, days: TakenDays): Promise<void> {
    if (this.busy) return
    const turn = ++this.#turn
    this.standing = { at: 'making', kind }
    try {
      const paper = kind === 'pdf' ? this.paper : null
      const file = await ask('chart_file', { person: this.person, ...days, kind, paper })
      if (turn !== this.#turn) return
      this.standing = { at: 'keeping', kind }
      const kept = await keepFile(file)
      if (turn !== this.#turn) return
      this.standing = kept.cancelled ? { at: 'cancelled', kind } : { at: 'saved', kind, name: file.name, kept }
    } catch (fault) {
      if (turn === this.#turn) this.standing = { at: 'failed', kind, refusal: asRefusal(fault), days }
    }
  }

  /** Lets the file go that is being made. */
  cancel(): void {
    if (this.standing.at !== 'making') return
    this.#turn++
    this.standing = { at: 'cancelled', kind: this.standing.kind }
  }

  /** What was said was about other days. */
  forget(): void {
    if (!this.busy) this.standing = { at: 'rest' }
  }
}
