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

export const scanWords = {
  unit: 'Unit of the file',
  unitFrom: {
    file: (unit: string, size: string) => `the file says ${unit}; longest side ${size}`,
    size: (unit: string, size: string) => `taken for ${unit} from its size; longest side ${size}. Right?`,
    job: (size: string) => `by your word; longest side ${size}`,
  },
  noise: 'Noise, 1 sigma',
  estimated: 'estimated',
  noiseEstimated: 'estimated; type what the scanner’s certificate says',
  noiseSaid: 'your word; empty: estimated',
  noiseFrom: { patches: 'from patches', tubes: 'from tubes', user: 'from your word' },
  laid: (rms: string, shared: number) => `off by ${rms} mm rms, ${shared} % shared`,
  asItStands: 'as it stands',
  layOnFirst: 'lay on the first',
  health: {
    title: 'Health',
    facets: 'facets',
    vertices: 'vertices',
    rejected: 'not usable',
    holes: 'holes',
    pieces: 'pieces',
    crossing: 'crossing edges',
    turned: 'turned edges',
    edge: 'edge, mean',
    noise: 'noise',
    area: 'area',
  },
  causes: { zeroArea: 'without area', duplicate: 'double', notFinite: 'not finite', badIndex: 'out of range' },
  welded: (corners: string) => `${corners} corners welded`,
  longestRim: (rim: string) => `longest rim ${rim}`,
  dropped: (count: number) => `${count} dropped`,
  closed: 'closed',
  open: 'open',
  repairs: 'Repairs',
  noRepairs: 'none; the scan is as it came',
  takeBack: 'take back',
  dropIslands: 'drop stray pieces',
  turnFacets: 'turn facets to agree',
  fillHoles: 'fill holes up to 60 mm of rim',
  done: {
    islands: (percent: string) => `stray pieces below ${percent} % dropped`,
    turned: 'facets turned to agree',
    filled: (rim_mm: number) => `holes up to ${rim_mm} mm of rim filled, still unseen`,
    box: 'cut to a box',
    plane: 'cut at a plane',
  },
} as const
