/**
 * Every word the screens say, in one place. Past times, sites and reasons are not here: the door words those.
 *
 * Units are written in full; left and right are always the person's.
 */
import type { FaultCode } from './core'
import type { CorrectMissing } from './state/correct.svelte'
import type { Missing } from './state/give.svelte'
import type { WhenProblem } from './state/when.svelte'

export * from './words/backups'
export * from './words/before'
export * from './words/chart'
export * from './words/dose'
export * from './words/events'
export * from './words/faults'
export * from './words/plan'
export * from './words/risk'
export * from './words/skin'
export * from './words/glucose'
export * from './words/guard'
export * from './words/journal'
export * from './words/terms'
export * from './words/units'
export * from './words/visit'

export const app = {
  name: 'Fallow',
  tagline: 'Rested skin, right dose, on record.',
  back: 'Back',
  loading: 'One moment…',
  retry: 'Try again',
  close: 'Close',
  cancel: 'Cancel',
  demo: 'Made-up people, for trying out. Nothing here is kept. It is not protected by a passphrase, and is thrown away when Fallow ends.',
  notices: 'About this copy',
  clockSet: 'The clock was set by hand. Entries made now are marked.',
  clockBehind: 'This device’s clock may be wrong: an entry was recorded later than the time it shows now. Check the clock.',
  lostTitle: 'There is nothing here',
  lostText: 'This address leads nowhere. Nothing was changed.',
  skip: 'Skip to the content',
}

export const caseload = {
  title: 'Caseload',
  search: 'Find a person',
  searchHint: 'Name or identifier',
  add: 'Add a person',
  practice: 'Practice and about',
  empty: 'Nobody is on this device yet.',
  emptyHint: 'Add the first person to begin. Everything stays on this device.',
  noMatch: (text: string) => `Nobody matches “${text}”.`,
  born: (words: string, age: number) => `Born ${words} (${age})`,
  last: (ago: string, dose: string, medicine: string) => `Last: ${ago} ago, ${dose}, ${medicine}`,
  none: 'No injection on record',
  noOrders: 'No order in force',
  order: (dose: string, medicine: string, times: string) => `${medicine}: ${dose}, ${times}`,
  count: (n: number) => (n === 1 ? '1 person' : `${n} people`),
}

export const allergies = {
  known: (list: string[]) => `Allergies: ${list.join(', ')}`,
  knownMark: 'Allergies',
  none: 'No known allergies',
  notAsked: 'Allergies not asked yet',
  question: 'Allergies',
  askKnown: 'Known allergies',
  list: 'What is known, one a line',
  listEmpty: 'Write at least one allergy, or choose another answer.',
}

export const person = {
  title: 'Person',
  give: 'Give',
  giveTo: (name: string) => `Give to ${name}`,
  record: 'Record',
  map: 'Body map',
  rotation: 'Rotation',
  plan: 'Plan',
  room: 'Room on this skin',
  edit: 'Edit person',
  identifier: (text: string) => `Identifier: ${text}`,
  selfInjects: 'Injects without help',
  helped: 'Is given injections',
  orders: 'Orders',
  otherOrders: 'Not in force',
  noOrders: 'No orders yet. An injection belongs to an order, so add one first.',
  addOrder: 'Add an order',
  endOrder: 'End this order',
  state: { in_force: 'In force', not_yet: 'Not started yet', ended: 'Ended' } as const,
  fromTo: (from: string, to: string | null, prescriber: string) =>
    `From ${from}${to ? ` to ${to}` : ''} · prescribed by ${prescriber}`,
  last: 'Last injection',
  lastAgo: (ago: string) => `${ago} ago`,
  none: 'None on record.',
  measures: 'Measures',
  assumed: 'Assumed',
  weight: 'Weight',
  notWeighed: 'Not known',
  assumedNote: 'The drawing uses a reference adult where a measure is missing:',
  note: 'Note',
  count28: (n: number) => (n === 1 ? '1 injection in the last 28 days' : `${n} injections in the last 28 days`),
  cautions: 'Cautions',
}

