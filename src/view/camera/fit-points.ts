import type { Mesh } from '../../core/geometry/mesh'
import type { Vec3 } from './eye'

/** Enough to find the silhouette by, few enough to be projected at once. */
const MOST = 3000

/** Points of meshes that must all be in sight, evenly taken. */
export function fitPoints(...meshes: readonly (Mesh | null)[]): Vec3[] {
  return meshes.flatMap((mesh) => {
    if (!mesh) return []
    const { positions: p, origin } = mesh
    const count = p.length / 3
    const step = Math.max(1, Math.floor(count / MOST))
    const out: Vec3[] = []
    for (let v = 0; v < count; v += step)
      out.push([p[v * 3]! + origin[0], p[v * 3 + 1]! + origin[1], p[v * 3 + 2]! + origin[2]])
    return out
  })
}
