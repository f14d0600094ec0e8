/** Contrast of every pair of colours that carries meaning, by the WCAG 2.2 formula (relative luminance, 1.4.3). */
import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

const css = ['ground.css', 'tokens.css'].map((f) => readFileSync(new URL(f, import.meta.url), 'utf8')).join('\n')

/** The custom properties of light, and those of dark laid over them. */
function colours(): { light: Record<string, string>; dark: Record<string, string> } {
  const read = (text: string) =>
    Object.fromEntries([...text.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6})\b/g)].map((m) => [m[1]!, m[2]!]))
  const blocks = [...css.matchAll(/(@media screen and \(prefers-color-scheme: dark\) \{\s*)?:root \{([^}]*)\}/g)]
  const pick = (dark: boolean) => blocks.filter((b) => (b[1] !== undefined) === dark).map((b) => b[2]).join('\n')
  const light = read(pick(false))
  return { light, dark: { ...light, ...read(pick(true)) } }
}

function luminance(hex: string): number {
  const [r, g, b] = [1, 3, 5].map((i) => {
    const c = parseInt(hex.slice(i, i + 2), 16) / 255
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4
  })
  return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!
}
function contrast(a: string, b: string): number {
  const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x)
  return (high! + 0.05) / (low! + 0.05)
}

describe('the formula', () => {
  it('gives the standard’s own ends', () => {
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 5)
    expect(contrast('#777777', '#ffffff')).toBeCloseTo(4.48, 2)
  })
})

describe.each(Object.entries(colours()))('%s', (theme, c) => {
  const of = (name: string) => c[name] ?? expect.fail(`no colour ${name}`)
  it.each([
    ['ink', 'ground', 7],
    ['ink', 'surface', 7],
    ['ink', 'wash', 7],
    ['ink', 'sunk', 7],
    ['soft', 'ground', 4.5],
    ['soft', 'surface', 4.5],
    ['soft', 'wash', 4.5],
    ['soft', 'sunk', 4.5],
    ['accent', 'ground', 4.5],
    ['accent', 'surface', 4.5],
    ['accent', 'wash', 4.5],
    ['on-accent', 'accent', 7],
    ['on-accent', 'accent-press', 7],
    ['on-band', 'band', 7],
    ['on-strong', 'strong', 7],
    ['edge', 'surface', 3],
    ['edge', 'ground', 3],
    ['edge', 'wash', 3],
    ['edge', 'sunk', 3],
    ['strong', 'ground', 3],
    ['strong', 'surface', 3],
    ['focus', 'ground', 3],
    ['focus', 'surface', 3],
    ['focus', 'wash', 3],
    ['zone-line', 'skin', 3],
    ['skin-line', 'skin', 3],
  ])('%s on %s is at least %d:1', (a, b, least) => {
    expect(contrast(of(a), of(b))).toBeGreaterThanOrEqual(least)
  })
  it('words on the band are legible on its furrows as well', () => {
    const [, furrow = '', alpha = ''] = /--furrow:\s*(#[0-9a-f]{6})([0-9a-f]{2})/.exec(theme === 'dark' ? css.slice(css.lastIndexOf('dark')) : css) ?? []
    const mixed = [1, 3, 5].map((i) => {
      const [over, under] = [furrow, of('band')].map((hex) => parseInt(hex.slice(i, i + 2), 16))
      return Math.round(under! + (over! - under!) * (parseInt(alpha, 16) / 255)).toString(16).padStart(2, '0')
    })
    expect(contrast(of('on-band'), `#${mixed.join('')}`)).toBeGreaterThanOrEqual(7)
  })
  it('the ring round a place is seen on the skin and on every step of the ramp, by one of its two lines', () => {
    for (const under of ['skin', 'step-0', 'step-1', 'step-2', 'step-3', 'step-4', 'step-5']) {
      const best = Math.max(contrast(of('ring'), of(under)), contrast(of('zone-line'), of(under)))
      expect(best, under).toBeGreaterThanOrEqual(3)
    }
  })
  it('numbers on the ramp are legible', () => {
    for (let i = 0; i < 6; i++) expect(contrast(of(`on-step-${i}`), of(`step-${i}`)), `step ${i}`).toBeGreaterThanOrEqual(4.5)
  })
  it('the ramp grows lighter with rest, each step told from the next', () => {
    for (let i = 0; i < 5; i++) {
      expect(luminance(of(`step-${i + 1}`))).toBeGreaterThan(luminance(of(`step-${i}`)))
      expect(contrast(of(`step-${i}`), of(`step-${i + 1}`)), `step ${i}`).toBeGreaterThanOrEqual(1.35)
    }
    expect(contrast(of('step-0'), of('step-5'))).toBeGreaterThanOrEqual(10)
  })
})
