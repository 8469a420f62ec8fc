/** Words of cropping. */
import type { CropSide } from '../../state/crop'

export const cropWords = {
  start: { side: 'cut at a plane', box: 'cut to a box' },
  title: { side: 'Cut at a plane', box: 'Cut to a box' },
  goes: 'What goes',
  sides: {
    below: 'all below',
    above: 'all above',
    aft: 'all aft of',
    forward: 'all forward of',
    starboard: 'all to starboard of',
    port: 'all to port of',
  } satisfies Record<CropSide, string>,
  at: {
    below: 'Height, z',
    above: 'Height, z',
    aft: 'Place, x',
    forward: 'Place, x',
    starboard: 'Place, y',
    port: 'Place, y',
  } satisfies Record<CropSide, string>,
  clickHint: 'type it, or click the metal where the plane is to lie (P, arrow keys and Enter)',
  ends: {
    min: ['From, x', 'From, y', 'From, z'],
    max: ['To, x', 'To, y', 'To, z'],
  },
  count: (gone: string, all: string) => `${gone} of ${all} facets go; where metal is cut, the cut counts as unseen.`,
  number: 'A number is needed.',
  inside: 'The box must have a breadth: from is less than to.',
  apply: 'cut it',
  leave: 'leave it',
} as const

export const thinWords = {
  start: 'thin it',
  title: 'Thin',
  edge_mm: 'Length of an edge',
  deviation_mm: 'Largest deviation',
  hint: 'between the thinned surface and the full one, measured both ways; half of what is measured counts as noise',
  number: 'A length above 0 is needed.',
  apply: 'thin it',
  leave: 'leave it',
  done: (edge: string, deviation: string) => `thinned to edges of ${edge} mm, within ${deviation} mm`,
} as const
