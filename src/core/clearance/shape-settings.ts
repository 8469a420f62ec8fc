import { Refused } from '../geometry/trouble'
import type { GapRegion, ShapeSettings } from './shape-types'

/** What a job that says nothing about them gets: nothing out of the way. */
export const SHAPE_DEFAULTS: ShapeSettings = {
  outline: { from: 'silhouette' },
  regions: [],
  allowance: { laminate_mm: 0, shrinkage_percent: 0 },
  trims: [],
  bosses: [],
  lands: { kind: 'none', width_mm: 40, draft_deg: 45 },
}

/** @throws Refused `setting-impossible` naming the first region or allowance that cannot be */
export function checkShape({ regions, allowance }: ShapeSettings): void {
  for (const region of regions) checkRegion(region)
  const { laminate_mm, shrinkage_percent } = allowance
  if (!(laminate_mm >= 0 && laminate_mm <= 50 && shrinkage_percent >= 0 && shrinkage_percent <= 5))
    throw new Refused(
      'setting-impossible',
      `clearance: an allowance of ${laminate_mm} mm and ${shrinkage_percent} % cannot be kept; give 0 to 50 mm for the laminate and 0 to 5 % of shrinkage.`,
    )
}

function checkRegion({ name, min_mm, max_mm, gap_mm }: GapRegion): void {
  if (!(gap_mm >= 0 && gap_mm <= 100))
    throw new Refused(
      'setting-impossible',
      `clearance: the gap of the region “${name}” is ${gap_mm}, it must be between 0 and 100 mm.`,
    )
  const axis = [0, 1, 2].find((k) => !(min_mm[k]! < max_mm[k]!))
  if (axis !== undefined)
    throw new Refused(
      'setting-impossible',
      `clearance: the region “${name}” has no extent along ${'xyz'[axis]}; give it a lower and a higher ${'xyz'[axis]}.`,
    )
}
