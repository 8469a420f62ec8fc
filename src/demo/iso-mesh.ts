/**
 * The surface of a solid as a closed triangle mesh, by marching tetrahedra in a grid that is turned against the frame.
 *
 * Six tetrahedra a cube round its long diagonal: every edge used twice, nothing ambiguous, so thin plates stay whole down
 * to about 1.9 voxels. The many slivers do not matter: `thinOut` takes them. Only cells near the surface are sampled.
 */
import { BLOCK, type Steps } from '../core/geometry/kernel'
import type { Primitive } from './primitives'
import { bodiesNear, distanceOver, type Solid } from './solid'

export interface RawMesh {
  /** mm, job axes, three per vertex. */
  readonly positions: Float64Array
  readonly indices: Uint32Array
}

/** A rigid placing of the sampling grid: `rotation` (nine, row by row) then `shift`; grid to job. */
export interface GridPose {
  readonly rotation: readonly number[]
  readonly shift: readonly [number, number, number]
}

/** Cells a block is wide. */
const CELLS = 8
const NODES = CELLS + 1

/**
 * @param voxel_mm grid spacing; plates must be at least 1.9 voxels thick
 * @param halfSize_mm half the side of a cube about 0,0,0 of the grid that holds the whole solid
 */
export function* isoMesh(solid: Solid, voxel_mm: number, halfSize_mm: number, pose: GridPose): Steps<RawMesh> {
  const { weld_mm } = solid
  const [r0, r1, r2, r3, r4, r5, r6, r7, r8] = pose.rotation as number[] as Nine
  const [sx, sy, sz] = pose.shift
  const levels = Math.max(0, Math.ceil(Math.log2((2 * halfSize_mm) / (voxel_mm * CELLS))))
  const side = 2 ** levels * CELLS
  const low = (-side * voxel_mm) / 2
  const out = collector(side + 1)
  const values = new Float64Array(NODES * NODES * NODES)
  const corner = new Float64Array(8)
  const toJob = (i: number, j: number, k: number): readonly [number, number, number] => {
    const [a, b, c] = [low + i * voxel_mm, low + j * voxel_mm, low + k * voxel_mm]
    return [r0 * a + r1 * b + r2 * c + sx, r3 * a + r4 * b + r5 * c + sy, r6 * a + r7 * b + r8 * c + sz]
  }

  let visited = 0
  const total = 8 ** Math.min(levels, 3)
  const stack: { i: number; j: number; k: number; cells: number; bodies: readonly Primitive[] }[] = [
    { i: 0, j: 0, k: 0, cells: side, bodies: solid.primitives },
  ]
  for (let node = stack.pop(); node; node = stack.pop()) {
    const { i, j, k, cells } = node
    const middle = toJob(i + cells / 2, j + cells / 2, k + cells / 2)
    // Half the diagonal, and two cells more, so that neighbours agree on every value near the surface.
    const reach = (cells * 0.867 + 2) * voxel_mm
    const bodies = bodiesNear(node.bodies, weld_mm, ...middle, reach)
    const empty = bodies.length === 0 || distanceOver(bodies, weld_mm, ...middle) < -reach
    if (cells * 8 === side) yield { fraction: Math.min(1, ++visited / total), label: 'sampling the solid' }
    if (empty) continue
    if (cells > CELLS) {
      const half = cells / 2
      for (let c = 7; c >= 0; c--)
        stack.push({
          i: i + (c & 1) * half,
          j: j + ((c >> 1) & 1) * half,
          k: k + (c >> 2) * half,
          cells: half,
          bodies,
        })
      continue
    }
    let inside = 0
    for (let c = 0, n = 0; c < NODES; c++)
      for (let b = 0; b < NODES; b++)
        for (let a = 0; a < NODES; a++, n++) {
          const [x, y, z] = [low + (i + a) * voxel_mm, low + (j + b) * voxel_mm, low + (k + c) * voxel_mm]
          const value = distanceOver(
            bodies,
            weld_mm,
            r0 * x + r1 * y + r2 * z + sx,
            r3 * x + r4 * y + r5 * z + sy,
            r6 * x + r7 * y + r8 * z + sz,
          )
          values[n] = value
          if (value < 0) inside++
        }
    if (inside === 0 || inside === values.length) continue
    for (let c = 0; c < CELLS; c++)
      for (let b = 0; b < CELLS; b++)
        for (let a = 0; a < CELLS; a++) {
          const n = a + NODES * (b + NODES * c)
          let signs = 0
          for (let q = 0; q < 8; q++) {
            const value = values[n + (q & 1) + NODES * ((q >> 1) & 1) + NODES * NODES * (q >> 2)]!
            corner[q] = value
            if (value < 0) signs |= 1 << q
          }
          if (signs !== 0 && signs !== 255) out.cube(i + a, j + b, k + c, corner, signs)
        }
  }

  const grid = out.positions()
  for (let v = 0; v < grid.length; v += 3) {
    const [x, y, z] = [low + grid[v]! * voxel_mm, low + grid[v + 1]! * voxel_mm, low + grid[v + 2]! * voxel_mm]
    grid[v] = r0 * x + r1 * y + r2 * z + sx
    grid[v + 1] = r3 * x + r4 * y + r5 * z + sy
    grid[v + 2] = r6 * x + r7 * y + r8 * z + sz
    if (v % (3 * BLOCK) === 0) yield { fraction: 1, label: 'sampling the solid' }
  }
  return { positions: grid, indices: out.indices() }
}

