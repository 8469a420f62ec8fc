/**
 * Thinning: a scan with fewer and larger facets, never further from the full one than was asked.
 *
 * The library takes edges away by the error quadric of M. Garland and P. Heckbert, "Surface simplification using quadric
 * error metrics", 1997, with a weight for even facets. Its error is no bound (it told 0.2 mm where 0.65 was measured, and with
 * even facets 1.0 mm where 0.07 was), so the distance is measured here, both ways, exactly at every place that is asked;
 * where it is more than was allowed, more facets are kept.
 */
import { MeshoptSimplifier } from 'meshoptimizer/simplifier'
import { adjacency, RIM } from '../geometry/adjacency'
import { closestPoint, makeNearest } from '../geometry/closest-point'
import { BLOCK, type Steps, within } from '../geometry/kernel'
import { massProperties, meanEdge_mm } from '../geometry/measure'
import { facetCount, facetMiddle, type Mesh, makeMesh, vertexCount } from '../geometry/mesh'
import { buildTriangleTree, type TriangleTree } from '../geometry/triangle-tree'
import { Refused } from '../geometry/trouble'

let ready = false

/**
 * The library is compiled when this file is loaded, which takes a few milliseconds and cannot be waited for inside a kernel:
 * whoever drives kernels waits for this once. It never fails; without the library a thinning is refused.
 */
export const thinReady: Promise<void> = MeshoptSimplifier.supported
  ? MeshoptSimplifier.ready.then(
      () => {
        ready = true
      },
      () => undefined,
    )
  : Promise.resolve()

export interface ThinWish {
  /** Wanted length of an edge, mm. */
  readonly edge_mm: number
  /** The two surfaces never lie further apart than this, mm. */
  readonly deviation_mm: number
}

export interface Thinned {
  readonly mesh: Mesh<'scan'>
  /** One per facet. */
  readonly unseenFacet: Uint8Array
  /** Largest distance that was measured, either way, mm. */
  readonly deviation_mm: number
  readonly meanEdge_mm: number
}

/** Each further try keeps so much more; the distance falls about as the number of facets grows. */
const MORE = 1.5
const TRIES = 6
/** Facets that the library gets at once: under a tenth of a second, so that a cancel need not wait. */
const PIECE = 20_000
/** Above this share of the facets a thinning is not worth its deviation. */
const WORTH = 0.9
/** The number of facets bounds the library, not its own error. */
const ANY_ERROR_mm = 1e6

/**
 * Rims stay where they are, edge by edge, and so do facets that were filled in: what is unseen is neither more nor less.
 *
 * @returns null where nothing could be taken away within the deviation, or the facets are as large as asked already
 * @throws Refused `setting-impossible` where the library does not run
 */
export function* thin(mesh: Mesh<'scan'>, unseenFacet: Uint8Array, wish: ThinWish): Steps<Thinned | null> {
  if (!ready)
    throw new Refused('setting-impossible', 'This host does not run WebAssembly, which thinning needs; take it back.')
  const facets = facetCount(mesh)
  const { area_mm2: whole } = yield* within(0, 0.02, 'area', massProperties(mesh))
  // Facets of equal sides: an area of √3/4 · edge² each.
  const wanted = Math.floor((4 * whole) / (Math.sqrt(3) * wish.edge_mm * wish.edge_mm))
  if (!(wanted < facets)) return null
  const lock = yield* within(0.02, 0.1, 'rims', locked(mesh, unseenFacet))
  const tree = yield* within(0.1, 0.2, 'search tree', buildTriangleTree(mesh))
  let count = wanted
  for (let go = 0; go < TRIES && count < WORTH * facets; go++, count = Math.ceil(MORE * count)) {
    const from = 0.2 + (0.8 * go) / TRIES
    const half = from + 0.4 / TRIES
    const indices = yield* within(from, half, 'thinning', simplified(mesh, lock, count / whole))
    if (indices.length === 0 || indices.length > 3 * WORTH * facets) return null
    const thinned = compact(mesh, indices, unseenFacet)
    const deviation_mm = yield* within(
      half,
      half + 0.4 / TRIES,
      'measuring',
      apart(mesh, tree, thinned.mesh, wish.deviation_mm),
    )
    if (deviation_mm <= wish.deviation_mm)
      return { ...thinned, deviation_mm, meanEdge_mm: yield* meanEdge_mm(thinned.mesh) }
  }
  return null
}

/**
 * Piece by piece, since one call of the library cannot be stopped: facets lie sorted in space, so a run of them hangs
 * together. The seams between the pieces stay in the first round; the second is cut in the middle of the first one's pieces.
 *
 * @param density wanted facets per mm2
 * @returns corners, three per facet, by the vertices of `mesh`
 */
function* simplified(mesh: Mesh, lock: Uint8Array, density: number): Steps<Uint32Array> {
  let indices = mesh.indices
  let cuts: number[] = []
  for (let f = 0; f < facetCount(mesh); f += PIECE) cuts.push(f)
  for (let round = 0; round < 2; round++) {
    const out: Uint32Array[] = []
    const middles = [0]
    let length = 0
    for (const [i, start] of cuts.entries()) {
      yield (round + i / cuts.length) / 2
      const run = indices.subarray(3 * start, 3 * (cuts[i + 1] ?? indices.length / 3))
      const left = piece(mesh, lock, run, density)
      middles.push(Math.floor((length + left.length / 2) / 3))
      length += left.length
      out.push(left)
    }
    indices = new Uint32Array(length)
    let at = 0
    for (const left of out) {
      indices.set(left, at)
      at += left.length
    }
    cuts = middles
  }
  return indices
}

