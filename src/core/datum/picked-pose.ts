/**
 * The pose from places that a person picked on the metal: level, centreline and forward, each by itself or together. What
 * was not picked comes from the automatic pose; all three together need none.
 */
import { type Matrix4, transformDirection, transformPoint } from '../geometry/axes'
import { LEAST_BREADTH } from '../geometry/best-motion'
import { square } from '../geometry/portable-math'
import { symmetricEigen } from '../geometry/symmetric-eigen'
import { Refused } from '../geometry/trouble'
import { across, angleBetween_deg, cross, dot, plus, scaled, unit, type Vec } from '../geometry/vectors'
import type { DatumPicks, PickResiduals } from './types'

/** The centreline as picked: `port · x = offset_mm` in scan axes, and which way is up. */
export interface PickedPose {
  readonly port: Vec
  readonly offset_mm: number
  readonly up: Vec
  readonly residuals: PickResiduals
}

/** Two picks nearer to each other than this say nothing of a direction: a pick is good to a few millimetres. */
const LEAST_APART_mm = 20

/** Whether the picks alone settle the pose. */
export const settleAll = (picks: DatumPicks): boolean =>
  picks.level.length > 0 && picks.pairs.length > 0 && picks.forward.length > 0

/**
 * @param found the automatic motion, scan axes to job axes; null where the picks settle all
 * @throws Refused `setting-impossible` for picks that settle nothing: on one line, too close together, not opposite
 */
export function pickedPose(picks: DatumPicks, found: Matrix4 | null): PickedPose {
  const way = picks.forward.length > 0 ? forwardWay(picks.forward) : null
  const foundUp = found && transformDirection(inverseTurn(found), [0, 0, 1])
  const level = picks.level.length > 0 ? levelOf(picks.level) : null
  const guess = level?.normal ?? foundUp
  if (!guess) throw new Error('datum: picks without a level need the automatic pose')
  let up = foundUp && dot(guess, foundUp) < 0 ? scaled(guess, -1) : guess
  const pairs = picks.pairs.length > 0 ? centreline(picks.pairs, up) : null
  if (way && Math.sqrt(dot(way, way) - square(dot(way, up))) < LEAST_APART_mm)
    refuse('The two places for forward stand above each other; pick two that lie fore and aft of each other.')
  let port: Vec
  if (pairs) {
    port = pairs.port
    // Port and forward together say which side is up, whatever was guessed.
    if (way && dot(cross(port, up), way) < 0) up = scaled(up, -1)
  } else if (way) port = cross(up, across(way, up))
  else {
    if (!found) throw new Error('datum: picks without a centreline need the automatic pose')
    port = across(transformDirection(inverseTurn(found), [0, 1, 0]), up)
  }
  const offset_mm = pairs?.offset_mm ?? dot(port, originOf(found!))
  return {
    port,
    offset_mm,
    up,
    residuals: {
      level_mm: level?.largest_mm ?? null,
      pairs: picks.pairs.map((pair) => pairResidual(pair, port, offset_mm, up)),
      forward_deg: way && angleBetween_deg(across(way, up), cross(port, up)),
    },
  }
}

/** The least-squares plane of the places, and how far the farthest lies off it. */
function levelOf(places: readonly Vec[]): { normal: Vec; largest_mm: number } {
  const at = meanOf(places)
  const { values, vectors } = symmetricEigen(spreadOf(places.map((p) => plus(p, at, -1))), 3)
  const breadth_mm = Math.sqrt(Math.max(0, values[1]!) / places.length)
  if (!(breadth_mm > LEAST_APART_mm / 4) || !(values[1]! > square(LEAST_BREADTH) * values[2]!))
    refuse('The places picked for level lie on one line or all together; pick three that lie far apart, not in a row.')
  const normal: Vec = [vectors[0]!, vectors[1]!, vectors[2]!]
  return { normal, largest_mm: Math.max(...places.map((p) => Math.abs(dot(plus(p, at, -1), normal)))) }
}

