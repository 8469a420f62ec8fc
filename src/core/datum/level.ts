import { sampleSurface } from '../geometry/sample-surface'
import { symmetricEigen } from '../geometry/symmetric-eigen'
import { across, angleBetween_deg, cross, dot, plus, scaled, unit, type Vec } from '../geometry/vectors'
import { weightedQuantile } from '../geometry/weighted-quantile'
import type { MirrorCandidate } from './find-mirror'

/** Which way is up and level fore and aft. The mirror plane gives neither. */
export interface Level {
  /** Unit, across the plane's normal. */
  readonly up: Vec
  /** −1…1: how lopsided the heights are; below `LOPSIDED_LEAST` in size, which end is up is a guess. */
  readonly lopsided: number
  readonly from: string
  readonly runnerUp: string
  readonly difference_deg: number
}

export const LOPSIDED_LEAST = 0.3

/** A fore-aft near miss worse than this says nothing about level, mm. */
const NEAR_MISS_mm = 15
/** A near miss or a tube plane may lie this far from the spread of the metal and still be "level": cosine of 20°. */
const NEAR = 0.94

/** A plane known to be level, from tubes. */
export interface LevelPlane {
  readonly normal: Vec
  readonly name: string
}

/**
 * Up and pitch.
 *
 * The axis of up is, in the centreline plane, the one along which the metal is lopsided (legs hang below, nothing stands
 * above), else the thinner one. Only metal that both sides have is asked: a sheet of floor on one side turns the spread of the
 * whole by 24 degrees. Pitch: the plane of the long closed tube when tubes are known (0.0015° at most), else the fore-aft near
 * miss of the mirror (0.04° on frames whose ring is symmetric fore and aft), else the plane of the top metal, else the spread
 * (0.2 to 4.5° off: uneven legs pull it).
 *
 * @param all       three per vertex, mm about the area's middle
 * @param allArea   mm2, one per vertex
 * @param plane     the centreline plane
 * @param others    other planes found, best first
 * @param tubePlane plane of the long closed tube, if known
 */
export function level(
  all: Float32Array,
  allArea: Float32Array,
  plane: MirrorCandidate,
  others: readonly MirrorCandidate[],
  tubePlane: LevelPlane | null,
): Level {
  const n = plane.pose.normal
  const [thin, long] = spreadAcross(all, plane.paired, n)
  const { points, area } = thinned(all, allArea)
  const lopsidedThin = lopsidedness(points, area, thin)
  const lopsidedLong = lopsidedness(points, area, long)
  const useLong = !tubePlane && Math.abs(lopsidedThin) < LOPSIDED_LEAST && Math.abs(lopsidedLong) >= 2 * LOPSIDED_LEAST
  const spread = tubePlane && Math.abs(dot(tubePlane.normal, long)) > NEAR ? long : useLong ? long : thin

  const ways: { readonly up: Vec; readonly from: string }[] = []
  if (tubePlane && Math.abs(dot(tubePlane.normal, spread)) > NEAR)
    ways.push({ up: across(tubePlane.normal, n), from: tubePlane.name })
  // The near miss's normal is fore and aft; up is across it and the centreline's normal.
  const miss = others.find(
    (c) => c.score_mm < NEAR_MISS_mm && Math.abs(dot(unit(cross(c.pose.normal, n)), spread)) > NEAR,
  )
  if (miss) ways.push({ up: unit(cross(miss.pose.normal, n)), from: 'fore-aft mirror image of the points' })
  const top = topPlane(points, area, n, scaled(spread, lopsidedness(points, area, spread) > 0 ? -1 : 1))
  if (top && Math.abs(dot(top, spread)) > NEAR) ways.push({ up: top, from: 'plane of the top metal' })
  ways.push({ up: spread, from: 'spread of the points' })
  const [first, second] = ways
  const lopsided = lopsidedness(points, area, first!.up)
  // Legs pull the lower quantiles away from the middle: the lopsided end is down. Without legs, tops are cambered: the rim is down.
  const sign = (Math.abs(lopsided) < LOPSIDED_LEAST ? rimward(points, area, first!.up) : lopsided) > 0 ? -1 : 1
  const other = second ?? first!
  const angle = angleBetween_deg(first!.up, other.up)
  return {
    up: scaled(first!.up, sign),
    lopsided: Math.abs(lopsided),
    from: first!.from,
    runnerUp: second ? second.from : 'none',
    difference_deg: second ? Math.min(angle, 180 - angle) : 0,
  }
}

/** Quantiles of heights and a plane need no more points than this (all of a million took 0.2 s). */
const ENOUGH = 30_000
const SEED = 4_099

function thinned(all: Float32Array, allArea: Float32Array): { points: Float32Array; area: Float32Array } {
  const { vertex, weight } = sampleSurface(allArea, ENOUGH, SEED)
  const points = new Float32Array(3 * vertex.length)
  for (const [i, v] of vertex.entries()) for (let k = 0; k < 3; k++) points[3 * i + k] = all[3 * v + k]!
  return { points, area: weight }
}