/** A run of facets with vertices of its own; its border stays. */
function piece(mesh: Mesh, lock: Uint8Array, run: Uint32Array, density: number): Uint32Array {
  const place = new Map<number, number>()
  const own: number[] = []
  const local = run.map((v) => {
    const known = place.get(v)
    if (known !== undefined) return known
    place.set(v, own.length)
    own.push(v)
    return own.length - 1
  })
  const positions = new Float32Array(3 * own.length)
  for (const [i, v] of own.entries()) positions.set(mesh.positions.subarray(3 * v, 3 * v + 3), 3 * i)
  const wanted = 3 * Math.max(1, Math.round(density * areaOf(positions, local)))
  if (wanted >= local.length) return run.slice()
  const [left] = MeshoptSimplifier.simplifyWithAttributes(
    local,
    positions,
    3,
    new Float32Array(0),
    0,
    [],
    Uint8Array.from(own, (v) => lock[v]!),
    wanted,
    ANY_ERROR_mm,
    ['LockBorder', 'ErrorAbsolute', 'RegularizeLight'],
  )
  return left.map((v) => own[v]!)
}

function areaOf(p: Float32Array, indices: Uint32Array): number {
  let twice = 0
  for (let f = 0; f < indices.length; f += 3) {
    const [a, b, c] = [3 * indices[f]!, 3 * indices[f + 1]!, 3 * indices[f + 2]!]
    const ux = p[b]! - p[a]!
    const uy = p[b + 1]! - p[a + 1]!
    const uz = p[b + 2]! - p[a + 2]!
    const vx = p[c]! - p[a]!
    const vy = p[c + 1]! - p[a + 1]!
    const vz = p[c + 2]! - p[a + 2]!
    twice += Math.hypot(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx)
  }
  return twice / 2
}

/** 1 for each vertex that must stay: of a filled facet, or on a rim. */
function* locked(mesh: Mesh, unseenFacet: Uint8Array): Steps<Uint8Array> {
  const { indices } = mesh
  const lock = new Uint8Array(vertexCount(mesh))
  const { across } = yield* adjacency(indices, lock.length)
  for (let h = 0; h < indices.length; h++) {
    if (unseenFacet[Math.floor(h / 3)]) lock[indices[h]!] = 1
    if (across[h] !== RIM) continue
    lock[indices[h]!] = 1
    lock[indices[h % 3 === 2 ? h - 2 : h + 1]!] = 1
  }
  return lock
}

/** Vertices that are left, in their order; filled facets are known again by their corners, which all stayed. */
function compact(mesh: Mesh<'scan'>, indices: Uint32Array, unseenFacet: Uint8Array) {
  const { positions } = mesh
  const place = new Int32Array(vertexCount(mesh)).fill(-1)
  for (const v of indices) place[v] = 0
  let vertices = 0
  for (let v = 0; v < place.length; v++) if (place[v] === 0) place[v] = vertices++
  const left = new Float32Array(3 * vertices)
  for (let v = 0; v < place.length; v++)
    if (place[v]! >= 0) left.set(positions.subarray(3 * v, 3 * v + 3), 3 * place[v]!)
  const filled = new Set<string>()
  for (let f = 0; f < unseenFacet.length; f++) if (unseenFacet[f]) filled.add(cornersOf(mesh.indices, f))
  const unseen = new Uint8Array(indices.length / 3)
  if (filled.size > 0) for (let f = 0; f < unseen.length; f++) if (filled.has(cornersOf(indices, f))) unseen[f] = 1
  return {
    mesh: makeMesh(
      'scan',
      left,
      indices.map((v) => place[v]!),
      mesh.origin,
    ),
    unseenFacet: unseen,
  }
}

const cornersOf = (indices: Uint32Array, f: number): string =>
  [indices[3 * f]!, indices[3 * f + 1]!, indices[3 * f + 2]!].sort((a, b) => a - b).join(' ')

/**
 * The largest distance between the two: every vertex of the full mesh to the thin one, every facet and edge middle of the
 * thin one to the full (its vertices are vertices of the full mesh). Stops at the first that is too far.
 */
function* apart(full: Mesh, fullTree: TriangleTree, thinned: Mesh, most_mm: number): Steps<number> {
  const near = makeNearest()
  const thinTree = yield* within(0, 0.1, 'search tree', buildTriangleTree(thinned))
  let largest = 0
  let seed = -1
  const { positions: p, origin } = full
  const vertices = p.length / 3
  // A few all over first: a thinning that went too far shows itself soon.
  for (const stride of [61, 1])
    for (let v = 0; v < vertices && largest <= most_mm; v += stride) {
      if (v % BLOCK === 0) yield 0.1 + (0.5 * v) / vertices / stride
      const x = p[3 * v]! + origin[0]
      closestPoint(thinTree, x, p[3 * v + 1]! + origin[1], p[3 * v + 2]! + origin[2], Infinity, near, seed)
      seed = near.facet
      largest = Math.max(largest, near.distance)
    }
  seed = -1
  const { positions: q, indices, origin: o } = thinned
  for (let f = 0; f < facetCount(thinned) && largest <= most_mm; f++) {
    if (f % BLOCK === 0) yield 0.6 + (0.4 * f) / facetCount(thinned)
    for (let k = 0; k < 4; k++) {
      const a = 3 * indices[3 * f + (k % 3)]!
      const b = 3 * indices[3 * f + ((k + 1) % 3)]!
      const [x, y, z] =
        k === 3
          ? facetMiddle(thinned, f)
          : [(q[a]! + q[b]!) / 2 + o[0], (q[a + 1]! + q[b + 1]!) / 2 + o[1], (q[a + 2]! + q[b + 2]!) / 2 + o[2]]
      closestPoint(fullTree, x, y, z, Infinity, near, seed)
      seed = near.facet
      largest = Math.max(largest, near.distance)
    }
  }
  return largest
}
