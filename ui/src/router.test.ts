import { beforeEach, describe, expect, it } from 'vitest'
import { above, parse, Router, to } from './router.svelte'

describe('the back table', () => {
  // Case A4: Back closes the topmost thing, then goes up, then (home only) leaves.
  const table: [string, string | null][] = [
    ['/', null],
    ['/practice', '/'],
    ['/add', '/'],
    ['/person/a', '/'],
    ['/person/a/edit', '/person/a'],
    ['/person/a/order', '/person/a'],
    ['/person/a/end/o', '/person/a'],
    ['/person/a/order/o', '/person/a'],
    ['/person/a/not-given/o/2026-06-03T08%3A00%3A00%2B01%3A00', '/person/a'],
    ['/person/a/glucose', '/person/a'],
    ['/person/a/event/e', '/person/a/record'],
    ['/today', '/'],
    ['/handover', '/today'],
    ['/person/a/map', '/person/a'],
    ['/person/a/map/abdomen', '/person/a/map'],
    ['/person/a/give', '/person/a'],
    ['/person/a/give/ask', '/person/a/give'],
    ['/person/a/give/for/o', '/person/a'],
    ['/person/a/give/for/o/ask', '/person/a/give/for/o'],
    ['/person/a/give/for/o/place/abdomen', '/person/a/give/for/o/place'],
    ['/person/a/give/place', '/person/a/give'],
    ['/person/a/give/place/abdomen', '/person/a/give/place'],
    ['/person/a/done/i', '/person/a'],
    ['/person/a/record', '/person/a'],
    ['/person/a/rotation', '/person/a'],
    ['/person/a/plan', '/person/a'],
    ['/person/a/plan/sheet', '/person/a/plan'],
    ['/person/a/room', '/person/a'],
    ['/person/a/chart', '/person/a'],
    ['/person/a/chart?from=2026-01-05&to=2026-03-01&compare=1', '/person/a'],
    ['/person/a/risk?weeks=4', '/person/a'],
    ['/person/a/record/i', '/person/a/record'],
    ['/person/a/record/i/place', '/person/a/record/i'],
    ['/person/a/record/i/place/left_thigh', '/person/a/record/i/place'],
    ['/nowhere', '/'],
  ]
  it.each(table)('%s leads up to %s', (path, up) => {
    expect(above(path)).toBe(up)
  })
  it('climbs home from everywhere', () => {
    for (const [start] of table) {
      let path: string | null = start
      for (let i = 0; i < 10 && path !== '/'; i++) path = above(path!)
      expect(path).toBe('/')
    }
  })
})

describe('reading a path', () => {
  it.each([
    [to.home, 'caseload'],
    [to.practice, 'practice'],
    [to.addPerson, 'person-add'],
    [to.today, 'today'],
    [to.handover, 'handover'],
    [to.changeOrder('a', 'o'), 'order-change'],
    [to.notGiven('a', 'o', '2026-06-03T08:00:00+01:00'), 'not-given'],
    [to.glucose('a'), 'glucose'],
    [to.chart('a'), 'chart'],
    [to.chart('a', 'weeks=12&compare=1'), 'chart'],
    [to.risk('a', 'weeks=4'), 'risk'],
    [to.event('a', 'e'), 'event'],
    [to.person('a'), 'person'],
    [to.edit('a'), 'person-edit'],
    [to.addOrder('a'), 'order-add'],
    [to.endOrder('a', 'o'), 'order-end'],
    [to.map('a', 'abdomen'), 'map'],
    [to.give('a'), 'give'],
    [to.give('a', 'o'), 'give'],
    ['/person/a/give/for', 'lost'],
    [to.done('a', 'i'), 'done'],
    [to.record('a'), 'record'],
    [to.rotation('a'), 'rotation'],
    [to.plan('a'), 'plan'],
    [to.planSheet('a'), 'plan-sheet'],
    [to.room('a'), 'room'],
    [to.correct('a', 'i'), 'correct'],
    ['/person/a/elsewhere', 'lost'],
    ['/person', 'lost'],
    ['/practice/x', 'lost'],
  ])('%s is the screen %s', (path, screen) => {
    expect(parse(path).screen).toBe(screen)
  })
  it('reads the layers of a form', () => {
    expect(parse('/person/a/give/place/left_arm')).toMatchObject({ layer: { kind: 'patch', zone: 'left_arm' } })
    expect(parse('/person/a/give/for/o/place/left_arm')).toMatchObject({ order: 'o', layer: { kind: 'patch', zone: 'left_arm' } })
    expect(parse('/person/a/give')).toMatchObject({ order: null, layer: null })
    expect(parse('/person/a/give/ask')).toMatchObject({ layer: { kind: 'ask' } })
  })
})

describe('history', () => {
  const popped = () => new Promise((done) => window.addEventListener('popstate', done, { once: true }))
  beforeEach(() => window.history.replaceState(null, '', '#/'))

  it('goes back one layer at a time', async () => {
    const router = new Router(window)
    for (const path of [to.person('a'), to.give('a'), '/person/a/give/place', '/person/a/give/place/abdomen']) router.go(path)
    for (const path of ['/person/a/give/place', to.give('a'), to.person('a'), '/']) {
      const done = popped()
      router.back()
      await done
      expect(router.path).toBe(path)
    }
    expect(router.depth).toBe(0)
  })
  it('stays in its place while the screen is asked to show something else', () => {
    const router = new Router(window)
    router.go(to.chart('a'))
    router.replace(to.chart('a', 'weeks=4'))
    expect(router.route).toEqual({ screen: 'chart', person: 'a', asked: 'weeks=4' })
    expect(router.place).toBe(to.chart('a'))
    expect(router.depth).toBe(1)
  })
  it('goes up where there is no history', () => {
    window.history.replaceState(null, '', `#${to.give('a')}`)
    const router = new Router(window)
    router.back()
    expect(router.path).toBe(to.person('a'))
    expect(router.depth).toBe(0)
  })
  it('a finished form is not behind Back', async () => {
    const router = new Router(window)
    router.go(to.person('a'))
    router.go(to.give('a'))
    router.go('/person/a/give/ask')
    let done = popped()
    router.finish(to.done('a', 'i'), 1)
    await done
    expect(router.path).toBe(to.done('a', 'i'))
    done = popped()
    router.back()
    await done
    expect(router.path).toBe(to.person('a'))
  })
})
