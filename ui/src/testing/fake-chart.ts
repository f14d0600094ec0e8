/** Answers of `chart`, `chart_file` and `risk` for unit tests of the screens; placeholders, only their shapes are the door's. */
import { createHash } from 'node:crypto'
import type { ChartData, ChartDrawing, ChartFileData, ChartFileGet, ChartGet, FactorData, RiskData, RiskGet } from '../wire'

/** A drawing with names of its own inside, as the door's have. */
export const svg = (width: number, title: string): string =>
  `<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="t" aria-describedby="d" width="${width}" height="120" viewBox="0 0 ${width} 120">` +
  `<title id="t">${title}</title><desc id="d">Drawn ${width} wide.</desc><defs><clipPath id="c"><rect width="${width}" height="120"/></clipPath></defs>` +
  `<g clip-path="url(#c)"><path d="M0 60H${width}" stroke="#13211f" fill="none"/><text x="4" y="20" font-size="12">6 a day</text></g></svg>`

export function drawing(over: Partial<ChartDrawing> = {}): ChartDrawing {
  return {
    key: 'days', title: 'Days and hours', description: 'Each injection on its day and at its hour.', svg: svg(328, over.title ?? 'Days and hours'),
    notes: ['A gap is a day without a record.'],
    table: { caption: 'Injections a day', columns: ['Day', 'Injections'], rows: [['Mon 1 Jun 2026', '2'], ['Tue 2 Jun 2026', '1']] },
    ...over,
  }
}

export const factor = (over: Partial<FactorData> = {}): FactorData => ({
  code: 'spacing', name: 'Injections close together', standing: 'present', standing_words: 'found here', figure: '6 of 20 were closer than 1 cm.',
  odds: [{ words: '20.4 (10.5 to 39.6)', source: 'a published source' }], helps: 'Leave a finger’s width between two injections.', ...over,
})

export class FakeChart {
  /** What every answer of `chart` is made from; set by the test. */
  drawings: ChartDrawing[] = [drawing(), drawing({ key: 'skin', title: 'Use of the skin' })]
  factors: FactorData[] = [
    factor(),
    factor({ code: 'reuse', name: 'Needles used again', standing: 'unknown', standing_words: 'not known', figure: 'Nothing is on record about it.' }),
    factor({ code: 'site_change', name: 'Not changing places', standing: 'absent', standing_words: 'not found here', figure: 'All changed places.' }),
    factor({ code: 'years', name: 'Years of injecting', standing: 'shown', standing_words: 'shown only', figure: '7 years.', odds: [] }),
  ]
  /** The bytes of every file. */
  bytes = new Uint8Array([37, 80, 68, 70, 0, 255])

  #chart(a: ChartGet): ChartData {
    const words = a.weeks ? `${a.weeks} weeks to 3 Jun 2026` : `${a.from} to ${a.to}`
    return {
      from: a.from ?? `2026-06-03 less ${a.weeks}`, to: a.to ?? '2026-06-03', period_words: words, before_words: a.compare ? 'the weeks before' : null,
      drawings: this.drawings.map((d) => ({ ...d, svg: d.svg && d.svg === svg(328, d.title) ? svg(a.width ?? 328, d.title) : d.svg })),
      cautions: ['The chart shows what is on record.'], sources: ['Usual spacing: a published source.'],
    }
  }

  #file(a: ChartFileGet): ChartFileData {
    const base64 = Buffer.from(this.bytes).toString('base64')
    return {
      name: `fallow-chart-${a.to}.${a.kind}`, media_type: 'application/pdf', base64,
      sha256: createHash('sha256').update(this.bytes).digest('hex'), bytes: this.bytes.length, pages: a.kind === 'pdf' ? 2 : null,
    }
  }

  #risk(a: RiskGet): RiskData {
    return { period_words: `${a.days} days to 3 Jun 2026`, factors: this.factors, caution: 'Listed one by one, never added up.' }
  }

  readonly answers = {
    chart: (a: ChartGet) => this.#chart(a),
    chart_file: (a: ChartFileGet) => this.#file(a),
    risk: (a: RiskGet) => this.#risk(a),
  }
}