export const measure = {
  height_cm: 'Height',
  waist_cm: 'Waist at the navel',
  thigh_cm: 'Upper thigh, around',
  upper_arm_cm: 'Upper arm, around',
}

export const form = {
  addTitle: 'Add a person',
  editTitle: 'Edit person',
  name: 'Full name',
  born: 'Date of birth',
  day: 'Day',
  month: 'Month',
  year: 'Year',
  identifier: 'Second identifier',
  identifierHint: 'A record or health number, to tell two people of one name apart',
  zone: 'Time zone',
  self: 'Injects without help, at least some days',
  sizesHint: 'They scale the skin to this person. What was not measured stays empty.',
  zones: 'Places this person uses',
  zonesHint: 'None chosen leaves it to the medicine.',
  note: 'Note',
  noteHint: 'What a visitor must know',
  reason: 'Why is this changed?',
  save: 'Save',
  saving: 'Saving…',
  needName: 'Write the person’s name.',
  needBorn: 'Write the date of birth as three numbers.',
  optional: 'optional',
}

export const zones: Record<string, string> = {
  abdomen: 'Abdomen',
  left_thigh: 'Left thigh',
  right_thigh: 'Right thigh',
  left_arm: 'Left upper arm',
  right_arm: 'Right upper arm',
  left_buttock: 'Left buttock',
  right_buttock: 'Right buttock',
}

export const months = [
  'January', 'February', 'March', 'April', 'May', 'June',
  'July', 'August', 'September', 'October', 'November', 'December',
]
/** `2026-03-09` as `9 March 2026`; for dates a person is typing. */
export function dateWords(date: string): string {
  const [year, month, day] = date.split('-').map(Number)
  return `${day} ${months[(month ?? 1) - 1]} ${year}`
}

export const order = {
  addTitle: 'Add an order',
  medicine: 'Medicine',
  choose: 'Choose a medicine',
  dose: 'Dose each time',
  amount: 'Amount',
  unit: 'Unit',
  unitFixed: 'The unit belongs to the medicine.',
  times: 'Times of day',
  time: (n: number) => `Time ${n}`,
  addTime: 'Another time',
  removeTime: (n: number) => `Remove time ${n}`,
  whenNeeded: 'No times means: when needed.',
  every: 'Given every … days',
  everyHint: '1 is daily, 7 is weekly',
  from: 'First day',
  to: 'Last day',
  last: 'Last day, where there is one',
  lastHint: 'Empty: it goes on until it is ended or changed.',
  needLast: 'Write the last day as three numbers, or leave all three empty.',
  reversed: 'It ends before it starts. Change one of the two days.',
  prescriber: 'Prescribed by',
  note: 'Note',
  save: 'Save order',
  needMedicine: 'Choose a medicine.',
  needDose: 'Write the amount as a plain number.',
  needConfirm: 'Confirm the large amount.',
  needFrom: 'Write the first day as three numbers.',
  needPrescriber: 'Write who prescribed it.',
  needEvery: 'Write a whole number of days.',
  about: 'What the rules say about it',
  allowed: 'Places',
  spacing: 'Spacing',
  pointRest: 'Rest of a point',
  zoneRest: 'Rest of a place',
  pattern: 'Pattern',
  helper: 'Needs a helper',
  source: (text: string) => `Source: ${text}`,
  endTitle: 'End an order',
  endSave: 'End order',
  endDay: 'Its last day',
  endReason: 'Why it ends',
  needReason: 'Write why.',
}

