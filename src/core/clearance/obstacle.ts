import { type Adjacency, adjacency } from '../geometry/adjacency'
import { BLOCK, type Steps, within } from '../geometry/kernel'
import { facetCount, type Mesh, vertexCount } from '../geometry/mesh'

/**
 * The obstacle: how high, over each node of a grid in plan, the frame reaches once it is grown by its gap on all sides.
 *
 * Exact at each node, not a blur of a depth map. The upper boundary of "mesh plus ball" is *tiled*: by facets moved along
 * their normal, by pieces of cylinders about convex edges (between the normals of the two facets), and by caps of spheres
 * about vertices. Each node meets each tile about once, so the work hardly grows with the gap. At a concave edge the
 * top of the cylinder has a nearer point inside one of the faces: it is covered, and skipped. Any tile drawn too large is
 * harmless, since every point of it belongs to the grown body; only one drawn too small loses height. So boxes are padded.
 *
 * Through a hole in the scan the *back* of the far wall is seen: facets that face down and edges that are convex from
 * behind are drawn in a second pass with turned normals, culled where the first pass already stands higher.
 */

/** A height for every node of a grid in plan, job axes. Node (i, j) stands at x0 + i·h, y0 + j·h; its height is `height[j · nx + i]`. */
export interface Obstacle {
  readonly nx: number
  readonly ny: number
  readonly x0: number
  readonly y0: number
  /** Spacing, mm. */
  readonly h: number
  /** z below which nothing may be, mm; −Infinity where nothing is in the way. One per node. */
  readonly height: Float64Array
}

export interface ObstacleOptions {
  readonly nx: number
  readonly ny: number
  readonly x0: number
  readonly y0: number
  readonly h: number
  /** Gap to be kept, mm: one for all, or one per facet. */
  readonly gap: number | Float32Array
  /** Added to every gap, mm. Gap and guard together must be greater than 0. */
  readonly guard_mm: number
  /** Take the frame together with its mirror image in y = 0; then the rows must lie symmetric about y = 0: y0 = −(ny − 1)·h / 2. */
  readonly symmetric: boolean
  /** Who lies across each edge of the frame, where the caller knows already. */
  readonly adjacency?: Adjacency
}

/** What the passes share. */
interface Raster {
  readonly nx: number
  readonly ny: number
  readonly x0: number
  readonly y0: number
  readonly h: number
  readonly z: Float64Array
  readonly positions: Float32Array
  readonly indices: Uint32Array
  readonly across: Int32Array
  /** Unit normals, three per facet; 0 0 0 for a facet without area. */
  readonly normals: Float32Array
  /** Gap and guard together, mm: one per facet, or one entry for all. */
  readonly radius: Float64Array
  readonly uniform: boolean
  /** Least height in each block of `SIDE` × `SIDE` nodes after the first pass; heights only grow, so it stays a lower bound. */
  readonly blockMin: Float64Array
  readonly blocksX: number
}

/** Nodes along one side of a block of the culling pyramid. */
const SIDE = 4
/** A node that lies on the border of a tile belongs to it: weights of a facet, share of an edge. */
const INSIDE = 1e-9

/**
 * @returns heights exact to rounding (1e-9 mm or so)
 * @throws a defect where gap + guard is not above 0 on some facet, or rows are not symmetric though asked
 *
 * @example
 * const obstacle = yield* within(0, 0.3, 'obstacle', buildObstacle(frame, { ...grid, gap: 12, guard_mm: 0.6, symmetric: true }))
 */
