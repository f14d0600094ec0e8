/** What the browser keeps for this device, outside the record; it may refuse, and then nothing breaks. */

/** What was kept under a key; `null` where there is nothing or the browser keeps nothing. */
export function kept(key: string): string | null {
  try {
    return localStorage.getItem(key)
  } catch {
    return null
  }
}

/** Keeps a text, or forgets it for `null`; `false` where the browser refuses. */
export function keep(key: string, text: string | null): boolean {
  try {
    if (text === null) localStorage.removeItem(key)
    else localStorage.setItem(key, text)
    return true
  } catch {
    return false
  }
}
