/** What is wrong with a typed dose, by the decimal sign of the device. */
import type { DoseProblem } from '../state/dose.svelte'
import type { DecimalSign } from '../state/units'

const problems: Record<DoseProblem, string | Record<DecimalSign, string>> = {
  empty: 'Write how much was given.',
  not_a_number: { point: 'Write a plain number, for example 12 or 0.5.', comma: 'Write a plain number, for example 12 or 0,5.' },
  other_sign: {
    point: 'Write a point for the decimal, and no comma: 5.25 or 1000.',
    comma: 'This device sets decimals off with a comma: write 5,25 or 1000. It can be changed under Practice.',
  },
  grouped: 'Write the digits without a sign or a space between thousands: 1000.',
  unit: 'Write the number alone: the unit stands beside it. A letter after a number is misread.',
  ambiguous: {
    point: 'That can be read as a thousand. Write 1000 without a point, or a decimal with a nought after it: 1.1250.',
    comma: 'That can be read as a thousand. Write 1000 without a comma, or a decimal with a nought after it: 1,1250.',
  },
  leading_zero: { point: 'It starts with a nought: write 5, or 0.5 if that is meant.', comma: 'It starts with a nought: write 5, or 0,5 if that is meant.' },
  too_fine: 'At most three decimals.',
  zero: 'An amount is more than 0.',
  too_large: 'That is more than this program can record.',
}

export function doseProblem(problem: DoseProblem, sign: DecimalSign): string {
  const words = problems[problem]
  return typeof words === 'string' ? words : words[sign]
}
