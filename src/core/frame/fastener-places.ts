/** Fasteners along a tube at a pitch: where on its axis they stand, and which way they come in from. */
import type { Point } from '../geometry/axes'
import { across, dot, plus, type Vec } from '../geometry/vectors'
import type { FastenerPitch } from './types'

export interface FastenerPlace {
  /** On the axis of the tube, job axes. */
  readonly at: Point<'job'>
  /** Unit, across the tube, as near to straight up as that goes. Null where the tube stands too steep to be fastened from above. */
  readonly up: Vec | null
}

/** Steeper than this a tube has no crest: 60 degrees. */
const STEEP = 0.866
/** The ends are kept free over this many diameters of the hole. (Common practice, no source.) */
const END_DIAMETERS = 3

/**
 * @param axis  stations of the axis, job axes
 * @param closed a ring: the first station follows on the last
 */
export function fastenerPlaces(
  axis: readonly Point<'job'>[],
  closed: boolean,
  setting: FastenerPitch,
): FastenerPlace[] {
  const run = fromForward(axis, closed)
  if (run.length < 2) return []
  const length = run.slice(1).reduce((sum, p, i) => sum + distance(run[i]!, p), 0)
  return along(length, closed, setting).map((mm) => placeAt(run, mm))
}

/** Distances along the run, mm. */
function along(length: number, closed: boolean, { pitch_mm, from_mm, diameter_mm }: FastenerPitch): number[] {
  if (closed) {
    const count = Math.max(1, Math.ceil(length / pitch_mm - 1e-9))
    return Array.from({ length: count }, (_, i) => ((from_mm ?? 0) + (i * length) / count) % length)
  }
  const end = END_DIAMETERS * diameter_mm
  const room = length - end - (from_mm ?? end)
  if (room < 0) return []
  const count = Math.floor(room / pitch_mm + 1e-9) + 1
  const first = from_mm ?? (length - (count - 1) * pitch_mm) / 2
  return Array.from({ length: count }, (_, i) => first + i * pitch_mm)
}

/** The same axis begun at its forward end; a ring at its foremost station and on to port, closed by that station again. */
function fromForward(axis: readonly Point<'job'>[], closed: boolean): readonly Point<'job'>[] {
  if (axis.length < 2) return []
  if (!closed) {
    const [a, b] = [axis[0]!, axis.at(-1)!]
    const turn = Math.abs(a[0] - b[0]) > 1 ? b[0] > a[0] : b[1] > a[1]
    return turn ? [...axis].reverse() : axis
  }
  const start = axis.reduce((best, p, i) => (p[0] > axis[best]![0] ? i : best), 0)
  const ring = [...axis.slice(start), ...axis.slice(0, start)]
  const onward = ring[1]![1] >= ring.at(-1)![1] ? ring : [ring[0]!, ...ring.slice(1).reverse()]
  return [...onward, onward[0]!]
}

function placeAt(run: readonly Point<'job'>[], mm: number): FastenerPlace {
  let left = mm
  for (let i = 0; i + 1 < run.length; i++) {
    const [a, b] = [run[i]!, run[i + 1]!]
    const length = distance(a, b)
    if (left > length && i + 2 < run.length) {
      left -= length
      continue
    }
    const step = plus(b, a, -1)
    const t = length > 0 ? Math.min(1, left / length) : 0
    const steep = length > 0 ? Math.abs(step[2]) / length : 1
    return {
      at: plus(a, step, t),
      up: steep > STEEP ? null : across([0, 0, 1], [step[0] / length, step[1] / length, step[2] / length]),
    }
  }
  return { at: run[0]!, up: null }
}

const distance = (a: Vec, b: Vec): number => {
  const d = plus(b, a, -1)
  return Math.sqrt(dot(d, d))
}