export function* buildObstacle(frame: Mesh<'job'>, options: ObstacleOptions): Steps<Obstacle> {
  const { nx, ny, x0, y0, h, gap, guard_mm } = options
  const facets = facetCount(frame)
  if (options.symmetric && !(Math.abs(2 * y0 + (ny - 1) * h) <= 1e-9 * h * ny))
    throw new Error('clearance: a symmetric obstacle needs a grid that is symmetric about y = 0')
  const uniform = typeof gap === 'number'
  const radius = uniform ? Float64Array.of(gap + guard_mm) : Float64Array.from(gap, (g) => g + guard_mm)
  if (!uniform && radius.length !== facets) throw new Error('clearance: gaps need one number per facet of the frame')
  if (!radius.every((c) => c > 0)) throw new Error('clearance: gap and guard together must be above 0')

  const neighbours =
    options.adjacency ?? (yield* within(0, 0.3, 'neighbours', adjacency(frame.indices, vertexCount(frame))))
  const blocksX = Math.ceil(nx / SIDE)
  const raster: Raster = {
    nx,
    ny,
    h,
    // The grid is moved into the frame's local axes instead of the frame into the grid's.
    x0: x0 - frame.origin[0],
    y0: y0 - frame.origin[1],
    z: new Float64Array(nx * ny).fill(-Infinity),
    positions: frame.positions,
    indices: frame.indices,
    across: neighbours.across,
    normals: new Float32Array(3 * facets),
    radius,
    uniform,
    blockMin: new Float64Array(blocksX * Math.ceil(ny / SIDE)).fill(-Infinity),
    blocksX,
  }
  const vertexRadius = new Float64Array(vertexCount(frame))
  yield* inBlocks(0.3, 0.45, facets, (from, to) => drawFaces(raster, vertexRadius, from, to, false))
  yield* inBlocks(0.45, 0.7, facets, (from, to) => drawEdges(raster, from, to, false))
  buildPyramid(raster)
  yield* inBlocks(0.7, 0.85, vertexRadius.length, (from, to) => drawSpheres(raster, vertexRadius, from, to))
  buildPyramid(raster)
  yield* inBlocks(0.85, 0.9, facets, (from, to) => drawFaces(raster, vertexRadius, from, to, true))
  yield* inBlocks(0.9, 0.98, facets, (from, to) => drawEdges(raster, from, to, true))

  const height = raster.z
  const oz = frame.origin[2]
  if (oz !== 0) for (let i = 0; i < height.length; i++) height[i]! += oz
  if (options.symmetric) fold(height, nx, ny)
  return { nx, ny, x0, y0, h, height }
}

function* inBlocks(begin: number, end: number, count: number, work: (from: number, to: number) => void): Steps<void> {
  for (let from = 0; from < count; from += BLOCK) {
    work(from, Math.min(count, from + BLOCK))
    yield { fraction: begin + ((end - begin) * from) / count, label: 'obstacle' }
  }
}

/** Largest of both sides, written to both: symmetric to the last bit, whatever the frame is. */
function fold(height: Float64Array, nx: number, ny: number): void {
  for (let j = 0; 2 * j < ny; j++) {
    const row = j * nx
    const mirrored = (ny - 1 - j) * nx
    for (let i = 0; i < nx; i++) {
      const z = Math.max(height[row + i]!, height[mirrored + i]!)
      height[row + i] = z
      height[mirrored + i] = z
    }
  }
}

function buildPyramid({ z, nx, ny, blockMin, blocksX }: Raster): void {
  blockMin.fill(Infinity)
  for (let j = 0; j < ny; j++) {
    const row = (j >> 2) * blocksX
    for (let i = 0; i < nx; i++) {
      const b = row + (i >> 2)
      const height = z[j * nx + i]!
      if (height < blockMin[b]!) blockMin[b] = height
    }
  }
}

/** True where every block under these nodes stands at least at `height`. */
function covered(raster: Raster, i0: number, i1: number, j0: number, j1: number, height: number): boolean {
  const { blockMin, blocksX } = raster
  for (let bj = j0 >> 2; bj <= j1 >> 2; bj++)
    for (let bi = i0 >> 2; bi <= i1 >> 2; bi++) if (blockMin[bj * blocksX + bi]! < height) return false
  return true
}

/**
 * Facets moved by their gap along the normal. First pass (`turned` false): those that face up; it also fills `normals` and
 * `vertexRadius` (largest gap of the facets at a vertex, 0 where none is). Second pass: those that face down, turned over.
 */
