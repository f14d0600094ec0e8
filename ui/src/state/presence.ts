/**
 * Whether somebody is there, and whether the record still is open.
 *
 * Looks every five seconds, unattended, so that a lock is seen wherever it came from; tells the door of a key, a touch or
 * a movement at most every twenty. Not here: what a lock does to the screen ({@link ./session.svelte}).
 */
import { session } from './session.svelte'

const beat = 1000
const beatsToLook = 5
const toldFor = 20_000
const signs = ['keydown', 'pointerdown', 'pointermove', 'wheel', 'touchstart'] as const

/** Begins to look; gives back how to stop. */
export function watchOver(): () => void {
  let beats = 0
  let told = Date.now()

  const tick = () => {
    session.now = Date.now()
    // At the end of the countdown it is looked at once more, without waiting for the fifth beat.
    if (++beats % beatsToLook === 0 || session.locksIn === 0) void session.look()
  }
  const there = () => {
    if (session.standing !== 'open' || session.protection?.locks_in_s == null) return
    const now = Date.now()
    if (session.locksIn === null && now - told < toldFor && now >= told) return
    // While the notice stands, one telling a second is enough too.
    if (session.locksIn !== null && Math.abs(now - told) < beat) return
    told = now
    void session.stay()
  }
  const back = () => {
    if (document.visibilityState === 'visible') void session.look()
  }

  const timer = setInterval(tick, beat)
  for (const sign of signs) window.addEventListener(sign, there, { capture: true, passive: true })
  document.addEventListener('visibilitychange', back)
  return () => {
    clearInterval(timer)
    for (const sign of signs) window.removeEventListener(sign, there, { capture: true })
    document.removeEventListener('visibilitychange', back)
  }
}
