import type { Steps } from '../geometry/kernel'
import { nearestPoint, pointGrid, pointsWithin } from '../geometry/point-grid'
import { solveNormal } from '../geometry/solve-normal'
import { dot, plus, unit, type Vec } from '../geometry/vectors'
import type { Cloud } from './cloud'
import { WINDOW } from './fit-station'
import { distance } from './join-tubes'
import { type Piece, STEP } from './march-tube'

/** A tube with its ends carried to where it meets others, or to the end of its metal. Axes and origin of the cloud, mm. */
export interface EndedTube {
  readonly piece: Piece
  /** Places along the axis, from end to end. */
  readonly axis: readonly Vec[]
  /** One per place: 1 where the tube stands free and was fitted. */
  readonly clean: Uint8Array
  /** Tubes (by number) that its first and last end run into, −1 where an end is free. Empty for a closed tube. */
  readonly joins: readonly number[]
  readonly rms_mm: number
  readonly coverage: number
}

/** Stretch of clean stations that an end is carried on from, mm. */
const FIT_mm = 400
const FIT_LEAST = 5
/** Furthest that an end is carried, mm. */
const CARRY_mm = 260
/** A line is straight enough when a parabola is not this much better. */
export const STRAIGHT_RATIO = 1.3
const RADIUS_SHARE = 0.03
const FILLET_mm = 10
/** Radii before the last clean station from which the end of the metal is looked for. */
const END_SEARCH = 5

/**
 * Marks the stations that stand clear of other tubes, and carries each open end on from them: to the axis it meets (that point
 * is the joint), else to the last metal. The raw last stations lie in the weld fillet and are 2–9 mm wrong.
 */
export function* endTubes(cloud: Cloud, pieces: readonly Piece[], noise_mm: number): Steps<EndedTube[]> {
  const clean = pieces.map((piece, i) => cleanStations(piece, i, pieces))
  const ended: EndedTube[] = []
  for (const [i, piece] of pieces.entries()) {
    yield { fraction: 0.66, label: 'joints' }
    const sure = piece.stations.filter((_, k) => clean[i]![k])
    const counted = sure.length > 0 ? sure : piece.stations
    const rms_mm = Math.sqrt(counted.reduce((sum, s) => sum + s.rms_mm * s.rms_mm, 0) / counted.length)
    const coverage = counted.reduce((sum, s) => sum + s.coverage, 0) / counted.length
    const places = piece.stations.map((s) => s.at)
    if (piece.closed) {
      ended.push({ piece, axis: places, clean: clean[i]!, joins: [], rms_mm, coverage })
      continue
    }
    const head = carryEnd(cloud, pieces, i, [...places].reverse(), clean[i]!.slice().reverse(), noise_mm)
    const tail = carryEnd(cloud, pieces, i, places, clean[i]!, noise_mm)
    const from = head ? places.length - 1 - head.keep : 0
    const to = tail ? tail.keep : places.length - 1
    const axis = [
      ...(head ? [...head.added].reverse() : []),
      ...places.slice(from, to + 1),
      ...(tail ? tail.added : []),
    ]
    const flags = new Uint8Array(axis.length)
    flags.set(clean[i]!.subarray(from, to + 1), head ? head.added.length : 0)
    const sureFrom = head ? places.length - 1 - head.sure : 0
    const sureTo = tail ? tail.sure : places.length - 1
    const shift = (head ? head.added.length : 0) - from
    for (let k = 0; k < flags.length; k++) if (k - shift < sureFrom || k - shift > sureTo) flags[k] = 0
    const joins = [head?.joins ?? -1, tail?.joins ?? -1]
    ended.push({ piece, axis, clean: flags, joins, rms_mm, coverage })
  }
  return ended
}

function cleanStations(piece: Piece, self: number, pieces: readonly Piece[]): Uint8Array {
  const r = piece.radius_mm
  const clean = new Uint8Array(piece.stations.length)
  for (const [k, s] of piece.stations.entries())
    clean[k] = !s.weak && Math.abs(s.radius_mm - r) < RADIUS_SHARE * r ? 1 : 0
  for (const [j, other] of pieces.entries()) {
    if (j === self) continue
    const reach = other.radius_mm + 1.1 * r + FILLET_mm
    const flat = Float32Array.from(other.stations.flatMap((s) => [...s.at]))
    const grid = pointGrid(flat, reach)
    for (const [k, s] of piece.stations.entries())
      if (clean[k] && nearestPoint(grid, ...s.at, reach, null, 0, 0, 0) >= 0) clean[k] = 0
  }
  return clean
}

/** A parabola through places by their distance along, `c0 + c1 s + c2 s²` for each of x, y, z. */
interface Carried {
  readonly at: (s: number) => Vec
  readonly along: (s: number) => Vec
}

interface End {
  /** Last station kept. */
  readonly keep: number
  /** Last station whose window lies on metal all along. */
  readonly sure: number
  /** Places added after it, the end last. */
  readonly added: readonly Vec[]
  /** Tube met, −1 for none. */
  readonly joins: number
}

