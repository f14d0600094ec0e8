/** What the page before giving, the syringe and the steps of giving say. Checks and sentences come from the door. */
import type { BeforeCheck } from '../wire'

export const before = {
  title: 'Before giving',
  open: (n: number) => (n === 0 ? 'all checked' : n === 1 ? '1 check open' : `${n} checks open`),
  checks: {
    identity: 'Right person',
    allergies: 'Allergies',
    order: 'The order',
    container: 'What is in your hand',
    glucose: 'Glucose',
    meal: 'Food',
    consent: 'Consent',
    skin: 'The skin',
    second_checker: 'Second person',
  } satisfies Record<BeforeCheck['what'], string>,
  done: 'done',
  notYet: 'open',
  wrong: 'does not fit',
  answered: 'does not fit, going on with a reason',
  readBack: 'Ask for each and compare. Two are needed.',
  identifiers: { name: 'Name', born: 'Born', number: 'Identifier' } as Record<string, string>,
  matches: 'Matches',
  lookAgain: 'Look again',
  lookAgainOf: (check: string) => `Look again: ${check}`,
  matchesOf: (what: string) => `${what} matches`,
  differsOf: (what: string) => `${what} does not match`,
  allergies: 'Read and asked about',
  order: 'Order read',
  asLastTime: (words: string) => `As last time: ${words}`,
  use: (words: string) => `This one: ${words}`,
  another: 'Another container',
  medicine: 'Medicine on the label',
  strength: 'Strength on the label',
  batch: 'Batch',
  expires: 'Use by (year-month or year-month-day)',
  opened: 'First used on',
  device: 'What it is',
  devices: { vial: 'Vial', cartridge: 'Cartridge', pen: 'Pen', one_dose_pen: 'Pen for one dose', prefilled_syringe: 'Filled syringe' } as Record<string, string>,
  cover: 'Latex in the needle cover',
  covers: { not_read: 'Not read', latex: 'Yes, or it may', no_latex: 'No' } as Record<string, string>,
  saveContainer: 'Use this container',
  toGlucose: 'Measure glucose',
  glucoseWas: (words: string, when: string) => `${words} ${when}`,
  meals: { eaten: 'Has eaten', about: 'Eats now', not_eating: 'Does not eat' } as Record<string, string>,
  consents: { given: 'Agrees', refused: 'Refuses', decided_for: 'Somebody decides for them' } as Record<string, string>,
  consentWords: 'Who decides, and how',
  skins: { clear: 'Looked and felt: nothing against it', found: 'Something is there' } as Record<string, string>,
  skinWords: 'What, and where',
  second: 'Name of the second person',
  reason: 'Go on because',
  source: (text: string) => `Source: ${text}.`,
  failed: 'The checks could not be read. Do them as your policy says; recording works all the same.',
}

export const syringe = {
  title: 'In the syringe',
  choose: 'Syringe in your hand',
  none: 'Not chosen',
  shows: 'shows this dose on a line',
  failed: 'The volume could not be worked out here. Use the label and your policy.',
}

export const technique = {
  title: 'How to give it',
  shown: 'Closed once, it stays closed for this person on this device.',
  hidden: 'Hidden for this person on this device.',
  unknown: 'Not known here, and it may matter:',
  failed: 'The steps could not be read. Follow the leaflet and your policy.',
}

export const after = {
  title: 'Afterwards',
  outcomes: 'What was seen (may be left open)',
  seen: {
    fine: 'Nothing to see', bleeding: 'Bleeding', leak: 'Leaked out', bruise: 'Bruise', pain: 'Pain', lump_felt: 'Lump felt',
  } as Record<string, string>,
  disposed: 'Needle is in the sharps bin',
  doseReason: 'Why another dose?',
  doseReasonHint: 'For example: “the prescriber rang and changed it”.',
}

export const done = {
  title: 'Recorded',
  next: 'Next time',
  dueAt: (time: string, dose: string, medicine: string) => `${time}: ${dose}, ${medicine}`,
  seen: (words: string) => `Afterwards: ${words}.`,
  whom: (prescriber: string) => `Ask ${prescriber || 'the prescriber'} about the order, a lump, or values outside its limits. Drowsy or unable to swallow: call emergency services.`,
  wrong: 'Wrong? Correct it',
  map: 'See it on the body map',
  toPerson: (name: string) => `Back to ${name}`,
  toCaseload: 'To the caseload',
  another: 'Give something else',
}
