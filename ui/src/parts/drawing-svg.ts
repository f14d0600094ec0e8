/**
 * A drawing from the door as a node for this page: read as XML, let in only where every part of it is known.
 *
 * Not here: mending. What does not fit is refused whole, because half a drawing shows something else.
 */

const space = 'http://www.w3.org/2000/svg'

/** Shapes, words and what they refer to; nothing that runs, loads, links or moves. */
const known = new Set([
  'svg', 'g', 'defs', 'symbol', 'use', 'title', 'desc', 'path', 'rect', 'circle', 'ellipse', 'line', 'polyline', 'polygon',
  'text', 'tspan', 'clipPath', 'mask', 'pattern', 'marker', 'linearGradient', 'radialGradient', 'stop',
])

const lists = ['aria-labelledby', 'aria-describedby']

/** Whether an attribute can neither run anything nor reach outside the drawing. */
function harmless({ localName, value }: Attr): boolean {
  const name = localName.toLowerCase()
  // The page's policy lets no inline style through, so one that was meant to be seen would be missing.
  if (name.startsWith('on') || name === 'style') return false
  if (name === 'href' || name === 'src') return value.trim().startsWith('#')
  const uses = value.match(/url\s*\(/gi)?.length ?? 0
  return uses === (value.match(/url\(\s*["']?#/gi)?.length ?? 0)
}

function fits(root: Element): boolean {
  const elements = [root, ...root.querySelectorAll('*')]
  return elements.every(
    (e) => e.namespaceURI === space && known.has(e.localName) && [...e.attributes].every(harmless),
  )
}

/** Names inside one drawing are made its own, since several stand on the page. */
function rename(root: Element, prefix: string): void {
  const elements = [root, ...root.querySelectorAll('*')]
  const names = new Set(elements.map((e) => e.id).filter(Boolean))
  const own = (name: string) => (names.has(name) ? `${prefix}-${name}` : name)
  for (const element of elements) {
    for (const attribute of element.attributes) {
      const { localName, value } = attribute
      if (localName === 'id') attribute.value = own(value)
      else if (localName === 'href') attribute.value = `#${own(value.trim().slice(1))}`
      else if (lists.includes(localName)) attribute.value = value.split(/\s+/).filter(Boolean).map(own).join(' ')
      else if (value.includes('url(')) attribute.value = value.replace(/url\(\s*(["']?)#([^"')]+)\1\s*\)/g, (_, _quote, name: string) => `url(#${own(name)})`)
    }
  }
}

/** Without a view box a drawing would be cut where its column is narrower. */
function scalable(root: Element): void {
  const [width, height] = ['width', 'height'].map((name) => parseFloat(root.getAttribute(name) ?? ''))
  if (!root.hasAttribute('viewBox') && width! > 0 && height! > 0) root.setAttribute('viewBox', `0 0 ${width} ${height}`)
}

/** The drawing, its names made unlike any others by `prefix`; `null` where it is refused. */
export function readDrawing(text: string, prefix: string): SVGSVGElement | null {
  const page = new DOMParser().parseFromString(text, 'image/svg+xml')
  const root = page.documentElement
  if (page.doctype !== null || page.querySelector('parsererror') || root?.localName !== 'svg' || !fits(root)) return null
  rename(root, prefix)
  scalable(root)
  return document.adoptNode(root) as Element as SVGSVGElement
}
