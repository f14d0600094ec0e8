/** The skin: findings marked by touch, keys and numbers, looked at again, withdrawn; skin checks. By role and name. */
import { cleanup, fireEvent, render, screen, within } from '@testing-library/svelte'
import userEvent from '@testing-library/user-event'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import App from '../App.svelte'
import { session } from '../state/session.svelte'
import { typedNumber } from '../state/place.svelte'
import { finding, look, skinCheck } from './fake-skin'
import { doorOf } from './setup'

const button = (name: RegExp | string) => screen.findByRole('button', { name })
const radio = (name: RegExp | string) => screen.findByRole('radio', { name })
const heading = (name: RegExp | string) => screen.findByRole('heading', { level: 1, name })
const box = (name: RegExp | string) => screen.findByRole('textbox', { name })

async function goTo(path: string) {
  window.history.replaceState(null, '', `#${path}`)
  window.dispatchEvent(new PopStateEvent('popstate', { state: null }))
}

beforeEach(async () => {
  window.scrollTo = () => undefined
  Element.prototype.scrollIntoView = () => undefined
  session.status = null
  session.recorder = ''
  await goTo('/')
})
afterEach(cleanup)

async function saidBy(group: string, name: string) {
  const who = await screen.findByRole('group', { name: group })
  const other = within(who).queryByRole('textbox')
  await userEvent.type(other ?? (await within(who).findByRole('textbox')), name)
}

describe('the skin of a person', () => {
  it('says that nothing marked is not nothing there, and when a check is due', async () => {
    await doorOf()
    await goTo('/person/p1/skin')
    render(App)
    await heading('Skin')
    await screen.findByText(/^Nothing is marked. That is not the same as nothing there/)
    await screen.findByText('No skin check is on record: one is due.')
    expect(await button('Mark a finding')).toBeTruthy()
    expect(await button('Check the skin')).toBeTruthy()
  })
  it('lists what is there before what ended, each with its words, and withdrawn checks with their reason', async () => {
    const door = await doorOf()
    door.skin.findings = [finding(), finding({ id: 'f2', kind: 'bruise', kind_words: 'bruise', state: 'healed', state_words: 'Healed: Mon 1 Jun 2026.' })]
    door.skin.checks = [skinCheck({ withdrawn: 'another person' })]
    await goTo('/person/p1/skin')
    render(App)
    await button(/^Soft lump .*5.5 cm to the person’s left of the navel/)
    await screen.findByText('No longer there (1)')
    await screen.findByText('Withdrawn: another person')
  })
  it('shows a fault and tries again', async () => {
    const door = await doorOf()
    door.refuse.push({ op: 'finding_list', error: { code: 'busy', message: 'Another copy is writing.' } })
    await goTo('/person/p1/skin')
    render(App)
    await userEvent.click(await button('Try again'))
    await screen.findByText(/^Nothing is marked/)
  })
})

