/**
 * Where the person looking is: a path behind the `#`, and the way back from it.
 *
 * Every screen, and every question laid over a screen, is one step of history, so that Back always closes the
 * topmost thing. Not here: what a screen shows.
 */

export type Route =
  | { screen: 'caseload' }
  | { screen: 'practice' }
  | { screen: 'person-add' }
  | { screen: 'today' }
  | { screen: 'handover' }
  | { screen: 'person'; person: string }
  | { screen: 'person-edit'; person: string }
  | { screen: 'order-add'; person: string }
  | { screen: 'order-end'; person: string; order: string }
  | { screen: 'order-change'; person: string; order: string }
  | { screen: 'not-given'; person: string; order: string; slot: string }
  | { screen: 'glucose'; person: string }
  | { screen: 'event'; person: string; event: string }
  /** `ago` is the day shown, in days before now. */
  | { screen: 'map'; person: string; zone: string | null; ago: number }
  /** `order` is the one it is opened for; `null` where the form asks. */
  | { screen: 'give'; person: string; order: string | null; layer: Layer | null }
  | { screen: 'done'; person: string; injection: string }
  | { screen: 'record'; person: string }
  | { screen: 'rotation'; person: string }
  | { screen: 'plan'; person: string }
  | { screen: 'plan-sheet'; person: string }
  | { screen: 'room'; person: string }
  | { screen: 'skin'; person: string }
  | { screen: 'skin-check'; person: string }
  | { screen: 'finding-mark'; person: string; zone: string | null }
  | { screen: 'finding'; person: string; finding: string }
  | { screen: 'chart'; person: string; asked: string }
  | { screen: 'risk'; person: string; asked: string }
  | { screen: 'correct'; person: string; injection: string; layer: Layer | null }
  | { screen: 'lost' }

/** A question laid over a form: where on the body, where on the patch, or why in spite of something. */
export type Layer = { kind: 'place' } | { kind: 'patch'; zone: string } | { kind: 'ask' }

/** Reads a path; anything unknown is `lost`, never a guess. */
export function parse(path: string): Route {
  // Behind the `?` stands what a screen is asked to show; each such screen reads it itself.
  const [where = '', asked = ''] = path.split('?', 2)
  const parts = where.split('/').filter(Boolean).map(decodeURIComponent)
  const [first, person, second, third] = parts
  if (!first) return { screen: 'caseload' }
  if (first === 'practice' && parts.length === 1) return { screen: 'practice' }
  if (first === 'add' && parts.length === 1) return { screen: 'person-add' }
  if (first === 'today' && parts.length === 1) return { screen: 'today' }
  if (first === 'handover' && parts.length === 1) return { screen: 'handover' }
  if (first !== 'person' || !person) return { screen: 'lost' }
  switch (second) {
    case undefined:
      return { screen: 'person', person }
    case 'edit':
      return { screen: 'person-edit', person }
    case 'order':
      return third ? { screen: 'order-change', person, order: third } : { screen: 'order-add', person }
    case 'not-given':
      return third && parts[4] ? { screen: 'not-given', person, order: third, slot: parts[4] } : { screen: 'lost' }
    case 'glucose':
      return { screen: 'glucose', person }
    case 'event':
      return third ? { screen: 'event', person, event: third } : { screen: 'lost' }
    case 'end':
      return third ? { screen: 'order-end', person, order: third } : { screen: 'lost' }
    case 'map':
      return { screen: 'map', person, zone: third ?? null, ago: Number(/^ago=(\d{1,3})$/.exec(asked)?.[1] ?? 0) }
    case 'rotation':
      return { screen: 'rotation', person }
    case 'plan':
      if (third && third !== 'sheet') return { screen: 'lost' }
      return { screen: third ? 'plan-sheet' : 'plan', person }
    case 'room':
      return { screen: 'room', person }
    case 'skin':
      if (third === 'check') return { screen: 'skin-check', person }
      if (third === 'mark') return { screen: 'finding-mark', person, zone: parts[4] ?? null }
      return third ? { screen: 'finding', person, finding: third } : { screen: 'skin', person }
    case 'chart':
      return { screen: 'chart', person, asked }
    case 'risk':
      return { screen: 'risk', person, asked }
    case 'give': {
      const order = third === 'for' ? (parts[4] ?? null) : null
      if (third === 'for' && order === null) return { screen: 'lost' }
      return { screen: 'give', person, order, layer: layerOf(parts.slice(order === null ? 3 : 5)) }
    }
    case 'done':
      return third ? { screen: 'done', person, injection: third } : { screen: 'lost' }
    case 'record':
      return third
        ? { screen: 'correct', person, injection: third, layer: layerOf(parts.slice(4)) }
        : { screen: 'record', person }
    default:
      return { screen: 'lost' }
  }
}

function layerOf(parts: string[]): Layer | null {
  if (parts[0] === 'ask') return { kind: 'ask' }
  if (parts[0] !== 'place') return null
  return parts[1] ? { kind: 'patch', zone: parts[1] } : { kind: 'place' }
}

