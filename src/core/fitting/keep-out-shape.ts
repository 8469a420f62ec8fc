/**
 * The room a fitting wants, as a signed distance: below 0 within, above 0 outside, mm. All four shapes are exact, so the value
 * changes by no more than one moves, on which the search for the deepest intruder rests.
 */
import type { Point } from '../geometry/axes'
import { type Mesh, makeMesh } from '../geometry/mesh'
import { cosDeg, sinDeg, square, tanDeg } from '../geometry/portable-math'
import { across, cross, dot, plus, scaled, unit, type Vec } from '../geometry/vectors'
import type { KeepOut } from './fastening-settings'
import { onPart, type Stand } from './stand-axes'

/** Axes of the room: its origin, and three unit vectors of which z is its axis. Left-handed on a mirrored twin. */
export interface RoomAxes {
  readonly at: Point<'job'>
  readonly x: Vec
  readonly y: Vec
  readonly z: Vec
}

export function roomAxes(stand: Stand, { at_mm, axis }: KeepOut): RoomAxes {
  const z = unit(axis)
  // 0 degrees lies along x of the fitting; a room that looks along x takes z of the fitting instead.
  const x = across(Math.abs(z[0]) > 0.9 ? [0, 0, 1] : [1, 0, 0], z)
  const y = cross(z, x)
  const turned = (v: Vec): Vec => plus(plus(scaled(stand.x, v[0]), stand.y, v[1]), stand.z, v[2])
  return { at: onPart(stand, at_mm), x: turned(x), y: turned(y), z: turned(z) }
}

/** @returns signed distance of a place in the axes of the room */
export function roomDistance(room: KeepOut): (x: number, y: number, z: number) => number {
  const { radius_mm: R, length_mm: L } = room
  switch (room.shape) {
    case 'sphere':
      return (x, y, z) => Math.sqrt(x * x + y * y + z * z) - R
    case 'cylinder':
      return (x, y, z) => drawnOut(Math.sqrt(x * x + y * y) - R, Math.abs(z - L / 2) - L / 2)
    case 'cone': {
      const t = tanDeg(room.halfAngle_deg)
      return (x, y, z) => triangle(Math.sqrt(x * x + y * y), z, L * t, L)
    }
    case 'sector': {
      const half = Math.min(360, Math.abs(room.to_deg - room.from_deg)) / 2
      const middle = (room.from_deg + room.to_deg) / 2
      const [c, s] = [cosDeg(middle), sinDeg(middle)]
      const pie = pieDistance(R, half)
      return (x, y, z) => drawnOut(pie(c * x + s * y, -s * x + c * y), Math.abs(z - L / 2) - L / 2)
    }
  }
}

/** A flat shape drawn out along z, from the distances to its border and to its ends. */
const drawnOut = (flat: number, ends: number): number =>
  Math.min(Math.max(flat, ends), 0) + Math.sqrt(square(Math.max(flat, 0)) + square(Math.max(ends, 0)))

/** Distance to the triangle 0,0 – w,h – −w,h from a place with r ≥ 0: the half section of a cone. */
function triangle(r: number, z: number, w: number, h: number): number {
  const along = Math.min(1, Math.max(0, (r * w + z * h) / (w * w + h * h)))
  const toSide2 = square(r - along * w) + square(z - along * h)
  const toEnd2 = square(Math.max(r - w, 0)) + square(z - h)
  const within = z < h && r * h < z * w
  const d = Math.sqrt(Math.min(toSide2, toEnd2))
  return within ? -d : d
}

/** Distance to a sector about the x axis, `half` degrees to each side. */
function pieDistance(R: number, half: number): (x: number, y: number) => number {
  if (half >= 180) return (x, y) => Math.sqrt(x * x + y * y) - R
  const [c, s] = [cosDeg(half), sinDeg(half)]
  return (x, signedY) => {
    const y = Math.abs(signedY)
    const arc = Math.sqrt(x * x + y * y) - R
    const along = Math.min(R, Math.max(0, x * c + y * s))
    const side = Math.sqrt(square(x - along * c) + square(y - along * s))
    return Math.max(arc, y * c > x * s ? side : -side)
  }
}

const ROUND = 48

/** The room as a closed mesh to be drawn, job axes. Its corners lie on the true surface. */
export function roomMesh(room: KeepOut, axes: RoomAxes): Mesh<'job'> {
  const corners: Vec[] = []
  const facets: number[] = []
  const ring = (r: number, z: number, from: number, to: number, n: number): number => {
    const start = corners.length
    for (let i = 0; i < n; i++) {
      const deg = from + ((to - from) * i) / (to - from === 360 ? n : n - 1)
      corners.push([r * cosDeg(deg), r * sinDeg(deg), z])
    }
    return start
  }
  const put = (x: number, y: number, z: number) => corners.push([x, y, z]) - 1
  const around = (n: number, each: (i: number, j: number) => void) => {
    for (let i = 0; i < n; i++) each(i, (i + 1) % n)
  }
  const band = (a: number, b: number) => around(ROUND, (i, j) => facets.push(a + i, a + j, b + j, a + i, b + j, b + i))
  const fan = (tip: number, a: number, outwardUp: boolean) =>
    around(ROUND, (i, j) => facets.push(tip, ...(outwardUp ? [a + i, a + j] : [a + j, a + i])))
  const { radius_mm: R, length_mm: L } = room
  if (room.shape === 'sector' && Math.abs(room.to_deg - room.from_deg) < 360) {
    const [from, to] = [Math.min(room.from_deg, room.to_deg), Math.max(room.from_deg, room.to_deg)]
    const low = put(0, 0, 0)
    const high = put(0, 0, L)
    const a = ring(R, 0, from, to, ROUND)
    const b = ring(R, L, from, to, ROUND)
    for (let i = 0; i + 1 < ROUND; i++)
      facets.push(low, a + i + 1, a + i, high, b + i, b + i + 1, a + i, a + i + 1, b + i + 1, a + i, b + i + 1, b + i)
    const last = ROUND - 1
    facets.push(low, a, b, low, b, high, low, b + last, a + last, low, high, b + last)
  } else if (room.shape === 'sphere') {
    const rings = Array.from({ length: 15 }, (_, k) => {
      const up = 180 * ((k + 1) / 16) - 90
      return ring(R * cosDeg(up), R * sinDeg(up), 0, 360, ROUND)
    })
    fan(put(0, 0, -R), rings[0]!, false)
    for (let k = 1; k < rings.length; k++) band(rings[k - 1]!, rings[k]!)
    fan(put(0, 0, R), rings.at(-1)!, true)
  } else {
    const cone = room.shape === 'cone'
    const top = ring(cone ? L * tanDeg(room.halfAngle_deg) : R, L, 0, 360, ROUND)
    const tip = put(0, 0, 0)
    const bottom = cone ? null : ring(R, 0, 0, 360, ROUND)
    fan(tip, bottom ?? top, false)
    if (bottom !== null) band(bottom, top)
    fan(put(0, 0, L), top, true)
  }
  const { at, x, y, z } = axes
  const mirrored = dot(cross(x, y), z) < 0
  const positions = new Float32Array(3 * corners.length)
  for (const [i, p] of corners.entries()) {
    const q = plus(plus(scaled(x, p[0]), y, p[1]), z, p[2])
    positions.set(q, 3 * i)
  }
  if (mirrored)
    for (let f = 0; f < facets.length; f += 3) [facets[f + 1], facets[f + 2]] = [facets[f + 2]!, facets[f + 1]!]
  return makeMesh('job', positions, Uint32Array.from(facets), at)
}
