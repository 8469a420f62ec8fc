import { type Steps, within } from '../geometry/kernel'
import { pointsWithin } from '../geometry/point-grid'
import { dot, plus } from '../geometry/vectors'
import type { Cloud } from './cloud'
import { dropFalse, joinPieces } from './join-tubes'
import { firstStation, marchTube, type Piece } from './march-tube'
import { seedReach_mm, seedTube } from './seed-tube'

/**
 * Finds the tubes in a cloud: seeds, walks, joins.
 *
 * Metal that a walk has explained is not asked again, so that about as many stations are fitted as the tubes have; a seed that
 * led nowhere silences its neighbourhood.
 *
 * @param noise_mm 1 sigma of the scan
 */
export function* findTubes(cloud: Cloud, edge_mm: number, noise_mm: number): Steps<Piece[]> {
  const n = cloud.points.length / 3
  const used = new Uint8Array(n)
  const reach = seedReach_mm(cloud, edge_mm)
  const pieces: Piece[] = []
  let asked = 0
  for (const point of scattered(n)) {
    if (asked++ % 512 === 0) yield (0.95 * asked) / n
    if (used[point]) continue
    const seed = seedTube(cloud, point, reach)
    if (!seed) continue
    const first = firstStation(cloud, seed, noise_mm)
    if (!first) {
      silence(cloud, used, point, 0.5 * reach)
      continue
    }
    const piece = yield* within((0.95 * asked) / n, (0.95 * asked) / n, 'tubes', marchTube(cloud, first, noise_mm))
    markUsed(cloud, used, piece)
    used[point] = 1
    if (piece.stations.length > 2) pieces.push(piece)
    yield (0.95 * asked) / n
  }
  return dropFalse(joinPieces(pieces))
}

/** All numbers below n, neighbours far apart: a stride near the golden section, made coprime to n. */
function* scattered(n: number): Generator<number> {
  if (n === 0) return
  let stride = Math.max(1, Math.floor(n * 0.6180339887))
  const gcd = (a: number, b: number): number => (b === 0 ? a : gcd(b, a % b))
  while (gcd(stride, n) !== 1) stride++
  for (let i = 0, p = 0; i < n; i++, p = (p + stride) % n) yield p
}

const list = new Uint32Array(4096)

function silence(cloud: Cloud, used: Uint8Array, point: number, reach: number): void {
  const { points, normals, grid } = cloud
  const p = 3 * point
  const found = Math.min(list.length, pointsWithin(grid, points[p]!, points[p + 1]!, points[p + 2]!, reach, list))
  for (let i = 0; i < found; i++) {
    const q = 3 * list[i]!
    if (normals[p]! * normals[q]! + normals[p + 1]! * normals[q + 1]! + normals[p + 2]! * normals[q + 2]! > 0.9)
      used[list[i]!] = 1
  }
}

/** Marks the metal that lies on a piece. */
function markUsed(cloud: Cloud, used: Uint8Array, piece: Piece): void {
  const { points, grid } = cloud
  for (const s of piece.stations) {
    const r = piece.radius_mm
    const half = 0.75 * r
    const found = Math.min(list.length, pointsWithin(grid, ...s.at, Math.sqrt(half * half + 1.3 * 1.3 * r * r), list))
    for (let i = 0; i < found; i++) {
      const q = 3 * list[i]!
      const d = plus([points[q]!, points[q + 1]!, points[q + 2]!], s.at, -1)
      const along = dot(d, s.along)
      if (Math.abs(along) > half) continue
      const out2 = dot(d, d) - along * along
      if (out2 < 1.3 * 1.3 * r * r) used[list[i]!] = 1
    }
  }
}