describe('marking a finding', () => {
  it('asks for what is missing one by one, and is placed by keys and sized by numbers', async () => {
    const door = await doorOf()
    await goTo('/person/p1/skin/mark')
    render(App)
    await heading('Mark a finding')
    const save = await button('Record finding')
    const missing = async (words: string) => {
      await userEvent.click(save)
      expect((await screen.findAllByRole('alert')).map((a) => a.textContent)).toContain(words)
    }
    await missing('Choose what it is.')
    await userEvent.click(await radio('lump'))
    await userEvent.click(await radio('Firm'))
    await missing('Say how it was noticed.')
    await userEvent.click(await radio('Felt'))
    await missing('Choose the zone it is in.')
    await userEvent.click(await radio('Abdomen'))
    const skin = await screen.findByRole('application', { name: /abdomen/i })
    await missing('Touch where its middle is.')
    skin.focus()
    await userEvent.keyboard('{ArrowRight}{ArrowRight}{ArrowDown}')
    await missing('Write both sizes in millimetres, as numbers from 1 to 400.')
    expect(document.querySelector('[data-marking]')).toBeNull()
    await userEvent.type(await box('Longest way across, in mm'), '24')
    await userEvent.type(await box('Widest way square to that, in mm'), '17,5')
    expect(document.querySelector('[data-marking]')).not.toBeNull()
    await userEvent.click(await button('Widest way square to that, in mm: 1 mm more'))
    expect(((await box('Widest way square to that, in mm')) as HTMLInputElement).value).toBe('19')
    await missing('Say who looked.')
    await saidBy('Who looked?', 'Imri Vane')
    void fireEvent.click(save)
    void fireEvent.click(save)
    await screen.findByText(/^Recorded: lump\./)
    expect(door.count('finding_record')).toBe(1)
    expect(door.seen.find((s) => s.op === 'finding_record')!.args).toMatchObject({
      kind: 'lump', zone: 'abdomen', noticed: 'felt', feel: 'firm', recorder: 'Imri Vane', wear_days: null,
      place: { centre: { across_cm: 1, up_cm: -0.5 }, length_mm: 24, width_mm: 19, turned_degrees: 0 },
    })
  })
  it('moves with the numbers as with the keys, and keeps what was typed through a refusal and a reload', async () => {
    const door = await doorOf()
    door.refuse.push({ op: 'finding_record', error: { code: 'bad_place', message: 'The middle of a finding lies on the skin of its zone.' } })
    await goTo('/person/p1/skin/mark/left_thigh')
    render(App)
    await userEvent.click(await radio('sensor'))
    await userEvent.click(await radio('Seen'))
    const across = await screen.findByLabelText('Centimetres across')
    await userEvent.clear(across)
    await userEvent.type(across, '2.5{Tab}')
    await userEvent.type(await box('Longest way across, in mm'), '30')
    await userEvent.type(await box('Widest way square to that, in mm'), '30')
    await userEvent.type(await box('Worn for, in days'), '400')
    await saidBy('Who looked?', 'Imri Vane')
    await userEvent.click(await button('Record finding'))
    await screen.findByText('Write the days as a whole number, 1 to 366, or leave them out.')
    await userEvent.clear(await box('Worn for, in days'))
    await userEvent.type(await box('Worn for, in days'), '14')
    await userEvent.click(await button('Record finding'))
    await screen.findByText('The middle of a finding lies on the skin of its zone.')
    await new Promise((done) => setTimeout(done, 300))
    cleanup()
    render(App)
    expect(((await box('Worn for, in days')) as HTMLInputElement).value).toBe('14')
    expect(((await box('Longest way across, in mm')) as HTMLInputElement).value).toBe('30')
    await userEvent.click(await button('Record finding'))
    await screen.findByText(/^Recorded: sensor\./)
    expect(door.skin.findings).toHaveLength(1)
    expect(door.drafts.size).toBe(0)
    expect(door.seen.findLast((s) => s.op === 'finding_record')!.args).toMatchObject({ place: { centre: { across_cm: 2.5 } }, wear_days: 14, feel: null })
  })
  it('wants words for something else', async () => {
    await doorOf()
    await goTo('/person/p1/skin/mark/abdomen')
    render(App)
    await userEvent.click(await radio('other'))
    await box('What is it?')
  })
  it('reads numbers with a comma or a point and nothing else', () => {
    for (const [text, number] of [['24', 24], ['4,5', 4.5], ['4.5', 4.5], ['', null], ['-4', null], ['1e3', null], ['4.55', null], ['vier', null]] as const)
      expect(typedNumber(text), text).toBe(number)
  })
})

