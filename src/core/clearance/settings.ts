import { Refused } from '../geometry/trouble'
import { checkShape, SHAPE_DEFAULTS } from './shape-settings'
import type { ClearanceSettings } from './types'

/** What a job that says nothing about clearance gets. Draft: common practice for laid-up parts is 3° and more. */
export const CLEARANCE_DEFAULTS: ClearanceSettings = {
  gap_mm: 12,
  symmetric: true,
  draft_deg: 3,
  skirt_mm: 45,
  overhang_mm: 0,
  minRadius_mm: 12,
  edgeRadius_mm: 20,
  flange_mm: 25,
  fairRadius_mm: 2500,
  tautness: 0,
  camberAlong_mm: 0,
  camberAcross_mm: 0,
  sample_mm: 4,
  underside_mm: 4,
  topside_mm: 5,
  cavity_mm: 30,
  bond_mm: 2,
  coverage: 2,
  joint: 'shoebox',
  ...SHAPE_DEFAULTS,
}

/** Least and largest value of every number; a camber of 0 means none and is let through apart. */
const RANGES: { readonly [K in keyof ClearanceSettings]?: readonly [number, number, string] } = {
  gap_mm: [0, 100, 'mm'],
  draft_deg: [0.5, 20, '°'],
  skirt_mm: [10, 400, 'mm'],
  overhang_mm: [0, 300, 'mm'],
  minRadius_mm: [1, 100, 'mm'],
  edgeRadius_mm: [3, 120, 'mm'],
  flange_mm: [2, 150, 'mm'],
  fairRadius_mm: [200, 100_000, 'mm'],
  tautness: [0, 1, ''],
  camberAlong_mm: [1500, 1_000_000, 'mm'],
  camberAcross_mm: [1500, 1_000_000, 'mm'],
  sample_mm: [2, 20, 'mm'],
  underside_mm: [1, 40, 'mm'],
  topside_mm: [1, 40, 'mm'],
  cavity_mm: [0, 400, 'mm'],
  bond_mm: [0.5, 20, 'mm'],
  coverage: [0, 5, ''],
}

const MAY_BE_ZERO: ReadonlySet<string> = new Set(['camberAlong_mm', 'camberAcross_mm'])

/**
 * @throws Refused `setting-impossible` naming the first setting out of range, or a skirt too short for the radii it has to hold
 */
export function checkSettings(settings: ClearanceSettings): void {
  for (const [key, [least, largest, unit]] of Object.entries(RANGES)) {
    const value = settings[key as keyof ClearanceSettings]
    if (value === 0 && MAY_BE_ZERO.has(key)) continue
    if (typeof value !== 'number' || !(value >= least && value <= largest))
      throw new Refused(
        'setting-impossible',
        `clearance: ${key} is ${Number.isFinite(value) ? String(value) : 'no number'}, it must be between ${least} and ${largest}${unit ? ` ${unit}` : ''}.`,
      )
  }
  if (settings.edgeRadius_mm < settings.minRadius_mm)
    throw new Refused(
      'setting-impossible',
      `clearance: edgeRadius_mm ${settings.edgeRadius_mm} is below the least radius minRadius_mm ${settings.minRadius_mm}; raise the one or lower the other.`,
    )
  checkShape(settings)
  const fold = foldRadius_mm(settings)
  if (settings.skirt_mm < fold + 5)
    throw new Refused(
      'setting-impossible',
      `clearance: a skirt of ${settings.skirt_mm} mm cannot hold the ${fold} mm fillet to the flange; make it at least ${Math.ceil(fold + 5)} mm, or lower minRadius_mm.`,
    )
}

/**
 * Radius of the underside's fold from skirt to flange. The outermost shell at the joint is the concave one there, so with a
 * flat joint the underside carries the least radius plus everything that lies between it and the topside's moulded face.
 */
export function foldRadius_mm(settings: ClearanceSettings): number {
  const { minRadius_mm, underside_mm, topside_mm, bond_mm, joint } = settings
  return joint === 'flat'
    ? minRadius_mm + underside_mm + bond_mm + topside_mm
    : Math.max(minRadius_mm, underside_mm + 2)
}
