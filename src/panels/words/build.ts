/** Words of the build slip: plies, zones, filling, flat pieces. */
import type { PlyZone } from '../../core/build-plan/types'
import type { PlacedKind } from '../../state/placing'

export const buildWords = {
  process: 'Laminated by',
  processes: { infusion: 'infusion', hand: 'hand' },
  resin: 'Resin',
  resinHint: 'starting values; put your data sheet’s in their place',
  inlet: 'Resin is fed from',
  shop: 'Temperature of the shop, °C',
  gelcoat: 'Gelcoat',
  gelcoatHint: '0.4 to 0.8 mm is usual',
  whole: 'whole top',
  weight: 'weight',
  centre: ['forward of the origin', 'to port', 'up'],
  plies: (layers: number, what: string) => `${layers} × ${what}`,
  resinMass: 'resin',
  thickness: 'thickness',
  instead: { hand: 'by hand instead', infusion: 'infused instead' },
  joint: 'joint',
  gap: 'gap',
  gaps: (least: string, largest: string) => `${least} to ${largest}`,
  bonded: 'bonded',
  paste: 'paste',
  putty: 'putty',
  litres: (volume: string) => `${volume} l`,
  bead: 'bead, leg',
  work: 'working time',
  minutes: (count: string) => `${count} min`,
  bags: 'bags to weigh it down',
  order: 'to order',
  cost: 'materials, at invented rates',
  traveller: 'print the traveller',
  caution:
    'Resins, hardeners and paste burn and harm: ventilate, gloves, eye protection, no sparks. Whether the laminate is strong enough is for a qualified designer (ISO 12215-5 is the place to look).',
} as const

export const plyWords = { fabric: 'fabric', layers: 'layers' } as const

export const buildMoreWords = {
  zones: 'zones with more plies',
  none: 'the same plies everywhere',
  add: 'more plies:',
  kinds: {
    fittings: 'under fittings',
    edge: 'edge',
    flange: 'flange',
    skirt: 'skirt',
    crown: 'crown',
    box: 'in a box',
  } satisfies Record<PlyZone['kind'], string>,
  remove: 'take off',
  margin: 'round the bases',
  insert: 'in place of the core',
  core: 'the core stays',
  corners: ['aft', 'forward', 'starboard', 'port', 'low', 'high'],
  spans: 'how far it gives, for orientation',
  over: (span: string) => `over ${span}`,
  beyond: 'more than the formula can tell',
  spanCaution:
    'A strip between what carries it. Scantlings are for a qualified designer and the rules that apply; ISO 12215-5 is the place to look.',
  cure: 'cure clock',
  start: 'gelcoat laid at',
  startHint: 'as 2026-11-25T08:00; empty: hours only',
  startRefused: 'Not a date and time: write it as 2026-11-25T08:00, or leave it empty.',
  cureCaution: 'Times at 20 °C are common practice, no source; the data sheet of the resin decides.',
  hours: (from: string, to: string) => `${from} to ${to} h`,
  hour: 'hours after the gelcoat',
} as const

export const fillingWords = {
  head: (shell: string) => `filling of the ${shell}`,
  show: 'show on the sheet',
  shown: 'on the sheet',
  compare: 'from elsewhere',
  use: 'use',
  used: 'in use',
  pocket: (area: string) => `, ${area} cut off`,
  placed: 'placed by hand',
  nothing: 'nothing placed: the quickest layout feeds',
  mouth: 'radius of its mouth',
  add: 'place on the sheet:',
  kinds: { point: 'a point', line: 'a line', ring: 'a ring', vent: 'a vent' } satisfies Record<PlacedKind, string>,
  goOn: {
    point: 'Click the shell where the inlet stands.',
    vent: 'Click the shell where the vent stands.',
    line: 'Click along the shell; at least two places, then done.',
    ring: 'Click round; at least three places, then done.',
  } satisfies Record<PlacedKind, string>,
  done: 'done',
  cancel: 'cancel',
  remove: 'take off',
  addTyped: 'place at x, y',
  entry: (kind: PlacedKind, n: number, x: string, y: string) =>
    n > 1 ? `${kind}, ${n} places from ${x} forward, ${y} to port` : `${kind}, ${x} forward, ${y} to port`,
} as const

export const buildSettingWords = {
  summary: 'Plies, core, bag, joint and rates',
  plies: (shell: string) => `plies of the ${shell}, from the mould outwards`,
  addPly: 'one more fabric',
  removePly: 'take this fabric out',
  core: 'core under the crown',
  noCore: 'none',
  coreThickness: 'core, thick',
  bag: 'laying and bag',
  medium: 'flow medium over the crown',
  mediumYes: 'laid',
  mediumNo: 'left out',
  joint: 'joint',
  rates: 'rates',
  ratesHint: 'Invented figures for show: put your own in their place.',
  plain: {
    bag_mbar: 'Left in the bag, mbar absolute',
    waste: 'Ordered over what is laid, share',
    panelLoad_Pa: 'Even load for the span check, Pa',
    pasteWork_min: 'Paste can be worked at 25 °C, min',
    clamp_Pa: 'Pressure wanted on the joint, Pa',
    bag_kg: 'One bag of weight, kg',
  },
  length: {
    feedBore_mm: 'Bore of the feed lines',
    dropOff_mm: 'Each ply of a zone reaches further by',
    rollWidth_mm: 'Width of the fabric roll',
  },
  rate: {
    fabric_kg: 'Fabric, per kg',
    resin_kg: 'Resin, per kg',
    gelcoat_kg: 'Gelcoat, per kg',
    core_m2: 'Core, per m²',
    paste_kg: 'Paste, per kg',
  },
} as const

export const flatWords = {
  head: 'pieces laid flat',
  of: (shell: string) => `of the ${shell}`,
  gives: (percent: string, flat: boolean) => `gives ${percent} %${flat ? '' : ', not flat'}`,
  roll: (metres: string) => `${metres} m of roll`,
  hint: 'What 95 % of a piece must stretch or shrink to lie on the mould. Over 2 % it is not drawn: cut it on the mould. Roll by area alone, waste included.',
} as const
