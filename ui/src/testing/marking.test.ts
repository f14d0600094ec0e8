/** A finding's shape marked by hand: pulled from its middle, by its handles, drawn around; taken back, told what is wrong. */
import { cleanup, fireEvent, render, screen } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import type { PlaceWire } from '../wire'
import { finding } from './fake-skin'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const box = async (name: RegExp | string) => (await screen.findByRole('textbox', { name })) as HTMLInputElement
const sizes = async () => [(await box('Longest way across, in mm')).value, (await box('Widest way square to that, in mm')).value, (await box('Turned by, in degrees')).value]

async function goTo(path: string) {
  window.history.replaceState(null, '', `#${path}`)
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
}

beforeEach(async () => {
  window.scrollTo = () => undefined
  Element.prototype.scrollIntoView = () => undefined
  // There is no layout here: a screen pixel is a unit of the drawing, a tenth of a centimetre.
  SVGElement.prototype.getBoundingClientRect = function () {
    const [left, top, width, height] = (this.getAttribute('viewBox') ?? '0 0 1 1').split(' ').map(Number)
    return { left, top, width, height } as DOMRect
  }
  session.status = null
  session.recorder = 'Nurse Imri Vane'
  await goTo('/')
})
afterEach(cleanup)

async function marking(way: 'Point and size' | 'Draw the outline' = 'Point and size') {
  const door = await doorOf()
  session.recorder = 'Nurse Imri Vane'
  await goTo('/person/p1/skin/mark/left_thigh')
  render(App)
  for (const name of ['lump', 'Felt', way]) await userEvent.click(await screen.findByRole('radio', { name }))
  await screen.findByRole('application')
  return door
}
const svg = () => document.querySelector<SVGSVGElement>('.skin svg')!
const grip = (name: string) => document.querySelector(`[data-grip=${name}]`)!

/** One stroke over the skin; the points are pixels, and the click at its end is what browsers add. */
async function stroke(points: [number, number][], { on = svg() as Element, pointerType = 'mouse', ends = 'pointerup' } = {}) {
  // There are no pointer events here but by their names.
  const pointer = { pointerId: 7, isPrimary: true, pointerType }
  const event = (type: string, [clientX, clientY]: [number, number]) => Object.assign(new MouseEvent(type, { clientX, clientY, button: 0, bubbles: true }), pointer)
  await fireEvent(on, event('pointerdown', points[0]!))
  for (const point of points.slice(1)) {
    await fireEvent(svg(), event('pointermove', point))
    // A finger is taken over from the handle by the drawing.
    if (on !== svg() && point === points[1]) await fireEvent(on, event('lostpointercapture', point))
  }
  await fireEvent(svg(), event(ends, points.at(-1)!))
  if (pointerType === 'mouse') await fireEvent.click(svg(), { clientX: points.at(-1)![0], clientY: points.at(-1)![1] })
}
async function saved(door: Awaited<ReturnType<typeof doorOf>>): Promise<PlaceWire> {
  await userEvent.click(await button('Record finding'))
  await screen.findByText(/^Recorded: lump/)
  return (door.seen.findLast((s) => s.op === 'finding_record')!.args as { place: PlaceWire }).place
}

describe('point and size', () => {
  it('is pulled out from its middle in one stroke, told in millimetres and recorded', async () => {
    const door = await marking()
    await stroke([[20, -30], [26, -30], [32, -39]])
    expect(await sizes()).toEqual(['24', '18', '0'])
    await screen.findByText('24 mm by 18 mm')
    expect(await saved(door)).toEqual({ centre: { across_cm: 2, up_cm: 3 }, length_mm: 24, width_mm: 18, turned_degrees: 0 })
  })
  it('is touched, then pulled from its middle, and changed by each handle', async () => {
    await marking()
    await fireEvent.click(svg(), { clientX: 20, clientY: -30 })
    expect(grip('length')).toBeNull()
    await stroke([[20, -30], [26, -30], [30, -30]], { on: grip('out'), pointerType: 'touch' })
    expect(await sizes()).toEqual(['20', '10', '0'])
    // Handles stand on the side that has room.
    const side = grip('length').getAttribute('data-side') === '1' ? 1 : -1
    await stroke([[20, -30], [20 + 10 * side, -30]], { on: grip('length'), pointerType: 'touch' })
    expect(await sizes()).toEqual(['40', '10', '0'])
    await stroke([[20, -40], [20, -50]], { on: grip('width'), pointerType: 'touch' })
    expect(await sizes()).toEqual(['40', '30', '0'])
    await stroke([[20 - 10 * side, -30], [20, -30 + 10 * side]], { on: grip('turn'), pointerType: 'touch' })
    expect((await sizes())[2]).toBe('90')
    await screen.findByText('40 mm by 30 mm, turned 90°')
    await stroke([[20, -30], [40, -30]], { on: grip('middle'), pointerType: 'touch' })
    expect(document.querySelector('[data-chosen]')!.getAttribute('data-chosen')).toBe('4,3')
    expect(await sizes()).toEqual(['40', '30', '90'])
  })
  it('has its longer size first, whichever was pulled', async () => {
    await marking()
    await stroke([[20, -30], [32, -39]])
    await stroke([[20, -60], [20, -68]], { on: grip('width') })
    expect(await sizes()).toEqual(['34', '24', '90'])
  })
  it('is not changed by a finger that scrolls over it, nor by a stroke that is taken away', async () => {
    await marking()
    await stroke([[20, -30], [32, -39]], { pointerType: 'touch' })
    expect(await sizes()).toEqual(['24', '18', '0'])
    await stroke([[60, -60], [80, -60]], { pointerType: 'touch' })
    await stroke([[40, -30], [70, -30]], { on: grip('length'), pointerType: 'touch', ends: 'pointercancel' })
    expect(await sizes()).toEqual(['24', '18', '0'])
  })
  it('is taken back step by step, also from clearing, and moves by keys', async () => {
    await marking()
    const undo = await button('Undo')
    expect(undo.getAttribute('aria-disabled')).toBe('true')
    await stroke([[20, -30], [32, -39]])
    ;(await screen.findByRole('application')).focus()
    await userEvent.keyboard('{ArrowRight}{ArrowRight}')
    expect(document.querySelector('[data-chosen]')!.getAttribute('data-chosen')).toBe('3,3')
    await userEvent.click(await button('Clear the shape'))
    expect(document.querySelector('[data-chosen]')).toBeNull()
    expect(await sizes()).toEqual(['', '', '0'])
    await userEvent.click(undo)
    expect(await sizes()).toEqual(['24', '18', '0'])
    await userEvent.click(undo)
    expect(document.querySelector('[data-chosen]')!.getAttribute('data-chosen')).toBe('2,3')
    await userEvent.click(undo)
    expect(document.querySelector('[data-chosen]')).toBeNull()
    expect(undo.getAttribute('aria-disabled')).toBe('true')
  })
})