function carryEnd(
  cloud: Cloud,
  pieces: readonly Piece[],
  self: number,
  places: readonly Vec[],
  clean: Uint8Array,
  noise_mm: number,
): End | null {
  const r = pieces[self]!.radius_mm
  let last = clean.length - 1
  while (last >= 0 && !clean[last]) last--
  if (last < FIT_LEAST) return null
  const used: number[] = []
  let gone = 0
  const s: number[] = []
  for (let k = last; k >= 0 && gone <= FIT_mm; k--) {
    if (k < last) gone += distance(places[k]!, places[k + 1]!)
    if (clean[k]) {
      used.push(k)
      s.push(-gone)
    }
  }
  if (used.length < FIT_LEAST) return null
  const curve = fitCurve(
    used.map((k) => places[k]!),
    s,
  )
  const step = STEP * r
  const met = meeting(curve, pieces, self, step)
  const end = met ?? { s: endOfMetal(cloud, curve, -Math.min(gone, END_SEARCH * r), r, noise_mm), joins: -1 }
  // A window that hangs over the end of the metal still finds a tube, up to its own length too far.
  let keep = last
  let sure = last
  if (!met) {
    const sOf = (k: number) => dot(plus(places[k]!, places[last]!, -1), curve.along(0))
    while (keep > 0 && sOf(keep) > end.s - 0.2 * step) keep--
    sure = keep
    while (sure > 0 && sOf(sure) > end.s - WINDOW * r) sure--
    const from = sOf(keep)
    const parts = Math.max(1, Math.ceil((end.s - from) / step))
    const added = Array.from({ length: parts }, (_, k) => curve.at(from + ((end.s - from) * (k + 1)) / parts))
    return { keep, sure, added, joins: -1 }
  }
  const added: Vec[] = []
  // The stretch in the fillet is replaced by the carried axis.
  const parts = Math.max(1, Math.ceil(end.s / step))
  for (let k = 1; k <= parts; k++) added.push(curve.at((end.s * k) / parts))
  return { keep: last, sure: last, added: end.s > 0.5 ? added : [], joins: end.joins }
}

function fitCurve(places: readonly Vec[], s: readonly number[]): Carried {
  const line = polynomial(places, s, 1)
  const bent = places.length > 6 ? polynomial(places, s, 2) : line
  const { c } = bent.rms > 0 && line.rms / bent.rms > STRAIGHT_RATIO ? bent : line
  const value = (t: number, k: number) => c[k]![0]! + (c[k]![1] ?? 0) * t + (c[k]![2] ?? 0) * t * t
  const slope = (t: number, k: number) => (c[k]![1] ?? 0) + 2 * (c[k]![2] ?? 0) * t
  return {
    at: (t) => [value(t, 0), value(t, 1), value(t, 2)],
    along: (t) => unit([slope(t, 0), slope(t, 1), slope(t, 2)]),
  }
}

/** x to a small whole power; `**` may differ in the last bit between engines. */
function power(x: number, n: number): number {
  let y = 1
  for (let i = 0; i < n; i++) y *= x
  return y
}

/** Least-squares polynomial of each coordinate over s. */
export function polynomial(places: readonly Vec[], s: readonly number[], degree: number) {
  const n = degree + 1
  const scale = Math.max(1, ...s.map(Math.abs))
  const c: number[][] = []
  let squares = 0
  for (let k = 0; k < 3; k++) {
    const a = new Float64Array(n * n)
    const b = new Float64Array(n)
    for (const [i, p] of places.entries()) {
      const powers = Array.from({ length: n }, (_, d) => power(s[i]! / scale, d))
      for (let row = 0; row < n; row++) {
        b[row]! += powers[row]! * p[k]!
        for (let col = 0; col <= row; col++) a[row * n + col]! += powers[row]! * powers[col]!
      }
    }
    solveNormal(a, b, n)
    c.push(Array.from(b, (v, d) => v / power(scale, d)))
    for (const [i, p] of places.entries()) {
      const value = c[k]!.reduce((sum, v, d) => sum + v * power(s[i]!, d), 0)
      squares += (p[k]! - value) * (p[k]! - value)
    }
  }
  return { c, rms: Math.sqrt(squares / Math.max(1, places.length - n)) }
}

/** Where the carried axis comes nearest to another tube's axis, if it runs into that tube. */
function meeting(curve: Carried, pieces: readonly Piece[], self: number, step: number) {
  let best: { s: number; joins: number } | null = null
  for (const [j, other] of pieces.entries()) {
    if (j === self) continue
    const stations = other.stations
    const near = nearestOn(
      stations.map((q) => q.at),
      other.closed,
      curve,
      step,
    )
    if (!near || near.apart > 0.6 * other.radius_mm) continue
    // Running along the other tube is no joint.
    if (Math.abs(dot(curve.along(near.s), near.along)) > 0.94) continue
    if (!best || near.s < best.s) best = { s: near.s, joins: j }
  }
  return best
}

