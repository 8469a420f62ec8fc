import type { Tube } from '../frame'
import { cross, unit, type Vec } from '../geometry/vectors'

/** Metal as points with normals and areas, about a common middle, mm. */
export interface Metal {
  /** Three per point. */
  readonly points: Float32Array
  /** Unit, three per point. */
  readonly normals: Float32Array
  /** mm2, one per point. */
  readonly area: Float32Array
}

/** Points around each station: enough that the normal of one always meets a partner within 30°. */
const AROUND = 12
/** Fewer tubes, or less length than this, say too little about a frame. */
const LEAST_TUBES = 3
const LEAST_LENGTH_mm = 3000

/**
 * The tubes drawn anew as clean metal: rings of points around their stations. The rough centreline and the choice of up are
 * read from these rather than from the scan, because floor, people and tools left in it are no tubes: a sheet of floor of
 * 1.2 × 0.8 m on one side made the fore-aft near miss win on points.
 *
 * @param middle scan axes, mm: what the points are put about
 * @returns null when there are too few tubes to stand for a frame
 */
export function drawTubes(tubes: readonly Tube[], middle: Vec): Metal | null {
  const length = tubes.reduce((sum, t) => sum + t.length_mm, 0)
  if (tubes.length < LEAST_TUBES || length < LEAST_LENGTH_mm) return null
  const stations = tubes.reduce((sum, t) => sum + t.axis.length / 3, 0)
  const points = new Float32Array(3 * AROUND * stations)
  const normals = new Float32Array(points.length)
  const area = new Float32Array(AROUND * stations)
  let n = 0
  for (const { axis, closed, diameter_mm, length_mm } of tubes) {
    const count = axis.length / 3
    const r = diameter_mm / 2
    const share = (Math.PI * diameter_mm * length_mm) / (count * AROUND)
    const place = (k: number): Vec => [
      axis[3 * k]! - middle[0],
      axis[3 * k + 1]! - middle[1],
      axis[3 * k + 2]! - middle[2],
    ]
    for (let k = 0; k < count; k++) {
      const a = place(closed ? (k + count - 1) % count : Math.max(0, k - 1))
      const b = place(closed ? (k + 1) % count : Math.min(count - 1, k + 1))
      const along: Vec = unit([b[0] - a[0], b[1] - a[1], b[2] - a[2]])
      const lean: Vec = Math.abs(along[0]) < 0.6 ? [1, 0, 0] : [0, 1, 0]
      const u = unit(cross(along, lean))
      const v = cross(along, u)
      const at = place(k)
      for (const [c, s] of ROUND) {
        for (let i = 0; i < 3; i++) {
          const out = c * u[i]! + s * v[i]!
          normals[3 * n + i] = out
          points[3 * n + i] = at[i]! + r * out
        }
        area[n++] = share
      }
    }
  }
  return { points, normals, area }
}

/** Twelve directions around, by the halves and roots of 30° (no sines, so every engine draws the same). */
const ROUND: readonly (readonly [number, number])[] = (() => {
  const h = 0.5
  const w = Math.sqrt(3) / 2
  const quarter: [number, number][] = [
    [1, 0],
    [w, h],
    [h, w],
  ]
  return [0, 1, 2, 3].flatMap((q) =>
    quarter.map(([x, y]): [number, number] => (q === 0 ? [x, y] : q === 1 ? [-y, x] : q === 2 ? [-x, -y] : [y, -x])),
  )
})()