describe('a finding', () => {
  it('is looked at again where it was last, and ends', async () => {
    const door = await doorOf()
    door.skin.findings = [finding({ looks: [look(), look({ id: 'l2', withdrawn: 'the other side', at_words: 'Mon 1 Jun 2026, 09:00' })] })]
    await goTo('/person/p1/skin/f1')
    render(App)
    await screen.findByText('Withdrawn: the other side')
    await userEvent.click(await button('Look again'))
    await userEvent.click(await button('Record look'))
    await screen.findByText('Say what it is like now.')
    await userEvent.click(await radio('Still there'))
    expect(((await box('Longest way across, in mm')) as HTMLInputElement).value).toBe('24')
    await userEvent.click(await radio('Healed: nothing is left of it'))
    await saidBy('Who looked?', 'Imri Vane')
    await userEvent.click(await button('Record look'))
    await heading('Skin')
    expect(door.seen.find((s) => s.op === 'finding_look')!.args).toMatchObject({ finding: 'f1', state: 'healed', place: null, noticed: null })
  })
  it('is withdrawn with a reason', async () => {
    const door = await doorOf()
    door.skin.findings = [finding()]
    await goTo('/person/p1/skin/f1')
    render(App)
    await userEvent.click(await button('Entered in error: look of Sun 3 May 2026, 09:00'))
    await userEvent.click(await button('Withdraw entry'))
    await screen.findByText('Write why.')
    await userEvent.type(await box('Why was it wrong?'), 'a rib')
    await saidBy('Who withdraws it?', 'Imri Vane')
    await userEvent.click(await button('Withdraw entry'))
    await heading('Skin')
    expect(door.skin.findings).toHaveLength(0)
    // Still to be read, folded away and struck through.
    const error = (await screen.findByText('Entered in error (1)')).closest('details')!
    expect(error.open).toBe(false)
    expect(error.querySelector('del')!.textContent).toMatch(/Soft lump.*left of the navel.*Felt, soft: 24 mm by 18 mm/)
    within(error).getByText('Withdrawn: a rib')
    within(error).getByText('by Imri Vane, Wed 3 Jun 2026, 08:00')
    cleanup()
    await goTo('/person/p1/skin/f1')
    render(App)
    expect((await screen.findByText('Entered in error (1)')).closest('details')!.open).toBe(true)
    cleanup()
    await goTo('/person/p1/map/abdomen')
    render(App)
    await screen.findByRole('application')
    expect(document.querySelector('[data-found]')).toBeNull()
  })
  it('is drawn with its word on the patch, and one that is gone is said to be', async () => {
    const door = await doorOf()
    door.skin.findings = [finding()]
    await goTo('/person/p1/map/abdomen')
    render(App)
    await screen.findByText(/^soft lump\. Abdomen/)
    expect(document.querySelector('[data-found=f1]')!.getAttribute('fill')).toMatch(/-lump\)$/)
    cleanup()
    await goTo('/person/p1/skin/f9')
    render(App)
    await screen.findByText(/^This finding is not on record any more/)
  })
})