function nearestOn(line: readonly Vec[], closed: boolean, curve: Carried, step: number) {
  let found: { s: number; apart: number; along: Vec } | null = null
  const probe = (s: number) => {
    const p = curve.at(s)
    let least = Infinity
    let along: Vec = [0, 0, 1]
    for (let i = 0; i + (closed ? 0 : 1) < line.length; i++) {
      const a = line[i]!
      const b = line[(i + 1) % line.length]!
      const u = plus(b, a, -1)
      const uu = dot(u, u)
      if (!(uu > 0)) continue
      const t = Math.min(1, Math.max(0, dot(plus(p, a, -1), u) / uu))
      const d = distance(p, plus(a, u, t))
      if (d < least) {
        least = d
        along = unit(u)
      }
    }
    return { s, apart: least, along }
  }
  for (let s = 0; s <= CARRY_mm; s += step) {
    const here = probe(s)
    if (!found || here.apart < found.apart) found = here
  }
  if (!found || found.apart > 4 * step) return found
  // Golden section to a hundredth of a millimetre.
  let low = found.s - step
  let high = found.s + step
  for (let k = 0; k < 28; k++) {
    const a = low + 0.381966 * (high - low)
    const b = high - 0.381966 * (high - low)
    if (probe(a).apart < probe(b).apart) high = b
    else low = a
  }
  return probe((low + high) / 2)
}

const list = new Uint32Array(4096)

/** How far the metal of a tube goes on along its carried axis: the last slice with at least a third of the usual points. */
function endOfMetal(cloud: Cloud, curve: Carried, start: number, r: number, noise_mm: number): number {
  const { points, normals, grid, spacing_mm } = cloud
  const slice = Math.max(3, 1.2 * spacing_mm)
  const gate = Math.max(0.12 * r, 3 * noise_mm)
  const usual = (2 * Math.PI * r * slice) / (spacing_mm * spacing_mm)
  let end = start
  let bare = 0
  for (let s = start; s < CARRY_mm && bare < 30; s += slice) {
    const at = curve.at(s + slice / 2)
    const along = curve.along(s + slice / 2)
    const found = Math.min(
      list.length,
      pointsWithin(grid, ...at, Math.sqrt((r + gate) * (r + gate) + slice * slice), list),
    )
    let n = 0
    for (let i = 0; i < found; i++) {
      const q = 3 * list[i]!
      const d = plus([points[q]!, points[q + 1]!, points[q + 2]!], at, -1)
      const h = dot(d, along)
      if (Math.abs(h) > slice / 2) continue
      const out = plus(d, along, -h)
      const rho = Math.sqrt(dot(out, out))
      if (Math.abs(rho - r) > gate) continue
      if (out[0] * normals[q]! + out[1] * normals[q + 1]! + out[2] * normals[q + 2]! > 0.8 * rho) n++
    }
    if (n > usual / 3) {
      end = s + slice
      bare = 0
    } else bare += slice
  }
  return end
}

/** A plate as an end may stand on it. */
export interface Seat {
  readonly at: Vec
  readonly normal: Vec
  readonly thickness_mm: number
  readonly area_mm2: number
}

/** Furthest between the last metal seen of a tube and the plate it stands on, mm: the fillet, or a hole at the foot. */
const WELD_mm = 60

/** Carries free ends through the weld fillet to the face of the plate they stand on. `seats`: number of the plate at each end, −1. */
export function standOnPlates(
  tubes: readonly EndedTube[],
  plates: readonly Seat[],
): { readonly tube: EndedTube; readonly seats: readonly number[] }[] {
  return tubes.map((tube) => {
    if (tube.piece.closed || tube.axis.length < 6) return { tube, seats: [] }
    const axis = [...tube.axis]
    const seats: number[] = []
    for (const end of [0, 1]) {
      if (tube.joins[end]! >= 0) continue
      const place = (k: number) => axis[end === 0 ? k : axis.length - 1 - k]!
      const out = unit(plus(place(0), place(5), -1))
      const seat = plates.findIndex((p) => runTo(place(0), out, p) !== null)
      if (seat < 0) continue
      const at = plus(place(0), out, runTo(place(0), out, plates[seat]!)!)
      axis[end === 0 ? 0 : axis.length - 1] = at
      seats.push(seat)
    }
    return { tube: { ...tube, axis }, seats }
  })
}

/** How far an end must run to the near face of a plate, or null when it does not stand on it. */
function runTo(at: Vec, out: Vec, plate: Seat): number | null {
  const facing = dot(out, plate.normal)
  if (Math.abs(facing) < 0.5) return null
  const normal = facing < 0 ? plate.normal : ([-plate.normal[0], -plate.normal[1], -plate.normal[2]] as Vec)
  const face = plus(plate.at, normal, plate.thickness_mm / 2)
  const run = dot(plus(face, at, -1), normal) / dot(out, normal)
  if (Math.abs(run) > WELD_mm) return null
  const apart = distance(plus(at, out, run), face)
  return apart * apart < plate.area_mm2 ? run : null
}
