/** Words of keys, revisions and remarks. */
/** Words of keys and revisions. */
export const releaseWords = {
  keyOffer: 'Signatures may be sealed with a key of one’s own: drop its file here, or make one for',
  keyName: 'name for a new key',
  keyMake: 'Make a key',
  keyOpen: (name: string, fingerprint: string) =>
    `The key ${fingerprint} of ${name} is open: signatures in that name are sealed with it.`,
  revisions: 'Releases so far',
  sinceLast: 'Since then',
  sinceBefore: 'Against the one before',
  nothing: 'nothing has moved',
  showMoved: 'show on the sheet how far the shells have moved',
  none: 'None was written yet.',
} as const

export const remarkWords = {
  title: 'remarks',
  none: 'nobody has said anything yet',
  take: 'take in remarks from the owner’s copy',
  point: 'pin it to a place',
  pointHint: 'Click the place on the drawing, or P, arrow keys and Enter; Esc leaves it.',
  pointNot: 'leave it',
  noPlace: 'no place',
  place: 'Place, mm',
  placeHint: 'forward, to port, up; empty: none',
  notPlace: 'Not a place: 1200, 640, -90 is.',
  move: 'its place',
  movePoint: 'point at it anew',
  done: 'done',
  at: (place: string) => `at ${place}`,
  author: 'Your name',
  text: 'Remark',
  about: (name: string) => `about the ${name}`,
  add: 'add the remark',
  settle: 'settled',
  reopen: 'open again',
  remove: 'take away',
} as const
