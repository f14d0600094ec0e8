/**
 * What holds for the whole sitting: what this copy is, whether it can write, who is recording.
 */
import { ask, asRefusal, type Refusal } from '../core'
import type { BodyDrawingData, StatusData } from '../wire'

class Session {
  status = $state<StatusData | null>(null)
  fault = $state<Refusal | null>(null)
  /** The last recorder of this sitting; offered to the next entry, always in sight. */
  recorder = $state('')

  readonly writable = $derived(this.status?.writable ?? false)

  async open(): Promise<void> {
    try {
      this.status = await ask('status', {})
      this.fault = null
    } catch (fault) {
      this.fault = asRefusal(fault)
    }
  }
}

export const session = new Session()

/** Drawings by person: the same for a sitting, and the largest answer the door gives. */
const drawings = new Map<string, BodyDrawingData>()

export async function drawingOf(person: string): Promise<BodyDrawingData> {
  const known = drawings.get(person)
  if (known) return known
  const drawing = await ask('body_drawing', { person })
  drawings.set(person, drawing)
  return drawing
}

/** A change of measures changes the drawing. */
export function forgetDrawing(person: string): void {
  drawings.delete(person)
}