/** Unit axes across `n` along which the listed points spread least and most. */
function spreadAcross(points: Float32Array, paired: Uint32Array, n: Vec): [Vec, Vec] {
  const a = Math.abs(n[2]) < 0.8 ? across([0, 0, 1], n) : across([1, 0, 0], n)
  const b = cross(n, a)
  let su = 0
  let sv = 0
  let uu = 0
  let uv = 0
  let vv = 0
  for (const p of paired) {
    const point: Vec = [points[3 * p]!, points[3 * p + 1]!, points[3 * p + 2]!]
    const u = dot(point, a)
    const v = dot(point, b)
    su += u
    sv += v
    uu += u * u
    uv += u * v
    vv += v * v
  }
  const m = Math.max(1, paired.length)
  const xx = uu / m - (su / m) * (su / m)
  const xy = uv / m - (su / m) * (sv / m)
  const yy = vv / m - (sv / m) * (sv / m)
  const { vectors } = symmetricEigen([xx, xy, xy, yy], 2)
  const axis = (i: number): Vec =>
    unit([
      vectors[2 * i]! * a[0] + vectors[2 * i + 1]! * b[0],
      vectors[2 * i]! * a[1] + vectors[2 * i + 1]! * b[1],
      vectors[2 * i]! * a[2] + vectors[2 * i + 1]! * b[2],
    ])
  return [axis(0), axis(1)]
}

/** Bands around the plane from which it is fitted anew, mm: wide enough for the spread's error, then narrow enough to lose the legs. */
const BANDS_mm = [250, 150, 80, 80, 80, 80] as const

/** Level from the top metal: a line in the centreline plane fitted to all metal near the height where most of it lies. */
function topPlane(points: Float32Array, area: Float32Array, n: Vec, up: Vec): Vec | null {
  let axis = up
  let middle = weightedQuantile(heightsAlong(points, axis), area, 0.75)
  for (const band of BANDS_mm) {
    const forward = cross(n, axis)
    const along = heightsAlong(points, forward)
    const height = heightsAlong(points, axis)
    let w = 0
    let sx = 0
    let sz = 0
    let sxx = 0
    let sxz = 0
    for (let i = 0; i < area.length; i++) {
      const z = height[i]! - middle
      if (z > band || z < -band) continue
      const a = area[i]!
      const x = along[i]!
      w += a
      sx += a * x
      sz += a * z
      sxx += a * x * x
      sxz += a * x * z
    }
    const spread = sxx - (sx * sx) / w
    if (!(w > 0) || !(spread > 0)) return null
    const slope = (sxz - (sx * sz) / w) / spread
    const base = middle + (sz - slope * sx) / w
    const length = Math.sqrt(1 + slope * slope)
    axis = unit([axis[0] - slope * forward[0], axis[1] - slope * forward[1], axis[2] - slope * forward[2]])
    middle = base / length
  }
  return axis
}

/** `((q.995 − q.5) − (q.5 − q.005)) / (q.995 − q.005)` of the heights along an axis, by area. */
function lopsidedness(points: Float32Array, area: Float32Array, axis: Vec): number {
  const height = heightsAlong(points, axis)
  const low = weightedQuantile(height, area, 0.005)
  const middle = weightedQuantile(height, area, 0.5)
  const high = weightedQuantile(height, area, 0.995)
  return high > low ? (high - middle - (middle - low)) / (high - low) : 0
}

/** Covariance of the height along an axis with the squared distance from the middle across it: above 0, the rim stands high. */
function rimward(points: Float32Array, area: Float32Array, axis: Vec): number {
  const height = heightsAlong(points, axis)
  let w = 0
  let m: Vec = [0, 0, 0]
  for (let i = 0; i < area.length; i++) {
    w += area[i]!
    m = plus(m, [points[3 * i]!, points[3 * i + 1]!, points[3 * i + 2]!], area[i]!)
  }
  if (!(w > 0)) return 0
  const middle = scaled(m, 1 / w)
  const level = dot(middle, axis)
  let sum = 0
  let sumZ = 0
  let sumR = 0
  for (let i = 0; i < area.length; i++) {
    const d = plus([points[3 * i]!, points[3 * i + 1]!, points[3 * i + 2]!], middle, -1)
    const z = height[i]! - level
    const r2 = dot(d, d) - z * z
    sum += area[i]! * z * r2
    sumZ += area[i]! * z
    sumR += area[i]! * r2
  }
  return sum / w - (sumZ / w) * (sumR / w)
}

/** Place of each point along an axis, mm. */
export function heightsAlong(points: Float32Array, axis: Vec): Float32Array {
  const height = new Float32Array(points.length / 3)
  const [x, y, z] = axis
  for (let i = 0; i < height.length; i++)
    height[i] = x * points[3 * i]! + y * points[3 * i + 1]! + z * points[3 * i + 2]!
  return height
}
