import { BLOCK, type Steps } from './kernel'
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
  const twice = (f: number): readonly [number, number, number, number] => {
    const a = 3 * indices[f]!
    const b = 3 * indices[f + 1]!
    const c = 3 * indices[f + 2]!
    const ux = p[b]! - p[a]!
    const uy = p[b + 1]! - p[a + 1]!
    const uz = p[b + 2]! - p[a + 2]!
    const vx = p[c]! - p[a]!
    const vy = p[c + 1]! - p[a + 1]!
    const vz = p[c + 2]! - p[a + 2]!
    const x = uy * vz - uz * vy
    const y = uz * vx - ux * vz
    const z = ux * vy - uy * vx
    return [x, y, z, Math.sqrt(x * x + y * y + z * z)]
  }
  let total = 0
  for (let f = 0; f < indices.length; f += 3) {
    total += twice(f)[3]
    if (f % (12 * BLOCK) === 0) yield (0.5 * f) / indices.length
  }
  const points = new Float64Array(3 * count)
  const normals = new Float32Array(3 * count)
  if (!(total > 0)) return { points: points.subarray(0, 0), normals: normals.subarray(0, 0) }
  const random = seededRandom(seed)
  const slice = total / count
  let gone = 0
  let n = 0
  let target = slice * random()
  for (let f = 0; f < indices.length; f += 3) {
    const [x, y, z, area] = twice(f)
    gone += area
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
      normals[3 * n] = x / area
      normals[3 * n + 1] = y / area
      normals[3 * n + 2] = z / area
      n++
      target = slice * (n + random())
    }
    if (f % (12 * BLOCK) === 0) yield 0.5 + (0.5 * f) / indices.length
  }
  return { points: points.subarray(0, 3 * n), normals: normals.subarray(0, 3 * n) }
}
