/** One scale of letters and one of space, and what the system asks for: held on the style sheets themselves. */
import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'

const folder = dirname(fileURLToPath(import.meta.url))
const read = (name: string) => readFileSync(join(folder, name), 'utf8')

/** Not brought onto the scales yet. */
const apart = ['skin.css']
const sheets = readdirSync(folder).filter((name) => name.endsWith('.css') && !apart.includes(name))

/** The text of a sheet without comments and without what is only for paper, which has points and millimetres. */
function onScreen(css: string): string {
  let text = css.replace(/\/\*[\s\S]*?\*\//g, '')
  for (let start = text.indexOf('@media print'); start >= 0; start = text.indexOf('@media print')) {
    let [depth, end] = [0, text.indexOf('{', start)]
    do {
      if (text[end] === '{') depth++
      if (text[end] === '}') depth--
      end++
    } while (depth > 0)
    text = text.slice(0, start) + text.slice(end)
  }
  return text
}

/** `property: value` of every declaration of these properties. */
function declared(css: string, property: RegExp): string[] {
  return [...onScreen(css).matchAll(/(?<=[{;]\s*)([\w-]+)\s*:\s*([^;{}]+)(?=;)/g)]
    .filter(([, name]) => property.test(name!))
    .map(([, name, value]) => `${name}: ${value!.replace(/\s+/g, ' ').trim()}`)
}

describe('reading a sheet', () => {
  it('leaves paper out and keeps the rest', () => {
    const css = 'a { gap: 1rem; } @media print { b { gap: 2mm; } @page { margin: 1mm; } } @media (width < 3rem) { c { padding: 4px; } }'
    expect(declared(css, /gap|padding|margin/)).toEqual(['gap: 1rem', 'padding: 4px'])
  })
})

describe.each(sheets)('%s', (sheet) => {
  const css = read(sheet)
  it('takes the size of letters from the scale', () => {
    const loose = declared(css, /^font-size$/).filter((d) => !/^font-size: (var\(--text-[1-7]\)( !important)?|112\.5%)$/.test(d))
    expect(loose).toEqual([])
  })
  it('takes space from the scale', () => {
    const loose = declared(css, /^((row|column)-)?gap$|^padding|^(scroll-)?margin/).filter((d) => /(?<![\w-])[\d.]+(rem|em|px|mm|pt)\b/.test(d.replace(/var\([^)]*\)/g, '')))
    expect(loose).toEqual([])
  })
  it('gives no box with words a height they cannot grow out of', () => {
    const fixed = declared(css, /^height$/).filter((d) => /[\d.]+px\b/.test(d) && d !== 'height: 1px')
    expect(fixed).toEqual([])
  })
})

describe('what the system asks for', () => {
  const css = read('system.css')
  it('is loaded after every other sheet', () => {
    const loaded = [...read('../main.ts').matchAll(/style\/([\w-]+\.css)/g)].map((m) => m[1])
    expect(loaded.at(-1)).toBe('system.css')
    expect([...loaded, 'ground.css'].sort()).toEqual([...sheets, ...loaded.filter((name) => apart.includes(name!))].sort())
  })
  it.each(['(prefers-reduced-motion: reduce)', '(prefers-contrast: more)', '(forced-colors: active)'])('%s is answered', (query) => {
    expect(css).toContain(`@media ${query} {`)
  })
  it('wherever a colour alone makes something solid, forced colours have something else', () => {
    const forced = css.slice(css.indexOf('@media (forced-colors: active)'))
    const solid = sheets.flatMap((sheet) =>
      [...onScreen(read(sheet)).matchAll(/([^{}]+)\{([^{}]*)\}/g)]
        .filter(([, , body]) => /background: var\(--(strong|accent)\);/.test(body!))
        .flatMap(([, selectors]) => selectors!.split(',').map((s) => s.trim())),
    )
    expect(solid.length).toBeGreaterThan(5)
    const known = (selector: string) => forced.includes(selector) || /emergency button$/.test(selector)
    expect(solid.filter((s) => !known(s))).toEqual([])
  })
})
