import { pointsWithin } from '../geometry/point-grid'
import { solveNormal } from '../geometry/solve-normal'
import type { Vec } from '../geometry/vectors'
import type { Cloud } from './cloud'

/** One place along a tube: where its axis is, which way it runs and how it bends. mm, axes and origin of the cloud. */
export interface Station {
  readonly at: Vec
  /** Unit. */
  readonly along: Vec
  /** Curvature of the axis, 1/mm, across `along`: points to the inside of the bend. */
  readonly bend: Vec
  readonly radius_mm: number
  /** Share of the round that has metal, by 24 sectors. */
  readonly coverage: number
  /** Root mean square of the distances to the tube, points inside the gate. */
  readonly rms_mm: number
  /** 1 sigma by the median of the same distances: no tail can lift it. */
  readonly sigma_mm: number
  readonly points: number
  /** Radius was held and the axis taken as straight. */
  readonly weak: boolean
}

export interface StationOptions {
  /** Expected noise, 1 sigma, mm. */
  readonly noise_mm: number
  /** Radius kept, axis straight: for places with little metal around. */
  readonly held: boolean
  /** Start far from the truth: wide gates in the first rounds. */
  readonly wide: boolean
}

/** Half the window along the axis, in radii. */
export const WINDOW = 1.25
const ROUNDS = 8
const MOST_POINTS = 1024
const LEAST_POINTS = 14
/** cos 30° and, for a wide start, cos 45°. */
const RADIAL = 0.866
const RADIAL_WIDE = Math.SQRT1_2
const SECTORS = 24
const LEAST_BEND_mm = 60

const list = new Uint32Array(MOST_POINTS)
const distance = new Float64Array(MOST_POINTS)
const sorted = new Float64Array(MOST_POINTS)
const jacobian = new Float64Array(7 * MOST_POINTS)
const normalMatrix = new Float64Array(49)
const right = new Float64Array(7)
const row = new Float64Array(7)

/**
 * Geometric least-squares fit of a piece of bent tube around a guess: seven unknowns (centre 2, direction 2, radius,
 * curvature 2), Gauss-Newton on the distances from the axis, Tukey's weight by the median, area weights.
 *
 * Without the curvature a bend of 200 mm radius would leave 1.5 mm of sagitta in the window. Algebraic fits are not used:
 * they return circles too small on short arcs.
 *
 * @returns null when too little metal stands around the guess, or it is no tube
 */
