/** What the check of the journal's chain says around the door's own words. */
export const journal = {
  title: 'The journal',
  hint: 'Every entry is chained to the one before it. The check finds an entry that was changed, swapped, dropped or slipped in outside Fallow.',
  check: 'Check the journal',
  checking: 'Checking…',
  lastHash: 'Hash of the last entry, to hold against a printed chart:',
  broken: 'The journal was changed',
}
