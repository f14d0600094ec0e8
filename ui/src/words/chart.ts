/** What the chart, taking it away and the risk factors say. Titles, notes, tables and sources come from the door. */
import type { PeriodProblem } from '../state/chart-period'
import type { FileKind, Paper } from '../state/take-away.svelte'

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
  takeAway: 'Take away',
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
  title: 'Take away',
  intro: 'As it is shown above, for the same days.',
  paper: 'Paper of the PDF',
  papers: { a4: 'A4', letter: 'Letter' } satisfies Record<Paper, string>,
  kinds: { pdf: 'PDF', svg: 'SVG', png: 'PNG' } satisfies Record<FileKind, string>,
  kindMore: { pdf: 'to print or file', svg: 'stays sharp at any size', png: 'a picture for a letter' } satisfies Record<FileKind, string>,
  making: (kind: string) => `Making the ${kind}…`,
  keeping: 'Choose where to save it.',
  cancel: 'Cancel',
  savedTo: (name: string, where: string) => `Saved and read back: ${name}, ${where}`,
  savedSomewhere: (name: string) => `Saved and read back: ${name}`,
  downloaded: (name: string) => `${name} is whole. The browser saves it in its downloads folder.`,
  cancelled: 'Nothing was saved.',
  failed: 'Nothing was saved. Try again; if it fails again, try another kind or a shorter period.',
  privacy: 'The file’s name does not name the person, but the file is about them: mind who can read it.',
}

export const risk = {
  title: 'Risk factors',
  lead: 'What was found to go with lumps under the skin, one by one.',
  alone: 'Each stands by itself. They are never added up, and none of them says that there is a lump.',
  hands: 'A lump is found by hands: feel the skin, or have it felt at the next visit.',
  team: 'Ask your team before you change anything because of this list.',
  period: 'Looked at',
  weeks: (n: number) => `${n} weeks`,
  figure: 'On this record',
  helps: 'What helps',
  published: 'What was published',
  odds: (words: string) => `Odds ratio ${words}`,
  noOdds: 'No figure is published that we know of.',
  source: 'Source',
  about: 'What an odds ratio is',
  aboutText:
    'It compares people with a factor to people without it. Above 1, lumps were found more often with it; below 1, less often. The numbers in brackets are the range the true figure probably lies in. It is about the people of a study and says nothing certain about one person.',
  none: 'There are no factors to list.',
}