function drawFaces(raster: Raster, vertexRadius: Float64Array, from: number, to: number, turned: boolean): void {
  const { nx, ny, x0, y0, h, z, positions, indices, normals, radius, uniform } = raster
  const perNode = 1 / h
  for (let f = from; f < to; f++) {
    const va = indices[3 * f]!
    const vb = indices[3 * f + 1]!
    const vc = indices[3 * f + 2]!
    const c = radius[uniform ? 0 : f]!
    if (turned) {
      if (normals[3 * f + 2]! >= 0) continue
    } else {
      if (vertexRadius[va]! < c) vertexRadius[va] = c
      if (vertexRadius[vb]! < c) vertexRadius[vb] = c
      if (vertexRadius[vc]! < c) vertexRadius[vc] = c
    }
    const a = 3 * va
    const b = 3 * vb
    const d = 3 * vc
    let ax = positions[a]!
    let ay = positions[a + 1]!
    let az = positions[a + 2]!
    const ux = positions[b]! - ax
    const uy = positions[b + 1]! - ay
    const uz = positions[b + 2]! - az
    const wx = positions[d]! - ax
    const wy = positions[d + 1]! - ay
    const wz = positions[d + 2]! - az
    let nX = uy * wz - uz * wy
    let nY = uz * wx - ux * wz
    let nZ = ux * wy - uy * wx
    const plan = nZ // twice the area in plan, signed
    let length = Math.sqrt(nX * nX + nY * nY + nZ * nZ)
    if (!(length > 0)) continue
    if (turned) length = -length
    nX /= length
    nY /= length
    nZ /= length
    if (!turned) {
      normals[3 * f] = nX
      normals[3 * f + 1] = nY
      normals[3 * f + 2] = nZ
    }
    if (!(nZ > 0)) continue
    ax += c * nX - x0
    ay += c * nY - y0
    az += c * nZ
    const i0 = Math.max(0, Math.ceil((ax + Math.min(0, ux, wx)) * perNode - INSIDE))
    const i1 = Math.min(nx - 1, Math.floor((ax + Math.max(0, ux, wx)) * perNode + INSIDE))
    if (i0 > i1) continue
    const j0 = Math.max(0, Math.ceil((ay + Math.min(0, uy, wy)) * perNode - INSIDE))
    const j1 = Math.min(ny - 1, Math.floor((ay + Math.max(0, uy, wy)) * perNode + INSIDE))
    if (j0 > j1) continue
    if (turned && covered(raster, i0, i1, j0, j1, az + Math.max(0, uz, wz))) continue
    const inverse = 1 / plan
    for (let j = j0; j <= j1; j++) {
      const y = j * h - ay
      for (let i = i0; i <= i1; i++) {
        const x = i * h - ax
        // Weights of the second and third corner. A sum of heights with weights in 0…1 stays bounded where the plane is almost upright.
        const v = (x * wy - y * wx) * inverse
        const w = (y * ux - x * uy) * inverse
        if (v < -INSIDE || w < -INSIDE || v + w > 1 + INSIDE) continue
        const height = az + v * uz + w * wz
        const at = j * nx + i
        if (height > z[at]!) z[at] = height
      }
    }
  }
}

/** Cylinders about the edges of these facets, each edge once: convex ones; rims, turned neighbours and unequal gaps whole. */
function drawEdges(raster: Raster, from: number, to: number, turned: boolean): void {
  const { positions, indices, across, normals, radius, uniform } = raster
  const flip = turned ? -1 : 1
  for (let f = from; f < to; f++) {
    const n = 3 * f
    for (let k = 0; k < 3; k++) {
      const g = across[n + k]!
      // An edge belongs to the lower of its two facets; a rim, or an edge of three facets and more, to each.
      if (g >= 0 && g < f) continue
      const a = indices[n + k]!
      const b = indices[k === 2 ? n : n + k + 1]!
      let c = radius[uniform ? 0 : f]!
      if (g < 0) {
        if (!turned) drawCylinder(raster, 3 * a, 3 * b, c, -c, c, -c, c, false)
        continue
      }
      const m = 3 * g
      const ownZ = flip * normals[n + 2]!
      const otherZ = flip * normals[m + 2]!
      const other = uniform ? c : radius[g]!
      const p = indices[m]!
      const q = indices[m + 1]!
      const r = indices[m + 2]!
      const opposed = (p === b && q === a) || (q === b && r === a) || (r === b && p === a)
      const ownX = flip * normals[n]!
      const ownY = flip * normals[n + 1]!
      const otherX = flip * normals[m]!
      const otherY = flip * normals[m + 1]!
      const flat = ownX * otherX + ownY * otherY + ownZ * otherZ
      if (
        other !== c ||
        !opposed ||
        ownX * ownX + ownY * ownY + ownZ * ownZ < 0.5 ||
        otherX * otherX + otherY * otherY + otherZ * otherZ < 0.5
      ) {
        if (turned) continue
        c = Math.max(c, other)
        drawCylinder(raster, 3 * a, 3 * b, c, -c, c, -c, c, false)
        continue
      }
      // The shorter arc between two normals that both point down never rises.
      if (ownZ <= 0 && otherZ <= 0) continue
      const third = 3 * (p !== a && p !== b ? p : q !== a && q !== b ? q : r)
      const out =
        ownX * (positions[third]! - positions[3 * a]!) +
        ownY * (positions[third + 1]! - positions[3 * a + 1]!) +
        ownZ * (positions[third + 2]! - positions[3 * a + 2]!)
      if (out > 1e-5) continue
      // Box in plan of the arc from one normal to the other: its chord, grown by the arc's rise above it (and by the rounding of the stored normals).
      const pad = c * (1 - Math.sqrt(Math.max(0, (1 + flat) / 2)) + 1e-6)
      drawCylinder(
        raster,
        3 * a,
        3 * b,
        c,
        c * Math.min(ownX, otherX) - pad,
        c * Math.max(ownX, otherX) + pad,
        c * Math.min(ownY, otherY) - pad,
        c * Math.max(ownY, otherY) + pad,
        turned,
      )
    }
  }
}

