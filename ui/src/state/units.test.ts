import { describe, expect, it } from 'vitest'
import {
  centimetresOf, inchesOf, kilogramsOf, lengthShown, ofLanguage, plain, poundsOf, readKept, readLength, readWeight, weekFrom, weightShown,
} from './units'

describe('what the language of a device suggests', () => {
  // Hours, decimals and first days: CLDR 48, as Node 20 carries it.
  it.each([
    ['en-US', '12', 'mg/dL', 'in', 'lb', 'point', 7],
    ['es-US', '12', 'mg/dL', 'in', 'lb', 'point', 7],
    ['en-LR', '12', 'mg/dL', 'in', 'lb', 'point', 1],
    ['my-MM', '24', 'mmol/L', 'in', 'lb', 'point', 7],
    ['en-GB', '24', 'mmol/L', 'cm', 'kg', 'point', 1],
    ['en-AU', '12', 'mmol/L', 'cm', 'kg', 'point', 1],
    ['en-CA', '12', 'mmol/L', 'cm', 'kg', 'point', 7],
    ['de-DE', '24', 'mg/dL', 'cm', 'kg', 'comma', 1],
    ['fr-FR', '24', 'mg/dL', 'cm', 'kg', 'comma', 1],
    ['nb-NO', '24', 'mmol/L', 'cm', 'kg', 'comma', 1],
    ['ar-EG', '12', 'mg/dL', 'cm', 'kg', 'point', 6],
    ['ja-JP', '24', 'mg/dL', 'cm', 'kg', 'point', 7],
    ['zh-Hant-TW', '12', 'mg/dL', 'cm', 'kg', 'point', 7],
    // The system's own choice goes before what is usual there.
    ['en-US-u-hc-h23', '24', 'mg/dL', 'in', 'lb', 'point', 7],
    ['en-GB-u-hc-h12', '12', 'mmol/L', 'cm', 'kg', 'point', 1],
    ['en_GB.UTF-8', '24', 'mmol/L', 'cm', 'kg', 'point', 1],
  ] as const)('%s', (tag, clock, glucose, length, weight, decimal, firstDay) => {
    expect(ofLanguage(tag)).toEqual({ clock, glucose, length, weight, decimal, firstDay })
  })
  it.each(['C', 'POSIX', 'C.UTF-8', '', 'en', 'de', 'en-US-posix', 'en-US-u-va-posix', 'en_US_POSIX', 'zz-ZZZZ-1', '???', 'x'])(
    'says nothing: %j',
    (tag) => expect(ofLanguage(tag)).toEqual(plain),
  )
  it('is 24 hours, metric, mmol/L and Monday where nothing is known', () =>
    expect(plain).toEqual({ clock: '24', glucose: 'mmol/L', length: 'cm', weight: 'kg', decimal: 'point', firstDay: 1 }))
})

describe('what was kept', () => {
  it.each([
    [null, {}],
    ['', {}],
    ['{', {}],
    ['null', {}],
    ['[]', {}],
    ['7', {}],
    ['{"clock":"12"}', { clock: '12' }],
    ['{"clock":"13","glucose":"mg/dL","length":"ft","weight":1,"firstDay":8}', { glucose: 'mg/dL' }],
    ['{"length":"in","weight":"lb","firstDay":5,"more":1}', { length: 'in', weight: 'lb', firstDay: 5 }],
    ['{"firstDay":1.5,"decimal":","}', {}],
    ['{"decimal":"comma"}', { decimal: 'comma' }],
  ])('%j', (text, kept) => expect(readKept(text)).toEqual(kept))
})

describe('lengths and weights', () => {
  // An inch is 2.54 cm and a pound 0.45359237 kg, both exact: international yard and pound agreement, 1959.
  it.each([
    [1, 2.5],
    [10, 25.4],
    [36.25, 92.1],
    [66, 167.6],
    [100, 254],
    [0, 0],
  ])('%d in are %d cm', (inches, cm) => expect(centimetresOf(inches)).toBe(cm))
  it.each([
    [1, 0.45],
    [100, 45.36],
    [154.3, 69.99],
    [1000, 453.59],
    [0, 0],
  ])('%d lb are %d kg', (pounds, kg) => expect(kilogramsOf(pounds)).toBe(kg))
  it('come back as they were typed', () => {
    for (let tenths = 0; tenths <= 9990; tenths++) {
      const typed = tenths / 10
      expect(inchesOf(centimetresOf(typed))).toBe(typed)
      expect(poundsOf(kilogramsOf(typed))).toBe(typed)
    }
  })
  it.each([
    ['92', 'cm', 92],
    ['92,5', 'cm', 92.5],
    [' 92.5 ', 'cm', 92.5],
    ['', 'cm', null],
    ['92.55', 'cm', undefined],
    ['1.000,5', 'cm', undefined],
    ['-3', 'cm', undefined],
    ['5 ft 6', 'cm', undefined],
    ['66', 'in', 167.6],
    ['66,5', 'in', 168.9],
    ['66"', 'in', 167.6],
    ['66 in', 'in', 167.6],
    ["5'6", 'in', 167.6],
    ['5’6”', 'in', 167.6],
    ['5 ft 6 in', 'in', 167.6],
    ['5 ft', 'in', 152.4],
    ["5'12", 'in', undefined],
    ['ft', 'in', undefined],
    ['168 cm', 'in', undefined],
    ['', 'in', null],
  ] as const)('%j in %s', (text, unit, cm) => expect(readLength(text, unit)).toBe(cm))
  it.each([
    ['70', 'kg', 70],
    ['70,25', 'kg', 70.25],
    ['154.3', 'lb', 69.99],
    ['', 'lb', null],
    ['11 st', 'lb', undefined],
    ['1,000.5', 'kg', undefined],
  ] as const)('%j in %s', (text, unit, kg) => expect(readWeight(text, unit)).toBe(kg))
  it('are shown without trailing noughts', () => {
    expect([lengthShown(168, 'cm'), lengthShown(91.94, 'cm'), lengthShown(167.6, 'in')]).toEqual(['168', '91.94', '66'])
    expect([weightShown(70, 'kg'), weightShown(69.99, 'lb')]).toEqual(['70', '154.3'])
  })
})

describe('a week', () => {
  it.each([
    [1, [1, 2, 3, 4, 5, 6, 7]],
    [7, [7, 1, 2, 3, 4, 5, 6]],
    [6, [6, 7, 1, 2, 3, 4, 5]],
  ])('from day %d', (first, days) => expect(weekFrom(first)).toEqual(days))
})
