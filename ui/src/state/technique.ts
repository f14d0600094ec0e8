/**
 * For whom the steps of giving are hidden on this device.
 *
 * Only the choice is kept, by the person’s id. Not here: the steps; what has to be known first and loud cautions are never hidden.
 */
import { keep, kept } from './kept'

const key = 'fallow.steps-hidden'
/** As many as a caseload has, and more; the oldest choice gives way. */
const most = 1000

function list(): string[] {
  try {
    const read: unknown = JSON.parse(kept(key) ?? '[]')
    return Array.isArray(read) ? read.filter((id) => typeof id === 'string') : []
  } catch {
    return []
  }
}

/** Whether the steps are hidden for a person. */
export const stepsHidden = (person: string): boolean => list().includes(person)

/** Hides the steps for a person, or shows them again. */
export function hideSteps(person: string, hidden: boolean): void {
  const others = list().filter((id) => id !== person)
  const all = hidden ? [...others, person].slice(-most) : others
  keep(key, all.length > 0 ? JSON.stringify(all) : null)
}
