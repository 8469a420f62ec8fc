/** The wall of a seat as rings of points: from the flat land over an edge, down the drafted wall, round the foot to the shell. */
import { mitres, type PlanCurve } from '../clearance'
import { asinDeg, atanDeg, cosDeg, sinDeg, square } from '../geometry/portable-math'

export interface ProfileOptions {
  /** Outline of the flat land, counter-clockwise. */
  readonly curve: PlanCurve
  /** +1: the land lies above the shell; −1: below. */
  readonly raised: 1 | -1
  /** Height of the land, mm. */
  readonly land: (x: number, y: number) => number
  /** True for a plane: then every straight of the wall is one plane, at exactly the draft. */
  readonly flat: boolean
  /** Height of the shell; NaN off it. */
  readonly shell: (x: number, y: number) => number
  readonly draft_deg: number
  /** Fillet between land and wall, and between wall and shell; 0: sharp. */
  readonly landRadius_mm: number
  readonly shellRadius_mm: number
}

export interface Profile {
  /** From the land's border outwards to the shell: x y z per corner of the curve. */
  readonly rings: readonly Float64Array[]
  /** Height between land and shell along the land's border. */
  readonly least_mm: number
  readonly most_mm: number
}

export type ProfileFault = { readonly fault: 'off' | 'flat'; readonly at: readonly [number, number] }

const LAND_ARCS = 6
const SHELL_ARCS = 6
/** A straight between the two fillets is always left, mm: without it two rings would fall together. */
const STRAIGHT_MM = 0.8
/**
 * Built steeper than asked by this much. Rounding to Float32 at 1.3 m moves a corner by 6e-5 mm, which turns a facet of
 * 0.8 mm by four thousandths of a degree.
 */
const ALLOWANCE_DEG = 0.005
/** The shell's slope is taken over so much to either side, mm: its own facets are 16 mm. */
const SLOPE_MM = 8

/**
 * Every ring is the curve moved along its mitres, as the edge of the shells is built, so a straight wall is planar over each
 * segment. With the heights turned so that the land is above: the land leaves along the mitre at angle θ0, an arc of radius
 * r turns it down to the wall's −(90° − draft), a point with tangent angle θ lying at offset a + r (sin θ0 − sin θ) and
 * height z + r (cos θ − cos θ0); the foot turns back from there to the shell's own slope θ2.
 *
 * The walls of a flat land are one surface of constant slope, s = S + (z0 − z) tan(draft), with one S for all corners:
 * each corner's edge begins a_k beyond the outline, a_k ≥ 0, with the least of them 0. A land that follows the shell has an
 * S of its own at each corner; the draft then differs by the square of the slope times tan(draft), some 1e-5 degrees.
 *
 * Where the land is too low for both fillets at full steepness, the wall leans over more until they fit: two arcs and a
 * short straight (bisection on its angle).
 *
 * @returns a fault where the shell ends, or where the land lies too low for its fillets to meet the shell
 */