/** The state above a path: what Back leads to where there is no history. `null` only for home. */
export function above(path: string): string | null {
  const parts = path.split('/').filter(Boolean)
  if (parts.length === 0) return null
  if (parts[0] === 'handover') return '/today'
  if (parts[0] !== 'person') return '/'
  if (parts.length <= 2) return '/'
  if (parts[2] === 'skin' && parts.length > 3) return `/person/${parts[1]}/skin`
  if (parts[2] === 'event') return `/person/${parts[1]}/record`
  // The form for one order is one step, not two.
  const formOnly = parts[2] === 'give' && parts[3] === 'for' && parts.length <= 5
  if (formOnly || ['done', 'end', 'order', 'not-given'].includes(parts[2]!)) return `/person/${parts[1]}`
  return '/' + parts.slice(0, -1).join('/')
}

/** Paths of the screens. */
export const to = {
  home: '/',
  practice: '/practice',
  addPerson: '/add',
  today: '/today',
  handover: '/handover',
  person: (id: string) => `/person/${id}`,
  edit: (id: string) => `/person/${id}/edit`,
  addOrder: (id: string) => `/person/${id}/order`,
  endOrder: (id: string, order: string) => `/person/${id}/end/${order}`,
  changeOrder: (id: string, order: string) => `/person/${id}/order/${order}`,
  /** `slot` is the instant it was due. */
  notGiven: (id: string, order: string, slot: string) => `/person/${id}/not-given/${order}/${encodeURIComponent(slot)}`,
  glucose: (id: string) => `/person/${id}/glucose`,
  event: (id: string, event: string) => `/person/${id}/event/${event}`,
  map: (id: string, zone: string | null = null, ago = 0) => `/person/${id}/map${zone ? `/${zone}` : ''}${ago ? `?ago=${ago}` : ''}`,
  give: (id: string, order?: string | null) => `/person/${id}/give${order ? `/for/${order}` : ''}`,
  done: (id: string, injection: string) => `/person/${id}/done/${injection}`,
  rotation: (id: string) => `/person/${id}/rotation`,
  plan: (id: string) => `/person/${id}/plan`,
  planSheet: (id: string) => `/person/${id}/plan/sheet`,
  room: (id: string) => `/person/${id}/room`,
  skin: (id: string) => `/person/${id}/skin`,
  skinCheck: (id: string) => `/person/${id}/skin/check`,
  markFinding: (id: string, zone?: string) => `/person/${id}/skin/mark${zone ? `/${zone}` : ''}`,
  finding: (id: string, finding: string) => `/person/${id}/skin/${finding}`,
  /** `asked` is what the screen is to show, as it writes it itself; without it, what is usual. */
  chart: (id: string, asked = '') => `/person/${id}/chart${asked ? `?${asked}` : ''}`,
  risk: (id: string, asked = '') => `/person/${id}/risk${asked ? `?${asked}` : ''}`,
  record: (id: string) => `/person/${id}/record`,
  correct: (id: string, injection: string) => `/person/${id}/record/${injection}`,
}

interface Step {
  depth: number
  /** The path one step of history back. */
  from: string | null
}

/** The path shown now. One instance lives as long as the page. */
export class Router {
  path = $state('/')
  readonly route = $derived(parse(this.path))
  /** The screen's own path: it stays while the screen is asked to show something else. */
  readonly place = $derived(this.path.split('?', 1)[0] ?? '/')
  #replaceNext: string | null = null
  #window: Window

  constructor(window: Window) {
    this.#window = window
    this.path = this.#read()
    window.addEventListener('popstate', () => this.#arrived())
  }

  /** Steps since the page was opened; Back stays inside the app while it is above 0. */
  get depth(): number {
    const step = this.#window.history.state as Step | null
    return step?.depth ?? 0
  }

  go(path: string): void {
    if (path === this.path) return
    this.#window.history.pushState({ depth: this.depth + 1, from: this.path } satisfies Step, '', `#${path}`)
    this.path = path
  }

  replace(path: string): void {
    this.#window.history.replaceState({ depth: this.depth, from: this.#from } satisfies Step, '', `#${path}`)
    this.path = path
  }

  /** Closes the topmost thing: a step of history where there is one, else the state above. */
  back(): void {
    const up = above(this.path)
    if (this.depth > 0) this.#window.history.back()
    else if (up !== null) this.replace(up)
  }

  /** Goes up to `path`: back to it where it is the step before, else in place of this one. */
  up(path: string): void {
    if (this.depth > 0 && this.#from === path) this.#window.history.back()
    else this.replace(path)
  }

  /** Leaves a finished form, `steps` of history back, for `path`; Back from there does not lead into it again. */
  finish(path: string, steps = 0): void {
    if (steps > 0 && this.depth >= steps) {
      this.#replaceNext = path
      this.#window.history.go(-steps)
    } else {
      this.replace(path)
    }
  }

  get #from(): string | null {
    return (this.#window.history.state as Step | null)?.from ?? null
  }

  #read(): string {
    const hash = this.#window.location.hash.replace(/^#/, '')
    return hash.startsWith('/') ? hash : '/'
  }

  #arrived(): void {
    if (this.#replaceNext !== null) {
      const path = this.#replaceNext
      this.#replaceNext = null
      this.replace(path)
      return
    }
    this.path = this.#read()
  }
}

export const router = new Router(window)
