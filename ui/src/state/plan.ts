/**
 * A plan laid out for reading: days of a week, the numbered places of a zone.
 *
 * Not here: any place, day or sentence the door did not give.
 */
import type { NumberedPoint } from '../parts/patch-drawing'
import { ask } from '../core'
import type { PatchData, PlanData, PlanEntry, PlanPoint, PlanWeek } from '../wire'

export const spans = [4, 8, 12] as const

/** All injections of a plan, the earliest first. */
export const entriesOf = (plan: PlanData): PlanEntry[] => plan.weeks.flatMap((week) => week.entries)

export interface Day {
  day: string
  /** `Wed` and `3`. */
  weekday: string
  date: string
  entries: PlanEntry[]
}

/** The days of a week that have injections, in order. */
export function daysOf(week: PlanWeek): Day[] {
  const days: Day[] = []
  for (const entry of week.entries) {
    const last = days.at(-1)
    if (last?.day === entry.day) last.entries.push(entry)
    else {
      const [weekday = '', date = ''] = entry.day_words.split(' ')
      days.push({ day: entry.day, weekday, date, entries: [entry] })
    }
  }
  return days
}

/** Places for a drawing, each once; `next` is the number of the plan's first injection. */
export function numbered(places: Pick<PlanPoint, 'number' | 'place'>[], next: number | null): NumberedPoint[] {
  const points = new Map<number, NumberedPoint>()
  for (const { number, place } of places) {
    const { across_cm: across, up_cm: up } = place.site
    if (typeof across === 'number' && typeof up === 'number')
      points.set(number, { number, point: { across_cm: across, up_cm: up }, next: number === next })
  }
  return [...points.values()]
}

export interface WeekFigure {
  zone: string
  /** The one quadrant the week keeps to in this zone. */
  quadrant: string | null
  points: NumberedPoint[]
}

/** The drawings of a week: its zones in the order they come up. */
export function figuresOf(week: PlanWeek, next: number | null): WeekFigure[] {
  const zones = [...new Set(week.entries.map((e) => e.place.site.zone))]
  return zones.map((zone) => {
    const entries = week.entries.filter((e) => e.place.site.zone === zone)
    const [quadrant, ...others] = new Set(entries.map((e) => e.place.site.quadrant ?? null))
    return { zone, quadrant: others.length === 0 ? (quadrant ?? null) : null, points: numbered(entries, next) }
  })
}

/** A plan with the drawing of every zone it uses; one that could not be had is missing, and its list stands alone. */
export interface LoadedPlan {
  plan: PlanData
  patches: Map<string, PatchData>
}

export async function loadPlan(person: string, weeks: number): Promise<LoadedPlan> {
  const plan = await ask('plan', { person, weeks })
  const drawn = await Promise.all(
    plan.zones.map(({ zone }) => ask('patch', { person, zone }).then((patch) => [zone, patch] as const, () => null)),
  )
  return { plan, patches: new Map(drawn.filter((d) => d !== null)) }
}
