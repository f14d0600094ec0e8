/** Who can read the record: beginning it, unlocking it, its passphrase and recovery code, and what stays on the device. */
const minutes = (n: number) => (n === 1 ? '1 minute' : `${n} minutes`)
const seconds = (n: number) => (n === 1 ? '1 second' : n >= 120 ? `${Math.floor(n / 60)} min ${n % 60} s` : `${n} seconds`)

export const secret = {
  passphrase: 'Passphrase',
  present: 'Passphrase of today',
  fresh: 'New passphrase',
  again: 'The same once more',
  code: 'Recovery code',
  codeHint: 'Eight groups of four. Small letters, blanks and hyphens do no harm.',
  show: 'Show',
  hide: 'Hide',
  showThis: (what: string) => `Show: ${what.toLowerCase()}`,
  hideThis: (what: string) => `Hide: ${what.toLowerCase()}`,
  advice: (shortest: number) => `At least ${shortest} characters. Four words that have nothing to do with each other are good and easy to type.`,
  needIt: 'Write the passphrase.',
  needCode: 'Write the recovery code.',
  short: (shortest: number) => `That is shorter than ${shortest} characters. Add another word.`,
  different: 'The two are not the same. Write the second once more.',
}

export const unlock = {
  title: 'The record is locked',
  lead: 'Only whoever knows the passphrase can read this record.',
  unlock: 'Unlock',
  unlocking: 'Unlocking…',
  useCode: 'Use the recovery code',
  usePassphrase: 'Use the passphrase',
  wait: (s: number) => `Next try in ${seconds(s)}.`,
  waitOver: 'It can be tried again.',
  forgotten: 'Passphrase forgotten?',
  forgottenText: [
    'Look for the recovery code: a paper with eight groups of four letters and digits, written down or printed when the record was begun or later.',
    'With neither passphrase nor code nobody can open the record, and Fallow cannot either.',
  ],
  newTitle: 'Choose a new passphrase',
  newText: 'The recovery code opened the record. The passphrase of before still opens it too, until you choose another.',
  newSave: 'Change it',
  saving: 'Changing it…',
  skip: 'Not now',
  goOn: 'To the record',
}

export const begin = {
  title: 'Begin a record',
  lead: [
    'A passphrase locks what you record here, so that whoever finds or borrows this device cannot read it.',
    'You are asked for it whenever Fallow starts, and after some minutes with nobody there.',
  ],
  warning: 'A forgotten passphrase cannot be undone. Without a recovery code, which comes next, the record is then lost for everybody.',
  save: 'Begin the record',
  saving: 'Beginning…',
}

export const recovery = {
  title: 'A recovery code, on paper',
  lead: 'It opens the record when the passphrase is forgotten. It is shown once, and never again: write it down or print it, and keep it apart from this device.',
  make: 'Show me the code',
  making: 'Making it…',
  later: 'Not now',
  laterHint: 'You can make one at any time under “Practice and about”.',
  shown: 'The recovery code',
  sheetTitle: 'Recovery code of a Fallow record',
  sheetFor: 'Opens the record if its passphrase is forgotten. Whoever holds this paper can read the record: keep it in a safe place, apart from the device.',
  sheetMade: (date: string) => `Made on ${date}. A code made later replaces it.`,
  print: 'Print',
  written: 'I have written it down',
}

export const idle = {
  soon: (s: number) => `Fallow locks in ${seconds(s)}`,
  why: 'Nobody has done anything for a while.',
  stay: 'Stay',
}

export const guard = {
  lock: 'Lock',
  lockFault: 'It could not be locked',
  title: 'Who can read this record',
  protected: 'It is encrypted. Only whoever knows its passphrase, or holds its recovery code, can read it.',
  codeMade: 'A recovery code was made.',
  noCode: 'No recovery code was made: if the passphrase is forgotten, the record is lost.',
  plain: 'It is not protected. Whoever gets at this device, or at its disk, can read everything.',
  plainBanner: 'This record is not protected: whoever gets at this device can read it.',
  toProtect: 'Protect it',
  demo: 'Made-up people are not protected: they are thrown away when Fallow ends.',
  idle: 'Lock when nobody is there for',
  after: minutes,
  saved: 'Saved.',
  change: 'Change the passphrase',
  changing: 'Changing it…',
  code: 'Make a recovery code',
  codeAgain: 'Make another recovery code',
  codeHint: 'It replaces the one before, which no longer opens this record.',
  codeFirst: 'It opens the record when the passphrase is forgotten. It is shown once.',
  protect: 'Protect it with a passphrase',
  protectDo: 'Encrypt the record',
  protecting: 'Encrypting it…',
}

export const writers = {
  title: 'Who writes',
  pinOf: (name: string) => `PIN of ${name}`,
  none: 'Nobody has a PIN.',
  confirmed: 'PIN given',
  unconfirmed: 'PIN not given yet',
  give: 'Give a name a PIN',
  name: 'Name, as it stands in entries',
  present: 'PIN of today',
  fresh: 'New PIN',
  pinHint: '4 to 12 digits',
  set: 'Give this PIN',
  change: 'Change the PIN',
  changeOf: (name: string) => `Change or take away the PIN of ${name}`,
  changeShort: 'Change or take away',
  remove: 'Take the PIN away',
  removed: (name: string) => `${name} has no PIN any more.`,
  given: (name: string) => `${name} has a PIN now.`,
  confirm: 'Confirm',
  confirming: 'Confirming…',
  without: 'It can be saved without. The entry then says that the PIN was not given.',
  isConfirmed: 'The PIN was given.',
  byPin: 'by PIN',
  noPin: 'PIN not given',
  needName: 'Write the name.',
  needPin: 'Write the PIN.',
}

/** Whether the PIN of who wrote an entry was given; nothing where that name has none. */
export const pinWords = (confirmed: boolean | null): string | null => (confirmed === null ? null : confirmed ? writers.byPin : writers.noPin)

export const privacy = {
  title: 'What is kept, and who can read it',
  lines: [
    'Kept on this device: the people, their orders, injections, skin and notes, in one file in Fallow’s own folder. Nothing is sent anywhere; Fallow uses no network.',
    'Who can read it: whoever knows the passphrase or holds the recovery code, and whoever stands before the device while it is unlocked. Lock it when you go.',
    'It leaves the device only when you ask: the chart as a file or on paper, and copies of the record where you choose another folder for them. A chart can be read by anybody who gets it.',
    'Copies of the record are encrypted too. One that was taken elsewhere opens by the passphrase it had then. One of a record that had no passphrase can be read by anybody.',
    'A forgotten passphrase: the recovery code opens the record. Without both nobody can open it, and Fallow cannot either.',
    'Notifications and the title of the window name nobody.',
  ],
}
