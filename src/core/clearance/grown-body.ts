import { BLOCK, type Steps } from '../geometry/kernel'
import { bounds, type Mesh } from '../geometry/mesh'
import { Refused } from '../geometry/trouble'
import { type CoverPoints, facetWithinCover } from './cover-points'

/**
 * Which nodes of a grid lie within a distance of a mesh: one bit per node, columns of bits along z.
 *
 * Balls about the cover points (mostly the vertices) settle nearly all of it without one question: a node within d of a point is
 * inside; a node further than sqrt(d² + r²) from every point is outside, r being what the point covers. Only the nodes between
 * the two balls, a tenth of a millimetre thick on a fine scan, are asked exactly.
 */
export interface BitGrid {
  readonly nx: number
  readonly ny: number
  readonly nz: number
  /** 32-bit words per column; node k of column (i, j) is bit k & 31 of word (i · ny + j) · words + (k >> 5). */
  readonly words: number
  /** Position of node 0, 0, 0 about the mesh's origin, and the spacing, mm. */
  readonly x0: number
  readonly y0: number
  readonly z0: number
  readonly h: number
  readonly bits: Uint32Array
}

/** Largest grid: 2 bits a node, so 128 MB. */
const MOST_NODES = 512 * 1024 * 1024

/**
 * @param voxel_mm spacing of the nodes
 * @throws Refused `too-large` if the grid would not fit
 */
export function* grownBody(cover: CoverPoints, distance_mm: number, voxel_mm: number): Steps<BitGrid> {
  const sure = emptyGrid(cover.mesh, distance_mm, voxel_mm)
  const maybe = new Uint32Array(sure.bits.length)
  const { positions } = cover.tree.mesh
  const points = cover.cover2.length
  for (let p = 0; p < points; p++) {
    const cover2 = cover.cover2[p]!
    if (cover2 < 0) continue
    drawBall(sure, maybe, positions[3 * p]!, positions[3 * p + 1]!, positions[3 * p + 2]!, distance_mm, cover2)
    if (p % (BLOCK / 4) === 0) yield (0.8 * p) / points
  }
  yield* askBetween(cover, sure, maybe, distance_mm)
  return sure
}

/**
 * Nodes along x, y and z for a mesh grown by a distance. Two empty layers all round, so that the outside is in one piece and every
 * cell of the surface is whole.
 *
 * @throws Refused `too-large` if there would be too many
 */
export function gridSize(mesh: Mesh, distance: number, h: number): [number, number, number] {
  const { min, max } = bounds(mesh)
  const size = [0, 1, 2].map((k) => Math.ceil((max[k]! - min[k]! + 2 * (distance + 2 * h)) / h) + 1) as [
    number,
    number,
    number,
  ]
  const nodes = size[0] * size[1] * size[2]
  if (!(nodes <= MOST_NODES))
    throw new Refused(
      'too-large',
      `An offset of this mesh with voxels of ${h} mm needs ${Math.round(nodes / 1e6)} million nodes, more than the ${Math.round(MOST_NODES / 1e6)} million that are allowed: choose larger voxels.`,
    )
  return size
}

function emptyGrid(mesh: Mesh, distance: number, h: number): BitGrid {
  const [nx, ny, nz] = gridSize(mesh, distance, h)
  const { min } = bounds(mesh)
  const words = (nz + 31) >> 5
  const [x0, y0, z0] = [0, 1, 2].map((k) => min[k]! - mesh.origin[k]! - distance - 2 * h) as [number, number, number]
  return { nx, ny, nz, words, x0, y0, z0, h, bits: new Uint32Array(nx * ny * words) }
}

/** Sets the nodes within d of a point in `sure`, and those within the wider radius in `maybe`. */
function drawBall(
  { nx, ny, words, x0, y0, z0, h, bits }: BitGrid,
  maybe: Uint32Array,
  px: number,
  py: number,
  pz: number,
  d: number,
  cover2: number,
): void {
  const x = (px - x0) / h
  const y = (py - y0) / h
  const z = (pz - z0) / h
  const inner2 = (d * d) / (h * h)
  const outer2 = inner2 + cover2 / (h * h)
  const outer = Math.sqrt(outer2)
  const i1 = Math.min(nx - 1, Math.floor(x + outer))
  const j1 = Math.min(ny - 1, Math.floor(y + outer))
  for (let i = Math.max(0, Math.ceil(x - outer)); i <= i1; i++) {
    const rx = i - x
    for (let j = Math.max(0, Math.ceil(y - outer)); j <= j1; j++) {
      const ry = j - y
      const flat = rx * rx + ry * ry
      if (flat > outer2) continue
      const column = (i * ny + j) * words
      const half = Math.sqrt(outer2 - flat)
      setRun(maybe, column, Math.ceil(z - half), Math.floor(z + half))
      if (flat > inner2) continue
      const core = Math.sqrt(inner2 - flat)
      setRun(bits, column, Math.ceil(z - core), Math.floor(z + core))
    }
  }
}

