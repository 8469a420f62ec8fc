import { closestOnTriangle } from './point-triangle'

const scratch = new Float64Array(5)
const normal = new Float64Array(4)

/**
 * Least distance between two triangles, exact, with the pair of points that realises it: nine edge pairs, six corners against
 * a face, and 0 when they pierce each other. (C. Ericson, Real-Time Collision Detection (2005), sections 5.1.5 and 5.1.9; that
 * these cases suffice: E. Larsen et al., Fast proximity queries with swept sphere volumes, 2000.)
 *
 * @param p   first triangle, nine numbers
 * @param q   second triangle, nine numbers
 * @param out six numbers are written: the point on the first, the point on the second. Only if the result is below `limit2`
 * @param limit2 squared distance above which the answer does not matter; it lets hopeless cases end early
 * @returns squared distance; at or above `limit2` it may be anything not below it
 */
export function triangleDistance2(p: Float64Array, q: Float64Array, out: Float64Array, limit2 = Infinity): number {
  let best = limit2
  // Corners against the other face, and the sides of its plane: a triangle wholly on one side cannot pierce.
  const qOneSide = planeSides(p, q)
  if (qOneSide * qOneSide >= best) return best
  const pOneSide = planeSides(q, p)
  if (pOneSide * pOneSide >= best) return best
  for (let i = 0; i < 9; i += 3) best = cornerDistance2(p, i, q, best, out, 0)
  for (let i = 0; i < 9; i += 3) best = cornerDistance2(q, i, p, best, out, 3)
  for (let i = 0; i < 3; i++) {
    const a = 3 * i
    const b = i === 2 ? 0 : a + 3
    for (let j = 0; j < 3; j++) best = edgeDistance2(p, a, b, q, 3 * j, j === 2 ? 0 : 3 * j + 3, best, out)
  }
  if (best > 0 && qOneSide === 0 && pOneSide === 0) {
    for (let i = 0; i < 3; i++) {
      const a = 3 * i
      const b = i === 2 ? 0 : a + 3
      if (pierces(p, a, b, q, out) || pierces(q, a, b, p, out)) return 0
    }
  }
  return best
}

/**
 * How far all of `q` lies from the plane of `p`, on one side: the least of the three distances; 0 if `q` meets the plane or
 * `p` has no area. A lower bound of the distance between the two.
 */
function planeSides(p: Float64Array, q: Float64Array): number {
  const ux = p[3]! - p[0]!
  const uy = p[4]! - p[1]!
  const uz = p[5]! - p[2]!
  const vx = p[6]! - p[0]!
  const vy = p[7]! - p[1]!
  const vz = p[8]! - p[2]!
  const nx = uy * vz - uz * vy
  const ny = uz * vx - ux * vz
  const nz = ux * vy - uy * vx
  const length2 = nx * nx + ny * ny + nz * nz
  if (!(length2 > 0)) return 0
  const a = nx * (q[0]! - p[0]!) + ny * (q[1]! - p[1]!) + nz * (q[2]! - p[2]!)
  const b = nx * (q[3]! - p[0]!) + ny * (q[4]! - p[1]!) + nz * (q[5]! - p[2]!)
  const c = nx * (q[6]! - p[0]!) + ny * (q[7]! - p[1]!) + nz * (q[8]! - p[2]!)
  if (a > 0 && b > 0 && c > 0) return Math.min(a, b, c) / Math.sqrt(length2)
  if (a < 0 && b < 0 && c < 0) return -Math.max(a, b, c) / Math.sqrt(length2)
  return 0
}

function cornerDistance2(
  p: Float64Array,
  i: number,
  q: Float64Array,
  best: number,
  out: Float64Array,
  own: 0 | 3,
): number {
  const x = p[i]!
  const y = p[i + 1]!
  const z = p[i + 2]!
  closestOnTriangle(x, y, z, q[0]!, q[1]!, q[2]!, q[3]!, q[4]!, q[5]!, q[6]!, q[7]!, q[8]!, scratch)
  const dx = x - scratch[0]!
  const dy = y - scratch[1]!
  const dz = z - scratch[2]!
  const d = dx * dx + dy * dy + dz * dz
  if (d >= best) return best
  const other = 3 - own
  out[own] = x
  out[own + 1] = y
  out[own + 2] = z
  out[other] = scratch[0]!
  out[other + 1] = scratch[1]!
  out[other + 2] = scratch[2]!
  return d
}

