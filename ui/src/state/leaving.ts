/** Keeps what was typed when the page goes away: on a reload, a closed window or another screen. */
import { onMount } from 'svelte'

/** For a screen with a form; `form` is the one that is open then. */
export function keepOnLeaving(form: () => { flush: () => void }): void {
  onMount(() => {
    const leave = () => form().flush()
    window.addEventListener('pagehide', leave)
    return () => {
      window.removeEventListener('pagehide', leave)
      leave()
    }
  })
}
