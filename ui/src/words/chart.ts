/** What the chart says. Titles, notes, tables and sources come from the door. */
import type { PeriodProblem } from '../state/chart-period'

export const chart = {
  title: 'Chart',
  period: 'Period',
  weeks: (n: number) => (n === 52 ? '52 weeks, a year' : `${n} weeks`),
  dates: 'Two dates',
  from: 'First day',
  to: 'Last day',
  datesHint: 'Both days are part of the period.',
  echo: (from: string, to: string) => (from === to ? from : `${from} to ${to}`),
  show: 'Show these days',
  compare: 'Beside the period before',
  drawing: 'Drawing the chart…',
  stillShown: (period: string) => `Until then, ${period} is shown.`,
  keptShown: (period: string) => `What is shown below is still ${period}.`,
  beside: (period: string, before: string) => `${period}, beside ${before}`,
  empty: 'There is nothing on record in this period that could be drawn.',
  emptyHint: 'Choose a longer period, or come back when something has been recorded.',
  jump: 'Jump to',
  description: 'In words',
  table: 'As a table',
  of: (title: string) => `: ${title}`,
  refused: 'This drawing could not be shown safely, so it is left out. The table below says the same.',
  cautions: 'Before you read anything into it',
  sources: 'Sources of the lines and values',
  links: 'For an appointment',
}

export const periodProblem: Record<PeriodProblem, string> = {
  from: 'Write the first day as year, month and day, for example 2026-03-09.',
  to: 'Write the last day as year, month and day, for example 2026-03-09.',
  reversed: 'The first day is after the last. Change one of them.',
}
