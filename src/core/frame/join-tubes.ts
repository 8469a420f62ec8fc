import { pointGrid, pointsWithin } from '../geometry/point-grid'
import { dot, plus, scaled, type Vec } from '../geometry/vectors'
import type { Station } from './fit-station'
import { type Piece, STEP, typicalRadius } from './march-tube'

/** Pieces are one tube when their ends lie nearer than this, mm, */
const GAP_mm = 260
/** their radii agree to this share, */
const RADIUS_SHARE = 0.04
/** and they turn by no more than this over the gap, radians (small: sine for angle). */
const TURN = 0.12
const TURN_PER_mm = 1 / 150

/** Joins pieces of one tube that a joint or a hole had cut. Longest first, so the order of finding does not matter. */
export function joinPieces(pieces: readonly Piece[]): Piece[] {
  const open = [...pieces].sort((a, b) => b.stations.length - a.stations.length)
  for (let i = 0; i < open.length; i++)
    for (let again = true; again; ) {
      again = false
      for (let j = i + 1; j < open.length; j++) {
        const joined = joinTwo(open[i]!, open[j]!)
        if (!joined) continue
        open[i] = joined
        open.splice(j, 1)
        again = true
        break
      }
    }
  return open.map(closeIfRound)
}

function joinTwo(a: Piece, b: Piece): Piece | null {
  if (a.closed || b.closed) return null
  if (Math.abs(a.radius_mm - b.radius_mm) > RADIUS_SHARE * a.radius_mm) return null
  for (const first of [a.stations, turnedRound(a.stations)])
    for (const second of [b.stations, turnedRound(b.stations)])
      if (meets(first[first.length - 1]!, second[0]!, a.radius_mm)) {
        const stations = [...first, ...second]
        return { stations, closed: false, radius_mm: typicalRadius(stations) }
      }
  return null
}

function closeIfRound(piece: Piece): Piece {
  const { stations, radius_mm } = piece
  if (piece.closed || stations.length < 30) return piece
  const first = stations[0]!
  const last = stations[stations.length - 1]!
  return meets(last, first, radius_mm) ? { ...piece, closed: true } : piece
}

/** Does an end that leaves along its axis go on at a start, as one bend? */
function meets(end: Station, start: Station, radius: number): boolean {
  const d = plus(start.at, end.at, -1)
  const gap = Math.sqrt(dot(d, d))
  if (gap > GAP_mm) return false
  if (gap < STEP * radius) return dot(end.along, start.along) > 0.95
  const line = scaled(d, 1 / gap)
  const allowed = Math.min(0.9, TURN + gap * TURN_PER_mm)
  if (dot(end.along, start.along) < 1 - (allowed * allowed) / 2) return false
  // The chord of one bend makes equal angles with both ends: its direction is that of the sum.
  const sum = plus(end.along, start.along)
  const half = Math.sqrt(dot(sum, sum))
  return half > 0 && dot(line, sum) / half > 1 - (TURN * TURN) / 2
}

export function turnedRound(stations: readonly Station[]): Station[] {
  return [...stations].reverse().map((s) => ({ ...s, along: scaled(s.along, -1) }))
}

/**
 * Drops pieces that only walk beside or inside a longer one (up to 29 of them at 100,000 facets), and pieces too short, too
 * thin or too bare to be tubes: plate edges were taken for tubes of 5 mm radius and 53–98 mm length before.
 */
export function dropFalse(pieces: readonly Piece[]): Piece[] {
  const kept: Piece[] = []
  const byLength = [...pieces].sort((a, b) => lengthOf(b) - lengthOf(a))
  for (const piece of byLength) {
    const length = lengthOf(piece)
    const sure = piece.stations.filter((s) => !s.weak)
    if (sure.length < 4 || length < 3 * piece.radius_mm) continue
    const coverage = sure.reduce((sum, s) => sum + s.coverage, 0) / sure.length
    if (piece.radius_mm < 8 && (coverage < 0.7 || length < 150)) continue
    if (coverage < 0.7 && length < 150) continue
    if (kept.some((other) => runsBeside(piece, other))) continue
    kept.push(piece)
  }
  return kept
}

function runsBeside(piece: Piece, other: Piece): boolean {
  const flat = new Float32Array(other.stations.flatMap((s) => [...s.at]))
  const reach = 0.5 * other.radius_mm + 0.5 * STEP * other.radius_mm
  const grid = pointGrid(flat, 2 * reach)
  const one = new Uint32Array(1)
  const beside = piece.stations.filter((s) => pointsWithin(grid, ...s.at, reach, one) > 0)
  return beside.length > 0.5 * piece.stations.length
}

export function lengthOf(piece: Piece): number {
  let length = 0
  const { stations, closed } = piece
  for (let i = 0; i + (closed ? 0 : 1) < stations.length; i++)
    length += distance(stations[i]!.at, stations[(i + 1) % stations.length]!.at)
  return length
}

export function distance(a: Vec, b: Vec): number {
  const d = plus(a, b, -1)
  return Math.sqrt(dot(d, d))
}
