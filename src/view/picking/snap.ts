/** Where a dragged fitting comes to rest: the centreline first, then the axis of the nearest tube beneath. */
import { transformPoint } from '../../core/geometry/axes'
import type { Stores } from '../../state/stores'

type Place = readonly [number, number]

/** Nearer than this on the screen it holds fast, px. */
export const HOLD_PX = 7

/** Axes of the tubes in plan, job axes. */
export function tubesInPlan({ results }: Stores): readonly (readonly Place[])[] {
  const { frame, datum } = results.getState().steps
  const motion = datum.result?.motion
  if (!frame.result || !motion) return []
  return frame.result.tubes.map(({ axis }) =>
    Array.from({ length: axis.length / 3 }, (_, i) => {
      const [x, y] = transformPoint(motion, [axis[3 * i]!, axis[3 * i + 1]!, axis[3 * i + 2]!])
      return [x, y] as const
    }),
  )
}

/**
 * @param reach_mm how near it must be to hold fast
 * @returns whole millimetres, but exactly on what it holds to: the centreline to the last bit, a tube's axis to a tenth
 */
export function snapped([x, y]: Place, tubes: readonly (readonly Place[])[], reach_mm: number): Place {
  if (Math.abs(y) <= reach_mm) return [Math.round(x), 0]
  let best: Place | null = null
  let least = reach_mm
  for (const axis of tubes)
    for (let k = 1; k < axis.length; k++) {
      const [[ax, ay], [bx, by]] = [axis[k - 1]!, axis[k]!]
      const [dx, dy] = [bx - ax, by - ay]
      const long2 = dx * dx + dy * dy
      const t = long2 > 0 ? Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / long2)) : 0
      const [px, py] = [ax + t * dx, ay + t * dy]
      const away = Math.hypot(x - px, y - py)
      if (away <= least) {
        least = away
        best = [px, py]
      }
    }
  const tenth = (v: number) => Math.round(v * 10) / 10
  return best ? [tenth(best[0]), tenth(best[1])] : [Math.round(x), Math.round(y)]
}
