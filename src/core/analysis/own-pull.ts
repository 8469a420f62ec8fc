/**
 * The pull along which a group of facets alone would leave best: the direction that makes the least draft greatest.
 */
import type { Direction } from '../geometry/axes'

const MOST_ROUNDS = 64

/**
 * The direction of greatest least draft is the point nearest to 0 of the convex hull of the unit normals, and that draft's sine is
 * its distance (duality of linear programming). Found by Wolfe's method (P. Wolfe, "Finding the nearest point in a polytope",
 * Math. Programming 11, 1976) over at most four normals at a time.
 *
 * @param normals unit normals, three per facet; a facet without area has 0,0,0 and is skipped
 * @param facets  which facets
 * @returns unit direction and the sine of the least draft along it; `null` if no direction frees all of them
 */
export function ownPull(
  normals: Float32Array | Float64Array,
  facets: ArrayLike<number>,
): { pull: Direction; leastSine: number } | null {
  let set: Vector[] = []
  for (let i = 0; i < facets.length && set.length === 0; i++) {
    const n = normalOf(normals, facets[i]!)
    if (n[0] !== 0 || n[1] !== 0 || n[2] !== 0) set = [n]
  }
  if (set.length === 0) return null
  let nearest: Vector = set[0]!
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const length2 = dot(nearest, nearest)
    if (length2 < 1e-12) return null
    // The normal that leans back most against the present direction.
    let least = Infinity
    let worst = -1
    for (let i = 0; i < facets.length; i++) {
      const f = 3 * facets[i]!
      const x = normals[f]!
      const y = normals[f + 1]!
      const z = normals[f + 2]!
      if (x === 0 && y === 0 && z === 0) continue
      const s = x * nearest[0] + y * nearest[1] + z * nearest[2]
      if (s < least) {
        least = s
        worst = facets[i]!
      }
    }
    if (least >= length2 - 1e-9) break
    const found = nearestOfSimplex([...set, normalOf(normals, worst)])
    // No progress: rounding has the last word.
    if (dot(found.point, found.point) >= length2 - 1e-14) break
    nearest = found.point
    set = found.set
  }
  const length = Math.sqrt(dot(nearest, nearest))
  if (length < 1e-6) return null
  const pull: Direction = [nearest[0] / length, nearest[1] / length, nearest[2] / length]
  let leastSine = Infinity
  for (let i = 0; i < facets.length; i++) {
    const n = normalOf(normals, facets[i]!)
    if (n[0] === 0 && n[1] === 0 && n[2] === 0) continue
    leastSine = Math.min(leastSine, dot(n, pull))
  }
  return leastSine > 1e-6 ? { pull, leastSine } : null
}

type Vector = readonly [number, number, number]

const dot = (a: Vector, b: Vector): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
const normalOf = (normals: ArrayLike<number>, f: number): Vector => [
  normals[3 * f]!,
  normals[3 * f + 1]!,
  normals[3 * f + 2]!,
]

/** The point nearest to 0 of the hull of up to five points, and the points (at most four) that carry it: every subset is tried. */
function nearestOfSimplex(points: readonly Vector[]): { point: Vector; set: Vector[] } {
  let best = Infinity
  let point: Vector = points[0]!
  let set: Vector[] = [points[0]!]
  for (let mask = 1; mask < 1 << points.length; mask++) {
    const subset = points.filter((_, i) => (mask >> i) & 1)
    if (subset.length > 4) continue
    const weights = affineWeights(subset)
    if (!weights || weights.some((w) => w < 0)) continue
    const p: [number, number, number] = [0, 0, 0]
    subset.forEach((q, i) => {
      for (let k = 0; k < 3; k++) p[k]! += weights[i]! * q[k]!
    })
    const d = dot(p, p)
    if (d < best) {
      best = d
      point = p
      set = subset
    }
  }
  return { point, set }
}

/** Weights (sum 1) of the point nearest to 0 in the affine hull of the points; `null` if they are not independent. */
function affineWeights(points: readonly Vector[]): number[] | null {
  const n = points.length
  if (n === 1) return [1]
  // Normal equations for the weights of points 1…n−1 against point 0.
  const first = points[0]!
  const edges = points.slice(1).map((p): Vector => [p[0] - first[0], p[1] - first[1], p[2] - first[2]])
  const rows = edges.map((e) => [...edges.map((g) => dot(e, g)), -dot(e, first)])
  const m = n - 1
  for (let k = 0; k < m; k++) {
    let pivot = k
    for (let r = k + 1; r < m; r++) if (Math.abs(rows[r]![k]!) > Math.abs(rows[pivot]![k]!)) pivot = r
    const row = rows[pivot]!
    if (Math.abs(row[k]!) < 1e-18) return null
    rows[pivot] = rows[k]!
    rows[k] = row
    for (let r = 0; r < m; r++) {
      if (r === k) continue
      const factor = rows[r]![k]! / row[k]!
      for (let c = k; c <= m; c++) rows[r]![c]! -= factor * row[c]!
    }
  }
  const weights = rows.map((row, k) => row[m]! / row[k]!)
  return [1 - weights.reduce((a, b) => a + b, 0), ...weights]
}
