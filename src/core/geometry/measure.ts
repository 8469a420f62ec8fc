/** What a mesh measures: facet normals and areas, whole area, volume, centroid, inertia, mean edge. Sums in double. */
import type { Point } from './axes'
import { BLOCK, type Steps } from './kernel'
import { facetCount, type Mesh } from './mesh'

export interface FacetShape {
  /** Unit normals by the right-hand rule, three per facet; 0,0,0 for a facet without area. */
  readonly normals: Float32Array
  /** One per facet. */
  readonly areas_mm2: Float32Array
}

/** Normals and areas of all facets, in one pass over the mesh. */
export function* facetShape(mesh: Mesh): Steps<FacetShape> {
  const { positions: p, indices } = mesh
  const facets = facetCount(mesh)
  const normals = new Float32Array(facets * 3)
  const areas_mm2 = new Float32Array(facets)
  for (let from = 0; from < facets; from += BLOCK * 2) {
    const to = Math.min(facets, from + BLOCK * 2)
    for (let f = from; f < to; f++) {
      const a = indices[f * 3]! * 3
      const b = indices[f * 3 + 1]! * 3
      const c = indices[f * 3 + 2]! * 3
      const ux = p[b]! - p[a]!
      const uy = p[b + 1]! - p[a + 1]!
      const uz = p[b + 2]! - p[a + 2]!
      const vx = p[c]! - p[a]!
      const vy = p[c + 1]! - p[a + 1]!
      const vz = p[c + 2]! - p[a + 2]!
      const nx = uy * vz - uz * vy
      const ny = uz * vx - ux * vz
      const nz = ux * vy - uy * vx
      const length = Math.sqrt(nx * nx + ny * ny + nz * nz)
      areas_mm2[f] = length / 2
      if (length > 0) {
        normals[f * 3] = nx / length
        normals[f * 3 + 1] = ny / length
        normals[f * 3 + 2] = nz / length
      }
    }
    yield to / facets
  }
  return { normals, areas_mm2 }
}

export interface MassProperties {
  readonly area_mm2: number
  /** Signed: positive when the facets face outwards. Means a volume only if the mesh is closed (`isClosed`). */
  readonly volume_mm3: number
  /** Of the enclosed volume; of the surface when there is no volume. */
  readonly centroid: Point
  /** Tensor of the volume about its centroid at density 1, mm5: xx, yy, zz, xy, yz, zx (off-diagonal: minus the product). */
  readonly inertia: readonly [number, number, number, number, number, number]
  /**
   * Length of the summed area vectors, mm2. Zero for a closed mesh that is turned consistently; where it is not, the volume
   * changes when the origin moves, and is no volume.
   */
  readonly openArea_mm2: number
}

/**
 * Area, volume, centroid and inertia by signed tetrahedra over the facets (B. Mirtich, "Fast and accurate computation of
 * polyhedral mass properties", J. Graphics Tools 1(2), 1996; here in the equivalent form by tetrahedra to one apex).
 *
 * @param apex where the tetrahedra meet, in the mesh's axes; default: the middle of the box, which loses the fewest digits.
 *             For a closed mesh any apex gives the same.
 */
