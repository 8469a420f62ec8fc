/** Words of the clearance slip: outline, shape, shells from files. */
import type { ShellRole } from '../../core/job'

export const fairnessWords = {
  label: 'Fairness',
  radius: (radius: string) => `radius ${radius}`,
  close: 'drapes close',
  fair: 'fair',
} as const

export const outlineWords = {
  label: 'Outline in plan',
  silhouette: 'by the frame',
  polygon: 'as drawn',
  drawn: (count: number, mirrored: boolean) => `${count} points${mirrored ? ' to port, mirrored' : ''}`,
  none: 'the frame seen from above, with gap and overhang',
  where: 'a DXF stays where it was drawn, x forward; an SVG is laid over the middle of the top',
  take: 'take it from a drawing, DXF or SVG',
  start: 'draw it, beginning with the one by the frame',
  started: 'drawn after the one by the frame',
  waits: 'as soon as there is an outline to begin with',
  points: 'Points of the outline',
  point: (number: number, count: number) => `point ${number} of ${count}`,
  before: 'the one before',
  after: 'the next one',
  add: 'add a point behind it',
  added: 'point added',
  changed: (number: number) => `point ${number} changed`,
  gone: (number: number) => `point ${number} taken away`,
  x: 'Forward, x',
  y: 'To port, y',
  radius: 'Radius',
  radiusHint: '0: the least radius',
  hand: 'on the drawing: drag a point, press + for another, Delete to take one away',
} as const

/** Of a list of named things. */
export const listWords = {
  name: 'Name',
  added: (name: string) => `${name} added`,
  changed: (name: string) => `${name} changed`,
  gone: (name: string) => `${name} taken away`,
  away: 'take it away',
} as const

export const shapeWords = {
  regions: (count: number) =>
    count === 0
      ? 'Gaps of its own for a region'
      : `${count} region${count > 1 ? 's' : ''} with ${count > 1 ? 'their' : 'its'} own gap`,
  regionsHint: 'metal inside the box asks for its own gap; of two that overlap the later one holds',
  region: (n: number) => `region ${n}`,
  addRegion: 'add a region about the closest place',
  regionGap: 'Gap there',
  noMetal: 'no metal in the box',
  farOff: 'nothing of the surface within 1 m',
  measured: (least: string) => `${least} measured`,
  allowance: 'allowance',
  laminate: 'Allowance for laminate',
  laminateHint: 'kept beyond every gap',
  shrinkage: 'Shrinkage, %',
  shrinkageHint: 'of the part against its mould, about the middle of the plan',
  water: 'Rain on the topside',
  level: 'level',
  dry: 'none stands',
  ponds: (count: number, area: string, depth: string) => `${count} pond${count > 1 ? 's' : ''}, ${area}, ${depth} deep`,
  trim: (n: number) => `trim ${n}`,
  addTrim: 'look at another trim',
  bosses: (count: number) =>
    count === 0
      ? 'Bosses over metal that stands proud'
      : `${count} boss${count > 1 ? 'es' : ''} over metal that stands proud`,
  bossesHint:
    'metal in the circle is cleared by a rise of its own instead of lifting the whole sheet; a symmetric top has it on both sides',
  boss: (n: number) => `boss ${n}`,
  addBoss: 'add a boss over the closest place',
  bossAt: ['Middle, x', 'Middle, y'],
  bossRadius: 'Radius in plan',
  bossDraft: 'Draft of its wall',
  rises: (by: string) => `rises ${by} above the sheet`,
  lands: 'Landing strips on bearing tubes',
  noLands: 'none',
  flat: 'flat',
  saddle: 'round about the tube',
  landsHint: 'the inner surface comes down on to the tubes marked as bearing, so that the bedding is even',
  landsChanged: 'landing strips',
  landWidth: 'Width of a strip',
  landDraft: 'Draft of its sides',
  bearing: 'Gap along the bearing tubes',
  notUnder: 'no surface within 100 mm',
  bedding: (asked: string, least: string, mean: string, largest: string) =>
    `${asked} asked; ${least} least, ${mean} mean, ${largest} largest`,
  curve: (name: string) => `gap along ${name}`,
} as const

export const shellsWords = {
  heading: 'Shells from a file',
  drawn: 'drawn here',
  take: (role: ShellRole) => `take a mesh as the ${role}`,
  again: 'draw it again',
  checked: 'as it came',
  axes: (role: ShellRole) => `Axes of the ${role}`,
  jobAxes: 'those of the job',
  scanAxes: 'those of the scan’s file',
  unit: (role: ShellRole) => `Unit of the ${role}`,
  way: 'The way on to the frame',
  down: 'straight down',
  approach: 'along the approach',
  free: (left: string) => `free, ${left} left`,
  clear: 'free, nothing lies over it',
  touches: (above: string) => `touches ${above} above its seat`,
  fromAhead: 'Approach from ahead',
  fromPort: 'Approach from port',
  none: 'none',
  leans: 'how far the way leans; empty: not tried',
  hold: 'Hold it off its seat',
  exact: 'measured along the straight way alone; turning it on the way is not tried',
} as const

export const clearanceWords = {
  few: { gap_mm: 'Gap to the frame', skirt_mm: 'Skirt depth', draft_deg: 'Draft', minRadius_mm: 'Least radius' },
  more: 'Fourteen more',
  symmetric: 'One symmetric top',
  symmetries: { yes: 'yes, over the frame and its mirror image', no: 'no, over the frame as it is' },
  joint: 'Joint of the shells',
  joints: { shoebox: 'shoebox', flat: 'flat flange' },
  hints: {
    gap_mm: 'each tube can have its own',
    overhang_mm: 'outside gap and silhouette',
    edgeRadius_mm: 'between crown and skirt',
    flange_mm: 'where the joint is made',
    cavity_mm: 'least height between the shells',
    tautness: '0 a thin plate, 1 a taut membrane',
    camberAlong_mm: 'radius; 0 adds none',
    camberAcross_mm: 'radius; 0 adds none',
    sample_mm: 'finer takes longer',
    coverage: 'times the scan’s noise is kept as a guard',
  },
} as const
