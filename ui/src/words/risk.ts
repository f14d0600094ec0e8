/** What the risk factors say. Names, figures and sources come from the door. */
export const risk = {
  title: 'Risk factors',
  lead: 'What was found to go with lumps under the skin, one by one.',
  alone: 'Each stands by itself. They are never added up, and none of them says that there is a lump.',
  hands: 'A lump is found by hands: feel the skin, or have it felt at the next visit.',
  team: 'Ask your team before you change anything because of this list.',
  period: 'Looked at',
  weeks: (n: number) => `${n} weeks`,
  figure: 'On this record',
  helps: 'What helps',
  published: 'What was published',
  odds: (words: string) => `Odds ratio ${words}`,
  noOdds: 'No odds ratio is published that we know of.',
  nothing: 'Nothing is published about it that we know of.',
  source: 'Source',
  about: 'What an odds ratio is',
  aboutText:
    'It compares people with a factor to people without it. Above 1, lumps were found more often with it; below 1, less often. The numbers in brackets are the range the true figure probably lies in. It is about the people of a study and says nothing certain about one person.',
  none: 'There are no factors to list.',
}
