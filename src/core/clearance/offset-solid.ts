import type { Axes } from '../geometry/axes'
import { closestPoint, facetWithin, makeNearest } from '../geometry/closest-point'
import { type Steps, within } from '../geometry/kernel'
import { facetCount, type Mesh, makeMesh } from '../geometry/mesh'
import { closestOnTriangle } from '../geometry/point-triangle'
import { buildTriangleTree, type TriangleTree } from '../geometry/triangle-tree'
import { Refused } from '../geometry/trouble'
import { weightedQuantile } from '../geometry/weighted-quantile'
import { EDGE_CORNER, TRIANGLES } from './cube-loops'
import { facetGaps } from './facet-gaps'
import { type BitGrid, grownBody, outsideOf } from './grown-body'

export interface OffsetOptions {
  /** Above 0: the outer surface at this distance. Below 0: the surface that lies this far inside a closed mesh. */
  readonly distance_mm: number
  /** Spacing of the grid; at most the distance. Features narrower than this may be bridged, with more distance, never less. */
  readonly voxel_mm: number
  /** Up to how many facets every facet is checked for shortfall and corrected; above, evenly taken ones are. Default 200,000. */
  readonly measureAll?: number
}

export interface OffsetSolid<A extends Axes = Axes> {
  /** Closed, outward; origin of the input. */
  readonly mesh: Mesh<A>
  /** Distance achieved, exact at each place: middles of facets and corners, evenly taken. */
  readonly achieved: {
    readonly least_mm: number
    readonly largest_mm: number
    /** Of |achieved − asked|. */
    readonly rms_mm: number
    readonly p95_mm: number
    readonly places: number
    /** True if every facet of the surface was checked for shortfall. */
    readonly all: boolean
  }
}

/** A shortfall below this is left alone, mm. */
const TOLERANCE = 0.004
/** No facet may be short by more, mm; promised are 0.02. */
const SHORT = 0.015
/** Rounds of exact correction; the second or third is usually the last. */
const ROUNDS = 12
/** At most about this many facets are taken for the final figures. */
const MEASURED = 100_000
/** A crossing is exact when no facet is nearer than the distance less this, mm. */
const EXACT = 1e-6

/**
 * The surface at a given distance from a mesh in all directions, for collars, boots and covers: rounded outside corners, true
 * inside corners (to a voxel), never a vertex-normal offset, which falls short at every corner (G26).
 *
 * The grid only says which nodes are within the distance (`grownBody`); where the surface crosses an edge of the grid is
 * then solved exactly on the triangles, so the voxel size costs detail, not accuracy. Between the crossings the facets are
 * chords: where they would cut into the asked distance, their corners are moved out along the line from the nearest metal until the
 * middles of facets and sides are at the distance too.
 *
 * Outside is what is joined to the far away: pockets that the grown body closes off are filled, so an open mesh (a scan with
 * holes narrower than twice the distance) gets one outer skin.
 *
 * @returns a closed mesh; at `measureAll` facets or fewer no point of it is short by more than 0.02 mm, else `achieved.least_mm` says so
 * @throws Refused `setting-impossible` for a distance of 0 or voxels larger than it; `too-large` for a grid that does not fit;
 *   `shape-impossible` if nothing is left inside
 *
 * @example const boot = yield* offsetSolid(bracket, { distance_mm: 15, voxel_mm: 2 })
 */
