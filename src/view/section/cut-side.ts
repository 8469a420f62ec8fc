/** The side of a section that is taken away is the one towards the eye, so that one looks at the cut face. */
import { Plane } from 'three'
import type { Basis, Vec3 } from '../camera/eye'
import type { SectionPlane } from './cut-mesh'

export interface Cut {
  readonly section: SectionPlane
  /** What is kept. Its normal points into the kept half. */
  readonly kept: Plane
  /** What is taken away. */
  readonly taken: Plane
}

export function makeCut(section: SectionPlane, basis: Basis): Cut {
  const cut: Cut = { section, kept: new Plane(), taken: new Plane() }
  // Straight from above neither side is nearer: starboard and forward are taken away.
  place(cut, section.across === 'x' ? -1 : 1)
  turnCut(cut, basis)
  return cut
}

/** Follows the eye. Seen nearly along the plane it stays as it was. Returns whether it changed sides. */
export function turnCut(cut: Cut, basis: Basis): boolean {
  const towards = basis.back[axisOf(cut.section)]
  if (Math.abs(towards) < 0.06) return false
  const keep = towards > 0 ? -1 : 1
  if (keep === cut.kept.normal.getComponent(axisOf(cut.section))) return false
  place(cut, keep)
  return true
}

export const isKept = (cut: Cut | null, at: Vec3): boolean =>
  cut === null || cut.kept.normal.x * at[0] + cut.kept.normal.y * at[1] + cut.kept.constant >= 0

function place(cut: Cut, keep: 1 | -1): void {
  const axis = axisOf(cut.section)
  cut.kept.normal.set(0, 0, 0).setComponent(axis, keep)
  cut.kept.constant = -keep * cut.section.at_mm
  cut.taken.copy(cut.kept).negate()
}

const axisOf = (section: SectionPlane): 0 | 1 => (section.across === 'x' ? 0 : 1)
