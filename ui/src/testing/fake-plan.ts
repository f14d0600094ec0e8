/** Answers of `plan` and `room` for unit tests of the screens; placeholders, only their shapes are the door's. */
import type { PlanData, PlanEntry, RoomData } from '../wire'

export const emptyPlan = (): PlanData => ({
  from: '2026-06-03', to: '2026-06-30', words: '3 Jun 2026 to 30 Jun 2026', made: 'Wed 3 Jun 2026, 08:00',
  weeks: [], zones: [], spacing: [], note: null, unplanned: [], assumed: [],
})

export function entry(number: number, more: Partial<PlanEntry> = {}): PlanEntry {
  const day = `2026-06-${String(2 + number).padStart(2, '0')}`
  return {
    at: `${day}T08:00:00+01:00`, day, day_words: `Wed ${2 + number} Jun 2026`, time: '08:00', overdue: false, order: 'o1',
    medicine_name: 'insulin glargine 100 units/mL', dose_words: '12 units', number, verdict: 'clear', reasons: [], note: null,
    place: {
      site: { zone: 'abdomen', quadrant: 'left_upper', across_cm: 2 * number, up_cm: 3 },
      words: `Abdomen, place ${number}`, words_patient: `Abdomen, place ${number}`,
    },
    ...more,
  }
}

export function planOf(entries: PlanEntry[], more: Partial<PlanData> = {}): PlanData {
  return {
    ...emptyPlan(),
    weeks: [{ first: '2026-06-03', words: '3 Jun 2026 to 9 Jun 2026', places: ['Abdomen, left upper quadrant'], entries }],
    zones: [
      {
        zone: 'abdomen', words: 'Abdomen',
        points: entries.map((e) => ({ number: e.number, place: e.place, times: [`${e.day_words}, ${e.time}`] })),
      },
    ],
    spacing: [{ order: 'o1', medicine_name: 'insulin glargine 100 units/mL', spacing_cm: 2, least_cm: 1, words: 'The places lie at least 2 cm apart.' }],
    ...more,
  }
}

export const emptyRoom = (more: Partial<RoomData> = {}): RoomData => ({
  day: '2026-06-03', words: 'This skin can carry 1 a day at 4 cm apart.', margin_words: 'A hand that is often 3 mm off keeps it.',
  enough: true, per_day: 1, least_spacing_cm: 1, need_sites: 28, capacity_sites: 400, ceiling_sites: 430, short_sites: 0,
  working_spacing_cm: 4, weeks_of_reserve: 53, zone_rest: null,
  zones: [{ zone: 'abdomen', words: 'Abdomen', area_cm2: 400, sites: 400, ceiling: 430 }],
  help: [{ adds_sites: 300, covers: false, words: 'The thighs would add 300 sites.' }],
  orders: ['insulin glargine 100 units/mL, daily at 08:00'], unplanned: [], assumed: [], ...more,
})