export function* offsetSolid<A extends Axes>(mesh: Mesh<A>, options: OffsetOptions): Steps<OffsetSolid<A>> {
  const { distance_mm, voxel_mm } = options
  const d = Math.abs(distance_mm)
  if (!(d > 0 && d < Infinity && voxel_mm > 0))
    throw new Refused('setting-impossible', 'An offset needs a distance other than 0 mm and voxels larger than 0 mm.')
  if (voxel_mm > d)
    throw new Refused(
      'setting-impossible',
      `Voxels of ${voxel_mm} mm are too coarse for an offset of ${d} mm: choose voxels of at most ${d} mm.`,
    )
  if (facetCount(mesh) === 0) throw new Refused('mesh-empty', 'A mesh without facets has no offset surface.')
  const tree = yield* within(0, 0.05, 'search tree', buildTriangleTree(mesh))
  const grid = yield* within(0.05, 0.2, 'grid', grownBody(tree, d, voxel_mm))
  const outside = yield* within(0.2, 0.25, 'outside', outsideOf(grid))
  const solid = new Uint32Array(grid.bits.length)
  // Outward: all that is not outside. Inward: what is beyond the distance, but not outside.
  if (distance_mm > 0) for (let w = 0; w < solid.length; w++) solid[w] = ~outside[w]!
  else for (let w = 0; w < solid.length; w++) solid[w] = ~outside[w]! & ~grid.bits[w]!
  const skin = yield* within(0.25, 0.65, 'surface', contour(tree, grid, solid, d))
  if (skin.indices.length === 0)
    throw new Refused(
      'shape-impossible',
      `Nothing of this mesh lies ${d} mm inside it: it is open, or thinner than ${2 * d} mm. Choose a smaller distance.`,
    )
  const achieved = yield* within(0.65, 1, 'achieved distance', relieve(tree, skin, d, options.measureAll ?? 200_000))
  return {
    mesh: makeMesh(mesh.axes, Float32Array.from(skin.positions), skin.indices, mesh.origin),
    achieved,
  }
}

interface Skin {
  /** About the mesh's origin, three per vertex, in double. */
  readonly positions: Float64Array
  /** Unit direction from the nearest metal, three per vertex. */
  readonly away: Float64Array
  readonly indices: Uint32Array
}

/** Numbers in a typed array that grows. */
class Growing<T extends Float64Array | Uint32Array> {
  data: T
  length = 0
  private readonly make: (n: number) => T
  constructor(make: (n: number) => T) {
    this.make = make
    this.data = make(1 << 16)
  }
  push(a: number, b: number, c: number): void {
    if (this.length + 3 > this.data.length) {
      const wider = this.make(2 * this.data.length)
      wider.set(this.data)
      this.data = wider
    }
    this.data[this.length++] = a
    this.data[this.length++] = b
    this.data[this.length++] = c
  }
  done(): T {
    return this.data.slice(0, this.length) as T
  }
}