export const give = {
  title: 'Give',
  what: 'What',
  whichOrder: 'Which order?',
  otherOrder: 'Another order',
  noOrder: 'There is no order to give. Add one first.',
  asOrdered: 'as ordered',
  otherDose: 'Another amount',
  backToOrdered: 'As ordered',
  amount: 'Amount given',
  confirmLarge: (words: string) => `Yes: ${words}`,
  confirmHint: 'A large amount. Read it once more.',
  last: 'Last dose of this:',
  lastWas: (ago: string, dose: string, where: string) => `${ago} ago: ${dose}, ${where}`,
  lastNone: 'No earlier injection of this medicine on record.',
  early: 'Early',
  earlyText: (usual: string) => `This is early. The order’s usual time between doses is ${usual}.`,
  earlyReason: 'The same medicine was recorded a short while ago. Check before you give it.',
  usualHours: (hours: number) => (hours % 24 === 0 && hours >= 48 ? `${hours / 24} days` : `${hours} h`),
  where: 'Where',
  suggested: 'Suggested',
  chosen: 'Chosen by you',
  seeking: 'Looking for rested skin…',
  next: 'Or one of these',
  nth: (n: number) => `Choice ${n}`,
  another: 'Another place',
  change: 'Change',
  nearest: (cm: string) => `${cm} cm from the nearest injection of the last 28 days`,
  quadrantOnly: 'Only the quadrant is known, not the point.',
  when: 'When',
  now: 'Now',
  earlierBy: (min: number) => `${min} min earlier`,
  typeTime: 'Type the time',
  day: 'Day',
  month: 'Month',
  clock: 'Time',
  meansWords: (words: string, ago: string | null) => (ago ? `${words}, ${ago}` : words),
  who: 'Who',
  whoQuestion: 'Who gave it?',
  whoGives: 'Who gives it?',
  whoOther: 'Another name',
  themself: (name: string) => `${name} (self)`,
  reason: 'Why here all the same?',
  reasonHint: 'It goes into the record.',
  note: 'Note',
  addNote: 'Add a note',
  toRecord: 'About to be recorded',
  record: 'Record injection',
  recording: 'Recording…',
  assumed: (list: string[]) => `The size of this skin is partly assumed: ${list.join(', ')}.`,
  cautions: 'Cautions for this medicine',
}

export const whenProblem: Record<Exclude<WhenProblem, 'clock'>, string> = {
  day: 'Write the day and the month as numbers, for example 25 and 10.',
  never: 'This time did not exist: the clock went forward over it. Which was it?',
  twice: 'This time happened twice: the clock went back. Which was it?',
  future: 'That is later than now. An injection can only be recorded once it was given.',
}

export const missing: Record<Missing, string> = {
  order: 'Choose the order first.',
  dose_reason: 'Write why another dose was given.',
  site: 'Choose where first.',
  time: 'Say when it was given.',
  dose: 'Write how much was given.',
  confirm: 'Confirm the large amount.',
  who: 'Say who gave it.',
  reason: 'This place says “avoid”. Write why it is used all the same.',
}

export const ask = {
  secondTitle: 'Was it given already?',
  secondText: (ago: string) => `The same medicine was recorded ${ago} ago:`,
  secondQuestion: 'If this is really another injection, say why. If not, go back: nothing has been saved.',
  notInForceTitle: 'This order is not in force then',
  notInForceQuestion: 'If it was given all the same, say why. If not, go back: nothing has been saved.',
  reason: 'Why was it given again?',
  reasonOrder: 'Why was it given?',
  goOn: 'Record it with this reason',
  cancel: 'Go back, save nothing',
  needReason: 'Write why.',
}

export const begun = {
  title: (words: string) => `You had begun at ${words}.`,
  question: 'Given or not?',
  given: 'It was given: finish the entry',
  notYet: 'Not given yet: go on',
  notGiven: 'Not given: clear the form',
  hint: 'Nothing has been recorded.',
}

