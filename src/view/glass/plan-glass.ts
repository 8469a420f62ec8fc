/** What the glass shows where people live with the top: the plan of the fittings, the chosen one in the middle. */
import type { PlacedFitting } from '../../core/fitting/types'
import type { Mesh } from '../../core/geometry/mesh'
import { type GlassScale, glassScale } from './section-glass'

export interface PlanView {
  readonly middle: readonly [number, number]
  readonly scale: GlassScale
  readonly outlines: readonly {
    readonly fitting: PlacedFitting
    readonly hull: readonly (readonly [number, number])[]
  }[]
  readonly chosen: PlacedFitting | null
}

export function planView(
  placed: readonly PlacedFitting[],
  chosenId: string | null,
  outline: Float64Array,
  radius_px: number,
): PlanView {
  const chosen = placed.find((p) => p.id === chosenId && !p.twin) ?? null
  const outlines = placed.map((fitting) => ({ fitting, hull: planHull(fitting.mesh) }))
  if (chosen)
    return { middle: [chosen.seat.at[0], chosen.seat.at[1]], scale: glassScale(700, radius_px * 2), outlines, chosen }
  let [west, east, reach] = [Infinity, -Infinity, 0]
  for (let i = 0; i < outline.length; i += 2) {
    west = Math.min(west, outline[i]!)
    east = Math.max(east, outline[i]!)
  }
  const middle = (west + east) / 2
  for (let i = 0; i < outline.length; i += 2) reach = Math.max(reach, Math.hypot(outline[i]! - middle, outline[i + 1]!))
  return { middle: [middle, 0], scale: glassScale(reach, radius_px * 0.95), outlines, chosen }
}

/** Convex outline of a mesh in plan, by Andrew's monotone chain (Inf. Proc. Lett. 9, 1979). */
export function planHull({ positions, origin }: Mesh): (readonly [number, number])[] {
  const points = Array.from({ length: positions.length / 3 }, (_, v): readonly [number, number] => [
    positions[v * 3]! + origin[0],
    positions[v * 3 + 1]! + origin[1],
  ]).sort((a, b) => a[0] - b[0] || a[1] - b[1])
  const half = (from: readonly (readonly [number, number])[]) => {
    const hull: (readonly [number, number])[] = []
    for (const p of from) {
      while (hull.length >= 2) {
        const [a, b] = [hull[hull.length - 2]!, hull[hull.length - 1]!]
        if ((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) > 0) break
        hull.pop()
      }
      hull.push(p)
    }
    return hull.slice(0, -1)
  }
  return [...half(points), ...half(points.toReversed())]
}