/** Marching cubes over the bits; each crossing of an edge is solved exactly once. */
function* contour(tree: TriangleTree, grid: BitGrid, solid: Uint32Array, d: number): Steps<Skin> {
  const { nx, ny, nz, words, x0, y0, z0, h, bits } = grid
  const positions = new Growing((n) => new Float64Array(n))
  const away = new Growing((n) => new Float64Array(n))
  const indices = new Growing((n) => new Uint32Array(n))
  const solver = new Crossing(tree, d)
  // Vertex numbers (plus 1) on the edges of two planes of nodes: along x between them, along y and z in each. Only what was
  // written is wiped when the planes move on.
  const plane = ny * nz
  const alongX = new Uint32Array(plane)
  let alongY = [new Uint32Array(plane), new Uint32Array(plane)] as const
  let alongZ = [new Uint32Array(plane), new Uint32Array(plane)] as const
  const corner = (i: number, j: number, k: number) => (solid[(i * ny + j) * words + (k >> 5)]! >>> (k & 31)) & 1
  const grown = (i: number, j: number, k: number) => (bits[(i * ny + j) * words + (k >> 5)]! >>> (k & 31)) & 1
  const touchedX: number[] = []
  let touched = [[], []] as [number[], number[]]
  const vertex = (i: number, j: number, k: number, e: number): number => {
    const c = EDGE_CORNER[e]!
    const dx = c & 1
    const jj = j + ((c >> 1) & 1)
    const kk = k + (c >> 2)
    const axis = e >> 2
    const map = axis === 0 ? alongX : axis === 1 ? alongY[dx as 0 | 1] : alongZ[dx as 0 | 1]
    const at = jj * nz + kk
    const known = map[at]!
    if (known > 0) return known - 1
    const ii = i + dx
    const ax = x0 + ii * h
    const ay = y0 + jj * h
    const az = z0 + kk * h
    const bx = axis === 0 ? ax + h : ax
    const by = axis === 1 ? ay + h : ay
    const bz = axis === 2 ? az + h : az
    // From the end that is within the distance to the end that is not.
    if (grown(ii, jj, kk)) solver.solve(ax, ay, az, bx, by, bz)
    else solver.solve(bx, by, bz, ax, ay, az)
    positions.push(solver.x, solver.y, solver.z)
    away.push(solver.nx, solver.ny, solver.nz)
    map[at] = positions.length / 3
    ;(axis === 0 ? touchedX : touched[dx as 0 | 1]).push(at)
    return positions.length / 3 - 1
  }
  for (let i = 0; i + 1 < nx; i++) {
    for (let j = 0; j + 1 < ny; j++) {
      const c00 = (i * ny + j) * words
      const c10 = c00 + ny * words
      const c01 = c00 + words
      const c11 = c10 + words
      for (let w = 0; w < words; w++) {
        const any = solid[c00 + w]! | solid[c10 + w]! | solid[c01 + w]! | solid[c11 + w]!
        const all = solid[c00 + w]! & solid[c10 + w]! & solid[c01 + w]! & solid[c11 + w]!
        const more = w + 1 < words
        const anyNext = more ? solid[c00 + w + 1]! | solid[c10 + w + 1]! | solid[c01 + w + 1]! | solid[c11 + w + 1]! : 0
        const allNext = more ? solid[c00 + w + 1]! & solid[c10 + w + 1]! & solid[c01 + w + 1]! & solid[c11 + w + 1]! : 0
        // Cells whose eight corners are not all alike.
        let mixed = (any | ((any >>> 1) | (anyNext << 31))) & ~(all & ((all >>> 1) | (allNext << 31)))
        while (mixed !== 0) {
          const bit = 31 - Math.clz32(mixed & -mixed)
          mixed &= mixed - 1
          const k = 32 * w + bit
          if (k + 1 >= nz) break
          let arrangement = 0
          for (let c = 0; c < 8; c++) arrangement |= corner(i + (c & 1), j + ((c >> 1) & 1), k + (c >> 2)) << c
          const triangles = TRIANGLES[arrangement]!
          for (let t = 0; t < triangles.length; t += 3)
            indices.push(
              vertex(i, j, k, triangles[t]!),
              vertex(i, j, k, triangles[t + 1]!),
              vertex(i, j, k, triangles[t + 2]!),
            )
        }
      }
      if (j % 16 === 0) yield (i + j / ny) / nx
    }
    for (const at of touchedX) alongX[at] = 0
    touchedX.length = 0
    for (const at of touched[0]) {
      alongY[0][at] = 0
      alongZ[0][at] = 0
    }
    touched[0].length = 0
    touched = [touched[1], touched[0]]
    alongY = [alongY[1], alongY[0]]
    alongZ = [alongZ[1], alongZ[0]]
  }
  return { positions: positions.done(), away: away.done(), indices: indices.done() }
}

/** Finds where a segment leaves the grown body. */
class Crossing {
  readonly tree: TriangleTree
  readonly d: number
  seed = -1
  x = 0.5
  y = 0.5
  z = 0.5
  nx = 0.5
  ny = 0.5
  nz = 0.5
  readonly foot = new Float64Array(5)
  constructor(tree: TriangleTree, d: number) {
    this.tree = tree
    this.d = d
  }

  /**
   * From a (within the distance of some facet) to b (not). The grown facet that holds a is convex, so it is left once; if the
   * place of leaving lies in another grown facet, that one is left further on; until none holds it.
   */
  solve(ax: number, ay: number, az: number, bx: number, by: number, bz: number): void {
    const { tree, d } = this
    const [ox, oy, oz] = tree.mesh.origin
    let facet = facetWithin(tree, ax + ox, ay + oy, az + oz, d + EXACT, this.seed)
    if (facet < 0) throw new Error('clearance: a node of the grown body is not near the mesh')
    for (let round = 0; ; round++) {
      this.leave(facet, ax, ay, az, bx, by, bz)
      const other = facetWithin(tree, this.x + ox, this.y + oy, this.z + oz, d - EXACT, facet)
      if (other < 0 || other === facet || round === 200) break
      facet = other
    }
    this.seed = facet
  }

