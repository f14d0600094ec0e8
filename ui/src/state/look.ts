/**
 * How the page is to look, as far as a drawing from the door has to know it: its theme, and the width of its column.
 */

export type Theme = 'light' | 'dark'

const dark = '(prefers-color-scheme: dark)'
const forced = '(forced-colors: active)'

const matches = (query: string): boolean => typeof matchMedia === 'function' && matchMedia(query).matches

/** The theme to draw in. Forced colours do not reach into a drawing, which then stands on its own light ground. */
export function themeNow(): Theme {
  return matches(dark) && !matches(forced) ? 'dark' : 'light'
}

/** Tells each change of {@link themeNow}; gives back how to stop. */
export function watchTheme(tell: (theme: Theme) => void): () => void {
  if (typeof matchMedia !== 'function') return () => undefined
  const queries = [dark, forced].map((query) => matchMedia(query))
  const changed = () => tell(themeNow())
  for (const query of queries) query.addEventListener('change', changed)
  return () => {
    for (const query of queries) query.removeEventListener('change', changed)
  }
}

/** Width of a grid's first column in pixels; `null` where there is no layout to ask. */
export function columnWidth(grid: Element): number | null {
  const width = parseFloat(getComputedStyle(grid).gridTemplateColumns)
  return Number.isFinite(width) ? width : null
}

/** Tells the width of a grid's first column each time the grid changes; gives back how to stop. */
export function watchColumn(grid: Element, tell: (column: number | null) => void): () => void {
  if (typeof ResizeObserver === 'undefined') return () => undefined
  const watcher = new ResizeObserver(() => tell(columnWidth(grid)))
  watcher.observe(grid)
  return () => watcher.disconnect()
}