export const verdict = {
  clear: 'Clear',
  caution: 'Caution',
  avoid: 'Avoid',
  clearText: 'Nothing speaks against this place.',
  checking: 'Checking…',
  measured: (measured: string, limit: string | null) => (limit === null ? `measured ${measured}` : `${measured}, limit ${limit}`),
  between: (low: string, high: string, unit: string) => `between ${low} and ${high} ${unit}`,
  source: (text: string) => `Source: ${text}`,
}

export const body = {
  assumed: (list: string[]) => `Sizes are partly those of a reference adult, not this person's: ${list.join(', ')}.`,
  title: 'Body map',
  pickTitle: 'Where on the body?',
  front: 'Front',
  back: 'Back',
  view: 'View',
  frontOf: 'Front of the body',
  backOf: 'Back of the body',
  hint: 'Touch a place to see its skin close up.',
  quadrant: (words: string, days: number | null) => `${words}: ${daysLong(days)}`,
  legend: 'Days of rest',
  unused: 'not used in the last year',
  unusedMark: '–',
  today: 'today',
  table: 'As a table',
  place: 'Place',
  lastUsed: 'Last used',
  count: 'In the last 28 days',
  nearTitle: 'That was close to a border. Which one?',
  offBody: 'Nothing is injected there.',
  chosenMark: 'The chosen place is marked.',
  noPlaces: 'No places to show.',
}

export function daysLong(days: number | null): string {
  if (days === null) return body.unused
  return days === 0 ? body.today : days === 1 ? '1 day ago' : `${days} days ago`
}

export const patch = {
  title: (zone: string) => `${zone}, close up`,
  canvas: (zone: string) => `Skin of the ${zone.toLowerCase()}, a square is a centimetre`,
  keys: 'Arrow keys move the point by half a centimetre, with Shift by a millimetre. Enter takes it.',
  role: 'skin map',
  landmark: (name: string) => `0 is the ${name}`,
  touch: 'Touch the skin where it goes, or use the arrows.',
  nothing: 'No point chosen yet.',
  whole: 'Whole area',
  nearer: 'Closer',
  zoom: 'Size',
  nudge: { left: 'Move left', right: 'Move right', up: 'Move up', down: 'Move down' } as const,
  across: 'Centimetres across',
  up: 'Centimetres up or down',
  towards: 'Direction across',
  above: 'above',
  below: 'below',
  vertical: 'Direction up or down',
  toward: (edge: string) => (edge.startsWith('person') ? `to the ${edge}` : edge),
  numbers: 'By numbers',
  only: 'Only the quadrant is known',
  onlyUse: 'Only this quadrant is known',
  use: 'Use this place',
  needPoint: 'Choose a point or a quadrant first.',
  sites: 'Earlier injections here',
  noSites: 'No injection with a known point in the last year.',
  resting: 'still resting',
  rested: 'rested',
  margins: 'Skin to keep away from',
  margin: (name: string, cm: number, source: string) => `${name}: ${cm} cm. Source: ${source}`,
  unplaced: (n: number, where: string) =>
    `${where}: ${n === 1 ? '1 injection' : `${n} injections`} of the last 28 days known only to the quadrant`,
  assumed: (list: string[]) => `Partly assumed: ${list.join(', ')}`,
  grid: 'A square is 1 cm; heavier lines every 5 cm.',
}

export const replay = {
  title: 'Past months',
  slider: 'Day shown on the map',
  start: '26 weeks ago',
  today: 'today',
  asOf: (at: string, ago: number) =>
    ago === 0 ? 'As it is now' : `As it was on ${at ? dateWords(at.slice(0, 10)) : ''}, ${ago === 1 ? '1 day ago' : `${ago} days ago`}`,
  thatDay: 'Days are counted from that day, and a point is not checked.',
  showNow: 'Show it as it is now',
  play: 'Play',
  pause: 'Pause',
  dayBack: 'A day back',
  weekBack: 'A week back',
  dayOn: 'A day on',
  weekOn: 'A week on',
  hint: 'Arrow keys move by a day, Page Up and Page Down by a week.',
}

