/**
 * Distance from a point to a triangle, by the seven regions of the triangle's plane (three corners, three edges, the face).
 * C. Ericson, Real-Time Collision Detection (2005), section 5.1.5. Triangles without area fall to their edges.
 */

/** Where on a triangle a closest point lies; corners 1 to 3 are a, b, c; edges 4 to 6 are ab, bc, ca. */
export const FEATURE = { face: 0, a: 1, b: 2, c: 3, ab: 4, bc: 5, ca: 6 } as const
export type Feature = 0 | 1 | 2 | 3 | 4 | 5 | 6

/** Squared distance only: what a search asks a million times before it wants the point. */
export function pointTriangleDistance2(
  px: number,
  py: number,
  pz: number,
  ax: number,
  ay: number,
  az: number,
  bx: number,
  by: number,
  bz: number,
  cx: number,
  cy: number,
  cz: number,
): number {
  const abx = bx - ax
  const aby = by - ay
  const abz = bz - az
  const acx = cx - ax
  const acy = cy - ay
  const acz = cz - az
  let x = px - ax
  let y = py - ay
  let z = pz - az
  const d1 = abx * x + aby * y + abz * z
  const d2 = acx * x + acy * y + acz * z
  if (d1 <= 0 && d2 <= 0) return x * x + y * y + z * z
  const bpx = px - bx
  const bpy = py - by
  const bpz = pz - bz
  const d3 = abx * bpx + aby * bpy + abz * bpz
  const d4 = acx * bpx + acy * bpy + acz * bpz
  if (d3 >= 0 && d4 <= d3) return bpx * bpx + bpy * bpy + bpz * bpz
  const vc = d1 * d4 - d3 * d2
  if (vc <= 0 && d1 >= 0 && d3 <= 0) {
    const t = d1 > d3 ? d1 / (d1 - d3) : 0
    x -= t * abx
    y -= t * aby
    z -= t * abz
    return x * x + y * y + z * z
  }
  const cpx = px - cx
  const cpy = py - cy
  const cpz = pz - cz
  const d5 = abx * cpx + aby * cpy + abz * cpz
  const d6 = acx * cpx + acy * cpy + acz * cpz
  if (d6 >= 0 && d5 <= d6) return cpx * cpx + cpy * cpy + cpz * cpz
  const vb = d5 * d2 - d1 * d6
  if (vb <= 0 && d2 >= 0 && d6 <= 0) {
    const t = d2 > d6 ? d2 / (d2 - d6) : 0
    x -= t * acx
    y -= t * acy
    z -= t * acz
    return x * x + y * y + z * z
  }
  const va = d3 * d6 - d5 * d4
  const e = d4 - d3
  const g = d5 - d6
  if (va <= 0 && e >= 0 && g >= 0) {
    const t = e + g > 0 ? e / (e + g) : 0
    x = bpx - t * (cx - bx)
    y = bpy - t * (cy - by)
    z = bpz - t * (cz - bz)
    return x * x + y * y + z * z
  }
  const sum = va + vb + vc
  const v = vb / sum
  const w = vc / sum
  x -= v * abx + w * acx
  y -= v * aby + w * acy
  z -= v * abz + w * acz
  return x * x + y * y + z * z
}

/**
 * The closest point itself.
 *
 * @param out five numbers are written: x, y, z of the closest point, then its weights at b and at c (weight at a = 1 − v − w)
 * @returns which feature of the triangle holds it
 */
export function closestOnTriangle(
  px: number,
  py: number,
  pz: number,
  ax: number,
  ay: number,
  az: number,
  bx: number,
  by: number,
  bz: number,
  cx: number,
  cy: number,
  cz: number,
  out: Float64Array,
): Feature {
  const abx = bx - ax
  const aby = by - ay
  const abz = bz - az
  const acx = cx - ax
  const acy = cy - ay
  const acz = cz - az
  const apx = px - ax
  const apy = py - ay
  const apz = pz - az
  const d1 = abx * apx + aby * apy + abz * apz
  const d2 = acx * apx + acy * apy + acz * apz
  if (d1 <= 0 && d2 <= 0) return write(out, ax, ay, az, 0, 0, FEATURE.a)
  const bpx = px - bx
  const bpy = py - by
  const bpz = pz - bz
  const d3 = abx * bpx + aby * bpy + abz * bpz
  const d4 = acx * bpx + acy * bpy + acz * bpz
  if (d3 >= 0 && d4 <= d3) return write(out, bx, by, bz, 1, 0, FEATURE.b)
  const vc = d1 * d4 - d3 * d2
  if (vc <= 0 && d1 >= 0 && d3 <= 0) {
    const t = d1 > d3 ? d1 / (d1 - d3) : 0
    return write(out, ax + t * abx, ay + t * aby, az + t * abz, t, 0, FEATURE.ab)
  }
  const cpx = px - cx
  const cpy = py - cy
  const cpz = pz - cz
  const d5 = abx * cpx + aby * cpy + abz * cpz
  const d6 = acx * cpx + acy * cpy + acz * cpz
  if (d6 >= 0 && d5 <= d6) return write(out, cx, cy, cz, 0, 1, FEATURE.c)
  const vb = d5 * d2 - d1 * d6
  if (vb <= 0 && d2 >= 0 && d6 <= 0) {
    const t = d2 > d6 ? d2 / (d2 - d6) : 0
    return write(out, ax + t * acx, ay + t * acy, az + t * acz, 0, t, FEATURE.ca)
  }
  const va = d3 * d6 - d5 * d4
  const e = d4 - d3
  const g = d5 - d6
  if (va <= 0 && e >= 0 && g >= 0) {
    const t = e + g > 0 ? e / (e + g) : 0
    return write(out, bx + t * (cx - bx), by + t * (cy - by), bz + t * (cz - bz), 1 - t, t, FEATURE.bc)
  }
  const sum = va + vb + vc
  const v = vb / sum
  const w = vc / sum
  return write(out, ax + v * abx + w * acx, ay + v * aby + w * acy, az + v * abz + w * acz, v, w, FEATURE.face)
}

function write(out: Float64Array, x: number, y: number, z: number, v: number, w: number, feature: Feature): Feature {
  out[0] = x
  out[1] = y
  out[2] = z
  out[3] = v
  out[4] = w
  return feature
}

/** Squared distance of a point to a facet of a mesh, mm2; the point in the mesh's own local axes. */
export function facetDistance2(
  positions: Float32Array,
  indices: Uint32Array,
  facet: number,
  px: number,
  py: number,
  pz: number,
): number {
  const a = 3 * indices[3 * facet]!
  const b = 3 * indices[3 * facet + 1]!
  const c = 3 * indices[3 * facet + 2]!
  return pointTriangleDistance2(
    px,
    py,
    pz,
    positions[a]!,
    positions[a + 1]!,
    positions[a + 2]!,
    positions[b]!,
    positions[b + 1]!,
    positions[b + 2]!,
    positions[c]!,
    positions[c + 1]!,
    positions[c + 2]!,
  )
}
