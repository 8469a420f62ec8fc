import { closestPoint, makeNearest } from '../geometry/closest-point'
import { type Steps, within } from '../geometry/kernel'
import { makeMesh } from '../geometry/mesh'
import { square } from '../geometry/portable-math'
import { buildTriangleTree, type TriangleTree } from '../geometry/triangle-tree'
import { weightedQuantile } from '../geometry/weighted-quantile'
import type { Skin } from './contour'
import { facetGaps } from './facet-gaps'

/** What an offset surface achieves, exact at each place: middles of facets and corners, evenly taken. */
export interface Achieved {
  readonly least_mm: number
  readonly largest_mm: number
  /** Of |achieved − asked|. */
  readonly rms_mm: number
  readonly p95_mm: number
  readonly places: number
  /** True if the surface was corrected until no point of it was short by more than 0.02 mm. */
  readonly neverShort: boolean
}

/** A shortfall below this is left alone, mm. */
const TOLERANCE = 0.004
/** No facet may be short by more, mm; promised are 0.02. */
const SHORT = 0.015
/** Rounds of exact correction; the second or third is usually the last. */
const ROUNDS = 12
/** At most about this many facets are taken for the final figures. */
const MEASURED = 100_000
/** Corrects a surface of up to `neverShortUpTo` facets, and measures it; its positions are rounded as the mesh will hold them. */
export function* finish(tree: TriangleTree, skin: Skin, d: number, neverShortUpTo: number): Steps<Achieved> {
  if (skin.indices.length / 3 > neverShortUpTo) return yield* measure(tree, skin, d, false)
  const least = yield* within(0, 0.8, 'relief', relieve(tree, skin, d))
  const achieved = yield* within(0.8, 1, 'achieved distance', measure(tree, skin, d, least >= d - 0.02))
  return { ...achieved, least_mm: Math.min(achieved.least_mm, least) }
}

/**
 * Moves vertices out where facets cut into the distance. Three ways, each for what the one before leaves:
 *
 * 1. by the turn of the surface between two corners, which costs no search: over a side Δx the middle of a chord is short by Δx·Δn / 8;
 * 2. by asking the middles of facets and sides;
 * 3. by exact triangle distances, round after round, for the facets where the middles do not settle it. They do settle it where
 *    (ab² + bc² + ca²) / 72 d is small: the squared distance to any shape, less x², is concave, so between places that
 *    are at the distance a triangle of half the size cannot be short by more.
 *
 * @returns the least distance that is left, mm; Infinity if no point is short
 */
function* relieve(tree: TriangleTree, skin: Skin, d: number): Steps<number> {
  const { positions, away, indices } = skin
  const facets = indices.length / 3
  const push = new Float64Array(positions.length)
  pushByTurn(skin, push)
  movePushed(positions, push)
  yield 0.05

  const near = makeNearest()
  const [ox, oy, oz] = tree.mesh.origin
  const place = new Float64Array(3)
  const open: number[] = []
  for (let f = 0; f < facets; f++) {
    for (let p = 0; p < 4; p++) {
      // The middle of a side belongs to two facets; the one in which its numbers rise asks.
      if (p > 0 && indices[3 * f + p - 1]! > indices[3 * f + (p % 3)]!) continue
      placeOn(skin, f, p, place)
      closestPoint(tree, place[0]! + ox, place[1]! + oy, place[2]! + oz, d - TOLERANCE, near)
      if (near.facet < 0) continue
      for (let k = 0; k < 3; k++) {
        const v = indices[3 * f + k]!
        if (PLACES[p]![k]! > 0) raise(push, v, away[3 * v]!, away[3 * v + 1]!, away[3 * v + 2]!, d - near.distance)
      }
    }
    if (2 * TOLERANCE + sides2(skin, f) / (72 * d) > SHORT) open.push(f)
    if (f % 512 === 0) yield 0.05 + (0.55 * f) / facets
  }
  movePushed(positions, push)
  return yield* within(0.6, 1, 'exact distances', pushExactly(tree, skin, d, open, push))
}

/** Places on a facet that are asked: weights of its corners. */
const PLACES: readonly (readonly [number, number, number])[] = [
  [1 / 3, 1 / 3, 1 / 3],
  [0.5, 0.5, 0],
  [0, 0.5, 0.5],
  [0.5, 0, 0.5],
]

function placeOn({ positions, indices }: Skin, f: number, p: number, out: Float64Array): void {
  const weights = PLACES[p]!
  for (let k = 0; k < 3; k++)
    out[k] =
      weights[0] * positions[3 * indices[3 * f]! + k]! +
      weights[1] * positions[3 * indices[3 * f + 1]! + k]! +
      weights[2] * positions[3 * indices[3 * f + 2]! + k]!
}

/** Sum of the squared sides of a facet. */
function sides2({ positions, indices }: Skin, f: number): number {
  let sum = 0
  for (let k = 0; k < 3; k++) {
    const v = 3 * indices[3 * f + k]!
    const w = 3 * indices[3 * f + ((k + 1) % 3)]!
    for (let i = 0; i < 3; i++) sum += square(positions[w + i]! - positions[v + i]!)
  }
  return sum
}