export const cells = {
  shown: (cm: number) => `The skin itself is coloured by days of rest, within ${shortNumber(cm)} cm of each earlier injection.`,
  failed: 'Days of rest could not be drawn on the skin. The earlier injections are shown all the same.',
}

export const rotation = {
  title: 'Rotation',
  period: 'Period',
  weeks: (n: number) => `${n} weeks`,
  count: (n: number, only: number) => {
    const all = n === 0 ? 'no injections.' : n === 1 ? '1 injection.' : `${n} injections.`
    return only === 0 ? all : `${all} ${only} of them known only to the quadrant.`
  },
  spacing: 'Spacing',
  rest: 'Rest',
  spacingRest: 'Spacing and rest',
  both: (kept: number, of: number, share: string) =>
    `${kept} of ${of === 1 ? '1 injection' : `${of} injections`} (${share}) kept both: the medicine’s spacing from skin still resting, and so skin that had rested as long as is asked.`,
  leftOut: (n: number) => `Not counted: ${n} known only to the quadrant.`,
  interval: 'Likely habit (95 %)',
  between: (low: string, high: string) => `${low} to ${high}`,
  unknown: 'Cannot be known',
  closest: 'Closest',
  soonest: 'Shortest rest',
  days: (n: number) => (n === 0 ? 'less than a day' : n === 1 ? '1 day' : `${n} days`),
  used: 'Skin used',
  usedArea: 'Area',
  areaOf: (used: number, all: number) => `${used} of ${all} cm²`,
  sides: 'Left and right',
  quadrants: 'Quadrants',
  run: 'Longest run',
  busiest: 'Most used place',
  spread: 'Spread',
  noSpread: 'No injection with a known point in this period, so spread cannot be known.',
  chance: (zone: string) => `Times, by chance: ${zone.toLowerCase()}`,
  allowed: (list: string[]) => `Skin that may be used: ${list.join(', ')}.`,
  area: (zone: string, cm2: number) => `${zone.toLowerCase()} ${Math.round(cm2)} cm²`,
  noRules: 'No order and no injection, so there is no medicine whose rules could count.',
  habit: 'These figures describe; they are no grade. A likely habit is a 95 % interval: few injections say little.',
  assumed: (list: string[]) => `The size of this skin is partly assumed: ${list.join(', ')}.`,
}

export const record = {
  title: 'Record',
  empty: 'No injection on record yet.',
  older: 'Show older entries',
  correct: 'Correct',
  correctThis: (words: string) => `Correct ${words}`,
  replaced: 'Corrected',
  error: 'Entered in error',
  late: 'recorded late',
  clockSet: 'clock set by hand',
  by: (who: string) => `by ${who}`,
  correctedBy: (who: string) => `corrected by ${who}`,
  why: 'Reason',
  whyShown: (reason: string) => `Reason: ${reason}`,
  note: (text: string) => `Note: ${text}`,
  recordedAt: (text: string) => `Entry made ${text}`,
  correctTitle: 'Correct an entry',
  correctIntro: 'The entry stays in the record, struck through, beside what replaces it.',
  wasRecorded: 'What was recorded',
  whatIsWrong: 'What is wrong?',
  site: 'The place',
  newPlace: (words: string) => `It really went here: ${words}`,
  choosePlace: 'Choose the right place',
  time: 'The time',
  dose: 'The amount',
  inError: 'All of it: it never happened',
  inErrorHint: 'The entry is marked “entered in error” and no longer counts.',
  reason: 'What was wrong with it?',
  who: 'Who makes the correction?',
  save: 'Save correction',
  saveError: 'Mark as entered in error',
  gone: 'This entry is not in the record of this person.',
  already: 'This entry was corrected before. Correct the one that replaced it.',
}

export const correctMissing: Record<CorrectMissing, string> = {
  nothing: 'Choose what is wrong.',
  reason: 'Write what was wrong.',
  who: 'Say who makes the correction.',
  time: 'Say when it was really given.',
  dose: 'Write how much was really given.',
  confirm: 'Confirm the large amount.',
}

