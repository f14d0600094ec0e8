/** Answers of `risk` for unit tests of the screens; placeholders, only their shapes are the door's. */
import type { FactorData, RiskData, RiskGet } from '../wire'

export const factor = (over: Partial<FactorData> = {}): FactorData => ({
  code: 'spacing', name: 'Injections close together', standing: 'present', standing_words: 'found here', figure: '6 of 20 were closer than 1 cm.',
  odds: [{ words: '20.4 (10.5 to 39.6)', source: 'a published source' }], published: null, helps: 'Leave a finger’s width between two injections.', ...over,
})

export class FakeRisk {
  factors: FactorData[] = [
    factor(),
    factor({ code: 'reuse', name: 'Needles used again', standing: 'unknown', standing_words: 'not known', figure: 'Nothing is on record about it.' }),
    factor({ code: 'site_change', name: 'Not changing places', standing: 'absent', standing_words: 'not found here', figure: 'All changed places.' }),
    factor({ code: 'years', name: 'Years of injecting', standing: 'shown', standing_words: 'shown only', figure: '7 years.', odds: [] }),
  ]
  #risk(a: RiskGet): RiskData {
    return { period_words: `${a.days} days to 3 Jun 2026`, factors: this.factors, caution: 'Listed one by one, never added up.' }
  }

  readonly answers = {
    risk: (a: RiskGet) => this.#risk(a),
  }
}
