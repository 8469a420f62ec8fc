import type { Matrix4 } from './axes'
import type { Mesh } from './mesh'
import { type PrincipalAxes, principalAxes } from './principal-axes'
import { cross, plus, type Vec } from './vectors'
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

/** Of the vertices, each weighing its area; the middle with the mesh's origin added. */
function axesOf({ positions, origin }: Mesh, { area }: VertexSurface): PrincipalAxes {
  const found = principalAxes(positions, area)
  return { ...found, middle: plus(found.middle, origin) }
}
