/** Answers of `chart` for unit tests of the screens; placeholders, only their shapes are the door's. */
import type { ChartData, ChartDrawing, ChartFileData, ChartFileGet, ChartGet } from '../wire'

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

export class FakeChart {
  /** What every answer of `chart` is made from; set by the test. */
  drawings: ChartDrawing[] = [drawing(), drawing({ key: 'skin', title: 'Use of the skin' })]
  #chart(a: ChartGet): ChartData {
    const words = a.weeks ? `${a.weeks} weeks to 3 Jun 2026` : `${a.from} to ${a.to}`
    return {
      from: a.from ?? `2026-06-03 less ${a.weeks}`, to: a.to ?? '2026-06-03', period_words: words, before_words: a.compare ? 'the weeks before' : null,
      drawings: this.drawings.map((d) => ({ ...d, svg: d.svg && d.svg === svg(328, d.title) ? svg(a.width ?? 328, d.title) : d.svg })),
      cautions: ['The chart shows what is on record.'], sources: ['Usual spacing: a published source.'],
    }
  }

  /** Three letters and what they hash to. */
  file: Pick<ChartFileData, 'bytes' | 'sha256' | 'base64' | 'pages'> = {
    bytes: 3, base64: 'YWJj', sha256: 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad', pages: 5,
  }

  #file(a: ChartFileGet): ChartFileData {
    return { ...this.file, name: `fallow-chart.${a.format}`, media_type: a.format === 'pdf' ? 'application/pdf' : `image/${a.format}` }
  }

  readonly answers = { chart: (a: ChartGet) => this.#chart(a), chart_file: (a: ChartFileGet) => this.#file(a) }
}
