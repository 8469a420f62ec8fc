/** Where a point of the job is, as one says it on board: forward, aft, amidships; to port, to starboard, on the centreline. */
import type { Tube } from '../core/frame/types'
import { type Matrix4, type Point, transformPoint } from '../core/geometry/axes'
import type { Job } from '../core/job'
import type { StepStates } from './results'

/** Half lengths around the middle, mm, job axes. */
export interface Reach {
  readonly middle_mm: number
  readonly halfLength_mm: number
  readonly halfWidth_mm: number
}

export function reachOf(outline: Float64Array | readonly number[]): Reach {
  let [west, east, half] = [Infinity, -Infinity, 0]
  for (let i = 0; i < outline.length; i += 2) {
    west = Math.min(west, outline[i]!)
    east = Math.max(east, outline[i]!)
    half = Math.max(half, Math.abs(outline[i + 1]!))
  }
  if (!(east > west)) return { middle_mm: 0, halfLength_mm: 1, halfWidth_mm: 1 }
  return { middle_mm: (west + east) / 2, halfLength_mm: (east - west) / 2, halfWidth_mm: Math.max(half, 1) }
}

/** @example placeWords([900, -400, 0], reach) // 'forward to starboard' */
export function placeWords(at: readonly number[], reach: Reach): string {
  const along = (at[0]! - reach.middle_mm) / reach.halfLength_mm
  const across = at[1]! / reach.halfWidth_mm
  const fore = along > 1 / 3 ? 'forward' : along < -1 / 3 ? 'aft' : 'amidships'
  if (Math.abs(across) < 0.12) return `${fore} on the centreline`
  return `${fore} to ${across > 0 ? 'port' : 'starboard'}`
}

/** How far from a fitted tube's surface a point may lie and still be called a point of that tube, mm. */
const ON_TUBE_MM = 5

/** The tube a point of the metal belongs to, by its name or number; null where it is weld, gusset or plate. */
export function tubeAt(steps: StepStates, job: Job, at: Point<'job'>): string | null {
  const frame = steps.frame.result
  const motion = steps.datum.result?.motion
  if (!frame || !motion) return null
  let best: { id: string; off_mm: number } | null = null
  for (const tube of frame.tubes) {
    const axis = tube.axis
    let near = Infinity
    let before: readonly number[] | null = null
    for (let i = 0; i + 2 < axis.length; i += 3) {
      const here = transformPoint(motion, [axis[i]!, axis[i + 1]!, axis[i + 2]!])
      if (before) near = Math.min(near, distanceToSegment(at, before, here))
      before = here
    }
    const off_mm = Math.abs(near - tube.diameter_mm / 2)
    if (off_mm <= ON_TUBE_MM && (!best || off_mm < best.off_mm)) best = { id: tube.id, off_mm }
  }
  return best ? tubeName(job, best.id) : null
}

/** Stations of a tube's axis where they stand in the job. @param motion from scan axes */
export const axisInJob = (tube: Pick<Tube, 'axis'>, motion: Matrix4): [number, number, number][] =>
  Array.from({ length: tube.axis.length / 3 }, (_, i) =>
    transformPoint(motion, [tube.axis[3 * i]!, tube.axis[3 * i + 1]!, tube.axis[3 * i + 2]!]),
  )

/** What a tube is called: the name it was given, else its number. */
export const tubeName = (job: Job, id: string): string =>
  job.frame.tubes[id]?.name || `tube ${id.replace(/^tube[.-]?/, '')}`

/** The same where there is little room: its name, or the bare number. */
export const tubeLabel = (job: Job, id: string): string => tubeName(job, id).replace(/^tube (?=\d+$)/, '')

function distanceToSegment(p: readonly number[], a: readonly number[], b: readonly number[]): number {
  const d = [b[0]! - a[0]!, b[1]! - a[1]!, b[2]! - a[2]!]
  const length2 = d[0]! ** 2 + d[1]! ** 2 + d[2]! ** 2
  const along = ((p[0]! - a[0]!) * d[0]! + (p[1]! - a[1]!) * d[1]! + (p[2]! - a[2]!) * d[2]!) / (length2 || 1)
  const t = Math.min(1, Math.max(0, along))
  return Math.sqrt(d.reduce((sum, c, k) => sum + (p[k]! - a[k]! - t * c) ** 2, 0))
}
