/**
 * The rigid motion that brings paired points together: the start of a registration from picks, and a tool of its own.
 *
 * Source: B. K. P. Horn, "Closed-form solution of absolute orientation using unit quaternions", J. Opt. Soc. Am. A 4 (1987):
 * the turn is the eigenvector of the largest eigenvalue of a symmetric 4 × 4 matrix. A quaternion is never a mirror, so
 * the guard against reflections that a singular value decomposition needs (Umeyama 1991) is built in.
 */
import type { Matrix4 } from './axes'
import { symmetricEigen } from './symmetric-eigen'
import { Refused } from './trouble'

export interface BestMotion {
  /** Brings `from` on to `to`; rigid, never a mirror. */
  readonly motion: Matrix4
  /** Root of the weighted mean square of what is left, mm. */
  readonly rms_mm: number
  readonly largest_mm: number
  /** Breadth of the picked places as a share of their length: 0 on a line, where a turn about it stays open. */
  readonly breadth: number
}

/** Places that lie in a strip narrower than this share of its length leave the turn about it to the error of the picks. */
export const LEAST_BREADTH = 0.02

/**
 * Least squares over pairs: motion · from[i] ≈ to[i].
 *
 * @param from   three per point, mm
 * @param to     three per point, mm, in the same order
 * @param weight one per point; default all equal
 * @throws Refused `register-unclear` for fewer than three pairs, or places that (nearly) coincide or lie on one line
 * @example bestMotion([0, 0, 0, 1, 0, 0, 0, 1, 0], [5, 0, 0, 6, 0, 0, 5, 1, 0]).motion // a shift of 5 along x
 */
export function bestMotion(
  from: ArrayLike<number>,
  to: ArrayLike<number>,
  weight: ArrayLike<number> | null = null,
): BestMotion {
  const count = from.length / 3
  if (from.length !== to.length || from.length % 3 !== 0) throw new Error('geometry: points must come in pairs')
  if (count < 3)
    throw new Refused(
      'register-unclear',
      `Three pairs of places are needed to bring two meshes together, ${count} ${count === 1 ? 'is' : 'are'} given; pick more.`,
    )
  const a = middle(from, weight)
  const b = middle(to, weight)
  // Sums of products of the places about their middles: s[3 i + j] = Σ w from_i to_j.
  const s = new Float64Array(9)
  const spread = new Float64Array(9)
  let total = 0
  for (let p = 0; p < count; p++) {
    const w = weight ? weight[p]! : 1
    total += w
    for (let i = 0; i < 3; i++)
      for (let j = 0; j < 3; j++) {
        s[3 * i + j]! += w * (from[3 * p + i]! - a[i]!) * (to[3 * p + j]! - b[j]!)
        spread[3 * i + j]! += w * (from[3 * p + i]! - a[i]!) * (from[3 * p + j]! - a[j]!)
      }
  }
  const along = symmetricEigen(spread, 3).values
  const breadth = along[2]! > 0 ? Math.sqrt(Math.max(0, along[1]!) / along[2]!) : 0
  if (!(breadth >= LEAST_BREADTH))
    throw new Refused(
      'register-unclear',
      along[2]! > 0
        ? 'The picked places lie on one line, so that the turn about it stays open; pick one well to the side.'
        : 'The picked places are all the same; pick three that lie far apart.',
    )
  const [xx, xy, xz, yx, yy, yz, zx, zy, zz] = s as unknown as Nine
  const { values, vectors } = symmetricEigen(
    [
      ...[xx + yy + zz, yz - zy, zx - xz, xy - yx],
      ...[yz - zy, xx - yy - zz, xy + yx, zx + xz],
      ...[zx - xz, xy + yx, yy - xx - zz, yz + zy],
      ...[xy - yx, zx + xz, yz + zy, zz - xx - yy],
    ],
    4,
  )
  // Two equal largest eigenvalues: the other set lies on a line, or is a mirror image that fits two ways.
  if (!(values[3]! - values[2]! > 1e-6 * (Math.abs(values[3]!) + Math.abs(values[0]!))))
    throw new Refused(
      'register-unclear',
      'The picked places fit each other in more than one way; pick others that lie well apart and not on a line.',
    )
  const motion = motionOf(vectors.subarray(12, 16), a, b)
  let squares = 0
  let largest = 0
  for (let p = 0; p < count; p++) {
    let d2 = 0
    for (let i = 0; i < 3; i++) {
      const d =
        motion[4 * i]! * from[3 * p]! +
        motion[4 * i + 1]! * from[3 * p + 1]! +
        motion[4 * i + 2]! * from[3 * p + 2]! +
        motion[4 * i + 3]! -
        to[3 * p + i]!
      d2 += d * d
    }
    squares += (weight ? weight[p]! : 1) * d2
    if (d2 > largest) largest = d2
  }
  return { motion, rms_mm: Math.sqrt(squares / total), largest_mm: Math.sqrt(largest), breadth }
}

type Nine = readonly [number, number, number, number, number, number, number, number, number]

function middle(points: ArrayLike<number>, weight: ArrayLike<number> | null): [number, number, number] {
  let total = 0
  const sum: [number, number, number] = [0, 0, 0]
  for (let p = 0; p < points.length / 3; p++) {
    const w = weight ? weight[p]! : 1
    total += w
    for (let k = 0; k < 3; k++) sum[k]! += w * points[3 * p + k]!
  }
  if (!(total > 0)) throw new Error('geometry: paired points need some weight')
  return [sum[0] / total, sum[1] / total, sum[2] / total]
}

/** Turn by the unit quaternion (w, x, y, z) that takes place `a` to place `b`, as a motion. */
export function motionOf(q: ArrayLike<number>, a: readonly number[], b: readonly number[]): Matrix4 {
  const w = q[0]!
  const x = q[1]!
  const y = q[2]!
  const z = q[3]!
  const r = [
    [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
    [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
    [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
  ]
  return [
    ...r.flatMap((row, i) => [...row, b[i]! - (row[0]! * a[0]! + row[1]! * a[1]! + row[2]! * a[2]!)]),
    ...[0, 0, 0, 1],
  ]
}
