/** The words of findings, skin checks and leaving a lump. What stands where, and since when, the door words. */

type Way = 'size' | 'line'

const groups: [string, string[]][] = [
  ['Lumps and dents', ['lump', 'dent', 'swelling']],
  ['What heals', ['bruise', 'bleeding', 'redness', 'broken_skin']],
  ['What stays', ['scar', 'mole', 'tattoo', 'stoma']],
  ['What is worn', ['sensor', 'infusion_set']],
  ['Anything else', ['other']],
]

const pattern: Record<string, string> = {
  lump: 'lump', dent: 'lump', swelling: 'lump',
  bruise: 'heals', bleeding: 'heals', redness: 'heals', broken_skin: 'heals',
  scar: 'stays', mole: 'stays', tattoo: 'stays', stoma: 'stays',
  sensor: 'worn', infusion_set: 'worn',
}

/** A word that begins a line. */
export const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1)

export const skin = {
  title: 'Skin',
  groups,
  /** Which of the patterns a kind is drawn with. */
  pattern: (kind: string) => pattern[kind] ?? 'stays',
  there: 'On the skin now',
  marked: (n: number) => `Marked on the skin (${n})`,
  /** What the patterns of the drawings stand for; the same words as where a kind is chosen. */
  patterns: { lump: 'Lumps and dents', heals: 'What heals', stays: 'What stays, or anything else', worn: 'What is worn' } as Record<string, string>,
  legend: 'Findings',
  onMap: (what: string) => `Finding: ${what}`,
  nearFinding: 'A finding is close by. What do you want to see?',
  openThis: 'Open the finding',
  openOne: (n: number, of: number) => `Open finding ${n} of ${of}`,
  noneThere: 'Nothing is marked. That is not the same as nothing there: only looking and feeling can tell.',
  ended: 'No longer there',
  mark: 'Mark a finding',
  check: 'Check the skin',
  due: 'Skin check',
  why: 'Why now',
  source: 'Source',
  checks: 'Checks so far',
  noChecks: 'None on record.',
  keepOff: (cm: string) => (cm === '0' ? 'Left alone itself; no distance around it is named.' : `Stay ${cm} cm off its edge.`),
  until: (words: string) => `Worn until ${words}.`,
  by: (name: string) => `by ${name}`,
  withdrawn: (why: string) => `Withdrawn: ${why}`,
  withdrawnBy: (who: string) => `by ${who}`,
  inError: (n: number) => `Entered in error (${n})`,
  inErrorHint: 'Kept on record as it was. It counts for nothing, and no map shows it.',
  open: (what: string) => `Open: ${what}`,
  gone: 'This finding is not on record any more. It may have been withdrawn.',
  side: 'Left and right are the person’s.',
} as const