describe('a form that was begun', () => {
  const reload = async () => {
    window.dispatchEvent(new Event('pagehide'))
    await new Promise((done) => setTimeout(done))
    cleanup()
    render(App)
  }
  it('outlives a reload while a finding is looked at again, says so, and is thrown away on demand', async () => {
    const door = await doorOf()
    door.skin.findings = [finding()]
    await goTo('/person/p1/skin/f1')
    render(App)
    await userEvent.click(await button('Look again'))
    expect(document.querySelector('[data-begun]')).toBeNull()
    await userEvent.click(await radio('Still there'))
    await userEvent.click(await radio('Seen'))
    const length = await box('Longest way across, in mm')
    await userEvent.clear(length)
    await userEvent.type(length, '31')
    await userEvent.type(await box('Note (may stay empty)'), 'warm')
    await reload()
    await screen.findByText(/^Begun .* and not recorded yet/)
    expect(((await radio('Still there')) as HTMLInputElement).checked).toBe(true)
    expect(((await box('Longest way across, in mm')) as HTMLInputElement).value).toBe('31')
    await saidBy('Who looked?', 'Imri Vane')
    await userEvent.click(await button('Record look'))
    await heading('Skin')
    expect(door.seen.find((s) => s.op === 'finding_look')!.args).toMatchObject({ note: 'warm', noticed: 'seen', place: { length_mm: 31 } })
    expect(door.drafts.size).toBe(0)
    await goTo('/person/p1/skin/f1')
    await userEvent.click(await button('Look again'))
    await userEvent.click(await radio('Removed'))
    await reload()
    await userEvent.click(await button('Throw it away'))
    await button('Look again')
    expect(door.drafts.size).toBe(0)
  })
  it.each([
    ['/person/p1/skin/mark', 'lump', 'Record finding'],
    ['/person/p1/skin/check', 'Yes', 'Record skin check'],
  ])('of %s outlives a reload at once, and is empty once it is thrown away', async (path, choice, save) => {
    const door = await doorOf()
    await goTo(path)
    render(App)
    await userEvent.click(await radio(choice))
    expect(document.querySelector('[data-begun]')).toBeNull()
    await reload()
    await screen.findByText(/^Begun .* and not recorded yet/)
    expect(((await radio(choice)) as HTMLInputElement).checked).toBe(true)
    await userEvent.click(await button('Throw it away'))
    await button(save)
    expect(((await radio(choice)) as HTMLInputElement).checked).toBe(false)
    expect(document.querySelector('[data-begun]')).toBeNull()
    expect(door.drafts.size).toBe(0)
  })
  it('is not offered again where its answer was lost but it was saved', async () => {
    const door = await doorOf()
    await goTo('/person/p1/skin/mark')
    render(App)
    await userEvent.click(await radio('lump'))
    await reload()
    const { body } = [...door.drafts.values()][0]!
    door.skin.findings = [finding({ id: (JSON.parse(body) as { id: string }).id })]
    await reload()
    expect(((await radio('lump')) as HTMLInputElement).checked).toBe(false)
    expect(door.drafts.size).toBe(0)
  })
  it('that cannot be read is an empty one', async () => {
    const door = await doorOf()
    door.drafts.set('finding:p1', { body: '{', opened: door.now })
    await goTo('/person/p1/skin/mark')
    render(App)
    expect(((await radio('lump')) as HTMLInputElement).checked).toBe(false)
  })
})

describe('findings on the big map', () => {
  async function opened() {
    // There is no layout here: a screen pixel is a unit of the drawing.
    SVGElement.prototype.getBoundingClientRect = function () {
      const [left, top, width, height] = (this.getAttribute('viewBox') ?? '0 0 1 1').split(' ').map(Number)
      return { left, top, width, height } as DOMRect
    }
    const door = await doorOf()
    door.skin.findings = [finding(), finding({ id: 'f2', kind: 'bruise', kind_words: 'bruise', state: 'healed' })]
    await goTo('/person/p1/map')
    render(App)
    return button(/^Finding: soft lump\. Abdomen/)
  }
  const touch = (mark: Element, off: number) => {
    const [x, y] = /translate\(([\d.]+) ([\d.]+)\)/.exec(mark.getAttribute('transform')!)!.slice(1).map(Number)
    return fireEvent.click(mark.closest('svg')!, { clientX: x! + off, clientY: y! })
  }
  it('have their pattern, its word in the legend, and a list that is as good; healed ones are gone', async () => {
    await opened()
    expect(document.querySelectorAll('[data-finding-mark]')).toHaveLength(1)
    expect(document.querySelector('.legend')!.textContent).toContain('Lumps and dents')
    expect(document.querySelector('.legend')!.textContent).not.toContain('What heals')
    await screen.findByRole('heading', { name: 'Marked on the skin (1)' })
    await userEvent.click(await button(/^soft lump\. Abdomen/))
    await heading('Finding')
  })
  it('open by keyboard', async () => {
    ;(await opened()).focus()
    await userEvent.keyboard('{Enter}')
    await heading('Finding')
  })
  it('open by a touch on them; a touch beside them asks what was meant', async () => {
    const mark = await opened()
    await touch(mark, 18)
    const asked = within(await screen.findByRole('group', { name: 'A finding is close by. What do you want to see?' }))
    expect(asked.getAllByRole('button').length).toBeGreaterThan(1)
    await userEvent.click(asked.getByRole('button', { name: /^soft lump/ }))
    await heading('Finding')
    window.history.back()
    cleanup()
    await touch(await opened(), 4)
    await heading('Finding')
  })
  it('are drawn and listed but open nothing where a place is being chosen', async () => {
    const door = await doorOf()
    door.skin.findings = [finding()]
    await goTo('/person/p1/give/place')
    render(App)
    await screen.findByRole('heading', { name: 'Marked on the skin (1)' })
    expect(screen.queryByRole('button', { name: /soft lump/ })).toBeNull()
    expect(screen.getByRole('img', { name: /^Finding: soft lump/ })).toBeTruthy()
  })
  it('are led to by the reason of a verdict', async () => {
    const door = await doorOf()
    door.skin.findings = [finding()]
    await goTo('/person/p1/map/abdomen')
    render(App)
    await userEvent.click(await screen.findByText('By numbers'))
    for (const [label, cm] of [['Centimetres across', '5.5'], ['Centimetres up or down', '3']] as const) {
      await userEvent.clear(await screen.findByLabelText(label))
      await userEvent.type(await screen.findByLabelText(label), `${cm}{Tab}`)
    }
    await userEvent.selectOptions(await screen.findByLabelText('Direction up or down'), 'below')
    await screen.findByText('This is in a soft lump.')
    await userEvent.click(await button('Open the finding'))
    await heading('Finding')
    expect(window.location.hash).toBe('#/person/p1/skin/f1')
  })
})

