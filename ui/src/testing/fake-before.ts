/** An answer of `before` for unit tests of the screens; a placeholder, only its shape is the door's. */
import type { BeforeCheck, BeforeData, BeforeSaid, ContainerData, OrderData, TechniqueData } from '../wire'

export const pen: ContainerData = {
  id: 'c1', entry: 'c1', order: 'o1', medicine: 'insulin glargine', strength: '100 units/mL', batch: 'B17', expires: '2027-03',
  opened: '2026-05-20', device: 'pen', needle_cover: 'not_read', note: null, words: 'insulin glargine, 100 units/mL, batch B17',
}

/** Checks that are done by what was said, nothing judged; `wrong` makes one of them a loud problem. */
export function page(order: OrderData, said: BeforeSaid, wrong: BeforeCheck['what'] | null): BeforeData {
  const check = (what: BeforeCheck['what'], done: boolean): BeforeCheck => {
    const reason = (said.reasons ?? []).find((r) => r.what === what)?.text ?? null
    const problems = wrong === what ? [{ words: 'It does not fit the order.', loud: true, source: 'the label' }] : []
    const state = problems.length > 0 ? 'problem' : done ? 'done' : 'not_yet'
    return {
      what, state, open: state === 'not_yet' || (state === 'problem' && reason === null), problems, reason, lines: [],
      as_last_time: what === 'container' ? pen : null, not_as_last_time: null,
    }
  }
  const checks = [
    check('identity', (said.identity ?? []).filter((i) => i.matches).length >= 2),
    check('allergies', said.allergies === true),
    check('order', said.order === true),
    check('container', said.container != null),
    check('consent', said.consent === 'given'),
    check('skin', said.skin === 'clear'),
  ]
  return { order, checks, open: checks.filter((c) => c.open).length, containers: [pen], glucose: null, words: 'The check stays yours.' }
}

/** How a needle goes in: one loud caution, one quiet one, two steps. */
export const technique = (): TechniqueData => ({
  words: '4 mm needle: straight in, no fold.', asks: [], fold: { words: 'A fold is not needed at this length.', source: 'a published source' },
  cautions: [
    { words: 'Never into muscle.', loud: true, source: 'a published source' },
    { words: 'A new needle each time.', loud: false, source: 'a published source' },
  ],
  unknown: ['Height or weight is not known'], steps: [{ words: 'Wash the hands.', source: 'a published source' }, { words: 'Count to ten.', source: 'a published source' }],
})