describe('an outline', () => {
  const around: [number, number][] = [[10, -10], [40, -10], [40, -30], [10, -30], [10, -11]]
  it('is drawn in one stroke, told in millimetres, moved by keys and recorded in centimetres', async () => {
    const door = await marking('Draw the outline')
    await userEvent.click(await button('Record finding'))
    await screen.findByText('Draw around it on the skin, or choose Point and size.')
    await stroke(around, { pointerType: 'touch' })
    await screen.findByText('36 mm by 33 mm')
    ;(await screen.findByRole('application')).focus()
    await userEvent.keyboard('{ArrowUp}{Shift>}{ArrowLeft}{/Shift}')
    const { outline, centre } = await saved(door)
    expect(centre).toBeUndefined()
    expect(outline).toHaveLength(5)
    expect(outline![0]).toEqual({ across_cm: 0.9, up_cm: 1.5 })
  })
  it('stands beside the point and its sizes: neither is lost by looking at the other', async () => {
    const door = await marking()
    await stroke([[20, -30], [32, -39]])
    await userEvent.click(await screen.findByRole('radio', { name: 'Draw the outline' }))
    expect(screen.queryByRole('textbox', { name: 'Turned by, in degrees' })).toBeNull()
    await stroke(around)
    await userEvent.click(await screen.findByRole('radio', { name: 'Left buttock' }))
    await userEvent.click(await screen.findByRole('radio', { name: 'Left thigh' }))
    await screen.findByText('36 mm by 33 mm')
    await userEvent.click(await screen.findByRole('radio', { name: 'Point and size' }))
    await screen.findByText('24 mm by 18 mm')
    expect(await saved(door)).toMatchObject({ centre: { across_cm: 2, up_cm: 3 }, length_mm: 24 })
  })
  it('that crosses itself or goes around nothing is told at once, stays as drawn, and is not sent', async () => {
    const door = await marking('Draw the outline')
    await stroke([[10, -10], [40, -40], [40, -10], [10, -40]])
    await screen.findByText(/^The line crosses itself\. It stays as you drew it/)
    await userEvent.click(await button('Record finding'))
    expect(document.querySelector('[data-marking]')).not.toBeNull()
    await stroke([[10, -10], [17, -10]])
    await screen.findByText(/^The line is too small/)
    expect(document.querySelector('[data-marking]')).not.toBeNull()
    await userEvent.click(await button('Undo'))
    await screen.findByText(/^The line crosses itself/)
    expect(door.count('finding_record')).toBe(0)
  })
  it('outlives a refusal and a reload', async () => {
    const door = await marking('Draw the outline')
    door.refuse.push({ op: 'finding_record', error: { code: 'bad_place', message: 'The middle of a finding lies on the skin of its zone.' } })
    await stroke(around)
    await userEvent.click(await button('Record finding'))
    await screen.findByText('The middle of a finding lies on the skin of its zone.')
    await new Promise((done) => setTimeout(done, 300))
    cleanup()
    render(App)
    await screen.findByText('36 mm by 33 mm')
    expect((await saved(door)).outline).toHaveLength(5)
  })
  it('of an earlier look is where the next one begins', async () => {
    const door = await doorOf()
    const outline = [{ across_cm: 1, up_cm: 1 }, { across_cm: 4, up_cm: 1 }, { across_cm: 4, up_cm: 3 }]
    door.skin.findings = [finding({ shape: { outline } })]
    await goTo('/person/p1/skin/f1')
    render(App)
    await userEvent.click(await button('Look again'))
    await userEvent.click(await screen.findByRole('radio', { name: 'Still there' }))
    expect(((await screen.findByRole('radio', { name: 'Draw the outline' })) as HTMLInputElement).checked).toBe(true)
    await userEvent.click(await button('Undo'))
    expect(document.querySelector('[data-marking]')).not.toBeNull()
  })
})