type Nine = [number, number, number, number, number, number, number, number, number]

/** The six tetrahedra of a cube, corners as bits x=1 y=2 z=4, each listed so that its volume is positive. */
const TETRAHEDRA: readonly (readonly [number, number, number, number])[] = [
  [0, 1, 3, 7],
  [0, 2, 6, 7],
  [0, 4, 5, 7],
  [0, 3, 2, 7],
  [0, 6, 4, 7],
  [0, 5, 1, 7],
]

/** Even orders of four corners by which of them are inside (bit per corner): inside ones first, outside ones last. */
const EVEN: readonly (readonly [number, number, number, number])[] = [
  [0, 1, 2, 3],
  [0, 1, 2, 3],
  [1, 0, 3, 2],
  [0, 1, 2, 3],
  [2, 0, 1, 3],
  [0, 2, 3, 1],
  [1, 2, 0, 3],
  [0, 1, 2, 3],
  [3, 0, 2, 1],
  [0, 3, 1, 2],
  [1, 3, 2, 0],
  [0, 3, 1, 2],
  [2, 3, 0, 1],
  [0, 2, 3, 1],
  [1, 3, 2, 0],
  [0, 1, 2, 3],
]

/** For each tetrahedron and each inside mask: the crossed edges as corner pairs, three pairs a facet, seen from outside. */
const FACETS: readonly (readonly number[])[] = TETRAHEDRA.flatMap((tetrahedron) =>
  EVEN.map((order, mask) => {
    const [a, b, c, d] = order.map((q) => tetrahedron[q]!) as [number, number, number, number]
    const inside = (mask & 1) + ((mask >> 1) & 1) + ((mask >> 2) & 1) + (mask >> 3)
    if (inside === 1) return [a, b, a, c, a, d]
    if (inside === 3) return [d, a, d, b, d, c]
    if (inside === 2) return [a, c, a, d, b, d, a, c, b, d, b, c]
    return []
  }),
)

/** Gathers facets and gives each crossed grid edge one vertex, by an open-addressing table over the edge's number. */
function collector(nodesWide: number) {
  let capacity = 1 << 18
  let keys = new Float64Array(capacity).fill(-1)
  let owners = new Int32Array(capacity)
  let vertices = 0
  let places = new Float64Array(3 << 17)
  let corners = 0
  let facets = new Uint32Array(3 << 18)

  const slotOf = (key: number): number => {
    let slot = (Math.imul((key % 4294967296) | 0, 0x9e3779b1) ^ Math.imul((key / 4294967296) | 0, 0x85ebca6b)) >>> 0
    slot = (slot ^ (slot >>> 15)) & (capacity - 1)
    while (keys[slot] !== -1 && keys[slot] !== key) slot = (slot + 1) & (capacity - 1)
    return slot
  }
  const grow = () => {
    const [oldKeys, oldOwners] = [keys, owners]
    capacity *= 2
    keys = new Float64Array(capacity).fill(-1)
    owners = new Int32Array(capacity)
    for (let s = 0; s < oldKeys.length; s++)
      if (oldKeys[s] !== -1) {
        const slot = slotOf(oldKeys[s]!)
        keys[slot] = oldKeys[s]!
        owners[slot] = oldOwners[s]!
      }
  }
  const vertexOn = (i: number, j: number, k: number, p: number, q: number, values: Float64Array): number => {
    // Along a tetrahedron's edge one corner's bits hold the other's: the lower corner and the direction name the edge.
    const from = p & q
    const along = p ^ q
    const [x, y, z] = [i + (from & 1), j + ((from >> 1) & 1), k + (from >> 2)]
    const key = (x + nodesWide * (y + nodesWide * z)) * 7 + along - 1
    let slot = slotOf(key)
    if (keys[slot] === key) return owners[slot]!
    if (vertices * 2 > capacity) {
      grow()
      slot = slotOf(key)
    }
    keys[slot] = key
    owners[slot] = vertices
    const [a, b] = [values[from]!, values[from | along]!]
    // Never nearer than a hundredth to a node, or facets would fall to nothing.
    const t = Math.min(0.99, Math.max(0.01, a / (a - b)))
    if (vertices * 3 === places.length) places = doubled(places, new Float64Array(places.length * 2))
    places[vertices * 3] = x + t * (along & 1)
    places[vertices * 3 + 1] = y + t * ((along >> 1) & 1)
    places[vertices * 3 + 2] = z + t * (along >> 2)
    return vertices++
  }
  return {
    cube(i: number, j: number, k: number, values: Float64Array, signs: number) {
      for (let t = 0; t < 6; t++) {
        const tetrahedron = TETRAHEDRA[t]!
        let mask = 0
        for (let q = 0; q < 4; q++) mask |= ((signs >> tetrahedron[q]!) & 1) << q
        const pairs = FACETS[t * 16 + mask]!
        for (let e = 0; e < pairs.length; e += 2) {
          const vertex = vertexOn(i, j, k, pairs[e]!, pairs[e + 1]!, values)
          if (corners === facets.length) facets = doubled(facets, new Uint32Array(facets.length * 2))
          facets[corners++] = vertex
        }
      }
    },
    positions: () => places.slice(0, vertices * 3),
    indices: () => facets.slice(0, corners),
  }
}

function doubled<T extends Float64Array | Uint32Array>(old: T, larger: T): T {
  larger.set(old)
  return larger
}
