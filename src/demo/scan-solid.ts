/**
 * A scan of a frame: the solid's surface sampled in a turned grid, evened out, set on the metal, then spoilt as a scanner
 * spoils it. Only the mesh leaves: no vertex, order or pose tells where the centreline is.
 */
import type { Matrix4 } from '../core/geometry/axes'
import { BLOCK, type Steps, within } from '../core/geometry/kernel'
import { type Mesh, makeMesh } from '../core/geometry/mesh'
import type { FrameTruth } from './frame-solid'
import { isoMesh, type RawMesh } from './iso-mesh'
import type { Vec3 } from './primitives'
import { cutHoles, type TrueHole } from './ragged-holes'
import { type Random, seeded } from './random'
import { distanceTo, type FieldProbe, fieldProbe, type Solid } from './solid'
import { inSpaceOrder } from './space-order'
import { strayIslands, type TrueIsland } from './stray-islands'
import { thinOut } from './thin-out'

export interface ScanOptions {
  readonly seed: number
  /** Wanted count, holes and islands included; met within a few per cent, from about 10,000 up. */
  readonly facets: number
  /** 1 sigma along the normal, independent at each vertex, mm. */
  readonly noise_mm: number
  readonly holes: number
  readonly islands: number
  /** `random`: turned anyhow, metres away; `none`: job axes. */
  readonly pose: 'random' | 'none'
}

export const USUAL_SCAN: Omit<ScanOptions, 'seed' | 'facets'> = { noise_mm: 0.3, holes: 15, islands: 8, pose: 'random' }

export interface ScanTruth {
  readonly noise_mm: number
  readonly facets: number
  readonly vertices: number
  /** Facets of the frame itself, without the islands. */
  readonly frameFacets: number
  readonly meanEdge_mm: number
  readonly holes: readonly TrueHole[]
  readonly islands: readonly TrueIsland[]
  /** Row by row, mm. */
  readonly jobToScan: Matrix4
  readonly scanToJob: Matrix4
}

/** Thickest voxel that keeps the thinnest plate (8 mm) whole, mm: 1.9 voxels a plate. */
const LARGEST_VOXEL = 4.2

/** Facets of the raw iso-surface per (area / voxel squared); measured on frames 1 to 3. */
const RAW_DENSITY = 8.7

