/**
 * Search tree, closest points, obstacle, certificate and offset: ours, and where there is one the obvious way with three-mesh-bvh,
 * in the same run and in alternated pairs; medians.
 *
 *   npx tsx test/bench/clearance.ts [facets] [pairs]
 */
import { offsetSolid } from '../../src/core/clearance'
import { certify } from '../../src/core/clearance/certificate'
import { buildObstacle } from '../../src/core/clearance/obstacle'
import { adjacency } from '../../src/core/geometry/adjacency'
import { closestPoint, makeNearest } from '../../src/core/geometry/closest-point'
import { drain } from '../../src/core/geometry/kernel'
import { bounds, makeMesh } from '../../src/core/geometry/mesh'
import { surfaceIndex } from '../../src/core/geometry/surface-index'
import { buildTriangleTree } from '../../src/core/geometry/triangle-tree'
import { frameSolid, STRAIGHT_FRAME } from '../../src/demo/frame-solid'
import { scanSolid } from '../../src/demo/scan-solid'

const facets = Number(process.argv[2] ?? 1_000_000)
const pairs = Number(process.argv[3] ?? 3)
const { solid, truth } = frameSolid({ ...STRAIGHT_FRAME, seed: 5, asymmetry_mm: 4 })
const scan = drain(scanSolid(solid, truth, { seed: 5, facets, noise_mm: 0.3, holes: 5, islands: 3, pose: 'none' })).mesh
const frame = makeMesh('job', scan.positions, scan.indices)
const vertices = frame.positions.length / 3

const ms = (run: () => void): number => {
  const from = performance.now()
  run()
  return performance.now() - from
}
const median = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1]!

function against(name: string, ours: () => void, naive: (() => void) | null, share = 1): void {
  const own: number[] = []
  const theirs: number[] = []
  for (let i = 0; i < pairs; i++) {
    own.push(ms(ours))
    if (naive) theirs.push(ms(naive) / share)
  }
  const a = median(own)
  const line = `${name}: ours ${a.toFixed(0)} ms`
  if (!naive) console.log(line)
  else console.log(`${line}, obvious way ${median(theirs).toFixed(0)} ms, ratio ${(median(theirs) / a).toFixed(1)}`)
}

console.log(`${frame.indices.length / 3} facets, medians of ${pairs}`)
against(
  'search tree',
  () => drain(buildTriangleTree({ ...frame })),
  () => surfaceIndex(frame),
)
const near = makeNearest()
// One in twenty of the obvious queries is timed, and its tree once.
const naiveTree = ms(() => surfaceIndex(frame))
const theirIndex = surfaceIndex(frame)
const at = (v: number): [number, number, number] => [
  frame.positions[3 * v]!,
  -frame.positions[3 * v + 1]!,
  frame.positions[3 * v + 2]!,
]
against(
  'mirror error: closest points of all vertices, tree included',
  () => {
    const tree = drain(buildTriangleTree({ ...frame }))
    let seed = -1
    for (let v = 0; v < vertices; v++) {
      const [x, y, z] = at(v)
      closestPoint(tree, x, y, z, Infinity, near, seed)
      seed = near.facet
    }
  },
  () => {
    for (let v = 0; v < vertices; v += 20) theirIndex.closestPoint(at(v))
  },
  1 / 20,
)
console.log(`  (their tree, ${naiveTree.toFixed(0)} ms, comes on top)`)

const { min, max } = bounds(frame)
const h = 4
const half = Math.ceil((Math.max(-min[1], max[1]) + 60) / h)
const nx = Math.ceil((max[0] - min[0] + 120) / h) + 1
const grid = { nx, ny: 2 * half + 1, x0: min[0] - 60, y0: -half * h, h, gap: 12, guard_mm: 0.6 }
let top = Float64Array.of(0)
against(
  'obstacle, neighbours included',
  () => {
    top = drain(
      buildObstacle(frame, { ...grid, symmetric: true, adjacency: drain(adjacency(frame.indices, vertices)) }),
    ).height as Float64Array<ArrayBuffer>
  },
  null,
)

// A sheet over the metal that follows the obstacle: every fourth node, empty ones a little below the highest.
const step = 4
const columns = Math.floor(nx / step)
const rows = Math.floor(grid.ny / step)
const highest = top.reduce((a, b) => Math.max(a, b), -Infinity)
const sheet = new Float32Array(3 * columns * rows)
for (let j = 0; j < rows; j++)
  for (let i = 0; i < columns; i++) {
    let z = -Infinity
    for (let b = 0; b <= step; b++)
      for (let a = 0; a <= step; a++) {
        const node = Math.min(grid.ny - 1, j * step + b) * nx + Math.min(nx - 1, i * step + a)
        z = Math.max(z, top[node]!)
      }
    sheet.set(
      [grid.x0 + i * step * h, grid.y0 + j * step * h, z > -Infinity ? z + 0.3 : highest],
      3 * (j * columns + i),
    )
  }
const corners: number[] = []
for (let j = 0; j + 1 < rows; j++)
  for (let i = 0; i + 1 < columns; i++) {
    const a = j * columns + i
    corners.push(a, a + columns, a + 1, a + 1, a + columns, a + columns + 1)
  }
const face = makeMesh('job', sheet, Uint32Array.from(corners))
against(
  `certificate of ${corners.length / 3} facets, trees included`,
  () =>
    drain(
      certify({
        face: { ...face },
        frame: { ...frame },
        rimVertex: new Uint8Array(vertices),
        unseenFacet: null,
        gap: 12,
        guard_mm: 0.6,
        limit_mm: 15.6,
        map_mm: 15.6,
        lift: null,
      }),
    ),
  null,
)
let achieved = ''
against(
  'offset 12 mm, voxels of 3 mm',
  () => {
    const o = drain(offsetSolid({ ...frame }, { distance_mm: 12, voxel_mm: 3 }))
    achieved = `rms ${o.achieved.rms_mm.toFixed(3)}, p95 ${o.achieved.p95_mm.toFixed(3)}, largest ${(o.achieved.largest_mm - 12).toFixed(2)}, least ${(o.achieved.least_mm - 12).toFixed(3)} mm off, ${o.mesh.indices.length / 3} facets`
  },
  null,
)
console.log(`  ${achieved}`)
