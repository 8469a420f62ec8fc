/** Lines of fitted tubes: their axes as chain lines, rings round them at even stations. Plain arrays, job axes, mm. */

import type { FastenerPlace } from '../../core/frame'
import type { Vec3 } from '../camera/eye'

/** Long dash, space, short dash, space (the chain line of ISO 128 for centre lines), mm. */
const CHAIN_MM = [36, 7, 7, 7] as const
/** Rings stand about this far apart, mm. */
const RINGS_MM = 250
/** How far a ring stands off the fitted surface: it would drown in the noise of the scan, mm. */
const OFF_MM = 0.8
const RING_CORNERS = 28
const PEG_MM = 35

/** Cuts a run of places into the dashes of a chain line; dashes go on round its corners. Six numbers per segment. */
export function chainLine(places: readonly Vec3[], closed: boolean): Float32Array {
  const out: number[] = []
  let piece = 0
  let left: number = CHAIN_MM[0]
  for (let i = 0; i + (closed ? 0 : 1) < places.length; i++) {
    const a = places[i]!
    const b = places[(i + 1) % places.length]!
    const length = distance(a, b)
    let from = 0
    while (from < length) {
      const to = Math.min(length, from + left)
      if (piece % 2 === 0) out.push(...between(a, b, from / length), ...between(a, b, to / length))
      left -= to - from
      from = to
      if (left > 1e-9) continue
      piece = (piece + 1) % CHAIN_MM.length
      left = CHAIN_MM[piece]!
    }
  }
  return Float32Array.from(out)
}

/** A place at a distance along a run, with the direction of the run there (not a unit vector where the run has no length). */
export function placeAlong(
  places: readonly Vec3[],
  closed: boolean,
  at_mm: number,
): { readonly at: Vec3; readonly along: Vec3 } {
  let left = at_mm
  const last = places.length - (closed ? 1 : 2)
  for (let i = 0; i <= last; i++) {
    const a = places[i]!
    const b = places[(i + 1) % places.length]!
    const length = distance(a, b)
    if ((left <= length || i === last) && length > 0)
      return {
        at: between(a, b, Math.min(1, left / length)),
        along: [(b[0] - a[0]) / length, (b[1] - a[1]) / length, (b[2] - a[2]) / length],
      }
    left -= length
  }
  return { at: places[0]!, along: [0, 0, 0] }
}

export function lengthAlong_mm(places: readonly Vec3[], closed: boolean): number {
  let sum = 0
  for (let i = 0; i + (closed ? 0 : 1) < places.length; i++)
    sum += distance(places[i]!, places[(i + 1) % places.length]!)
  return sum
}

/** Rings round a tube at both ends and evenly between; round a closed one evenly. Six numbers per segment. */
export function tubeRings(places: readonly Vec3[], closed: boolean, diameter_mm: number): Float32Array {
  if (places.length < 2) return new Float32Array(0)
  const length = lengthAlong_mm(places, closed)
  const spaces = Math.max(1, Math.round(length / RINGS_MM))
  const rings = Array.from({ length: spaces + (closed ? 0 : 1) }, (_, i) => (length * i) / spaces)
  return Float32Array.from(
    rings.flatMap((at_mm) => {
      const { at, along } = placeAlong(places, closed, at_mm)
      return ring(at, along, diameter_mm / 2 + OFF_MM)
    }),
  )
}

/** Pegs where fasteners come down on to a tube: from its crest up, so that they are seen over it. Six numbers per segment. */
export const fastenerPegs = (places: readonly FastenerPlace[], radius_mm: number): Float32Array =>
  Float32Array.from(
    places.flatMap(({ at, up }) =>
      up
        ? [radius_mm, radius_mm + PEG_MM].flatMap((h) => [at[0] + h * up[0], at[1] + h * up[1], at[2] + h * up[2]])
        : [],
    ),
  )

function ring(at: Vec3, along: Vec3, radius: number): number[] {
  // Any direction that is not along the tube gives the first diameter.
  const other: Vec3 = Math.abs(along[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0]
  const u = unit(cross(along, other))
  const v = cross(along, u)
  const corner = (k: number): Vec3 => {
    const turn = (2 * Math.PI * k) / RING_CORNERS
    const [c, s] = [radius * Math.cos(turn), radius * Math.sin(turn)]
    return [at[0] + c * u[0] + s * v[0], at[1] + c * u[1] + s * v[1], at[2] + c * u[2] + s * v[2]]
  }
  return Array.from({ length: RING_CORNERS }, (_, k) => [...corner(k), ...corner(k + 1)]).flat()
}

const distance = (a: Vec3, b: Vec3): number => Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2])

const between = (a: Vec3, b: Vec3, t: number): Vec3 => [
  a[0] + t * (b[0] - a[0]),
  a[1] + t * (b[1] - a[1]),
  a[2] + t * (b[2] - a[2]),
]

const cross = (a: Vec3, b: Vec3): Vec3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
]

function unit(v: Vec3): Vec3 {
  const length = Math.hypot(v[0], v[1], v[2]) || 1
  return [v[0] / length, v[1] / length, v[2] / length]
}
