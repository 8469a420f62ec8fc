/** Places spread over a face, each with the area it stands for: what a plan grid cannot give on walls. */
import { BLOCK, type Steps } from '../geometry/kernel'
import { facetCount, type Mesh } from '../geometry/mesh'

export interface SurfaceSamples {
  readonly count: number
  /** x y z, mm. Three per sample. */
  readonly place: Float64Array
  /** Unit normal of the facet with z up (as it is where the facet is upright). Three per facet. */
  readonly normal: Float64Array
  readonly facet: Uint32Array
  readonly area_mm2: Float64Array
}

/** Middles of k² equal parts of each facet, k so that no part is larger than `part_mm2`. */
export function* surfaceSamples(mesh: Mesh, part_mm2: number): Steps<SurfaceSamples> {
  const facets = facetCount(mesh)
  const { positions: p, indices, origin } = mesh
  const normal = new Float64Array(3 * facets)
  const whole = new Float64Array(facets)
  const cuts = new Uint16Array(facets)
  let count = 0
  for (let f = 0; f < facets; f++) {
    const a = 3 * indices[3 * f]!
    const b = 3 * indices[3 * f + 1]!
    const c = 3 * indices[3 * f + 2]!
    const ux = p[b]! - p[a]!
    const uy = p[b + 1]! - p[a + 1]!
    const uz = p[b + 2]! - p[a + 2]!
    const vx = p[c]! - p[a]!
    const vy = p[c + 1]! - p[a + 1]!
    const vz = p[c + 2]! - p[a + 2]!
    const nx = uy * vz - uz * vy
    const ny = uz * vx - ux * vz
    const nz = ux * vy - uy * vx
    const twice = Math.sqrt(nx * nx + ny * ny + nz * nz)
    if (twice === 0) continue
    const turn = nz < 0 ? -1 : 1
    normal[3 * f] = (turn * nx) / twice
    normal[3 * f + 1] = (turn * ny) / twice
    normal[3 * f + 2] = (turn * nz) / twice
    whole[f] = twice / 2
    const k = Math.min(500, Math.max(1, Math.ceil(Math.sqrt(twice / 2 / part_mm2))))
    cuts[f] = k
    count += k * k
    if (f % (4 * BLOCK) === 0) yield (0.3 * f) / facets
  }
  const place = new Float64Array(3 * count)
  const facet = new Uint32Array(count)
  const area_mm2 = new Float64Array(count)
  let at = 0
  for (let f = 0; f < facets; f++) {
    const k = cuts[f]!
    if (k === 0) continue
    const a = 3 * indices[3 * f]!
    const b = 3 * indices[3 * f + 1]!
    const c = 3 * indices[3 * f + 2]!
    for (let i = 0; i < k; i++)
      for (let j = 0; j < k - i; j++)
        for (let half = 0; half < (i + j < k - 1 ? 2 : 1); half++) {
          const s = (i + (half ? 2 / 3 : 1 / 3)) / k
          const t = (j + (half ? 2 / 3 : 1 / 3)) / k
          for (let x = 0; x < 3; x++)
            place[3 * at + x] = origin[x]! + p[a + x]! + s * (p[b + x]! - p[a + x]!) + t * (p[c + x]! - p[a + x]!)
          facet[at] = f
          area_mm2[at] = whole[f]! / (k * k)
          at++
        }
    if (f % (4 * BLOCK) === 0) yield 0.3 + (0.7 * f) / facets
  }
  return { count, place, normal, facet, area_mm2 }
}
