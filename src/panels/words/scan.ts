/** Words of the scan and datum slips that are made by picking on the drawing. */
import type { PickGroup } from '../../state/datum-picks'

const KEYS = 'or P, arrow keys and Enter; Esc leaves it.'

export const datumWords = {
  byHand: 'By hand',
  hint: 'What is picked on the metal takes the place of what was found; the rest stays as found.',
  groups: { level: 'level', pairs: 'centreline', forward: 'forward' } satisfies Record<PickGroup, string>,
  ask: { level: 'pick three places', pairs: 'pick a pair', forward: 'pick aft, then forward' } satisfies Record<
    PickGroup,
    string
  >,
  again: 'pick anew',
  next: {
    level: (n: number) => `Place ${n + 1} of 3 that lie level: click the metal, ${KEYS}`,
    pairs: (n: number) =>
      n === 0 ? `A spot on port: click the metal, ${KEYS}` : `The same spot on starboard: click the metal, ${KEYS}`,
    forward: (n: number) =>
      n === 0 ? `A place aft: click the metal, ${KEYS}` : `A place forward of it: click the metal, ${KEYS}`,
  } satisfies Record<PickGroup, (n: number) => string>,
  leave: 'leave it',
  takeBack: 'take back',
  found: 'as found',
  level: (off: string | null) => (off === null ? '3 places' : `3 places, ${off} off their plane`),
  pairs: (count: number) => (count === 1 ? '1 pair' : `${count} pairs`),
  pair: (number: number) => `pair ${number}`,
  pairLeft: (plan: string, up: string) => `${plan} off, port ${up} higher`,
  forward: (off: string | null) => (off === null ? 'picked' : `picked, ${off} off the centreline`),
} as const

export const layWords = {
  title: (moving: string, standing: string) => `${moving} on ${standing}`,
  next: `Both stand beside each other, each as it came. Click a spot on either, then the same spot on the other, ${KEYS}`,
  other: (name: string, number: number) => `Now the same spot on ${name}, for pair ${number}.`,
  pair: (number: number) => `pair ${number}`,
  more: (count: number) => (count === 1 ? 'One more pair is needed.' : `${count} more pairs are needed.`),
  left: (rms: string) => `The pairs leave ${rms} rms; the surfaces are then matched from there.`,
  use: 'lay it by these pairs',
  leave: 'leave it',
  takeBack: 'take back',
  pick: 'pick pairs',
  add: 'add a scan of the same frame',
  instead: 'take another scan instead',
  takeOut: 'take out',
} as const