export function* massProperties(mesh: Mesh, apex?: Point): Steps<MassProperties> {
  const { positions: p, indices, origin } = mesh
  const facets = facetCount(mesh)
  const local = apex ? [apex[0] - origin[0], apex[1] - origin[1], apex[2] - origin[2]] : middle(p)
  const [ox, oy, oz] = local as [number, number, number]
  let area = 0
  let six = 0 // 6 x volume
  let mx = 0 // 24 x first moments
  let my = 0
  let mz = 0
  let xx = 0 // 120 x second moments
  let yy = 0
  let zz = 0
  let xy = 0
  let yz = 0
  let zx = 0
  let sx = 0 // summed area vectors x 2
  let sy = 0
  let sz = 0
  let gx = 0 // surface moments: sum of 6 x area x middle
  let gy = 0
  let gz = 0
  for (let from = 0; from < facets; from += BLOCK * 2) {
    const to = Math.min(facets, from + BLOCK * 2)
    for (let f = from; f < to; f++) {
      const a = indices[f * 3]! * 3
      const b = indices[f * 3 + 1]! * 3
      const c = indices[f * 3 + 2]! * 3
      const ax = p[a]! - ox
      const ay = p[a + 1]! - oy
      const az = p[a + 2]! - oz
      const bx = p[b]! - ox
      const by = p[b + 1]! - oy
      const bz = p[b + 2]! - oz
      const cx = p[c]! - ox
      const cy = p[c + 1]! - oy
      const cz = p[c + 2]! - oz
      const nx = (by - ay) * (cz - az) - (bz - az) * (cy - ay)
      const ny = (bz - az) * (cx - ax) - (bx - ax) * (cz - az)
      const nz = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
      const twice = Math.sqrt(nx * nx + ny * ny + nz * nz)
      const d = ax * nx + ay * ny + az * nz // a.(b x c)
      const tx = ax + bx + cx
      const ty = ay + by + cy
      const tz = az + bz + cz
      area += twice
      sx += nx
      sy += ny
      sz += nz
      gx += twice * tx
      gy += twice * ty
      gz += twice * tz
      six += d
      mx += d * tx
      my += d * ty
      mz += d * tz
      xx += d * (tx * tx + ax * ax + bx * bx + cx * cx)
      yy += d * (ty * ty + ay * ay + by * by + cy * cy)
      zz += d * (tz * tz + az * az + bz * bz + cz * cz)
      xy += d * (tx * ty + ax * ay + bx * by + cx * cy)
      yz += d * (ty * tz + ay * az + by * bz + cy * cz)
      zx += d * (tz * tx + az * ax + bz * bx + cz * cx)
    }
    yield to / facets
  }
  const volume = six / 6
  const hasVolume = Math.abs(volume) > 0
  const surface = area > 0 ? 1 / (3 * area) : 0
  const x = hasVolume ? mx / 24 / volume : gx * surface
  const y = hasVolume ? my / 24 / volume : gy * surface
  const z = hasVolume ? mz / 24 / volume : gz * surface
  const cxx = xx / 120 - volume * x * x
  const cyy = yy / 120 - volume * y * y
  const czz = zz / 120 - volume * z * z
  return {
    area_mm2: area / 2,
    volume_mm3: volume,
    centroid: [x + ox + origin[0], y + oy + origin[1], z + oz + origin[2]],
    inertia: [
      cyy + czz,
      czz + cxx,
      cxx + cyy,
      volume * x * y - xy / 120,
      volume * y * z - yz / 120,
      volume * z * x - zx / 120,
    ],
    openArea_mm2: Math.sqrt(sx * sx + sy * sy + sz * sz) / 2,
  }
}

/** Mean length of the facets' sides: an inner edge counts twice, an edge on a rim once. 0 for an empty mesh. */
export function* meanEdge_mm(mesh: Mesh): Steps<number> {
  const { positions: p, indices } = mesh
  let sum = 0
  const step = BLOCK * 2 * 3
  for (let from = 0; from < indices.length; from += step) {
    const to = Math.min(indices.length, from + step)
    for (let h = from; h < to; h += 3) {
      const a = indices[h]! * 3
      const b = indices[h + 1]! * 3
      const c = indices[h + 2]! * 3
      sum += distance(p, a, b) + distance(p, b, c) + distance(p, c, a)
    }
    yield to / indices.length
  }
  return indices.length > 0 ? sum / indices.length : 0
}

function distance(p: Float32Array, i: number, j: number): number {
  const x = p[i]! - p[j]!
  const y = p[i + 1]! - p[j + 1]!
  const z = p[i + 2]! - p[j + 2]!
  return Math.sqrt(x * x + y * y + z * z)
}

function middle(p: Float32Array): [number, number, number] {
  const out: [number, number, number] = [0, 0, 0]
  if (p.length === 0) return out
  for (let k = 0; k < 3; k++) {
    let low = Infinity
    let high = -Infinity
    for (let i = k; i < p.length; i += 3) {
      const v = p[i]!
      if (v < low) low = v
      if (v > high) high = v
    }
    out[k] = (low + high) / 2
  }
  return out
}
