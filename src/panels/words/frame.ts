/** Words of the frame slip. */
export const frameWords = {
  none: 'no tubes yet',
  roles:
    'A bearing tube carries the top on its bond line; a clear one keeps the gap. The certificate is always measured on the scan itself.',
  columns: { name: 'tube', diameter: 'Ø', length: 'long', bow: 'bow', rms: 'rms', joins: 'joins' },
  caption: (unit: string) => `tubes, lengths in ${unit}`,
  ring: 'ring',
  bent: 'bent',
  bearing: 'bearing',
  ownGap: (gap: string) => `gap ${gap}`,
  round: 'Section: round.',
  notRound: 'Section: not round; do not use the diameter.',
  sections: { oval: 'oval', square: 'square' },
  section: (kind: string, sides: string, corner: string | null) =>
    `Section: ${kind}, ${sides}${corner === null ? '' : `, corners of ${corner}`}.`,
  joins: 'Joins',
  free: 'Joins no other tube.',
  stands: (plates: string) => `Stands on ${plates}.`,
  coverage: (percent: number) => `Seen over ${percent} % of its girth.`,
  fly: 'look at it',
  plates: (count: number) => `${count} flat ${count === 1 ? 'plate' : 'plates'} besides`,
  top: 'The top',
  clears: 'clears it',
  bears: 'bears on it',
  gap: 'Gap of its own',
  bondLine: 'bond line',
  jobs: 'the job’s',
  name: 'Name',
  pitch: 'Fasteners every',
  noPitch: 'none',
  from: 'First from the end',
  evenly: 'evenly',
  hole: 'Hole, Ø',
  fastenersHint: (count: number) =>
    `${count} down on to its crest, counted from the forward end (the port one, where both lie alike). Marked in the drill list and the trim template.`,
  fastenersCare:
    'Before drilling make sure that no wire, pipe or fuel runs in the tube or behind it. Holes weaken it: ask whoever answers for the frame.',
} as const