export function* scanSolid(
  solid: Solid,
  frame: FrameTruth,
  options: ScanOptions,
): Steps<{ mesh: Mesh<'scan'>; truth: ScanTruth }> {
  const chance = seeded(options.seed).fork('scan')
  const area = areaGuess(frame)
  // Half as many facets again as wanted, so that thinning leaves no trace of the grid.
  const voxel = Math.min(LARGEST_VOXEL, Math.sqrt((RAW_DENSITY * area) / (1.5 * options.facets)))
  const gridChance = chance.fork('grid')
  const grid = {
    rotation: gridChance.rotation(),
    shift: [gridChance.between(-30, 30), gridChance.between(-30, 30), gridChance.between(-30, 30)] as const,
  }
  const raw = yield* within(0, 0.3, 'sampling the solid', isoMesh(solid, voxel, halfSize(frame), grid))
  const edge = 1.52 * Math.sqrt(area / options.facets)
  const spare = options.islands * ((1.1 * 625 * 3.14) / (0.433 * edge * edge))
  const holeShare = 1 + (options.holes * 900) / area
  const wanted = Math.round(Math.max(4000, options.facets - spare) * holeShare)
  const even = yield* within(0.3, 0.6, 'evening out the facets', thinOut(raw, wanted))

  const probe = fieldProbe(solid)
  const normals = new Float64Array(even.positions.length)
  yield* within(0.6, 0.7, 'setting on the metal', settleAll(even, probe, normals))
  for (let round = 0; round < 2; round++) {
    smoothAlong(even, normals)
    yield* within(0.7 + 0.1 * round, 0.8 + 0.1 * round, 'setting on the metal', settleAll(even, probe, normals))
  }

  const noise = chance.fork('noise')
  const joints = frame.joints.map((joint) => joint.at)
  const cut = cutHoles(even, normals, options.holes, joints, chance.fork('holes'))
  yield { fraction: 0.92, label: 'cutting holes' }
  // Holes renumber the vertices; normals on clean metal are cheap to find again.
  const keptNormals = new Float64Array(cut.mesh.positions.length)
  yield* within(0.92, 0.96, 'setting on the metal', settleAll(cut.mesh, probe, keptNormals))
  shake(cut.mesh.positions, keptNormals, options.noise_mm, noise)

  const parts: RawMesh[] = [cut.mesh]
  const islands: TrueIsland[] = []
  const site = {
    half: [frame.ring.length_mm / 2, frame.ring.width_mm / 2] as const,
    floor: Math.min(...frame.plates.map((plate) => plate.at[2])) - 6,
    toMetal: (x: number, y: number, z: number) => distanceTo(solid, x, y, z),
  }
  for (const one of strayIslands(options.islands, meanEdge(cut.mesh), options.noise_mm, site, chance.fork('islands'))) {
    parts.push(one.mesh)
    islands.push(one.island)
  }

  const { jobToScan, scanToJob } = pose(options.pose, chance.fork('pose'))
  const whole = moved(joined(parts), jobToScan)
  yield { fraction: 0.98, label: 'ordering' }
  const mesh = inSpaceOrder(whole, chance.fork('order'))
  return {
    mesh: makeMesh('scan', mesh.positions, mesh.indices),
    truth: {
      noise_mm: options.noise_mm,
      facets: mesh.indices.length / 3,
      vertices: mesh.positions.length / 3,
      frameFacets: cut.mesh.indices.length / 3,
      meanEdge_mm: meanEdge(cut.mesh),
      holes: cut.holes,
      islands,
      jobToScan,
      scanToJob,
    },
  }
}

/** Tubes less what joints hide, plus both faces of plates: within a few per cent, good enough to choose a voxel by. mm2 */
function areaGuess(frame: FrameTruth): number {
  let area = 0
  for (const tube of frame.tubes) {
    let length = 0
    for (let i = 1; i < tube.axis.length; i++) length += distance(tube.axis[i - 1]!, tube.axis[i]!)
    area += Math.PI * tube.diameter_mm * length
  }
  for (const plate of frame.plates) {
    let twice = 0
    for (const [i, p] of plate.outline.entries()) {
      const q = plate.outline[(i + 1) % plate.outline.length]!
      twice += p[0] * q[1] - p[1] * q[0]
    }
    area += twice
  }
  return area
}

function halfSize(frame: FrameTruth): number {
  let far = 0
  for (const tube of frame.tubes)
    for (const p of tube.axis) far = Math.max(far, p[0] * p[0] + p[1] * p[1] + p[2] * p[2])
  return Math.sqrt(far) + 250
}

function* settleAll(mesh: RawMesh, probe: FieldProbe, normals: Float64Array): Steps<void> {
  const { positions } = mesh
  const normal = new Float64Array(3)
  for (let v = 0; v < positions.length; v += 3) {
    probe.settle(positions, v, normal)
    normals.set(normal, v)
    if (v % (3 * BLOCK) === 0) yield v / positions.length
  }
}

