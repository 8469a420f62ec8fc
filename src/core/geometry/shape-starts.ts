import type { Matrix4 } from './axes'
import type { Mesh } from './mesh'
import { symmetricEigen } from './symmetric-eigen'
import { cross, type Vec } from './vectors'
import type { VertexSurface } from './vertex-surface'

/** Two principal lengths whose variances differ by less than this share may be taken for each other. */
const ALIKE = 0.35

/**
 * Motions that lay one surface's principal axes on another's, each axis either way round: four, or more where two of the
 * lengths are alike and their axes may have changed places. Start values only.
 */
export function shapeStarts(moving: Mesh, a: VertexSurface, standing: Mesh, b: VertexSurface): readonly Matrix4[] {
  const from = axesOf(moving, a)
  const to = axesOf(standing, b)
  const orders: (readonly [number, number, number])[] = [[0, 1, 2]]
  const alike = (i: number, j: number) => [from, to].some(({ variance: v }) => v[j]! - v[i]! < ALIKE * v[j]!)
  if (alike(0, 1)) orders.push([1, 0, 2])
  if (alike(1, 2)) orders.push([0, 2, 1])
  if (alike(0, 1) && alike(1, 2)) orders.push([2, 1, 0], [1, 2, 0], [2, 0, 1])
  const out: Matrix4[] = []
  for (const order of orders)
    for (const [s, t] of [
      [1, 1],
      [1, -1],
      [-1, 1],
      [-1, -1],
    ] as const) {
      const e0 = to.axes[order[0]!]!.map((v) => s * v) as unknown as Vec
      const e1 = to.axes[order[1]!]!.map((v) => t * v) as unknown as Vec
      const e = [e0, e1, cross(e0, e1)]
      const f = [from.axes[0]!, from.axes[1]!, cross(from.axes[0]!, from.axes[1]!)]
      const turn = [0, 1, 2].map((i) =>
        [0, 1, 2].map((j) => [0, 1, 2].reduce((sum, k) => sum + e[k]![i]! * f[k]![j]!, 0)),
      )
      out.push([
        ...turn.flatMap((row, i) => [...row, to.middle[i]! - row.reduce((sum, v, j) => sum + v * from.middle[j]!, 0)]),
        ...[0, 0, 0, 1],
      ])
    }
  return out
}

function axesOf({ positions: p, origin }: Mesh, { area, centroid }: VertexSurface) {
  const s = new Float64Array(9)
  let total = 0
  for (let v = 0; v < area.length; v++) {
    const w = area[v]!
    const d = [p[3 * v]! - centroid[0], p[3 * v + 1]! - centroid[1], p[3 * v + 2]! - centroid[2]] as const
    total += w
    for (let i = 0; i < 3; i++) for (let j = 0; j < 3; j++) s[3 * i + j]! += w * d[i]! * d[j]!
  }
  const { values, vectors } = symmetricEigen(
    s.map((v) => v / (total || 1)),
    3,
  )
  return {
    variance: [...values],
    axes: [0, 1, 2].map((i): Vec => [vectors[3 * i]!, vectors[3 * i + 1]!, vectors[3 * i + 2]!]),
    middle: [0, 1, 2].map((k) => centroid[k]! + origin[k]!),
  }
}
