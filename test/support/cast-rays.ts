/** Undercut by brute force: rays cast one by one by another library (three-mesh-bvh). The independent witness. */
import type { Direction } from '../../src/core/geometry/axes'
import { facetCount, type Mesh } from '../../src/core/geometry/mesh'
import { surfaceIndex } from '../../src/core/geometry/surface-index'
import { random } from './random'

/** A point of facet `f`: corner 0, plus s of the way to corner 1, plus t of the way to corner 2. */
export function pointOn(mesh: Mesh, f: number, s: number, t: number): [number, number, number] {
  const [a, b, c] = [0, 1, 2].map((k) => 3 * mesh.indices[3 * f + k]!) as [number, number, number]
  const at = (k: number) =>
    mesh.positions[a + k]! * (1 - s - t) + mesh.positions[b + k]! * s + mesh.positions[c + k]! * t + mesh.origin[k]!
  return [at(0), at(1), at(2)]
}

/** The slow obvious method: about `count` points spread by area, one ray along the pull from each that faces it. */
export function byRays(mesh: Mesh, pull: Direction, count: number): { away: number; blocked: number } {
  const index = surfaceIndex(mesh)
  const facets = facetCount(mesh)
  const area = new Float64Array(facets)
  const facing = new Float64Array(facets)
  let total = 0
  for (let f = 0; f < facets; f++) {
    const [a, b, c] = [pointOn(mesh, f, 0, 0), pointOn(mesh, f, 1, 0), pointOn(mesh, f, 0, 1)]
    const u = [b[0] - a[0], b[1] - a[1], b[2] - a[2]]
    const v = [c[0] - a[0], c[1] - a[1], c[2] - a[2]]
    const n = [u[1]! * v[2]! - u[2]! * v[1]!, u[2]! * v[0]! - u[0]! * v[2]!, u[0]! * v[1]! - u[1]! * v[0]!]
    area[f] = Math.hypot(n[0]!, n[1]!, n[2]!) / 2
    facing[f] = n[0]! * pull[0] + n[1]! * pull[1] + n[2]! * pull[2]
    total += area[f]!
  }
  const chance = random(7)
  let away = 0
  let blocked = 0
  for (let f = 0; f < facets; f++) {
    if (facing[f]! < 0) away += area[f]!
    if (facing[f]! <= 0) continue
    // One point by chance in each of n² equal triangles: even by area, and no lattice to beat against the facets of the mesh.
    const n = Math.max(1, Math.round(Math.sqrt((count * area[f]!) / total)))
    let hits = 0
    for (let i = 0; i < n; i++)
      for (let j = 0; i + j < n; j++)
        for (let half = 0; half <= (i + j < n - 1 ? 1 : 0); half++) {
          let s = chance.next()
          let t = chance.next()
          if (s + t > 1) [s, t] = [1 - s, 1 - t]
          const p =
            half === 0 ? pointOn(mesh, f, (i + s) / n, (j + t) / n) : pointOn(mesh, f, (i + 1 - s) / n, (j + 1 - t) / n)
          const from = [p[0] + 0.005 * pull[0], p[1] + 0.005 * pull[1], p[2] + 0.005 * pull[2]] as const
          if (index.firstHit(from, pull)) hits++
        }
    blocked += (area[f]! * hits) / (n * n)
  }
  return { away, blocked }
}
