/** Outlines of lands in plan: what touches, grown by a margin and rounded; a channel along a line; symmetry about y = 0. */
import { atan2Deg, cosDeg, sinDeg, square } from '../geometry/portable-math'
import { convexHull } from './footprint'

export type PlanPoint = readonly [number, number]

/** Longest side of an outline: between its corners the rim is a chord of the crown (0.01 mm at 2.5 m radius). */
const LONGEST_MM = 14
/** Shorter sides are taken out: rounding to Float32 at 1.3 m moves a corner by 6e-5 mm, 0.002 degrees over this. */
const SHORTEST_MM = 2
const MOST_ARC_DEG = 22.5

/**
 * A convex outline that keeps `margin_mm` around all points, with corners of at least `radius_mm`.
 *
 * The hull is moved out by m′, then opened by a disc of the radius R (moved in by R, and out again with arcs). Over a corner
 * that turns by 2β the disc comes to (m′ − R)/cos β + R from the hull's corner, so m′ = R − (R − margin) cos β of the
 * sharpest corner keeps the margin there too.
 *
 * @returns counter-clockwise loop; empty if the points have no area. The radius as built is less where the hull is smaller
 */
export function roundedOutline(
  points: readonly PlanPoint[],
  margin_mm: number,
  radius_mm: number,
): { loop: PlanPoint[]; radius_mm: number } {
  const hull = withoutShortSides(convexHull(points))
  if (hull.length < 3 || area(hull) < 1) return { loop: [], radius_mm }
  let sharpest = 1
  for (let k = 0; k < hull.length; k++) {
    const [a, b] = [sideNormal(hull, k - 1), sideNormal(hull, k)]
    sharpest = Math.min(sharpest, Math.sqrt(Math.max(0, (1 + a[0] * b[0] + a[1] * b[1]) / 2)))
  }
  for (let radius = Math.max(radius_mm, 0.5); ; radius *= 0.8) {
    const out = Math.max(margin_mm, radius - (radius - margin_mm) * sharpest)
    const core = movedIn(hull, radius - out)
    if (core.length < 3 && radius > 0.6) continue
    return { loop: refined(swollen(core.length < 3 ? hull : core, radius)), radius_mm: radius }
  }
}

/** A channel's floor: the line with its corners rounded, half the width to either side, and round ends. */
export function channelOutline(path: readonly PlanPoint[], width_mm: number, bend_mm: number): PlanPoint[] {
  const line = refined(bent(path, bend_mm), false)
  if (line.length < 2) return []
  const half = width_mm / 2
  const right: PlanPoint[] = []
  const left: PlanPoint[] = []
  for (let k = 0; k < line.length; k++) {
    const a = direction(line[Math.max(0, k - 1)]!, line[Math.max(1, k)]!)
    const b = direction(line[Math.min(k, line.length - 2)]!, line[Math.min(k + 1, line.length - 1)]!)
    const scale = half / (1 + a[0] * b[0] + a[1] * b[1])
    const nx = -(a[1] + b[1]) * scale
    const ny = (a[0] + b[0]) * scale
    left.push([line[k]![0] + nx, line[k]![1] + ny])
    right.push([line[k]![0] - nx, line[k]![1] - ny])
  }
  const last = line.length - 1
  return [
    ...right,
    ...cap(line[last]!, direction(line[last - 1]!, line[last]!), half),
    ...left.reverse(),
    ...cap(line[0]!, direction(line[1]!, line[0]!), half),
  ]
}

/** Points of a half circle between the right and the left end of a line, both left out. */
function cap([x, y]: PlanPoint, [dx, dy]: PlanPoint, radius: number): PlanPoint[] {
  const steps = Math.max(4, Math.min(8, Math.round((Math.PI * radius) / 3)))
  return Array.from({ length: steps - 1 }, (_, k): PlanPoint => {
    const c = cosDeg(-90 + (180 * (k + 1)) / steps)
    const s = sinDeg(-90 + (180 * (k + 1)) / steps)
    return [x + radius * (c * dx - s * dy), y + radius * (s * dx + c * dy)]
  })
}

