/**
 * How long a polyline takes on a machine whose axes have limited acceleration.
 *
 * The time of a pass is not its length over the feed: short moves never reach the feed (C16), and stopping at every point of a
 * fine polyline would give six times the hours. Here the feed is carried round corners as far as the axes allow. Jerk and the
 * controller's look-ahead are not in the formula; they are in the range that the estimate is given with.
 */

export interface MachineMotion {
  /** Largest acceleration of each axis, mm/s². */
  readonly acceleration_mm_s2: readonly [number, number, number]
}

/** Cutting values. n = 1000 Vc/(π D) (C09), vf = n fz z (C10), Q = ap ae vf/1000 cm³/min (C12), t = V/Q (C15). */
export const spindleSpeed_rpm = (speed_m_min: number, diameter_mm: number): number =>
  (1000 * speed_m_min) / (Math.PI * diameter_mm)
export const feed_mm_min = (speed_rpm: number, perTooth_mm: number, teeth: number): number =>
  speed_rpm * perTooth_mm * teeth
/** Diameter that cuts at depth `ap` on a ball: 2√(ap(D − ap)). C11. */
export const effectiveDiameter_mm = (diameter_mm: number, depth_mm: number): number =>
  2 * Math.sqrt(depth_mm * (diameter_mm - depth_mm))
export const removalRate_cm3_min = (depth_mm: number, width_mm: number, feed_mm_min: number): number =>
  (depth_mm * width_mm * feed_mm_min) / 1000

/** A controller rounds a corner off over about this length. Common practice, no source. */
const BLEND_MM = 2

/** One straight move from rest to rest: 2√(L/a) if L < v²/a, else L/v + v/a. C16. */
export function moveTime_s(length_mm: number, speed_mm_s: number, acceleration_mm_s2: number): number {
  if (length_mm < (speed_mm_s * speed_mm_s) / acceleration_mm_s2) return 2 * Math.sqrt(length_mm / acceleration_mm_s2)
  return length_mm / speed_mm_s + speed_mm_s / acceleration_mm_s2
}

/**
 * Seconds for a polyline, from rest to rest.
 *
 * Along a segment with direction u the acceleration is the least of a_k/|u_k|. At a corner the direction turns by Δu over about
 * the mean length l of its two segments (at most `BLEND_MM`, or two long straights would meet at full feed), so
 * v² ≤ a_k l/|Δu_k| for every axis. One pass forward and one back bring the corner
 * speeds in reach of each other; each segment is then a trapezoid.
 *
 * @param points x y z, mm, `from` … `to` (point numbers, `to` not included)
 */
export function polylineTime_s(
  points: ArrayLike<number>,
  speed_mm_s: number,
  motion: MachineMotion,
  from = 0,
  to = points.length / 3,
): number {
  const n = to - from
  if (n < 2) return 0
  const limit = motion.acceleration_mm_s2
  const length = new Float64Array(n - 1)
  const along = new Float64Array(n - 1)
  const square = new Float64Array(n) // largest v² at each point
  let px = 0
  let py = 0
  let pz = 0
  let before = 0
  for (let k = 0; k + 1 < n; k++) {
    const i = 3 * (from + k)
    const dx = points[i + 3]! - points[i]!
    const dy = points[i + 4]! - points[i + 1]!
    const dz = points[i + 5]! - points[i + 2]!
    const l = Math.sqrt(dx * dx + dy * dy + dz * dz)
    length[k] = l
    if (l === 0) {
      along[k] = Infinity
      square[k] = k === 0 ? 0 : Infinity
      continue
    }
    const ux = dx / l
    const uy = dy / l
    const uz = dz / l
    along[k] = Math.min(
      limit[0] / Math.max(1e-12, Math.abs(ux)),
      limit[1] / Math.max(1e-12, Math.abs(uy)),
      limit[2] / Math.max(1e-12, Math.abs(uz)),
    )
    if (before > 0) {
      const mean = Math.min(BLEND_MM, (before + l) / 2)
      square[k] = Math.min(
        speed_mm_s * speed_mm_s,
        (limit[0] * mean) / Math.max(1e-12, Math.abs(ux - px)),
        (limit[1] * mean) / Math.max(1e-12, Math.abs(uy - py)),
        (limit[2] * mean) / Math.max(1e-12, Math.abs(uz - pz)),
      )
    }
    px = ux
    py = uy
    pz = uz
    before = l
  }
  square[0] = 0
  square[n - 1] = 0
  for (let k = 0; k + 1 < n; k++)
    if (length[k]! > 0) square[k + 1] = Math.min(square[k + 1]!, square[k]! + 2 * along[k]! * length[k]!)
    else square[k + 1] = Math.min(square[k + 1]!, square[k]!)
  for (let k = n - 2; k >= 0; k--)
    if (length[k]! > 0) square[k] = Math.min(square[k]!, square[k + 1]! + 2 * along[k]! * length[k]!)
    else square[k] = Math.min(square[k]!, square[k + 1]!)
  let time = 0
  const top = speed_mm_s * speed_mm_s
  for (let k = 0; k + 1 < n; k++) {
    const l = length[k]!
    if (l === 0) continue
    const a = along[k]!
    const v0 = square[k]!
    const v1 = square[k + 1]!
    const peak = Math.min(top, (2 * a * l + v0 + v1) / 2)
    const v = Math.sqrt(peak)
    const ramps = (2 * peak - v0 - v1) / (2 * a)
    time += (2 * v - Math.sqrt(v0) - Math.sqrt(v1)) / a + Math.max(0, l - ramps) / v
  }
  return time
}