export function profile(options: ProfileOptions): Profile | ProfileFault {
  const { curve, raised, draft_deg, landRadius_mm: ra, shellRadius_mm: rb } = options
  const n = curve.x.length
  const { mx, my } = mitres(curve)
  const draft = draft_deg + ALLOWANCE_DEG
  const sin = sinDeg(draft)
  const cos = cosDeg(draft)
  const tan = sin / cos
  const land = (x: number, y: number) => raised * options.land(x, y)
  const shell = (x: number, y: number) => raised * options.shell(x, y)
  const height = new Float64Array(n)
  const slope0 = new Float64Array(n)
  const own = new Float64Array(n)
  for (let k = 0; k < n; k++) {
    const x = curve.x[k]!
    const y = curve.y[k]!
    height[k] = land(x, y)
    const h = options.flat ? 1 : SLOPE_MM
    slope0[k] = (land(x + h * mx[k]!, y + h * my[k]!) - land(x - h * mx[k]!, y - h * my[k]!)) / (2 * h)
    if (!Number.isFinite(height[k]! + slope0[k]!)) return { fault: 'off', at: [x, y] }
    const c0 = 1 / Math.sqrt(1 + square(slope0[k]!))
    own[k] = ra * (slope0[k]! * c0 + cos) + (height[k]! + ra * (sin - c0)) * tan
  }
  let most = -Infinity
  for (const s of own) most = Math.max(most, s)
  const arcsA = ra > 0 ? LAND_ARCS : 0
  const arcsB = rb > 0 ? SHELL_ARCS : 0
  const rings = Array.from({ length: arcsA + arcsB + 2 }, () => new Float64Array(3 * n))
  let least_mm = Infinity
  let most_mm = -Infinity
  for (let k = 0; k < n; k++) {
    const x = curve.x[k]!
    const y = curve.y[k]!
    const g0 = slope0[k]!
    const cos0 = 1 / Math.sqrt(1 + g0 * g0)
    const sin0 = g0 * cos0
    const a = options.flat ? (most - own[k]!) / (1 + g0 * tan) : 0
    const za = height[k]! + g0 * a
    const under = shell(x, y)
    least_mm = Math.min(least_mm, height[k]! - under)
    most_mm = Math.max(most_mm, height[k]! - under)
    const shellAt = (s: number) => shell(x + s * mx[k]!, y + s * my[k]!)
    const slopeAt = (s: number) => (shellAt(s + SLOPE_MM) - shellAt(s - SLOPE_MM)) / (2 * SLOPE_MM)
    const topEnd = za + ra * (sin - cos0)
    const topOffset = a + ra * (sin0 + cos)
    // Where the foot meets the shell: a fixed point, since the wall hardly moves when the shell's height changes.
    let end = topOffset
    let footStart = Number.NaN
    let sin2 = 0
    let cos2 = 1
    for (let round = 0; round < 60; round++) {
      const g = slopeAt(end)
      cos2 = 1 / Math.sqrt(1 + g * g)
      sin2 = g * cos2
      footStart = shellAt(end) + rb * (cos2 - sin)
      const next = topOffset + (topEnd - footStart) * tan + rb * (sin2 + cos)
      if (!Number.isFinite(next)) return { fault: 'off', at: [x + end * mx[k]!, y + end * my[k]!] }
      const moved = Math.abs(next - end)
      end = next
      if (moved < 1e-9) break
    }
    const put = (ring: number, s: number, z: number) => {
      rings[ring]![3 * k] = x + s * mx[k]!
      rings[ring]![3 * k + 1] = y + s * my[k]!
      rings[ring]![3 * k + 2] = raised * z
    }
    let steep = 90 - draft
    if (!(topEnd - footStart >= STRAIGHT_MM * cos)) {
      const lean = leaning(Math.max(0, -asinDeg(sin0)), 90 - draft)
      if (Number.isNaN(lean)) return { fault: 'flat', at: [x, y] }
      steep = lean
    }
    const theta0 = atanDeg(g0)
    for (let j = 0; j < arcsA; j++) {
      const theta = theta0 - ((theta0 + steep) * j) / arcsA
      put(j, a + ra * (sin0 - sinDeg(theta)), za + ra * (cosDeg(theta) - cos0))
    }
    const from = a + ra * (sin0 + sinDeg(steep))
    const fromZ = za + ra * (cosDeg(steep) - cos0)
    put(arcsA, from, fromZ)
    const free = steep === 90 - draft
    const straight = free ? (fromZ - footStart) * tan : STRAIGHT_MM * cosDeg(steep)
    const foot = from + straight
    const footZ = free ? footStart : fromZ - STRAIGHT_MM * sinDeg(steep)
    const theta2 = asinDeg(sin2)
    for (let j = 0; j < arcsB; j++) {
      const theta = ((theta2 + steep) * j) / arcsB - steep
      put(arcsA + 1 + j, foot + rb * (sinDeg(theta) + sinDeg(steep)), footZ + rb * (cosDeg(steep) - cosDeg(theta)))
    }
    const last = free ? end : foot + rb * (sin2 + sinDeg(steep))
    put(arcsA + 1 + arcsB, last, shellAt(last))
    if (!Number.isFinite(shellAt(last))) return { fault: 'off', at: [x + last * mx[k]!, y + last * my[k]!] }

    /** The angle at which both fillets and the straight use up the height; NaN if even the flattest is too deep. */
    function leaning(low: number, high: number): number {
      const lack = (deg: number): number => {
        const s = sinDeg(deg)
        const c = cosDeg(deg)
        let b = a + ra * (sin0 + s) + STRAIGHT_MM * c + rb * (sin2 + s)
        for (let round = 0; round < 3; round++) {
          const g = slopeAt(b)
          cos2 = 1 / Math.sqrt(1 + g * g)
          sin2 = g * cos2
          b = a + ra * (sin0 + s) + STRAIGHT_MM * c + rb * (sin2 + s)
        }
        return za - shellAt(b) - (ra * (cos0 - c) + STRAIGHT_MM * s + rb * (cos2 - c))
      }
      // Too steep takes up too much height.
      if (!(lack(low) > 0) || Number.isNaN(lack(high))) return Number.NaN
      let from = low
      let to = high
      for (let round = 0; round < 50; round++) {
        const middle = (from + to) / 2
        if (lack(middle) > 0) from = middle
        else to = middle
      }
      lack(from)
      return from
    }
  }
  return { rings, least_mm, most_mm }
}
