/** The side of a section that is taken away is the one towards the eye, so that one looks at the cut face. */
import { Plane } from 'three'
import type { Mesh } from '../../core/geometry/mesh'
import type { Basis, Vec3 } from '../camera/eye'
import type { SectionPlane } from './cut-mesh'

export interface Cut {
  readonly section: SectionPlane
  /** What is kept. Its normal points into the kept half. */
  readonly kept: Plane
  /** What is taken away. */
  readonly taken: Plane
  /** Share of the part on the side of larger coordinates, 0…1. */
  readonly beyond: number
}

/** A cut may take away so much of the part that it is still a part. */
const LEAST_KEPT = 0.28

export function makeCut(section: SectionPlane, basis: Basis, beyond: number): Cut {
  const cut: Cut = { section, kept: new Plane(), taken: new Plane(), beyond }
  // Straight from above neither side is nearer: starboard and forward are taken away.
  const first = section.across === 'x' ? -1 : 1
  place(cut, enough(cut, first) ? first : (-first as 1 | -1))
  turnCut(cut, basis)
  return cut
}

/** Follows the eye. Seen nearly along the plane it stays as it was. Returns whether it changed sides. */
export function turnCut(cut: Cut, basis: Basis): boolean {
  const towards = basis.back[axisOf(cut.section)]
  if (Math.abs(towards) < 0.06) return false
  const keep = towards > 0 ? -1 : 1
  if (keep === cut.kept.normal.getComponent(axisOf(cut.section)) || !enough(cut, keep)) return false
  place(cut, keep)
  return true
}

/** Share of a mesh's vertices that lie beyond the plane: near enough to tell a slice from a part. */
export function shareBeyond({ positions, origin }: Mesh, section: SectionPlane): number {
  const axis = axisOf(section)
  const at = section.at_mm - origin[axis]!
  let beyond = 0
  for (let i = axis; i < positions.length; i += 3) if (positions[i]! > at) beyond++
  return beyond / Math.max(positions.length / 3, 1)
}

export const isKept = (cut: Cut | null, at: Vec3): boolean =>
  cut === null || cut.kept.normal.x * at[0] + cut.kept.normal.y * at[1] + cut.kept.constant >= 0

const enough = (cut: Cut, keep: 1 | -1): boolean => (keep > 0 ? cut.beyond : 1 - cut.beyond) >= LEAST_KEPT

function place(cut: Cut, keep: 1 | -1): void {
  const axis = axisOf(cut.section)
  cut.kept.normal.set(0, 0, 0).setComponent(axis, keep)
  cut.kept.constant = -keep * cut.section.at_mm
  cut.taken.copy(cut.kept).negate()
}

const axisOf = (section: SectionPlane): 0 | 1 => (section.across === 'x' ? 0 : 1)