function setRun(bits: Uint32Array, column: number, from: number, to: number): void {
  if (from > to) return
  const first = from >> 5
  const last = to >> 5
  const low = -1 << (from & 31)
  const high = -1 >>> (31 - (to & 31))
  if (first === last) {
    bits[column + first]! |= low & high
    return
  }
  bits[column + first]! |= low
  for (let w = first + 1; w < last; w++) bits[column + w] = -1
  bits[column + last]! |= high
}

/** Nodes that no vertex settles are asked: is any facet within the distance? */
function* askBetween(cover: CoverPoints, grid: BitGrid, maybe: Uint32Array, d: number): Steps<void> {
  const { nx, ny, words, x0, y0, z0, h, bits } = grid
  const [ox, oy, oz] = cover.mesh.origin
  let seed = -1
  let asked = 0
  for (let i = 0; i < nx; i++) {
    yield 0.8 + (0.2 * i) / nx
    for (let j = 0; j < ny; j++) {
      const column = (i * ny + j) * words
      for (let w = 0; w < words; w++) {
        let open = maybe[column + w]! & ~bits[column + w]!
        while (open !== 0) {
          const bit = 31 - Math.clz32(open & -open)
          open &= open - 1
          const k = 32 * w + bit
          const hit = facetWithinCover(cover, x0 + i * h + ox, y0 + j * h + oy, z0 + k * h + oz, d, seed)
          if (hit >= 0) {
            seed = hit
            bits[column + w]! |= 1 << bit
          }
          if (++asked % 2048 === 0) yield 0.8 + (0.2 * i) / nx
        }
      }
    }
  }
}

/**
 * The empty nodes that are joined to the border of the grid along its edges: the outside. Works on whole runs of empty nodes
 * in the columns: runs that overlap in neighbouring columns are one.
 *
 * @returns one bit per node as in `grid.bits`
 */
export function* outsideOf({ nx, ny, nz, words, bits }: BitGrid): Steps<Uint32Array> {
  const columns = nx * ny
  const first = new Uint32Array(columns + 1)
  let starts = new Uint16Array(4 * columns)
  let ends = new Uint16Array(4 * columns)
  let runs = 0
  for (let c = 0; c < columns; c++) {
    first[c] = runs
    if (runs + nz > starts.length) {
      starts = widen(starts, 2 * starts.length + nz)
      ends = widen(ends, 2 * ends.length + nz)
    }
    let from = -1
    for (let w = 0; w < words; w++) {
      const word = bits[c * words + w]!
      const base = 32 * w
      if ((word === 0 && from >= 0) || (word === 0xffffffff && from < 0)) continue
      const end = Math.min(nz, base + 32)
      for (let k = base; k < end; k++) {
        const solid = (word >>> (k - base)) & 1
        if (!solid && from < 0) from = k
        else if (solid && from >= 0) {
          starts[runs] = from
          ends[runs++] = k - 1
          from = -1
        }
      }
    }
    if (from >= 0) {
      starts[runs] = from
      ends[runs++] = nz - 1
    }
    if (c % (4 * BLOCK) === 0) yield (0.4 * c) / columns
  }
  first[columns] = runs
  const parent = new Uint32Array(runs)
  for (let r = 0; r < runs; r++) parent[r] = r
  const root = (r: number): number => {
    while (parent[r] !== r) {
      parent[r] = parent[parent[r]!]!
      r = parent[r]!
    }
    return r
  }
  const joinColumns = (c: number, d: number) => {
    let r = first[c]!
    let s = first[d]!
    while (r < first[c + 1]! && s < first[d + 1]!) {
      if (starts[r]! <= ends[s]! && starts[s]! <= ends[r]!) {
        const a = root(r)
        const b = root(s)
        // The lower number wins: run 0, in the empty border, keeps its own.
        if (a < b) parent[b] = a
        else if (b < a) parent[a] = b
      }
      if (ends[r]! < ends[s]!) r++
      else s++
    }
  }
  for (let i = 0; i < nx; i++) {
    for (let j = 0; j < ny; j++) {
      const c = i * ny + j
      if (j + 1 < ny) joinColumns(c, c + 1)
      if (i + 1 < nx) joinColumns(c, c + ny)
    }
    if (i % 16 === 0) yield 0.4 + (0.4 * i) / nx
  }
  const outside = new Uint32Array(bits.length)
  for (let c = 0; c < columns; c++)
    for (let r = first[c]!; r < first[c + 1]!; r++) if (root(r) === 0) setRun(outside, c * words, starts[r]!, ends[r]!)
  return outside
}

function widen(runs: Uint16Array, length: number): Uint16Array<ArrayBuffer> {
  const wider = new Uint16Array(length)
  wider.set(runs)
  return wider
}