export const finding = {
  title: 'Mark a finding',
  what: 'What is it?',
  feel: 'How does the lump feel?',
  feels: [['soft', 'Soft'], ['firm', 'Firm'], ['', 'Not said']] as [string, string][],
  noticed: 'How was it noticed?',
  noticeds: [['seen', 'Seen'], ['felt', 'Felt'], ['seen_and_felt', 'Seen and felt']] as [string, string][],
  where: 'Where is it?',
  zone: 'Zone',
  way: 'How do you want to mark it?',
  ways: [['size', 'Point and size'], ['line', 'Draw the outline']] as [Way, string][],
  how: {
    size: 'Touch its middle and pull sideways to its edge; or touch the middle and type the sizes below. The round handles size and turn it.',
    line: 'Draw around it in one go. To come closer first, touch the skin once and choose Closer.',
  } as Record<Way, string>,
  keys: 'Arrow keys move the point or the drawn line by half a centimetre, with Shift by a millimetre. Sizes are typed below.',
  undo: 'Undo',
  clear: 'Clear the shape',
  sized: (of: { length: number; width: number; degrees: number }) =>
    `${Math.round(of.length)} mm by ${Math.round(of.width)} mm${of.degrees % 180 === 0 ? '' : `, turned ${of.degrees}°`}`,
  size: 'How large is it?',
  length: 'Longest way across, in mm',
  width: 'Widest way square to that, in mm',
  turned: 'Turned by, in degrees',
  turnedHint: '0 lies across the zone; 90 lies up and down.',
  smaller: (what: string) => `${what}: 1 mm less`,
  larger: (what: string) => `${what}: 1 mm more`,
  turnLess: 'Turn by 5 degrees less',
  turnMore: 'Turn by 5 degrees more',
  wear: 'Worn for, in days',
  wearHint: '1 to 366. It then ends by itself. Empty: until somebody says that it was removed.',
  note: 'Note',
  noteNeeded: 'What is it?',
  optional: 'may stay empty',
  when: 'When was it looked at?',
  who: 'Who looked?',
  save: 'Record finding',
  saving: 'Recording…',
  said: (what: string, place: string) => `Recorded: ${what}. ${place}.`,
  need: {
    kind: 'Choose what it is.',
    noticed: 'Say how it was noticed.',
    zone: 'Choose the zone it is in.',
    point: 'Touch where its middle is.',
    size: 'Write both sizes in millimetres, as numbers from 1 to 400.',
    line: 'Draw around it on the skin, or choose Point and size.',
    tiny: 'The line is too small to go around anything. Come closer, and draw around the edge; or choose Point and size.',
    crosses: 'The line crosses itself. It stays as you drew it until you draw another: once around the edge, without crossing.',
    turned: 'Write the turn in whole degrees, 0 to 180.',
    wear: 'Write the days as a whole number, 1 to 366, or leave them out.',
    note: 'Write what it is.',
    time: 'Say when.',
    who: 'Say who looked.',
  },
} as const

export const course = {
  title: 'Finding',
  looks: 'What was seen and felt',
  again: 'Look again',
  healed: 'Healed',
  removed: 'Removed',
  state: 'What is it like now?',
  states: (device: boolean): [string, string][] => [
    ['there', 'Still there'],
    device ? ['removed', 'Removed'] : ['healed', 'Healed: nothing is left of it'],
    ...(device ? [] : ([['removed', 'Removed']] as [string, string][])),
  ],
  needState: 'Say what it is like now.',
  save: 'Record look',
  said: (words: string) => `Recorded. ${words}`,
  withdraw: 'Entered in error',
  withdrawLook: (when: string) => `Entered in error: look of ${when}`,
  withdrawTitle: 'Withdraw an entry',
  withdrawHint: 'The entry stays on record, struck through, with the reason. Withdrawing the first look withdraws the whole finding.',
  reason: 'Why was it wrong?',
  needReason: 'Write why.',
  withdrawSave: 'Withdraw entry',
  withdrawSaid: 'Withdrawn.',
  cancel: 'Leave it as it is',
} as const

export const begunEarlier = {
  told: (when: string) => `Begun ${when || 'earlier'} and not recorded yet. Check that it still holds, the time too.`,
  discard: 'Throw it away',
} as const

export const skinCheck = {
  title: 'Skin check',
  steps: 'How to look and feel',
  zones: 'Zone by zone',
  seen: [['clear', 'Clear'], ['finding', 'Finding'], ['not_looked_at', 'Not looked at']] as [string, string][],
  add: (zone: string) => `Mark it: ${zone}`,
  asked: 'Asked on the way',
  needle: 'How many injections with one needle?',
  needleHint: '1 is a new needle each time. Empty: not asked.',
  since: 'Insulin since which year?',
  sinceHint: 'Empty: not asked.',
  lows: 'Low values nobody can explain?',
  lowsOf: [['yes', 'Yes'], ['no', 'No'], ['', 'Not asked']] as [string, string][],
  note: 'Note',
  when: 'When was it?',
  who: 'Who looked and felt?',
  save: 'Record skin check',
  saving: 'Recording…',
  said: (words: string) => `Skin check recorded. ${words}`,
  need: {
    zones: (zone: string) => `Say what was found: ${zone.toLowerCase()}.`,
    needle: 'Write a whole number, 1 to 100, or leave it empty.',
    since: 'Write the year with four digits, or leave it empty.',
    time: 'Say when.',
    who: 'Say who looked and felt.',
  },
} as const

export const leaving = { title: 'Leaving a lump', source: 'Source' } as const