  /** Newton's rule from the far end: the distance to one facet is convex along the segment, so it never overshoots. */
  leave(facet: number, ax: number, ay: number, az: number, bx: number, by: number, bz: number): void {
    const { foot, d } = this
    const ux = bx - ax
    const uy = by - ay
    const uz = bz - az
    let t = 1
    for (let i = 0; i < 40; i++) {
      const x = ax + t * ux
      const y = ay + t * uy
      const z = az + t * uz
      closestOnFacet(this.tree.mesh, facet, x, y, z, foot)
      const dx = x - foot[0]!
      const dy = y - foot[1]!
      const dz = z - foot[2]!
      const distance = Math.sqrt(dx * dx + dy * dy + dz * dz)
      this.x = x
      this.y = y
      this.z = z
      if (distance > 0) {
        this.nx = dx / distance
        this.ny = dy / distance
        this.nz = dz / distance
      }
      const slope = this.nx * ux + this.ny * uy + this.nz * uz
      const excess = distance - d
      if (Math.abs(excess) < 1e-10 * d || !(slope > 0)) return
      const next = Math.max(0, t - excess / slope)
      if (next >= t) return
      t = next
    }
  }
}

function closestOnFacet(mesh: Mesh, f: number, x: number, y: number, z: number, out: Float64Array): void {
  const { positions: p, indices } = mesh
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const c = 3 * indices[3 * f + 2]!
  closestOnTriangle(x, y, z, p[a]!, p[a + 1]!, p[a + 2]!, p[b]!, p[b + 1]!, p[b + 2]!, p[c]!, p[c + 1]!, p[c + 2]!, out)
}

/**
 * Moves vertices out where facets cut into the distance, then measures. Three ways, each for what the one before leaves:
 *
 * 1. by the turn of the surface between two corners, which costs no search: over a side Δx the middle of a chord is short by Δx·Δn / 8;
 * 2. by asking the middles of facets and sides;
 * 3. by exact triangle distances, round after round, for the facets where the middles do not settle it. They do settle it where
 *    (ab² + bc² + ca²) / 72 d is small: the squared distance to any shape, less x², is concave, so between places that
 *    are at the distance a triangle of half the size cannot be short by more.
 *
 * Surfaces of more than `measureAll` facets get 1, and 2 on evenly taken facets.
 */
function* relieve(tree: TriangleTree, skin: Skin, d: number, measureAll: number): Steps<OffsetSolid['achieved']> {
  const { positions, away, indices } = skin
  const facets = indices.length / 3
  const push = new Float64Array(positions.length)
  pushByTurn(skin, push)
  movePushed(positions, push)
  yield 0.05

  const all = facets <= measureAll
  const stride = Math.max(1, Math.ceil(facets / measureAll))
  const near = makeNearest()
  const [ox, oy, oz] = tree.mesh.origin
  const place = new Float64Array(3)
  const open: number[] = []
  for (let f = 0; f < facets; f += stride) {
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
    if (f % 512 < stride) yield 0.05 + (0.45 * f) / facets
  }
  movePushed(positions, push)
  const rest = all ? yield* within(0.5, 0.8, 'exact distances', pushExactly(tree, skin, d, open, push)) : Infinity
  const achieved = yield* within(0.8, 1, 'achieved distance', measure(tree, skin, d, all))
  return { ...achieved, least_mm: Math.min(achieved.least_mm, rest) }
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
    for (let i = 0; i < 3; i++) sum += (positions[w + i]! - positions[v + i]!) ** 2
  }
  return sum
}

/** Of all moves asked of a vertex the longest is kept. */
function raise(push: Float64Array, v: number, x: number, y: number, z: number, by: number): void {
  const at = 3 * v
  if (by * by <= push[at]! ** 2 + push[at + 1]! ** 2 + push[at + 2]! ** 2) return
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
    let any = false
    for (let i = 0; i < list.length; i++) {
      const distance = gaps.distance[i]!
      if (distance === Infinity) continue
      any = true
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
    if (!any) return Infinity
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
function* measure(tree: TriangleTree, skin: Skin, d: number, all: boolean): Steps<OffsetSolid['achieved']> {
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
    squares += (near.distance - d) ** 2
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
    all,
  }
}
