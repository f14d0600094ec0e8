/** What the chart says. Titles, notes, tables and sources come from the door. */
import type { Kept } from '../core'
import type { PeriodProblem } from '../state/chart-period'
import type { FileKind } from '../state/take-away.svelte'

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

export const takeAway = {
  title: 'Take it away',
  lead: 'A file of these days to print, send or keep. It holds the name and birth date; its own name does not.',
  kind: 'Kind of file',
  make: 'Make the file',
  making: 'Making the file…',
  cancel: 'Cancel',
  keeping: 'Where should it go?',
  end: (end: Kept & { name: string; pages: number }): string => {
    if (end.how === 'cancelled') return 'No file was kept.'
    const pages = end.pages === 1 ? '1 page' : `${end.pages} pages`
    if (end.how === 'kept') return `Kept and read back, ${pages}: ${end.where}`
    return `Handed to the browser, ${pages}: ${end.name}. Look for it among its downloads.`
  },
}

export const fileKindWords: Record<FileKind, string> = {
  'pdf-a4': 'PDF, A4',
  'pdf-letter': 'PDF, Letter',
  svg: 'SVG drawing',
  png: 'PNG picture',
}