/** Corners of an open line replaced by arcs, as large as their sides allow. */
function bent(path: readonly PlanPoint[], radius_mm: number): PlanPoint[] {
  const clean = path.filter((p, k) => k === 0 || length(path[k - 1]!, p) > 1e-6)
  const out: PlanPoint[] = []
  for (let k = 0; k < clean.length; k++) {
    const at = clean[k]!
    const before = clean[k - 1]
    const after = clean[k + 1]
    if (!before || !after) {
      out.push(at)
      continue
    }
    const a = direction(before, at)
    const b = direction(at, after)
    const turn = atan2Deg(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])
    const half = Math.abs(turn) / 2
    if (half < 0.5 || half > 85) {
      out.push(at)
      continue
    }
    const tan = sinDeg(half) / cosDeg(half)
    const room = Math.min(length(before, at), length(at, after)) * 0.49
    const radius = Math.min(radius_mm, room / tan)
    const back = radius * tan
    const side = turn > 0 ? 1 : -1
    const from: PlanPoint = [at[0] - back * a[0], at[1] - back * a[1]]
    const middle: PlanPoint = [from[0] - side * radius * a[1], from[1] + side * radius * a[0]]
    const steps = Math.max(2, Math.ceil(Math.abs(turn) / 10))
    for (let s = 0; s <= steps; s++) {
      const c = cosDeg((turn * s) / steps)
      const w = sinDeg((turn * s) / steps)
      const rx = from[0] - middle[0]
      const ry = from[1] - middle[1]
      out.push([middle[0] + c * rx - w * ry, middle[1] + w * rx + c * ry])
    }
  }
  return out
}

/**
 * The half y ≥ 0 of a loop that is its own mirror image, as a chain from y = 0 forward to y = 0 aft; `null` for one that is
 * not, by more than `tolerance_mm`.
 */
export function symmetricHalf(loop: readonly PlanPoint[], tolerance_mm = 0.3): PlanPoint[] | null {
  const n = loop.length
  const ups = loop.map((p, k) => (p[1] < 0 && loop[(k + 1) % n]![1] >= 0 ? k : -1)).filter((k) => k >= 0)
  if (ups.length !== 1) return null
  const crossing = (a: PlanPoint, b: PlanPoint): PlanPoint => [a[0] + ((0 - a[1]) / (b[1] - a[1])) * (b[0] - a[0]), 0]
  const chain: PlanPoint[] = [crossing(loop[ups[0]!]!, loop[(ups[0]! + 1) % n]!)]
  let k = (ups[0]! + 1) % n
  for (; loop[k]![1] >= 0; k = (k + 1) % n) if (loop[k]![1] > 0.4) chain.push(loop[k]!)
  const last = loop[(k + n - 1) % n]!
  chain.push(last[1] === 0 ? [last[0], 0] : crossing(last, loop[k]!))
  if (chain.length < 4) return null
  for (; loop[k]![1] < 0; k = (k + 1) % n)
    if (distanceToChain(chain, loop[k]![0], -loop[k]![1]) > tolerance_mm) return null
  return chain
}

export const mirroredLoop = (loop: readonly PlanPoint[]): PlanPoint[] =>
  loop.map(([x, y]): PlanPoint => [x, -y]).reverse()

/** Whether two loops are mirror images of each other within a tolerance, corner against line. */
export const areMirrored = (a: readonly PlanPoint[], b: readonly PlanPoint[], tolerance_mm: number): boolean =>
  a.every(([x, y]) => distanceToChain([...b, b[0]!], x, -y) <= tolerance_mm)

/** Distance from a point to an open chain of segments. */
export function distanceToChain(chain: readonly PlanPoint[], x: number, y: number): number {
  let least = Infinity
  for (let k = 0; k + 1 < chain.length; k++) {
    const [ax, ay] = chain[k]!
    const dx = chain[k + 1]![0] - ax
    const dy = chain[k + 1]![1] - ay
    const l2 = dx * dx + dy * dy
    const t = l2 > 0 ? Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / l2)) : 0
    const ex = x - ax - t * dx
    const ey = y - ay - t * dy
    least = Math.min(least, ex * ex + ey * ey)
  }
  return Math.sqrt(least)
}

export function insideLoop(loop: readonly PlanPoint[], x: number, y: number): boolean {
  let inside = false
  for (let k = 0, j = loop.length - 1; k < loop.length; j = k++) {
    const [xk, yk] = loop[k]!
    const [xj, yj] = loop[j]!
    if (yk > y !== yj > y && x < xk + ((y - yk) / (yj - yk)) * (xj - xk)) inside = !inside
  }
  return inside
}

const length = (a: PlanPoint, b: PlanPoint): number => Math.sqrt(square(b[0] - a[0]) + square(b[1] - a[1]))

function direction(a: PlanPoint, b: PlanPoint): PlanPoint {
  const l = length(a, b)
  return [(b[0] - a[0]) / l, (b[1] - a[1]) / l]
}

const at = (loop: readonly PlanPoint[], k: number): PlanPoint => loop[(k + loop.length) % loop.length]!

/** Outward normal of side k → k + 1 of a counter-clockwise loop. */
function sideNormal(loop: readonly PlanPoint[], k: number): PlanPoint {
  const [dx, dy] = direction(at(loop, k), at(loop, k + 1))
  return [dy, -dx]
}

function area(loop: readonly PlanPoint[]): number {
  let twice = 0
  for (let k = 0; k < loop.length; k++) twice += loop[k]![0] * at(loop, k + 1)[1] - at(loop, k + 1)[0] * loop[k]![1]
  return twice / 2
}

