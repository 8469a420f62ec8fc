/** Directions to try: evenly over a hemisphere, or over the half circle that lies in a mirror plane. */
import type { Direction } from '../geometry/axes'
import { cosDeg, sinDeg } from '../geometry/portable-math'
import { acrossPull } from './plan-view'

/** The golden angle, degrees. */
const GOLDEN_deg = 137.50776405003785

/** `count` directions within 90 degrees of `around`, along a spiral of equal areas; the first is `around` itself. */
export function hemisphere(around: Direction, count: number): Float64Array {
  const { u, v } = acrossPull(around)
  const out = new Float64Array(3 * count)
  for (let i = 0; i < count; i++) {
    const height = count > 1 ? 1 - i / (count - 1) : 1
    const reach = Math.sqrt(Math.max(0, 1 - height * height))
    // A whole number of turns is dropped first: large angles lose digits.
    const angle = (i * GOLDEN_deg) % 360
    const a = reach * cosDeg(angle)
    const b = reach * sinDeg(angle)
    for (let k = 0; k < 3; k++) out[3 * i + k] = height * around[k]! + a * u[k]! + b * v[k]!
  }
  return out
}

/**
 * `count` directions evenly over the half circle in the plane across `normal`, from one side of `around` (projected into that
 * plane) to the other; an odd count holds it in the middle.
 */
export function halfCircle(around: Direction, normal: Direction, count: number): Float64Array {
  const along = around[0] * normal[0] + around[1] * normal[1] + around[2] * normal[2]
  const flat = [0, 1, 2].map((k) => around[k]! - along * normal[k]!) as [number, number, number]
  const length = Math.sqrt(flat[0] * flat[0] + flat[1] * flat[1] + flat[2] * flat[2])
  const middle: Direction =
    length > 1e-6 ? [flat[0] / length, flat[1] / length, flat[2] / length] : acrossPull(normal).u
  const side = [
    normal[1] * middle[2] - normal[2] * middle[1],
    normal[2] * middle[0] - normal[0] * middle[2],
    normal[0] * middle[1] - normal[1] * middle[0],
  ]
  const out = new Float64Array(3 * count)
  for (let i = 0; i < count; i++) {
    const angle = count > 1 ? -90 + (180 * i) / (count - 1) : 0
    for (let k = 0; k < 3; k++) out[3 * i + k] = cosDeg(angle) * middle[k]! + sinDeg(angle) * side[k]!
  }
  return out
}
