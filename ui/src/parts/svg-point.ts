/**
 * From a touch on an SVG drawing to the drawing's own units.
 */

/** Where a pointer is in the units of the view box, however the drawing is scaled or centred. */
export function inDrawing(svg: SVGSVGElement, at: { clientX: number; clientY: number }): { x: number; y: number } {
  const matrix = svg.getScreenCTM?.()
  if (matrix) {
    const p = new DOMPoint(at.clientX, at.clientY).matrixTransform(matrix.inverse())
    return { x: p.x, y: p.y }
  }
  const box = svg.getBoundingClientRect()
  const view = svg.viewBox?.baseVal
  const [w, h] = [view?.width ?? box.width, view?.height ?? box.height]
  return {
    x: (view?.x ?? 0) + ((at.clientX - box.left) / (box.width || 1)) * w,
    y: (view?.y ?? 0) + ((at.clientY - box.top) / (box.height || 1)) * h,
  }
}

/** Screen pixels a unit of the view box takes; keeps being told while the drawing is resized. */
export function watchScale(svg: SVGSVGElement, tell: (pixels: number) => void): () => void {
  const measure = () => {
    const box = svg.getBoundingClientRect()
    const view = svg.viewBox?.baseVal
    if (view && view.width > 0 && box.width > 0) tell(Math.min(box.width / view.width, box.height / view.height))
  }
  measure()
  if (typeof ResizeObserver === 'undefined') return () => undefined
  const watcher = new ResizeObserver(measure)
  watcher.observe(svg)
  return () => watcher.disconnect()
}
