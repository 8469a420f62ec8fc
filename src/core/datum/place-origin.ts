import { weightedQuantile } from '../geometry/weighted-quantile'

/** Where the origin of the job axes goes, measured along them from the area's middle, mm. */
export interface Place {
  /** Middle of the frame's box in plan, along forward. */
  readonly x: number
  /** Height of the top metal: the tallest peak of the area over height, in the upper half. */
  readonly z: number
  /** Half width at the rim's axis. */
  readonly halfWidth_mm: number
  readonly halfLength_mm: number
  /** −1…1: how far the area's middle lies from the box's middle, as a share of half the length; its sign tells the ends apart. */
  readonly lean: number
}

const BIN_mm = 4
/** Half the height over which the top metal is averaged: more than the radius of any ring, less than its height over a foot. */
const BAND_mm = 40

/**
 * @param forward  place of each vertex along forward from the area's middle, mm
 * @param port     signed distance of each vertex from the centreline plane, mm
 * @param height   place along up, mm
 * @param area     mm2, one per vertex
 */
export function placeOrigin(
  forward: Float32Array,
  port: Float32Array,
  height: Float32Array,
  area: Float32Array,
): Place {
  const [x0, x1] = range(forward)
  const x = (x0 + x1) / 2
  const z = topMetal(height, area)
  const halfLength_mm = (x1 - x0) / 2
  const lean = halfLength_mm > 0 ? -x / halfLength_mm : 0
  return { x, z, halfWidth_mm: halfWidth(port, height, area, z), halfLength_mm, lean }
}

function range(values: Float32Array): [number, number] {
  let low = Infinity
  let high = -Infinity
  for (let i = 0; i < values.length; i++) {
    const v = values[i]!
    if (v < low) low = v
    if (v > high) high = v
  }
  return [low, high]
}

function topMetal(height: Float32Array, area: Float32Array): number {
  const [low, high] = range(height)
  const middle = (low + high) / 2
  const bins = new Float64Array(Math.max(1, Math.ceil((high - middle) / BIN_mm) + 1))
  for (let i = 0; i < height.length; i++)
    if (height[i]! >= middle) bins[Math.floor((height[i]! - middle) / BIN_mm)]! += area[i]!
  const half = Math.round(BAND_mm / BIN_mm)
  let best = 0
  let most = -1
  for (let b = 0; b < bins.length; b++) {
    let sum = 0
    for (let k = Math.max(0, b - half); k <= Math.min(bins.length - 1, b + half); k++) sum += bins[k]!
    if (sum > most) {
      most = sum
      best = b
    }
  }
  const peak = middle + (best + 0.5) * BIN_mm
  let sum = 0
  let moment = 0
  for (let i = 0; i < height.length; i++) {
    if (Math.abs(height[i]! - peak) > BAND_mm) continue
    sum += area[i]!
    moment += area[i]! * height[i]!
  }
  return sum > 0 ? moment / sum : peak
}

/** The rim's axis: the middle, by area, of the outermost 50 mm of the top metal. A tube of up to that diameter lies in it whole. */
function halfWidth(port: Float32Array, height: Float32Array, area: Float32Array, z: number): number {
  const out = port.map((y, i) => (Math.abs(height[i]! - z) < 4 * BAND_mm ? Math.abs(y) : Number.NaN))
  const edge = weightedQuantile(out, area, 0.999)
  let sum = 0
  let moment = 0
  for (let i = 0; i < out.length; i++) {
    if (!(out[i]! > edge - 50)) continue
    sum += area[i]!
    moment += area[i]! * out[i]!
  }
  return sum > 0 ? moment / sum : 0
}
