/** A drawing to begin with: the outline that was found, as a few points that a hand can move. */
import { square } from '../geometry/portable-math'
import { upperHalf } from './outline'
import { insideCurve, type PlanCurve, pushOut } from './plan-curve'
import { polygonCurve } from './polygon-outline'
import type { OutlineSetting } from './shape-types'

type Polygon = Extract<OutlineSetting, { from: 'polygon' }>

/** A point of the found outline may lie this far off the sides of the drawn one, mm: corners then take three or four points. */
const OFF_MM = 12
/** What rounding to whole millimetres and the fillets may take is added beforehand, mm. */
const ROOM_MM = 1
const ROUNDS = 8
/** Of a side, so that two fillets fit on it. */
const SHARE = 0.45
/** A corner that wants more is as good as straight. */
const MOST_RADIUS_MM = 5000

/**
 * Few points whose outline, corners rounded, holds the one that was found: a drawn outline that cut into it would be refused.
 *
 * @param outline   corners x y, counter-clockwise, as the result of the step gives them
 * @param symmetric then the points are those of the port half
 * @param least_mm  radius of corners that have none of their own
 * @returns the outline in whole millimetres; of at most some 30 points
 */
export function drawnOutline(outline: Float64Array, symmetric: boolean, least_mm: number): Polygon {
  const found: PlanCurve = symmetric
    ? upperHalf(outline)
    : { x: outline.filter((_, k) => k % 2 === 0), y: outline.filter((_, k) => k % 2 === 1), mirrored: false }
  let few = thinned(found)
  let drawn = setting(few)
  for (let round = 0; round < ROUNDS; round++) {
    const lack = mostOutside(found, polygonCurve(drawn, symmetric, least_mm))
    if (lack <= 0) break
    few = pushOut(few, lack + ROOM_MM)
    drawn = setting(few)
  }
  return drawn
}

function setting(few: PlanCurve): Polygon {
  const x = few.x.map(Math.round)
  const y = few.y.map(Math.round)
  const n = x.length
  const at = (k: number): readonly [number, number] => {
    if (!few.mirrored) return [x[(k + n) % n]!, y[(k + n) % n]!]
    const j = k < 0 ? -k : k >= n ? 2 * (n - 1) - k : k
    return [x[j]!, j === k ? y[j]! : -y[j]!]
  }
  return {
    from: 'polygon',
    mirrored: few.mirrored,
    points: Array.from(x, (_, k) => ({ at_mm: at(k), radius_mm: filletRoom_mm(at(k - 1), at(k), at(k + 1), SHARE) })),
  }
}

/**
 * The fillet at `b` that takes a share of the shorter of its two sides, whole mm; 0: as good as straight. With a share of
 * nearly a half the drawn outline runs about as round as the found one.
 */
export function filletRoom_mm(
  a: readonly [number, number],
  b: readonly [number, number],
  c: readonly [number, number],
  share: number,
): number {
  const [ux, uy, vx, vy] = [b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]]
  const [u, v] = [Math.sqrt(square(ux) + square(uy)), Math.sqrt(square(vx) + square(vy))]
  const cos = (ux * vx + uy * vy) / (u * v)
  const tanHalf = Math.sqrt(Math.max(0, (1 - cos) / (1 + cos)))
  const radius = Math.floor((share * Math.min(u, v)) / tanHalf)
  return radius <= MOST_RADIUS_MM ? radius : 0
}

/** Corners without which the curve would move by more than `OFF_MM` (Ramer 1972, Douglas and Peucker 1973). */
function thinned({ x, y, mirrored }: PlanCurve): PlanCurve {
  const n = x.length
  const kept = new Set<number>([0])
  // A loop is cut where it is furthest from its first corner.
  const last = mirrored ? n - 1 : furthest(0, n, (k) => square(x[k]! - x[0]!) + square(y[k]! - y[0]!)).at
  kept.add(last)
  const open: [number, number][] = mirrored
    ? [[0, last]]
    : [
        [0, last],
        [last, n],
      ]
  for (let span = open.pop(); span; span = open.pop()) {
    const [a, b] = span
    const to = b % n
    const dx = x[to]! - x[a]!
    const dy = y[to]! - y[a]!
    const long2 = square(dx) + square(dy)
    const off = furthest(a + 1, b, (k) => {
      const t = long2 > 0 ? Math.min(1, Math.max(0, ((x[k]! - x[a]!) * dx + (y[k]! - y[a]!) * dy) / long2)) : 0
      return square(x[k]! - x[a]! - t * dx) + square(y[k]! - y[a]! - t * dy)
    })
    if (off.most <= square(OFF_MM)) continue
    kept.add(off.at)
    open.push([a, off.at], [off.at, b])
  }
  const order = [...kept].sort((a, b) => a - b)
  return { x: Float64Array.from(order, (k) => x[k]!), y: Float64Array.from(order, (k) => y[k]!), mirrored }
}

function furthest(from: number, to: number, off: (k: number) => number): { at: number; most: number } {
  let at = from
  let most = -1
  for (let k = from; k < to; k++) {
    const d = off(k)
    if (d <= most) continue
    most = d
    at = k
  }
  return { at, most }
}

/** How far the corners of one curve stand out of another, the worst of them, mm. */
function mostOutside(found: PlanCurve, drawn: PlanCurve): number {
  let worst = 0
  for (let k = 0; k < found.x.length; k++) {
    if (insideCurve(drawn, found.x[k]!, found.y[k]!)) continue
    let near = Infinity
    for (let j = 0; j + (drawn.mirrored ? 1 : 0) < drawn.x.length; j++) {
      const n = (j + 1) % drawn.x.length
      const dx = drawn.x[n]! - drawn.x[j]!
      const dy = drawn.y[n]! - drawn.y[j]!
      const px = found.x[k]! - drawn.x[j]!
      const py = found.y[k]! - drawn.y[j]!
      const long2 = square(dx) + square(dy)
      const t = long2 > 0 ? Math.min(1, Math.max(0, (px * dx + py * dy) / long2)) : 0
      near = Math.min(near, square(px - t * dx) + square(py - t * dy))
    }
    worst = Math.max(worst, Math.sqrt(near))
  }
  return worst
}