/** Highest points of the cylinder of radius c about the edge a–b over the nodes of its box: the edge moved by lowX … highX, lowY … highY. */
function drawCylinder(
  raster: Raster,
  a: number,
  b: number,
  c: number,
  lowX: number,
  highX: number,
  lowY: number,
  highY: number,
  cull: boolean,
): void {
  const { nx, ny, x0, y0, h, z, positions } = raster
  const perNode = 1 / h
  const ax = positions[a]! - x0
  const ay = positions[a + 1]! - y0
  const az = positions[a + 2]!
  const dx = positions[b]! - x0 - ax
  const dy = positions[b + 1]! - y0 - ay
  const dz = positions[b + 2]! - az
  const i0 = Math.max(0, Math.ceil((ax + Math.min(0, dx) + lowX) * perNode - INSIDE))
  const i1 = Math.min(nx - 1, Math.floor((ax + Math.max(0, dx) + highX) * perNode + INSIDE))
  if (i0 > i1) return
  const j0 = Math.max(0, Math.ceil((ay + Math.min(0, dy) + lowY) * perNode - INSIDE))
  const j1 = Math.min(ny - 1, Math.floor((ay + Math.max(0, dy) + highY) * perNode + INSIDE))
  if (j0 > j1) return
  if (cull && covered(raster, i0, i1, j0, j1, az + Math.max(0, dz) + c)) return
  // Over a node at plan distance e from the line: top of the cylinder at share t = t0 + dz·sqrt(m / (A (A + dz²))), m = c² − e²,
  // height az + t0·dz + sqrt(m (A + dz²) / A). Beyond its ends the spheres take over; an upright edge is all ends.
  const plan2 = dx * dx + dy * dy
  const space2 = plan2 + dz * dz
  if (!(plan2 > 1e-12 * space2)) return
  const rise = Math.sqrt(space2 / plan2)
  const lean = dz / Math.sqrt(plan2 * space2)
  const c2 = c * c
  const inverse = 1 / plan2
  for (let j = j0; j <= j1; j++) {
    const y = j * h - ay
    for (let i = i0; i <= i1; i++) {
      const x = i * h - ax
      const cross = x * dy - y * dx
      const m = c2 - cross * cross * inverse
      if (m < 0) continue
      const root = Math.sqrt(m)
      const t0 = (x * dx + y * dy) * inverse
      const t = t0 + lean * root
      if (t < -INSIDE || t > 1 + INSIDE) continue
      const height = az + t0 * dz + rise * root
      const at = j * nx + i
      if (height > z[at]!) z[at] = height
    }
  }
}

/** Whole spheres about vertices, block by block where the pyramid leaves room for them. */
function drawSpheres(raster: Raster, vertexRadius: Float64Array, from: number, to: number): void {
  const { nx, ny, x0, y0, h, z, positions, blockMin, blocksX } = raster
  const perNode = 1 / h
  for (let v = from; v < to; v++) {
    const c = vertexRadius[v]!
    if (c === 0) continue
    const x = positions[3 * v]! - x0
    const y = positions[3 * v + 1]! - y0
    const vz = positions[3 * v + 2]!
    const i0 = Math.max(0, Math.ceil((x - c) * perNode))
    const i1 = Math.min(nx - 1, Math.floor((x + c) * perNode))
    const j0 = Math.max(0, Math.ceil((y - c) * perNode))
    const j1 = Math.min(ny - 1, Math.floor((y + c) * perNode))
    if (i0 > i1 || j0 > j1) continue
    const c2 = c * c
    const top = vz + c
    for (let bj = j0 >> 2; bj <= j1 >> 2; bj++)
      for (let bi = i0 >> 2; bi <= i1 >> 2; bi++) {
        if (blockMin[bj * blocksX + bi]! >= top) continue
        const jEnd = Math.min(j1, SIDE * bj + SIDE - 1)
        const iStart = Math.max(i0, SIDE * bi)
        const iEnd = Math.min(i1, SIDE * bi + SIDE - 1)
        for (let j = Math.max(j0, SIDE * bj); j <= jEnd; j++) {
          const ry = j * h - y
          const m = c2 - ry * ry
          for (let i = iStart; i <= iEnd; i++) {
            const rx = i * h - x
            const left = m - rx * rx
            if (left < 0) continue
            const at = j * nx + i
            const above = z[at]! - vz
            if (above >= 0 && above * above >= left) continue
            z[at] = vz + Math.sqrt(left)
          }
        }
      }
  }
}