/**
 * The vertical plane about which the pairs mirror best in plan view (heights may differ). A pair with difference D and
 * middle M leaves |D|² − (n·D)² + 4 (n·M − d)²; so d is the mean of n·M, and n belongs to the largest eigenvalue of
 * Σ D Dᵀ − 4 Σ (M − M̄)(M − M̄)ᵀ, level. From the definition of a mirror; checked against a slow search in the tests.
 */
function centreline(pairs: DatumPicks['pairs'], up: Vec): { port: Vec; offset_mm: number } {
  const plan = (p: Vec): Vec => plus(p, up, -dot(p, up))
  const between = pairs.map(({ port, starboard }) => plan(plus(port, starboard, -1)))
  const middles = pairs.map(({ port, starboard }) => plan(scaled(plus(port, starboard), 0.5)))
  const mean = meanOf(middles)
  const from = spreadOf(between)
  const wide = spreadOf(middles.map((m) => plus(m, mean, -1)))
  // The height of the plane is no choice: it is pressed below both others.
  const press = 1 + from.reduce((sum, v) => sum + Math.abs(v), 0) + 4 * wide.reduce((sum, v) => sum + Math.abs(v), 0)
  const s = from.map((v, i) => v - 4 * wide[i]! - press * up[Math.floor(i / 3)]! * up[i % 3]!)
  const { values, vectors } = symmetricEigen(s, 3)
  const told_mm = Math.sqrt(Math.max(0, values[2]! - values[1]!) / pairs.length)
  if (!(values[2]! > 0) || !(told_mm > LEAST_APART_mm))
    refuse(
      'The picked pairs do not tell the centreline: pick spots that are the same on port and starboard, well apart and straight across from each other.',
    )
  const found: Vec = unit([vectors[6]!, vectors[7]!, vectors[8]!])
  const port = between.reduce((sum, d) => sum + dot(found, d), 0) < 0 ? scaled(found, -1) : found
  return { port, offset_mm: dot(port, mean) }
}

function pairResidual(pair: DatumPicks['pairs'][number], normal: Vec, offset_mm: number, up: Vec) {
  const image = plus(pair.starboard, normal, 2 * (offset_mm - dot(normal, pair.starboard)))
  const left = plus(pair.port, image, -1)
  const up_mm = dot(left, up)
  return { plan_mm: Math.sqrt(Math.max(0, dot(left, left) - square(up_mm))), up_mm }
}

function forwardWay([aft, fore]: readonly Vec[]): Vec {
  const way = plus(fore!, aft!, -1)
  if (!(Math.sqrt(dot(way, way)) > LEAST_APART_mm))
    refuse('The two places for forward lie too close together; pick one well forward of the other.')
  return way
}

/** Sum of the outer products, 3 × 3. */
function spreadOf(ways: readonly Vec[]): Float64Array {
  const m = new Float64Array(9)
  for (const d of ways) for (let r = 0; r < 3; r++) for (let c = 0; c < 3; c++) m[3 * r + c]! += d[r]! * d[c]!
  return m
}

const meanOf = (places: readonly Vec[]): Vec =>
  scaled(
    places.reduce((sum, p) => plus(sum, p), [0, 0, 0] as Vec),
    1 / places.length,
  )

/** Turns job directions into scan directions. */
const inverseTurn = (m: Matrix4): Matrix4 => [
  ...[m[0]!, m[4]!, m[8]!, 0, m[1]!, m[5]!, m[9]!, 0],
  ...[m[2]!, m[6]!, m[10]!, 0, 0, 0, 0, 1],
]

/** Where the origin of the job axes lies in the scan. */
function originOf(found: Matrix4): Vec {
  const back = inverseTurn(found)
  return transformPoint(back, [-found[3]!, -found[7]!, -found[11]!])
}

const refuse = (message: string): never => {
  throw new Refused('setting-impossible', `datum: ${message}`)
}
