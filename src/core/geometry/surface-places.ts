import { BLOCK, type Steps, within } from './kernel'
import { facetShape } from './measure'
import type { Mesh } from './mesh'
import { seededRandom } from './seeded-random'

/** Places on facets, evenly by area. */
export interface SurfacePlaces {
  /** mm with the mesh's origin added, three per place. */
  readonly points: Float64Array
  /** Unit normal of the facet, three per place. */
  readonly normals: Float32Array
}

/**
 * Draws `count` places on the facets of a mesh, one from each of `count` equal slices of its running area.
 *
 * Places on facets, not vertices: vertices stand proud of the facets by the height of the arc, and a registration of
 * vertices against facets would push a half-seen tube aside by as much.
 *
 * @returns fewer (none) only for a mesh without area
 */
export function* surfacePlaces(mesh: Mesh, count: number, seed: number): Steps<SurfacePlaces> {
  const { positions: p, indices, origin } = mesh
  const shape = yield* within(0, 0.5, 'areas', facetShape(mesh))
  let total = 0
  for (const area of shape.areas_mm2) total += area
  const points = new Float64Array(3 * count)
  const normals = new Float32Array(3 * count)
  if (!(total > 0)) return { points: points.subarray(0, 0), normals: normals.subarray(0, 0) }
  const random = seededRandom(seed)
  const slice = total / count
  let gone = 0
  let n = 0
  let target = slice * random()
  for (let f = 0; f < indices.length; f += 3) {
    gone += shape.areas_mm2[f / 3]!
    while (n < count && target < gone) {
      let s = random()
      let t = random()
      if (s + t > 1) {
        s = 1 - s
        t = 1 - t
      }
      for (let k = 0; k < 3; k++) {
        const a = p[3 * indices[f]! + k]!
        points[3 * n + k] =
          origin[k]! + a + s * (p[3 * indices[f + 1]! + k]! - a) + t * (p[3 * indices[f + 2]! + k]! - a)
      }
      for (let k = 0; k < 3; k++) normals[3 * n + k] = shape.normals[f + k]!
      n++
      target = slice * (n + random())
    }
    if (f % (12 * BLOCK) === 0) yield 0.5 + (0.5 * f) / indices.length
  }
  return { points: points.subarray(0, 3 * n), normals: normals.subarray(0, 3 * n) }
}