/** Sides that are too short are replaced by the meeting point of their neighbours: the loop only grows, by hundredths. */
function withoutShortSides(hull: readonly PlanPoint[]): PlanPoint[] {
  let loop = [...hull]
  for (;;) {
    let shortest = -1
    let least = SHORTEST_MM
    for (let k = 0; k < loop.length && loop.length > 4; k++) {
      const l = length(at(loop, k), at(loop, k + 1))
      const turn = sideNormal(loop, k - 1)
      const next = sideNormal(loop, k + 1)
      // Neighbours that turn by a right angle and more meet too far out.
      if (l < least && turn[0] * next[0] + turn[1] * next[1] > 0.3) {
        least = l
        shortest = k
      }
    }
    if (shortest < 0) return loop
    const p = meeting(loop, shortest)
    const next = (shortest + 1) % loop.length
    loop = loop.flatMap((q, k) => (k === shortest ? [p] : k === next ? [] : [q]))
  }
}

/** Where the sides before and after side k meet. */
function meeting(loop: readonly PlanPoint[], k: number): PlanPoint {
  const [ax, ay] = at(loop, k)
  const [bx, by] = at(loop, k + 1)
  const a = direction(at(loop, k - 1), at(loop, k))
  const b = direction(at(loop, k + 1), at(loop, k + 2))
  const det = a[0] * b[1] - a[1] * b[0]
  const t = ((bx - ax) * b[1] - (by - ay) * b[0]) / det
  return [ax + t * a[0], ay + t * a[1]]
}

/** A convex loop with every side moved in by d (out for d < 0); empty when nothing is left. */
function movedIn(loop: readonly PlanPoint[], d: number): PlanPoint[] {
  const sides = loop.map((p, k) => ({ n: sideNormal(loop, k), p }))
  if (d <= 0)
    return loop.map((p, k): PlanPoint => {
      const a = sideNormal(loop, k - 1)
      const b = sideNormal(loop, k)
      const scale = -d / (1 + a[0] * b[0] + a[1] * b[1])
      return [p[0] + (a[0] + b[0]) * scale, p[1] + (a[1] + b[1]) * scale]
    })
  let rest: PlanPoint[] = [...loop]
  for (const { n, p } of sides) {
    const limit = n[0] * p[0] + n[1] * p[1] - d
    const over = (q: PlanPoint) => n[0] * q[0] + n[1] * q[1] - limit
    rest = rest.flatMap((q, k): PlanPoint[] => {
      const r = at(rest, k + 1)
      const a = over(q)
      const b = over(r)
      const cut: PlanPoint[] =
        a < 0 !== b < 0 ? [[q[0] + (a / (a - b)) * (r[0] - q[0]), q[1] + (a / (a - b)) * (r[1] - q[1])]] : []
      return a < 0 ? [q, ...cut] : cut
    })
    if (rest.length < 3) return []
  }
  return withoutShortSides(convexHull(rest))
}

/** Moved out by a disc: arcs at the corners. */
function swollen(loop: readonly PlanPoint[], radius: number): PlanPoint[] {
  return loop.flatMap((p, k): PlanPoint[] => {
    const a = sideNormal(loop, k - 1)
    const b = sideNormal(loop, k)
    const turn = atan2Deg(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])
    const arc = (turn * radius * Math.PI) / 180
    if (arc < SHORTEST_MM) {
      const scale = radius / (1 + a[0] * b[0] + a[1] * b[1])
      return [[p[0] + (a[0] + b[0]) * scale, p[1] + (a[1] + b[1]) * scale]]
    }
    const steps = Math.max(Math.ceil(turn / MOST_ARC_DEG), Math.floor(arc / (2 * SHORTEST_MM)), 1)
    return Array.from({ length: steps + 1 }, (_, s): PlanPoint => {
      const c = cosDeg((turn * s) / steps)
      const w = sinDeg((turn * s) / steps)
      // Corners inside the arc stand out a little, so that its chords do not cut the margin.
      const r = s === 0 || s === steps ? radius : radius / cosDeg(turn / steps / 2)
      return [p[0] + r * (c * a[0] - w * a[1]), p[1] + r * (w * a[0] + c * a[1])]
    })
  })
}

/** Long sides cut into equal pieces. */
function refined(loop: readonly PlanPoint[], closed = true): PlanPoint[] {
  return loop.flatMap((p, k): PlanPoint[] => {
    if (!closed && k === loop.length - 1) return [p]
    const q = at(loop, k + 1)
    const pieces = Math.max(1, Math.ceil(length(p, q) / LONGEST_MM))
    return Array.from({ length: pieces }, (_, s): PlanPoint => {
      const t = s / pieces
      return [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]
    })
  })
}
