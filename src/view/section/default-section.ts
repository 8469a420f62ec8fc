/** Where the shell is cut for a spot: so that the tube under it shows round, and enough of the shell is left standing. */
import type { ClearanceResult } from '../../core/clearance/types'
import type { Point } from '../../core/geometry/axes'
import type { Mesh } from '../../core/geometry/mesh'
import type { Section } from '../../state/session-store'
import { type Chain, cutMesh } from './cut-mesh'

/** Shares of the shell that may be left standing; beyond, the drawing would show hardly any shell, or hardly a cut. */
const LEAST_STANDING = 0.3
const MOST_STANDING = 0.97

/** Through the least gap, when nobody asked for a section. */
export const defaultSection = (clearance: ClearanceResult, frame: Mesh): Section =>
  sectionThrough(clearance.certificate.at.shell, clearance.outline, frame)

export function sectionThrough(spot: Point<'job'>, outline: Float64Array, frame: Mesh): Section {
  const wishes = (['y', 'x'] as const).map((across) => {
    const at_mm = across === 'y' ? spot[1] : spot[0]
    const standing = shareStanding(outline, across, at_mm)
    const apt = standing >= LEAST_STANDING && standing <= MOST_STANDING
    const u = across === 'y' ? spot[0] : spot[1]
    return { section: { across, at_mm, spot }, apt, size: sizeAt(cutMesh(frame, { across, at_mm }), u, spot[2]) }
  })
  wishes.sort((a, b) => Number(b.apt) - Number(a.apt) || a.size - b.size)
  return wishes[0]!.section
}

/** Seen from starboard and forward, what lies to starboard or forward of the cut is taken away. */
function shareStanding(outline: Float64Array, across: 'x' | 'y', at_mm: number): number {
  let [low, high] = [Infinity, -Infinity]
  for (let i = across === 'x' ? 0 : 1; i < outline.length; i += 2) {
    low = Math.min(low, outline[i]!)
    high = Math.max(high, outline[i]!)
  }
  return across === 'x' ? (at_mm - low) / (high - low) : (high - at_mm) / (high - low)
}

/** Length of the chain that passes nearest to a point of the plane: small for a tube cut across, large for one cut along. */
function sizeAt(chains: readonly Chain[], u: number, v: number): number {
  let nearest = Infinity
  let size = Infinity
  for (const { points } of chains) {
    let [low, high] = [Infinity, -Infinity]
    let distance = Infinity
    for (let i = 0; i < points.length; i += 2) {
      low = Math.min(low, points[i]!)
      high = Math.max(high, points[i]!)
      distance = Math.min(distance, Math.hypot(points[i]! - u, points[i + 1]! - v))
    }
    if (distance >= nearest) continue
    nearest = distance
    size = high - low
  }
  return size
}
