/**
 * The round of the day in groups, and a pulse that looks again each minute. The order of injections is the door's.
 */
import type { AsNeeded, DueSlot } from '../wire'

export type GroupKey = 'late' | 'due' | 'upcoming' | 'done'
export interface Group {
  key: GroupKey
  slots: DueSlot[]
}

const keyOf = (slot: DueSlot): GroupKey =>
  slot.standing === 'late' || slot.standing === 'due' || slot.standing === 'upcoming' ? slot.standing : 'done'

/** Whether the injection can still be given for this slot. */
export const isOpen = (slot: DueSlot): boolean => keyOf(slot) !== 'done'

/** Neighbours of one kind stand together; what is empty is left out. */
export function grouped(slots: DueSlot[]): Group[] {
  const groups: Group[] = []
  for (const slot of slots) {
    const key = keyOf(slot)
    const known = groups.find((g) => g.key === key)
    if (known) known.slots.push(slot)
    else groups.push({ key, slots: [slot] })
  }
  return groups
}

/** Those whose person's name holds what was typed, in any case. */
export function named<T extends DueSlot | AsNeeded>(list: T[], search: string): T[] {
  const text = search.trim().toLowerCase()
  return text === '' ? list : list.filter((one) => one.person_name.toLowerCase().includes(text))
}

const minute = 60_000

/**
 * Calls `look` each minute while the page is in sight, and when it comes back into sight; gives back how to stop. What
 * it asks, it asks unattended: a page left open must not keep the record from locking.
 */
export function eachMinute(look: () => void): () => void {
  const pulse = () => {
    if (document.visibilityState === 'visible') look()
  }
  const timer = setInterval(pulse, minute)
  document.addEventListener('visibilitychange', pulse)
  return () => {
    clearInterval(timer)
    document.removeEventListener('visibilitychange', pulse)
  }
}
