/** Lines in space of what the clearance slip asks for: boxes of regions, circles of bosses, edges of landing strips. */
import type { Boss, GapRegion } from '../../core/clearance/shape-types'
import type { Vec3 } from '../camera/eye'

/** The twelve edges of a box as runs of points: its bottom, its top and its four uprights. */
export function boxRuns({ min_mm: a, max_mm: b }: GapRegion): readonly (readonly Vec3[])[] {
  const ring = (z: number): Vec3[] => [
    [a[0], a[1], z],
    [b[0], a[1], z],
    [b[0], b[1], z],
    [a[0], b[1], z],
    [a[0], a[1], z],
  ]
  const [low, high] = [ring(a[2]), ring(b[2])]
  return [low, high, ...[0, 1, 2, 3].map((k) => [low[k]!, high[k]!])]
}

const ROUND = 48

/** The circle of a boss at a height, and its twin's on a symmetric top. */
export function bossRuns({ at_mm, radius_mm }: Boss, z: number, symmetric: boolean): readonly (readonly Vec3[])[] {
  const circle = (side: 1 | -1): Vec3[] =>
    Array.from({ length: ROUND + 1 }, (_, k) => {
      const turn = (2 * Math.PI * k) / ROUND
      return [at_mm[0] + radius_mm * Math.cos(turn), side * (at_mm[1] + radius_mm * Math.sin(turn)), z]
    })
  return symmetric && at_mm[1] !== 0 ? [circle(1), circle(-1)] : [circle(1)]
}

/** Both edges of a strip along an axis, half its width to either side in plan. */
export function stripRuns(axis: readonly Vec3[], closed: boolean, width_mm: number): readonly (readonly Vec3[])[] {
  const n = axis.length
  const edge = (side: 1 | -1): Vec3[] => {
    const run = axis.map((p, k): Vec3 => {
      const before = axis[closed ? (k + n - 1) % n : Math.max(0, k - 1)]!
      const after = axis[closed ? (k + 1) % n : Math.min(n - 1, k + 1)]!
      const [dx, dy] = [after[0] - before[0], after[1] - before[1]]
      const long = Math.hypot(dx, dy) || 1
      const by = (side * width_mm) / 2 / long
      return [p[0] - dy * by, p[1] + dx * by, p[2]]
    })
    return closed ? [...run, run[0]!] : run
  }
  return [edge(1), edge(-1)]
}
