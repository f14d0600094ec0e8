/**
 * Rotation measures laid out for reading: a title, the door's sentence, and the figures behind it.
 *
 * Spacing and rest stand together where they say the same. Not here: any figure the door did not give.
 */
import type { KeptData, MeasuresData } from '../wire'
import { measuredNumber, rotation as words, shortNumber, zones } from '../words'
import { dateText, wallIn, wallOf } from './time'

export const periods = [4, 12, 26] as const

/** So many weeks that end today, on the person's clock. */
export function periodOf(weeks: number, now: string, zone: string): { from: string; to: string } {
  const today = wallIn(zone, Date.parse(now)) ?? wallOf(now)
  const first = new Date(Date.UTC(today.year, today.month - 1, today.day - (weeks * 7 - 1)))
  return {
    from: dateText({ year: first.getUTCFullYear(), month: first.getUTCMonth() + 1, day: first.getUTCDate() }),
    to: dateText(today),
  }
}

export interface Figure {
  name: string
  value: string
}
export interface Statement {
  key: string
  title: string
  /** What the door says; at least one. */
  sentences: string[]
  figures: Figure[]
}

/** As a percentage; never `0 %` or `100 %` for what is neither. */
export function percent(share: number): string {
  const whole = Math.round(share * 100)
  if (whole === 0 && share > 0) return `${Math.max(share * 100, 0.1).toFixed(1)} %`
  if (whole === 100 && share < 1) return `${Math.min(share * 100, 99.9).toFixed(1)} %`
  return `${whole} %`
}

function kept(k: KeptData | null): Figure[] {
  if (!k) return []
  const figures = [{ name: words.interval, value: words.between(percent(k.low), percent(k.high)) }]
  if (k.unknown > 0) figures.push({ name: words.unknown, value: String(k.unknown) })
  return figures
}

/** The two shares have the same counts, so one set of figures says both. */
export function alike(data: Pick<MeasuresData, 'spacing' | 'rest'>): boolean {
  const [a, b] = [data.spacing.value, data.rest.value]
  if (!a || !b) return !a && !b
  return a.kept === b.kept && a.of === b.of && a.unknown === b.unknown
}

function spacingAndRest(data: MeasuresData): Statement[] {
  const { spacing, rest } = data
  if (!alike(data)) {
    return [
      { key: 'spacing', title: words.spacing, sentences: [spacing.words], figures: [...kept(spacing.value), ...worst(spacing.value, 'cm')] },
      { key: 'rest', title: words.rest, sentences: [rest.words], figures: [...kept(rest.value), ...worst(rest.value, 'days')] },
    ]
  }
  // One sentence for both: the figures that differ, how close and how soon, stand below it.
  const sentences = spacing.value ? [words.both(spacing.value.kept, spacing.value.of, percent(spacing.value.share))] : [spacing.words]
  if (spacing.value && data.quadrant_only > 0) sentences.push(words.leftOut(data.quadrant_only))
  const figures = [...kept(spacing.value), ...worst(spacing.value, 'cm'), ...worst(rest.value, 'days')]
  return [{ key: 'spacing-rest', title: words.spacingRest, sentences, figures }]
}

function worst(k: KeptData | null, unit: 'cm' | 'days'): Figure[] {
  if (!k || k.worst === null) return []
  if (unit === 'cm') return [{ name: words.closest, value: `${measuredNumber(k.worst)} cm` }]
  return [{ name: words.soonest, value: words.days(Math.floor(k.worst)) }]
}

/** Every measure, in the order they are read. */
export function statements(data: MeasuresData): Statement[] {
  const { skin_used: used, sides, quadrants } = data
  return [
    ...spacingAndRest(data),
    {
      key: 'skin-used',
      title: words.used,
      sentences: [used.words],
      figures: used.value ? [{ name: words.usedArea, value: words.areaOf(Math.round(used.value.used_cm2), Math.round(used.value.allowed_cm2)) }] : [],
    },
    { key: 'sides', title: words.sides, sentences: [sides.words], figures: [] },
    {
      key: 'quadrants',
      title: words.quadrants,
      sentences: [quadrants.words],
      figures: (quadrants.value?.counts ?? []).map((c) => ({ name: c.words, value: String(c.count) })),
    },
    { key: 'longest-run', title: words.run, sentences: [data.longest_run.words], figures: [] },
    { key: 'busiest', title: words.busiest, sentences: [data.busiest.words], figures: [] },
    {
      key: 'spread',
      title: words.spread,
      sentences: data.neighbours.length ? data.neighbours.map((n) => n.spread.words) : [words.noSpread],
      figures: data.neighbours.flatMap(({ zone, spread: { value } }) =>
        value ? [{ name: words.chance(zones[zone] ?? zone), value: words.between(shortNumber(value.random_low), shortNumber(value.random_high)) }] : [],
      ),
    },
  ]
}
