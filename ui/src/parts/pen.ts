/**
 * From presses on a drawing of skin to what is pulled: one pointer at a time, whether finger, pen or mouse.
 *
 * A press that goes nowhere is a touch and comes as a click, as every touch does. What a pull means is the pen's own.
 */
import type { Grip } from '../state/place.svelte'
import type { XY } from '../wire'

export interface Pen {
  hold: (grip: Grip, from: XY, side: 1 | -1, finger: boolean) => boolean
  pull: (to: XY) => void
  drop: () => void
  cancel: () => void
  tap: (at: XY) => void
}

/** A press that goes less far than this pulls nothing; screen pixels. */
const still = 6

/** Listens on a drawing; `skinOf` says which skin lies under a pointer. */
export function penOn(svg: SVGSVGElement, pen: Pen, skinOf: (e: { clientX: number; clientY: number }) => XY): () => void {
  let pressed: { id: number; x: number; y: number; from: XY; grip: Grip; side: 1 | -1; finger: boolean } | null = null
  let [holding, pulled] = [false, false]

  function down(e: PointerEvent) {
    if (pressed || !e.isPrimary || e.button > 0) return
    const on = (e.target as Element | null)?.closest<SVGElement>('[data-grip]')
    const { clientX: x, clientY: y } = e
    const grip = (on?.dataset['grip'] as Grip | undefined) ?? 'skin'
    pressed = { id: e.pointerId, x, y, from: skinOf(e), grip, side: on?.dataset['side'] === '-1' ? -1 : 1, finger: e.pointerType === 'touch' }
    pulled = false
  }

  function move(e: PointerEvent) {
    if (!pressed || e.pointerId !== pressed.id) return
    if (!holding) {
      if (Math.hypot(e.clientX - pressed.x, e.clientY - pressed.y) < still) return
      pulled = true
      holding = pen.hold(pressed.grip, pressed.from, pressed.side, pressed.finger)
      if (!holding) {
        pressed = null
        return
      }
      // What was pressed may be drawn anew while it is pulled: the drawing itself goes on hearing the pointer.
      svg.setPointerCapture?.(pressed.id)
    }
    const between = e.getCoalescedEvents?.() ?? []
    for (const one of between.length > 0 ? between : [e]) pen.pull(skinOf(one))
  }

  function end(e: PointerEvent) {
    if (!pressed || e.pointerId !== pressed.id) return
    // A finger belongs to what it pressed until the drawing takes it over: that is no end.
    if (e.type === 'lostpointercapture' && e.target !== svg) return
    pressed = null
    if (!holding) return
    holding = false
    if (e.type === 'pointerup') pen.drop()
    else pen.cancel()
  }

  function click(e: MouseEvent) {
    // The click that ends a pull is no touch, and one on a handle is none of the skin.
    const ended = pulled
    pulled = false
    if (!ended && !(e.target as Element | null)?.closest('[data-grip]')) pen.tap(skinOf(e))
  }

  // A finger on a handle does not scroll, whichever way it pulls; parts of a drawing have no `touch-action` to say so.
  const stays = (e: TouchEvent) => {
    if ((e.target as Element | null)?.closest('[data-grip]')) e.preventDefault()
  }
  svg.addEventListener('touchstart', stays, { passive: false })
  const heard = { pointerdown: down, pointermove: move, pointerup: end, pointercancel: end, lostpointercapture: end, click } as const
  for (const [name, does] of Object.entries(heard)) svg.addEventListener(name, does as EventListener)
  return () => {
    if (holding) pen.cancel()
    svg.removeEventListener('touchstart', stays)
    for (const [name, does] of Object.entries(heard)) svg.removeEventListener(name, does as EventListener)
  }
}
