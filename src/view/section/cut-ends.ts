import type { Mesh } from '../../core/geometry/mesh'
import type { Vec3 } from '../camera/eye'
import { cutMesh, type SectionPlane } from './cut-mesh'

/** The two outermost points of a shell's section, along the plane. Null where the plane misses the shell. */
export function cutEndsOf(face: Mesh, section: SectionPlane): [Vec3, Vec3] | null {
  let low = [Infinity, 0]
  let high = [-Infinity, 0]
  for (const { points } of cutMesh(face, section))
    for (let i = 0; i < points.length; i += 2) {
      const at = [points[i]!, points[i + 1]!]
      if (at[0]! < low[0]!) low = at
      if (at[0]! > high[0]!) high = at
    }
  if (low[0]! > high[0]!) return null
  const inSpace = ([u, v]: number[]): Vec3 =>
    section.across === 'x' ? [section.at_mm, u!, v!] : [u!, section.at_mm, v!]
  return [inSpace(low), inSpace(high)]
}