/** Moves each vertex half way to the middle of its neighbours, but only along the metal. */
function smoothAlong({ positions, indices }: RawMesh, normals: Float64Array): void {
  const sums = new Float64Array(positions.length)
  const counts = new Float64Array(positions.length / 3)
  for (let f = 0; f < indices.length; f += 3)
    for (let e = 0; e < 3; e++) {
      const u = indices[f + e]!
      const v = indices[f + ((e + 1) % 3)]!
      for (let k = 0; k < 3; k++) sums[u * 3 + k] = sums[u * 3 + k]! + positions[v * 3 + k]!
      counts[u] = counts[u]! + 1
    }
  for (let v = 0, o = 0; v < counts.length; v++, o += 3) {
    const count = counts[v]!
    if (count === 0) continue
    const dx = sums[o]! / count - positions[o]!
    const dy = sums[o + 1]! / count - positions[o + 1]!
    const dz = sums[o + 2]! / count - positions[o + 2]!
    const out = dx * normals[o]! + dy * normals[o + 1]! + dz * normals[o + 2]!
    positions[o] = positions[o]! + 0.5 * (dx - out * normals[o]!)
    positions[o + 1] = positions[o + 1]! + 0.5 * (dy - out * normals[o + 1]!)
    positions[o + 2] = positions[o + 2]! + 0.5 * (dz - out * normals[o + 2]!)
  }
}

function shake(positions: Float64Array, normals: Float64Array, sigma_mm: number, chance: Random): void {
  for (let v = 0; v < positions.length; v += 3) {
    const by = sigma_mm * chance.gauss()
    for (let k = 0; k < 3; k++) positions[v + k] = positions[v + k]! + by * normals[v + k]!
  }
}

function joined(parts: readonly RawMesh[]): RawMesh {
  const positions = new Float64Array(parts.reduce((sum, part) => sum + part.positions.length, 0))
  const indices = new Uint32Array(parts.reduce((sum, part) => sum + part.indices.length, 0))
  let [vertex, corner] = [0, 0]
  for (const part of parts) {
    positions.set(part.positions, vertex * 3)
    for (let c = 0; c < part.indices.length; c++) indices[corner++] = part.indices[c]! + vertex
    vertex += part.positions.length / 3
  }
  return { positions, indices }
}

function pose(kind: ScanOptions['pose'], chance: Random): { jobToScan: Matrix4; scanToJob: Matrix4 } {
  const r = kind === 'none' ? [1, 0, 0, 0, 1, 0, 0, 0, 1] : chance.rotation()
  const t = kind === 'none' ? [0, 0, 0] : [0, 1, 2].map(() => chance.between(-3500, 3500))
  const row = (k: number) => [r[k * 3]!, r[k * 3 + 1]!, r[k * 3 + 2]!, t[k]!]
  const back = (k: number) => [r[k]!, r[3 + k]!, r[6 + k]!, 0 - (r[k]! * t[0]! + r[3 + k]! * t[1]! + r[6 + k]! * t[2]!)]
  return {
    jobToScan: [...row(0), ...row(1), ...row(2), 0, 0, 0, 1],
    scanToJob: [...back(0), ...back(1), ...back(2), 0, 0, 0, 1],
  }
}

function moved({ positions, indices }: RawMesh, m: Matrix4): RawMesh {
  const out = new Float64Array(positions.length)
  for (let v = 0; v < out.length; v += 3) {
    const [x, y, z] = [positions[v]!, positions[v + 1]!, positions[v + 2]!]
    for (let k = 0; k < 3; k++) out[v + k] = m[k * 4]! * x + m[k * 4 + 1]! * y + m[k * 4 + 2]! * z + m[k * 4 + 3]!
  }
  return { positions: out, indices }
}

function meanEdge({ positions, indices }: RawMesh): number {
  let sum = 0
  for (let f = 0; f < indices.length; f += 3)
    for (let e = 0; e < 3; e++) {
      const [u, v] = [indices[f + e]! * 3, indices[f + ((e + 1) % 3)]! * 3]
      let square = 0
      for (let k = 0; k < 3; k++)
        square += (positions[u + k]! - positions[v + k]!) * (positions[u + k]! - positions[v + k]!)
      sum += Math.sqrt(square)
    }
  return indices.length === 0 ? 0 : sum / indices.length
}

const distance = (a: Vec3, b: Vec3): number =>
  Math.sqrt((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]) + (a[2] - b[2]) * (a[2] - b[2]))