/** Of all moves asked of a vertex the longest is kept. */
function raise(push: Float64Array, v: number, x: number, y: number, z: number, by: number): void {
  const at = 3 * v
  if (by * by <= square(push[at]!) + square(push[at + 1]!) + square(push[at + 2]!)) return
  push[at] = by * x
  push[at + 1] = by * y
  push[at + 2] = by * z
}

function pushByTurn({ positions, away, indices }: Skin, push: Float64Array): void {
  const turn = (v: number, w: number) => {
    let sum = 0
    for (let k = 0; k < 3; k++)
      sum += (positions[3 * w + k]! - positions[3 * v + k]!) * (away[3 * w + k]! - away[3 * v + k]!)
    return Math.max(0, sum / 8)
  }
  for (let f = 0; f < indices.length; f += 3) {
    const a = indices[f]!
    const b = indices[f + 1]!
    const c = indices[f + 2]!
    const ab = turn(a, b)
    const bc = turn(b, c)
    const ca = turn(c, a)
    // Middle of the facet: 8/18 of the three together; middle of a side: its own.
    const short = Math.max((4 / 9) * (ab + bc + ca), ab, bc, ca)
    for (const v of [a, b, c]) raise(push, v, away[3 * v]!, away[3 * v + 1]!, away[3 * v + 2]!, short)
  }
}

/**
 * Exact distances of the facets in question; the corners of one that is short move along the line from the metal to the
 * place where it is short (their own direction may lead along other metal). Then the facets about the moved corners, until none is short.
 *
 * @returns the least distance left, mm; Infinity if none is short
 */
function* pushExactly(
  tree: TriangleTree,
  skin: Skin,
  d: number,
  open: readonly number[],
  push: Float64Array,
): Steps<number> {
  const { positions, indices } = skin
  let list = open
  let least = Infinity
  for (let round = 0; round < ROUNDS && list.length > 0; round++) {
    const part = makeMesh(
      tree.mesh.axes,
      Float32Array.from(positions),
      Uint32Array.from({ length: 3 * list.length }, (_, i) => indices[3 * list[Math.floor(i / 3)]! + (i % 3)]!),
      tree.mesh.origin,
    )
    const partTree = yield* within(0, 0.1, 'search tree', buildTriangleTree(part))
    const from = round / ROUNDS
    const gaps = yield* within(from, from + 1 / ROUNDS, 'distances', facetGaps(partTree, tree, 0, d - 2 * TOLERANCE))
    const moved = new Uint8Array(positions.length / 3)
    least = Infinity
    let short = false
    for (let i = 0; i < list.length; i++) {
      const distance = gaps.distance[i]!
      if (distance === Infinity) continue
      short = true
      least = Math.min(least, distance)
      const w = gaps.witness.subarray(6 * i, 6 * i + 6)
      const [x, y, z] = [w[0]! - w[3]!, w[1]! - w[4]!, w[2]! - w[5]!].map((v) => v / distance) as [
        number,
        number,
        number,
      ]
      for (let k = 0; k < 3; k++) {
        const v = indices[3 * list[i]! + k]!
        if (distance > 0) raise(push, v, x, y, z, d - distance)
        moved[v] = 1
      }
    }
    if (!short) return Infinity
    movePushed(positions, push)
    const next: number[] = []
    for (let f = 0; f < indices.length / 3; f++)
      if (moved[indices[3 * f]!] || moved[indices[3 * f + 1]!] || moved[indices[3 * f + 2]!]) next.push(f)
    list = next
  }
  return least
}

/** Moves the vertices and wipes the moves. */
function movePushed(positions: Float64Array, push: Float64Array): void {
  for (let i = 0; i < push.length; i++) positions[i]! += push[i]!
  push.fill(0)
}

/** Final figures over middles of facets and their corners, evenly taken, on the positions as they are rounded for the mesh. */
function* measure(tree: TriangleTree, skin: Skin, d: number, neverShort: boolean): Steps<Achieved> {
  const { positions, indices } = skin
  const place = new Float64Array(3)
  for (let i = 0; i < positions.length; i++) positions[i] = Math.fround(positions[i]!)
  const facets = indices.length / 3
  const stride = Math.max(1, Math.ceil(facets / MEASURED))
  const near = makeNearest()
  const [ox, oy, oz] = tree.mesh.origin
  const places = 2 * Math.ceil(facets / stride)
  const off = new Float64Array(places)
  let least = Infinity
  let largest = -Infinity
  let squares = 0
  let n = 0
  const ask = (x: number, y: number, z: number) => {
    closestPoint(tree, x + ox, y + oy, z + oz, Infinity, near, near.facet)
    least = Math.min(least, near.distance)
    largest = Math.max(largest, near.distance)
    squares += square(near.distance - d)
    off[n++] = Math.abs(near.distance - d)
  }
  for (let f = 0; f < facets; f += stride) {
    placeOn(skin, f, 0, place)
    ask(place[0]!, place[1]!, place[2]!)
    const v = 3 * indices[3 * f + (f % 3)]!
    ask(positions[v]!, positions[v + 1]!, positions[v + 2]!)
    if (n % 1024 === 0) yield f / facets
  }
  return {
    least_mm: least,
    largest_mm: largest,
    rms_mm: Math.sqrt(squares / n),
    p95_mm: weightedQuantile(off, null, 0.95),
    places: n,
    neverShort,
  }
}
