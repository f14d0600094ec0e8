/** Answers about findings and skin checks for unit tests of the screens; placeholders, only their shapes are the door's. */
import type {
  BodyDrawingData,
  DrawnFinding,
  FindingData,
  FindingLook,
  FindingRecord,
  LookData,
  PatchFinding,
  ReasonData,
  SkinCheckData,
  SkinCheckRecord,
  SkinStateData,
  SkinWithdraw,
  WithdrawnFinding,
  XY,
} from '../wire'

const kinds = ['lump', 'dent', 'swelling', 'bruise', 'bleeding', 'redness', 'broken_skin', 'scar', 'mole', 'tattoo', 'stoma', 'sensor', 'infusion_set', 'other']
const ring = (x: number, y: number) => [[1, 0], [0, 1], [-1, 0], [0, -1], [1, 0]].map(([a, b]) => ({ across_cm: x + a!, up_cm: y + b! }))

export const look = (over: Partial<LookData> = {}): LookData => ({
  id: 'f1', at: '2026-05-03T09:00:00+01:00', at_words: 'Sun 3 May 2026, 09:00', recorder: 'Nurse Imri Vane', state: 'there',
  long_mm: 24, short_mm: 18, noticed: 'felt', feel: 'soft', note: null, words: 'Felt, soft: 24 mm by 18 mm.', withdrawn: null, withdrawn_by: null, ...over,
})

export const finding = (over: Partial<FindingData> = {}): FindingData => ({
  id: 'f1', person: 'p1', kind: 'lump', kind_words: 'soft lump', zone: 'abdomen', zone_words: 'Abdomen',
  place: {
    site: { zone: 'abdomen', quadrant: 'left_lower', across_cm: 5.5, up_cm: -3 },
    words: 'Abdomen, left lower quadrant: 5.5 cm to the person’s left of the navel, 3 cm below it',
    words_patient: 'Abdomen, left lower quadrant: 5.5 cm to your left of the navel, 3 cm below it',
  },
  shape: { centre: { across_cm: 5.5, up_cm: -3 }, length_mm: 24, width_mm: 18, turned_degrees: 0 },
  ring: ring(5.5, -3), device: false, margin_cm: 0, margin_source: 'a published source', state: 'there',
  state_words: 'There since Sun 3 May 2026, 09:00.', until_words: null, looks: [look()], change_words: null, ...over,
})

export const skinCheck = (over: Partial<SkinCheckData> = {}): SkinCheckData => ({
  id: 'c1', at: '2026-05-03T09:00:00+01:00', at_words: 'Sun 3 May 2026, 09:00', recorder: 'Nurse Imri Vane',
  zones: [{ zone: 'abdomen', zone_words: 'Abdomen', seen: 'clear' }], needle_uses: null, insulin_since: null, unexplained_lows: null,
  note: null, words: '1 zone: 1 clear.', withdrawn: null, ...over,
})

export class FakeSkin {
  findings: FindingData[] = []
  checks: SkinCheckData[] = []
  withdrawn: WithdrawnFinding[] = []
  insulin = true
  due: SkinStateData['due'] = 'never'
  onPatch(zone: string): PatchFinding[] {
    return this.findings
      .filter((f) => f.zone === zone && f.state === 'there')
      .map((f) => ({ finding: f.id, kind: f.kind, words: `${f.kind_words}. ${f.place.words}.`, ring: f.ring, keep_off: [f.ring], centre: f.shape.centre ?? { across_cm: 0, up_cm: 0 } }))
  }

  /** Drawn where the quadrant's number stands. */
  onBody(drawing: BodyDrawingData): DrawnFinding[] {
    return this.findings
      .filter((f) => f.state === 'there')
      .map((f) => {
        const view = drawing.views.find((v) => v.quadrants.some((q) => q.zone === f.zone))!
        const spot = view.quadrants.find((q) => q.zone === f.zone && q.quadrant === f.place.site.quadrant)!
        return { finding: f.id, kind: f.kind, words: `${f.kind_words}. ${f.place.words}.`, view: view.view, x: spot.label_x, y: spot.label_y }
      })
  }

  /** The rule that keeps injections out of findings, here within a centimetre of the middle. */
  reasons(zone: string, at: XY): ReasonData[] {
    return this.onPatch(zone)
      .filter((f) => Math.hypot(f.centre.across_cm - at.across_cm, f.centre.up_cm - at.up_cm) < 1)
      .map((f) => ({
        rule: 'finding', level: 'avoid', words: 'This is in a soft lump.', measured: null, measured_high: null, limit: null, unit: null,
        source: 'a published source', injections: [], findings: [f.finding],
      }))
  }

  readonly answers = {
    finding_list: () => ({
      findings: this.findings,
      withdrawn: this.withdrawn,
      kinds: kinds.map((kind) => ({ kind, words: kind.replace('_', ' '), device: ['sensor', 'infusion_set'].includes(kind), margin_cm: 0, margin_source: 'a published source' })),
    }),
    finding_record: (a: FindingRecord) => {
      const made = finding({ id: a.id, kind: a.kind, kind_words: a.kind, zone: a.zone, shape: a.place, looks: [look({ id: a.id, recorder: a.recorder })] })
      if (!this.findings.some((f) => f.id === a.id)) this.findings.push(made)
      return made
    },
    finding_look: (a: FindingLook) => {
      const known = this.findings.find((f) => f.id === a.finding)!
      known.state = a.state as FindingData['state']
      known.state_words = `${a.state}.`
      known.looks = [...known.looks, look({ id: a.id, state: a.state as LookData['state'], recorder: a.recorder })]
      return known
    },
    finding_withdraw: (a: SkinWithdraw) => {
      const known = this.findings.find((f) => f.looks.some((l) => l.id === a.replaces))!
      if (known.id === a.replaces) {
        this.findings = this.findings.filter((f) => f !== known)
        const error = { withdrawn: a.reason, withdrawn_by: `${a.recorder}, Wed 3 Jun 2026, 08:00` }
        this.withdrawn.unshift({ id: known.id, kind: known.kind, kind_words: known.kind_words, place: known.place, look: { ...known.looks[0]!, ...error } })
        return null
      }
      known.looks = known.looks.map((l) => (l.id === a.replaces ? { ...l, withdrawn: a.reason, withdrawn_by: `${a.recorder}, Wed 3 Jun 2026, 08:00` } : l))
      return { ...known }
    },
    skin_state: (): SkinStateData => ({
      due: this.due, due_words: 'No skin check is on record: one is due.', hints: [], due_source: 'a published source',
      zones: ['abdomen', 'left_thigh'].map((zone) => ({ zone, zone_words: zone === 'abdomen' ? 'Abdomen' : 'Left thigh', seen: 'not_looked_at' })),
      steps: [{ words: 'Look in good light.', source: 'a published source' }], caution: 'Hands miss some.', caution_source: 'a published source',
      insulin: this.insulin, checks: this.checks, findings_there: this.findings.length,
    }),
    skin_check_record: (a: SkinCheckRecord) => {
      const made = skinCheck({ id: a.id, recorder: a.recorder, words: `${a.zones.length} zones.` })
      if (!this.checks.some((c) => c.id === a.id)) this.checks.unshift(made)
      return made
    },
    skin_check_withdraw: (a: SkinWithdraw) => {
      this.checks = this.checks.map((c) => (c.id === a.replaces ? { ...c, withdrawn: a.reason } : c))
      return this.checks[0]!
    },
  }
}
