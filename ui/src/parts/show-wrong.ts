/** Leads to what is missing in a form: the first field of a part marked `data-wrong`, else the first alert. */
import { tick } from 'svelte'

export async function showWrong(): Promise<void> {
  // The marks are set by the same change that asked for this.
  await tick()
  const wrong = document.querySelector<HTMLElement>(
    '[data-wrong] input, [data-wrong] [tabindex], [data-wrong] textarea, [role=alert]',
  )
  wrong?.scrollIntoView({ block: 'center' })
  wrong?.focus()
}