export const practice = {
  title: 'Practice and about',
  navel: 'Distance to keep from the navel',
  navelHint: 'Published sources differ. Choose the one your practice follows; the sources cannot be edited.',
  margin: (cm: number) => `${cm} cm`,
  saved: 'Saved.',
  cautions: 'Before anything else',
  cautionList: [
    'Fallow advises; people decide. Local policy and licensed practice come first.',
    'It never works out a dose and never says to withhold one. Ask the prescriber.',
    'In an emergency, or if somebody is very unwell, call for help at once.',
    'It does not know what it was not told: look at the skin and feel it every time.',
  ],
  about: 'About',
  version: (text: string) => `Fallow ${text}`,
  tz: (text: string) => `Time zone rules: ${text}`,
  people: (n: number) => (n === 1 ? '1 person on this device' : `${n} people on this device`),
  typeface: 'Typeface: Atkinson Hyperlegible, Braille Institute of America, SIL Open Font License 1.1.',
  local: 'Everything stays on this device. Fallow uses no network.',
  sources: 'Medicines and their sources',
  fromMemory: 'from memory',
}


/** What stands under the headings that close the whole app. */
export const closed: Partial<Record<FaultCode, string>> = {
  file_damaged: 'Nothing was overwritten, and nothing new is started in its place. Keep the folder as it is and restore a backup.',
  keys_missing: 'Without it the record cannot be opened, not even with the passphrase. Nothing was overwritten. Put that file back, or a copy of the record: each copy has the keys in it.',
  keys_damaged: 'Without it the record cannot be opened, not even with the passphrase. Nothing was overwritten. Put a copy of the record back: each copy has the keys in it.',
  file_missing: 'There was a record in this folder before. Fallow does not start a new one over it. Put the file or a backup back.',
  file_too_new: 'You can read it here. To add to it, use the newer version.',
  read_only: 'You can look, but nothing can be saved until the folder can be written.',
  disk_full: 'Nothing was lost or overwritten. Make room on the disk, then try again.',
  locked_out: 'Open the link that Fallow printed when it started; each link works once.',
  unreachable: 'Is it still running? Nothing you typed has been lost.',
}

const ones = [
  'zero', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve',
  'thirteen', 'fourteen', 'fifteen', 'sixteen', 'seventeen', 'eighteen', 'nineteen',
]
const tens = ['', '', 'twenty', 'thirty', 'forty', 'fifty', 'sixty', 'seventy', 'eighty', 'ninety']

/** A whole number up to 999,999 in words. */
export function numberWords(n: number): string {
  if (n < 20) return ones[n]!
  if (n < 100) return tens[Math.floor(n / 10)]! + (n % 10 ? `-${ones[n % 10]}` : '')
  const [unit, name] = n < 1000 ? [100, 'hundred'] : [1000, 'thousand']
  const rest = n % unit
  const joint = rest === 0 ? '' : rest < 100 ? ' and ' : ' '
  return `${numberWords(Math.floor(n / unit))} ${name}${joint}${rest === 0 ? '' : numberWords(rest)}`
}

/** A dose in words, for confirming a large one: `one thousand two hundred point five units`. */
export function doseInWords(value: string, unit: string): string {
  const [whole = '0', fraction] = value.split('.')
  const digits = fraction ? ' point ' + [...fraction].map((d) => ones[Number(d)]).join(' ') : ''
  return `${numberWords(Number(whole))}${digits} ${unit}`
}

/** A measured number for people: at most two decimals, no trailing zero. */
export function shortNumber(n: number): string {
  return String(Math.round(n * 100) / 100)
}

/** A measured length or time, rounded down to a tenth: never shown as more than it is. */
export function measuredNumber(n: number): string {
  return String(Math.floor(n * 10 + 1e-6) / 10)
}
