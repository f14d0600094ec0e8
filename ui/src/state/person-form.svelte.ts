/**
 * Adding a person, or saying anew what is known of one.
 */
import { ask, asRefusal, freshId, type Refusal } from '../core'
import type { PersonData } from '../wire'
import { forgetDrawing, session } from './session.svelte'

export type SizeKey = 'height_cm' | 'waist_cm' | 'thigh_cm' | 'upper_arm_cm'
export type PersonProblem = 'name' | 'born' | 'allergies' | SizeKey
export const sizeKeys: SizeKey[] = ['height_cm', 'waist_cm', 'thigh_cm', 'upper_arm_cm']

/** The zone of this device, where it can be told. */
function deviceZone(): string {
  try {
    return new Intl.DateTimeFormat('en-GB').resolvedOptions().timeZone || 'Europe/London'
  } catch {
    return 'Europe/London'
  }
}

/** Zones this device knows by name; empty where it cannot say. */
export function knownZones(): string[] {
  try {
    return Intl.supportedValuesOf('timeZone')
  } catch {
    return []
  }
}

/** A measure as typed: a number, nothing, or neither. */
function readSize(text: string): number | null | undefined {
  const typed = text.trim().replace(',', '.')
  if (typed === '') return null
  return /^\d{1,3}(\.\d)?$/.test(typed) ? Number(typed) : undefined
}

export class PersonForm {
  readonly id = freshId()
  name = $state('')
  born = $state('')
  identifier = $state('')
  zone = $state(deviceZone())
  selfInjects = $state(false)
  allergyKind = $state<'not_asked' | 'none' | 'known'>('not_asked')
  allergyText = $state('')
  sizes = $state<Record<SizeKey, string>>({ height_cm: '', waist_cm: '', thigh_cm: '', upper_arm_cm: '' })
  zones = $state<string[]>([])
  note = $state('')
  reason = $state('')
  saving = $state(false)
  refusal = $state.raw<Refusal | null>(null)
  problem = $state<PersonProblem | null>(null)
  /** The person being changed; `null` for a new one. */
  readonly of: PersonData | null

  constructor(of: PersonData | null) {
    this.of = of
    if (!of) return
    this.name = of.name
    this.born = of.born
    this.identifier = of.identifier ?? ''
    this.zone = of.zone
    this.selfInjects = of.self_injects
    this.allergyKind = of.allergies == null ? 'not_asked' : of.allergies.length === 0 ? 'none' : 'known'
    this.allergyText = (of.allergies ?? []).join('\n')
    for (const key of sizeKeys) this.sizes[key] = of.sizes[key] == null ? '' : String(of.sizes[key])
    this.zones = [...of.zones]
    this.note = of.note ?? ''
  }

  #check(): PersonProblem | null {
    if (this.name.trim() === '') return 'name'
    if (this.born === '') return 'born'
    if (this.allergyKind === 'known' && this.#allergies()?.length === 0) return 'allergies'
    return sizeKeys.find((key) => readSize(this.sizes[key]) === undefined) ?? null
  }

  #allergies(): string[] | null {
    if (this.allergyKind === 'not_asked') return null
    if (this.allergyKind === 'none') return []
    return this.allergyText.split('\n').map((line) => line.trim()).filter(Boolean)
  }

  async save(): Promise<PersonData | null> {
    if (this.saving) return null
    this.problem = this.#check()
    if (this.problem) return null
    this.saving = true
    this.refusal = null
    const sizes = Object.fromEntries(sizeKeys.map((key) => [key, readSize(this.sizes[key]) ?? null]))
    const known = {
      name: this.name.trim(),
      born: this.born,
      zone: this.zone.trim(),
      allergies: this.#allergies(),
      self_injects: this.selfInjects,
      sizes,
      zones: [...this.zones],
      identifier: this.identifier.trim() || null,
      note: this.note.trim() || null,
      recorder: session.recorder || null,
    }
    try {
      if (!this.of) return (await ask('person_add', { ...known, id: this.id })).person
      const saved = await ask('person_change', { person: this.of.id, to: known, reason: this.reason.trim() || null })
      forgetDrawing(this.of.id)
      return saved.person
    } catch (fault) {
      this.refusal = asRefusal(fault)
      return null
    } finally {
      this.saving = false
    }
  }
}
