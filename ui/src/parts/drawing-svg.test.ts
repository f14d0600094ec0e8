/** Which drawings are let onto the page. */
import { describe, expect, it } from 'vitest'
import { svg } from '../testing/fake-chart'
import { readDrawing } from './drawing-svg'

const inside = (text: string, attributes = '') => `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="10" height="8" ${attributes}>${text}</svg>`

describe('a drawing of the door', () => {
  it('comes as it is, every name in it its own', () => {
    const drawing = readDrawing(svg(328, 'Days &amp; hours'), 'a-days')!
    expect(drawing.ownerDocument).toBe(document)
    expect(drawing.getAttribute('aria-labelledby')).toBe('a-days-t')
    expect(drawing.getAttribute('aria-describedby')).toBe('a-days-d')
    expect(drawing.querySelector('title')!.textContent).toBe('Days & hours')
    expect(drawing.querySelector('#a-days-c')).not.toBeNull()
    expect(drawing.querySelector('g')!.getAttribute('clip-path')).toBe('url(#a-days-c)')
    expect(drawing.querySelector('path')!.getAttribute('stroke')).toBe('#13211f')
  })
  it('may refer to itself in every way there is', () => {
    const drawing = readDrawing(inside('<defs><path id="p"/></defs><use href="#p"/><use xlink:href="#p"/><rect fill="url(\'#p\') none" mask="url(#other)"/>'), 'x')!
    expect([...drawing.querySelectorAll('use')].map((u) => u.attributes[0]!.value)).toEqual(['#x-p', '#x-p'])
    expect(drawing.querySelector('rect')!.getAttribute('fill')).toBe('url(#x-p) none')
    expect(drawing.querySelector('rect')!.getAttribute('mask')).toBe('url(#other)')
  })
  it('can be made smaller, also where it does not say how', () => {
    expect(readDrawing(inside(''), 'x')!.getAttribute('viewBox')).toBe('0 0 10 8')
    expect(readDrawing(inside('', 'viewBox="0 0 5 4"'), 'x')!.getAttribute('viewBox')).toBe('0 0 5 4')
  })
})

describe('refused', () => {
  it.each([
    ['a script', inside('<script>alert(1)</script>')],
    ['a script of another space', inside('<script xmlns="http://www.w3.org/1999/xhtml">alert(1)</script>')],
    ['foreign content', inside('<foreignObject><p xmlns="http://www.w3.org/1999/xhtml">a</p></foreignObject>')],
    ['an element of the page', inside('<g><div xmlns="http://www.w3.org/1999/xhtml"/></g>')],
    ['a handler', inside('<rect onclick="alert(1)"/>')],
    ['a handler on the root', inside('', 'onload="alert(1)"')],
    ['a handler in capitals', inside('<rect ONCLICK="alert(1)"/>')],
    ['a style', inside('<style>rect { fill: red }</style>')],
    ['a style attribute', inside('<rect style="fill: red"/>')],
    ['a link', inside('<a href="#here"><rect/></a>')],
    ['something from outside', inside('<use href="https://example.org/a.svg#a"/>')],
    ['something from outside, the older way', inside('<use xlink:href="a.svg#a"/>')],
    ['a script as an address', inside('<use href=" javascript:alert(1)"/>')],
    ['a picture', inside('<image href="#a"/>')],
    ['a fill from outside', inside('<rect fill="url(https://example.org/a.svg#a)"/>')],
    ['a fill from outside beside one from inside', inside('<rect fill="url(#a) url( //example.org/a)"/>')],
    ['a moving part that changes an address', inside('<use href="#a"><set attributeName="href" to="https://example.org"/></use>')],
    ['an entity', '<!DOCTYPE svg [<!ENTITY a "b">]><svg xmlns="http://www.w3.org/2000/svg"><text>&a;</text></svg>'],
    ['a drawing without its name space', '<svg><rect/></svg>'],
    ['half a drawing', '<svg xmlns="http://www.w3.org/2000/svg"><rect>'],
    ['a page', '<html xmlns="http://www.w3.org/1999/xhtml"/>'],
    ['nothing', ''],
  ])('%s', (_, text) => expect(readDrawing(text, 'x')).toBeNull())
})