describe('a skin check', () => {
  it('needs a word for every zone, survives going away to mark a finding, and is recorded once', async () => {
    const door = await doorOf()
    await goTo('/person/p1/skin/check')
    render(App)
    await screen.findByText(/^Hands miss some/)
    await userEvent.click(await button('Record skin check'))
    await screen.findByText('Say what was found: abdomen.')
    const zone = async (name: string) => within(await screen.findByRole('group', { name }))
    await userEvent.click((await zone('Abdomen')).getByRole('radio', { name: 'Clear' }))
    await userEvent.click((await zone('Left thigh')).getByRole('radio', { name: 'Finding' }))
    await userEvent.type(await box('How many injections with one needle?'), '3')
    await userEvent.click(await button('Mark it: left thigh'))
    await heading('Mark a finding')
    expect(((await radio('Left thigh')) as HTMLInputElement).checked).toBe(true)
    cleanup()
    await goTo('/person/p1/skin/check')
    render(App)
    expect(((await box('How many injections with one needle?')) as HTMLInputElement).value).toBe('3')
    expect(((await zone('Abdomen')).getByRole('radio', { name: 'Clear' }) as HTMLInputElement).checked).toBe(true)
    await userEvent.type(await box('Insulin since which year?'), '19')
    await saidBy('Who looked and felt?', 'Imri Vane')
    await userEvent.click(await button('Record skin check'))
    await screen.findByText('Write the year with four digits, or leave it empty.')
    await userEvent.type(await box('Insulin since which year?'), '98')
    await userEvent.click(await button('Record skin check'))
    await heading('Skin')
    expect(door.skin.checks).toHaveLength(1)
    expect(door.seen.find((s) => s.op === 'skin_check_record')!.args).toMatchObject({
      zones: [{ zone: 'abdomen', seen: 'clear' }, { zone: 'left_thigh', seen: 'finding' }],
      needle_uses: 3, insulin_since: 1998, unexplained_lows: null,
    })
  })
  it('asks nothing of insulin where there is none', async () => {
    const door = await doorOf()
    door.skin.insulin = false
    await goTo('/person/p1/skin/check')
    render(App)
    await button('Record skin check')
    expect(screen.queryByRole('textbox', { name: /needle/ })).toBeNull()
  })
})