export function fitStation(
  cloud: Cloud,
  at: Vec,
  along: Vec,
  bend: Vec,
  radius_mm: number,
  options: StationOptions,
): Station | null {
  const { points, normals, weight, grid } = cloud
  let r = radius_mm
  const reach = (options.wide ? 1.35 : 1.2) * r
  const half = WINDOW * r
  const count = Math.min(
    MOST_POINTS,
    pointsWithin(grid, at[0], at[1], at[2], Math.sqrt(half * half + reach * reach), list),
  )
  if (count < LEAST_POINTS) return null
  let [px, py, pz] = at
  let [tx, ty, tz] = along
  let [kx, ky, kz] = options.held ? [0, 0, 0] : bend
  const unknowns = options.held ? 4 : 7
  let used = 0
  let gateMedian = 0
  let rms = 0
  let sectors = 0
  for (let round = 0; round < ROUNDS; round++) {
    const wide = options.wide && round < 3
    const gate = Math.max((wide ? 0.4 : 0.12) * r, 3 * options.noise_mm)
    const radial = wide ? RADIAL_WIDE : RADIAL
    // A frame across the axis.
    const lean = Math.abs(tx) < 0.6 ? 0 : Math.abs(ty) < 0.6 ? 1 : 2
    let ax = (lean === 0 ? 1 : 0) - (lean === 0 ? tx : lean === 1 ? ty : tz) * tx
    let ay = (lean === 1 ? 1 : 0) - (lean === 0 ? tx : lean === 1 ? ty : tz) * ty
    let az = (lean === 2 ? 1 : 0) - (lean === 0 ? tx : lean === 1 ? ty : tz) * tz
    const al = Math.sqrt(ax * ax + ay * ay + az * az)
    ax /= al
    ay /= al
    az /= al
    const bx = ty * az - tz * ay
    const by = tz * ax - tx * az
    const bz = tx * ay - ty * ax
    used = 0
    sectors = 0
    for (let i = 0; i < count; i++) {
      const p = 3 * list[i]!
      const dx = points[p]! - px
      const dy = points[p + 1]! - py
      const dz = points[p + 2]! - pz
      let s = dx * tx + dy * ty + dz * tz
      // Foot of the perpendicular on the bent axis: one Newton step from the straight one is enough within a window.
      const inside = 1 - (kx * dx + ky * dy + kz * dz)
      if (inside > 0.3) {
        const ks = kx * kx + ky * ky + kz * kz
        s = s / (inside + 0.5 * ks * s * s)
      }
      if (s > half || s < -half) continue
      const cx = dx - s * tx - 0.5 * s * s * kx
      const cy = dy - s * ty - 0.5 * s * s * ky
      const cz = dz - s * tz - 0.5 * s * s * kz
      // Tangent there; what is left of the offset along it goes.
      let ux = tx + s * kx
      let uy = ty + s * ky
      let uz = tz + s * kz
      const ul = 1 / Math.sqrt(ux * ux + uy * uy + uz * uz)
      ux *= ul
      uy *= ul
      uz *= ul
      const rest = cx * ux + cy * uy + cz * uz
      const wx = cx - rest * ux
      const wy = cy - rest * uy
      const wz = cz - rest * uz
      const rho = Math.sqrt(wx * wx + wy * wy + wz * wz)
      const e = rho - r
      if (e > gate || e < -gate || !(rho > 0)) continue
      const ox = wx / rho
      const oy = wy / rho
      const oz = wz / rho
      if (normals[p]! * ox + normals[p + 1]! * oy + normals[p + 2]! * oz < radial) continue
      const ja = ox * ax + oy * ay + oz * az
      const jb = ox * bx + oy * by + oz * bz
      distance[used] = e
      sorted[used] = e < 0 ? -e : e
      const j = 7 * used
      jacobian[j] = -ja
      jacobian[j + 1] = -jb
      jacobian[j + 2] = -s * ja
      jacobian[j + 3] = -s * jb
      jacobian[j + 4] = -1
      jacobian[j + 5] = -0.5 * s * s * ja
      jacobian[j + 6] = -0.5 * s * s * jb
      // Used points come first in the list; none is lost for the next round.
      const point = list[i]!
      list[i] = list[used]!
      list[used] = point
      sectors |= 1 << sectorOf(ja, jb)
      used++
    }
    if (used < LEAST_POINTS) return null
    gateMedian = medianOf(used)
    // Tukey's biweight: nothing beyond c counts.
    const c = Math.max(4.685 * 1.4826 * gateMedian, 1e-3)
    normalMatrix.fill(0)
    right.fill(0)
    let sum = 0
    let sum2 = 0
    for (let i = 0; i < used; i++) {
      const e = distance[i]!
      const u = e / c
      if (u > 1 || u < -1) continue
      const t = 1 - u * u
      const w = t * t * weight[list[i]!]!
      sum += w
      sum2 += w * e * e
      const j = 7 * i
      for (let k = 0; k < unknowns; k++) row[k] = jacobian[j + k]!
      for (let k = 0; k < unknowns; k++) {
        const wk = w * row[k]!
        right[k]! -= wk * e
        for (let l = 0; l <= k; l++) normalMatrix[k * unknowns + l]! += wk * row[l]!
      }
    }
    rms = sum > 0 ? Math.sqrt(sum2 / sum) : 0
    steady(unknowns, sum, r)
    if (!solveNormal(normalMatrix, right, unknowns)) return null
    const da = right[0]!
    const db = right[1]!
    const ta = right[2]!
    const tb = right[3]!
    px += da * ax + db * bx
    py += da * ay + db * by
    pz += da * az + db * bz
    tx += ta * ax + tb * bx
    ty += ta * ay + tb * by
    tz += ta * az + tb * bz
    const tl = 1 / Math.sqrt(tx * tx + ty * ty + tz * tz)
    tx *= tl
    ty *= tl
    tz *= tl
    let moved = Math.abs(da) + Math.abs(db) + half * (Math.abs(ta) + Math.abs(tb))
    if (!options.held) {
      r += right[4]!
      kx += right[5]! * ax + right[6]! * bx
      ky += right[5]! * ay + right[6]! * by
      kz += right[5]! * az + right[6]! * bz
      // Kept across the axis, and no tighter than a bender makes.
      const kt = kx * tx + ky * ty + kz * tz
      kx -= kt * tx
      ky -= kt * ty
      kz -= kt * tz
      const bent = Math.sqrt(kx * kx + ky * ky + kz * kz) * LEAST_BEND_mm
      if (bent > 1) {
        kx /= bent
        ky /= bent
        kz /= bent
      }
      moved += Math.abs(right[4]!)
    }
    const sx = px - at[0]
    const sy = py - at[1]
    const sz = pz - at[2]
    const strayed = sx * sx + sy * sy + sz * sz
    if (!(strayed < radius_mm * radius_mm) || !(r > 0.5 * radius_mm && r < 2 * radius_mm)) return null
    if (moved < 0.01 && !(options.wide && round < 4)) break
  }
  return {
    at: [px, py, pz],
    along: [tx, ty, tz],
    bend: [kx, ky, kz],
    radius_mm: r,
    coverage: bits(sectors) / SECTORS,
    rms_mm: rms,
    sigma_mm: 1.4826 * gateMedian * Math.sqrt(used / Math.max(1, used - unknowns)),
    points: used,
    weak: options.held,
  }
}

/** A light damping of the step (the answer stays where it is): a half-covered tube leaves some unknowns loose. */
function steady(unknowns: number, weight: number, r: number): void {
  const soft = 1e-4 * weight
  for (let k = 0; k < unknowns; k++) {
    const scale = k < 2 || k === 4 ? 1 : k < 4 ? r * r : 0.25 * r * r * r * r
    normalMatrix[k * unknowns + k]! += soft * scale
  }
}

function medianOf(n: number): number {
  const part = sorted.subarray(0, n)
  part.sort()
  return part[n >> 1]!
}

/** Which of 24 sectors of 15° a direction lies in; numbered per quadrant by the tangents of 15°, 30°, 45°, 60°, 75°. */
function sectorOf(x: number, y: number): number {
  const quadrant = (x < 0 ? 1 : 0) + (y < 0 ? 2 : 0)
  const u = x < 0 ? -x : x
  const v = y < 0 ? -y : y
  const place = v < 0.26795 * u ? 0 : v < 0.57735 * u ? 1 : v < u ? 2 : v < 1.73205 * u ? 3 : v < 3.73205 * u ? 4 : 5
  return 6 * quadrant + place
}

function bits(mask: number): number {
  let n = 0
  for (let m = mask; m !== 0; m &= m - 1) n++
  return n
}
