/**
 * The normals of a mesh gathered into cells of the sphere: how much area faces away from a direction, without asking every
 * facet again for each of a thousand directions.
 */

import { BLOCK, type Steps } from '../geometry/kernel'
import type { FacetShape } from '../geometry/measure'
import { square } from '../geometry/portable-math'

/** Cells along each side of the octahedron unfolded into a square: about 0.7 degrees. */
const SIDE_CELLS = 192

export interface NormalBins {
  /** Mean unit normal of each used cell, three per cell, its area (mm2), and how far its normals stray from it (length). */
  readonly normal: Float64Array
  readonly area_mm2: Float64Array
  readonly stray: Float64Array
}

export function* normalBins({ normals, areas_mm2 }: FacetShape): Steps<NormalBins> {
  const facets = areas_mm2.length
  const cellOf = new Int32Array(facets).fill(-1)
  const number = new Int32Array(SIDE_CELLS * SIDE_CELLS).fill(-1)
  let count = 0
  for (let f = 0; f < facets; f++) {
    const x = normals[3 * f]!
    const y = normals[3 * f + 1]!
    const z = normals[3 * f + 2]!
    const sum = Math.abs(x) + Math.abs(y) + Math.abs(z)
    if (!(sum > 0)) continue
    let s = x / sum
    let t = y / sum
    // The lower half is folded out over the corners.
    if (z < 0) {
      const fold = (1 - Math.abs(t)) * (s < 0 ? -1 : 1)
      t = (1 - Math.abs(s)) * (t < 0 ? -1 : 1)
      s = fold
    }
    const i = Math.min(SIDE_CELLS - 1, Math.floor(((s + 1) / 2) * SIDE_CELLS))
    const j = Math.min(SIDE_CELLS - 1, Math.floor(((t + 1) / 2) * SIDE_CELLS))
    const cell = j * SIDE_CELLS + i
    if (number[cell]! < 0) number[cell] = count++
    cellOf[f] = number[cell]!
    if (f % (4 * BLOCK) === 0) yield (0.5 * f) / facets
  }
  const normal = new Float64Array(3 * count)
  const area = new Float64Array(count)
  const stray = new Float64Array(count)
  for (let f = 0; f < facets; f++) {
    const c = cellOf[f]!
    if (c < 0) continue
    const a = areas_mm2[f]!
    area[c]! += a
    for (let k = 0; k < 3; k++) normal[3 * c + k]! += a * normals[3 * f + k]!
  }
  for (let c = 0; c < count; c++) {
    const length = Math.sqrt(square(normal[3 * c]!) + square(normal[3 * c + 1]!) + square(normal[3 * c + 2]!))
    if (length > 0) for (let k = 0; k < 3; k++) normal[3 * c + k]! /= length
  }
  yield 0.8
  for (let f = 0; f < facets; f++) {
    const c = cellOf[f]!
    if (c < 0) continue
    const dx = normals[3 * f]! - normal[3 * c]!
    const dy = normals[3 * f + 1]! - normal[3 * c + 1]!
    const dz = normals[3 * f + 2]! - normal[3 * c + 2]!
    stray[c] = Math.max(stray[c]!, Math.sqrt(dx * dx + dy * dy + dz * dz))
  }
  return { normal, area_mm2: area, stray }
}

/** Area that certainly faces away from a unit direction, mm2: cells that lie wholly behind it. Never more than the true area. */
export function facingAway(bins: NormalBins, x: number, y: number, z: number): number {
  const { normal, area_mm2, stray } = bins
  let sum = 0
  for (let c = 0; c < area_mm2.length; c++) {
    const s = normal[3 * c]! * x + normal[3 * c + 1]! * y + normal[3 * c + 2]! * z
    // A wall that rounding may put on either side is not counted.
    if (s < -stray[c]! - 1e-5) sum += area_mm2[c]!
  }
  return sum
}