/** Segment against segment, clamped (Ericson 5.1.9). */
function edgeDistance2(
  p: Float64Array,
  a: number,
  b: number,
  q: Float64Array,
  c: number,
  d: number,
  best: number,
  out: Float64Array,
): number {
  const ux = p[b]! - p[a]!
  const uy = p[b + 1]! - p[a + 1]!
  const uz = p[b + 2]! - p[a + 2]!
  const vx = q[d]! - q[c]!
  const vy = q[d + 1]! - q[c + 1]!
  const vz = q[d + 2]! - q[c + 2]!
  const rx = p[a]! - q[c]!
  const ry = p[a + 1]! - q[c + 1]!
  const rz = p[a + 2]! - q[c + 2]!
  const uu = ux * ux + uy * uy + uz * uz
  const vv = vx * vx + vy * vy + vz * vz
  const uv = ux * vx + uy * vy + uz * vz
  const ur = ux * rx + uy * ry + uz * rz
  const vr = vx * rx + vy * ry + vz * rz
  const den = uu * vv - uv * uv
  let s = den > 0 ? (uv * vr - ur * vv) / den : 0
  s = s < 0 ? 0 : Math.min(s, 1)
  let t = vv > 0 ? (uv * s + vr) / vv : 0
  if (t < 0 || t > 1) {
    t = t < 0 ? 0 : 1
    s = uu > 0 ? (uv * t - ur) / uu : 0
    s = s < 0 ? 0 : Math.min(s, 1)
  }
  const dx = rx + s * ux - t * vx
  const dy = ry + s * uy - t * vy
  const dz = rz + s * uz - t * vz
  const e = dx * dx + dy * dy + dz * dz
  if (!(e < best)) return best
  out[0] = p[a]! + s * ux
  out[1] = p[a + 1]! + s * uy
  out[2] = p[a + 2]! + s * uz
  out[3] = q[c]! + t * vx
  out[4] = q[c + 1]! + t * vy
  out[5] = q[c + 2]! + t * vz
  return e
}

/** Does the edge a–b of `p` pass through the face of `q`? Then both witnesses are the point where it does. */
function pierces(p: Float64Array, a: number, b: number, q: Float64Array, out: Float64Array): boolean {
  const ux = q[3]! - q[0]!
  const uy = q[4]! - q[1]!
  const uz = q[5]! - q[2]!
  const vx = q[6]! - q[0]!
  const vy = q[7]! - q[1]!
  const vz = q[8]! - q[2]!
  normal[0] = uy * vz - uz * vy
  normal[1] = uz * vx - ux * vz
  normal[2] = ux * vy - uy * vx
  const from = side(p, a, q)
  const to = side(p, b, q)
  if (from === to || (from > 0 && to > 0) || (from < 0 && to < 0)) return false
  const t = from / (from - to)
  const x = p[a]! + t * (p[b]! - p[a]!)
  const y = p[a + 1]! + t * (p[b + 1]! - p[a + 1]!)
  const z = p[a + 2]! + t * (p[b + 2]! - p[a + 2]!)
  for (let i = 0; i < 9; i += 3) {
    const j = i === 6 ? 0 : i + 3
    const ex = q[j]! - q[i]!
    const ey = q[j + 1]! - q[i + 1]!
    const ez = q[j + 2]! - q[i + 2]!
    const wx = x - q[i]!
    const wy = y - q[i + 1]!
    const wz = z - q[i + 2]!
    const inside =
      normal[0]! * (ey * wz - ez * wy) + normal[1]! * (ez * wx - ex * wz) + normal[2]! * (ex * wy - ey * wx)
    if (inside < 0) return false
  }
  out[0] = out[3] = x
  out[1] = out[4] = y
  out[2] = out[5] = z
  return true
}

function side(p: Float64Array, a: number, q: Float64Array): number {
  return normal[0]! * (p[a]! - q[0]!) + normal[1]! * (p[a + 1]! - q[1]!) + normal[2]! * (p[a + 2]! - q[2]!)
}
