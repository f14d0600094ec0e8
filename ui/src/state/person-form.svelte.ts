/**
 * Adding a person, or saying anew what is known of one.
 */
import { ask, asRefusal, freshId, type Refusal } from '../core'
import type { PersonData } from '../wire'
import { forgetDrawing, session } from './session.svelte'
import { settings } from './settings.svelte'
import { lengthShown, readLength, readWeight, weightShown } from './units'

export type SizeKey = 'height_cm' | 'waist_cm' | 'thigh_cm' | 'upper_arm_cm'
export type PersonProblem = 'name' | 'born' | 'allergies' | 'weight' | SizeKey
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
  weight = $state('')
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
    for (const key of sizeKeys) this.sizes[key] = this.#shown(key)
    this.weight = this.#weightShown()
    this.zones = [...of.zones]
    this.note = of.note ?? ''
  }

  #check(): PersonProblem | null {
    if (this.name.trim() === '') return 'name'
    if (this.born === '') return 'born'
    if (this.allergyKind === 'known' && this.#allergies()?.length === 0) return 'allergies'
    const size = sizeKeys.find((key) => this.size(key) === undefined)
    return size ?? (this.kilograms() === undefined ? 'weight' : null)
  }

  /** What is kept of a measure, in centimetres; `null` for nothing, `undefined` for what cannot be read. */
  size(key: SizeKey): number | null | undefined {
    // What nobody touched stays as it is kept: there and back through inches it would be a little off.
    return this.sizes[key] === this.#shown(key) ? (this.of?.sizes[key] ?? null) : readLength(this.sizes[key], settings.units.length)
  }

  /** What is kept of the weight, in kilograms; as {@link size}. */
  kilograms(): number | null | undefined {
    return this.weight === this.#weightShown() ? (this.of?.weight_kg ?? null) : readWeight(this.weight, settings.units.weight)
  }

  #weightShown(): string {
    const kg = this.of?.weight_kg
    return kg == null ? '' : weightShown(kg, settings.units.weight)
  }

  #shown(key: SizeKey): string {
    const cm = this.of?.sizes[key]
    return cm == null ? '' : lengthShown(cm, settings.units.length)
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
    const sizes = Object.fromEntries(sizeKeys.map((key) => [key, this.size(key) ?? null]))
    const known = {
      name: this.name.trim(),
      born: this.born,
      zone: this.zone.trim(),
      allergies: this.#allergies(),
      self_injects: this.selfInjects,
      sizes,
      weight_kg: this.kilograms() ?? null,
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
