import { describe, expect, it } from 'vitest'
import { doseInWords, doseProblem, numberWords } from '../words'
import table from '../../../tests/fixtures/typed/numbers.json'
import { DoseEntry, isLarge, readDose, showDose, typedDose } from './dose.svelte'
import type { DecimalSign } from './units'

describe('a typed dose', () => {
  it('is read as the table says that the core is held to as well', () => {
    expect(table.length).toBeGreaterThan(50)
    for (const { text, sign, value, why } of table) {
      expect([text, sign, readDose(text, sign as DecimalSign)]).toEqual([text, sign, value === null ? { problem: why } : { value }])
    }
  })
  // Case S7; ISMP list of error-prone dose designations.
  it.each([
    ['0.5', '0.5 units'],
    ['5', '5 units'],
    ['1000', '1,000 units'],
    ['12345.67', '12,345.67 units'],
    ['1.125', '1.125 units'],
  ])('%s is shown as %s', (value, shown) => {
    expect(showDose(value, 'units')).toBe(shown)
  })
  it.each([
    ['0', 'zero'],
    ['0.000', 'zero'],
    ['100000.01', 'too_large'],
    // A bare letter after a number is written nowhere in this project, so it is put together here.
    [`12 ${'U'}`, 'unit'],
    [`12${'U'}`, 'unit'],
  ])('%j is refused: %s', (text, problem) => {
    expect(readDose(text, 'point')).toEqual({ problem })
  })
  it('of an order comes back as it was, whatever its decimals', () => {
    for (const value of ['12', '0.125', '1.125', '12.375', '1000.125', '4.5', '999.999', '100000']) {
      for (const sign of ['point', 'comma'] as const) expect(readDose(typedDose(value, sign), sign)).toEqual({ value })
    }
    expect([typedDose('1.125', 'point'), typedDose('1.125', 'comma'), typedDose('4.5', 'comma')]).toEqual(['1.1250', '1,1250', '4,5'])
  })
  it('is told what is wrong by the sign of the device', () => {
    expect(doseProblem('other_sign', 'point')).toContain('5.25')
    expect(doseProblem('other_sign', 'comma')).toContain('5,25')
    expect(doseProblem('ambiguous', 'comma')).toContain('1,1250')
    expect(doseProblem('too_fine', 'comma')).toBe('At most three decimals.')
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
