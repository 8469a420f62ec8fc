import type { Steps } from '../geometry/kernel'
import { type PlanGrid, type SheetPoint, sampleSheet } from './plan-grid'
import { paddedIndex, plateStencils, type Relaxation, relax } from './plate-stencil'

export interface CrownOptions {
  readonly grid: PlanGrid
  /** Height below which the sheet may not be, mm; −Infinity where nothing is in the way. One per node. */
  readonly obstacle: Float64Array
  /** Where obstacle and load count: 1 inside the outline. The sheet itself covers the whole rectangle. One per node. */
  readonly inside: Uint8Array
  /** Wanted least concave radius between the supports, mm. */
  readonly fairRadius_mm: number
  /** 0 (plate) … 1 (membrane). */
  readonly tautness: number
  /** Radius of the unloaded sheet along x and along y, mm; 0: flat. */
  readonly camberAlong_mm: number
  readonly camberAcross_mm: number
}

export interface Crown {
  readonly grid: PlanGrid
  /** One per node, mm. */
  readonly height: Float64Array
  /** Nodes on which the sheet rests. */
  readonly contact: Uint32Array
  /** Load per area over bending stiffness that gave the wanted radius, 1/mm³. */
  readonly load: number
  /** Least concave radius at the spacing the load was dialled at, mm. */
  readonly leastConcaveRadius_mm: number
}

/** Membrane length at tautness 1: short enough to show, long enough not to lift the sheet off (at 100 mm it did). */
const TAUT_LENGTH_MM = 150
/** Free span from which the first guess of the load comes: tubes 500 mm apart act as about 1.2 times that. */
const FIRST_SPAN_MM = 650
const OMEGA = 1.4
/** Sweeps from the finest level (index 0) to coarser ones; the coarsest has its own count. */
const SWEEPS = [30, 60, 120, 250, 500]
const COARSEST_SWEEPS = 400
const COARSEST_ROUNDS = 4

/**
 * The fairest sheet that stays on or above the obstacle: thin plate, blended to a membrane, under a small load.
 *
 * Without load any plane high enough has no energy, and the sheet would be one; the load is the dial of fairness. A clamped
 * strip of span s sags with a concave radius of 24/(q s²) (beam of stiffness 1), which is the first guess; the load is then
 * corrected by the radius measured on a coarse sheet. Coarse to fine with the obstacle pooled to its highest place per cell,
 * less the sheet's own slope to it.
 *
 * Known limit: this is close to the minimum, not at it (0.05 … 0.45 mm off, smooth, with 6000 more sweeps).
 */
export function* crown(options: CrownOptions): Steps<Crown> {
  const { grid } = options
  const camber = camberSheet(options)
  const floor = options.obstacle.map((z, k) => (options.inside[k] ? z - camber[k]! : -Infinity))
  const levels = levelCount(grid)
  const dialAt = Math.min(2, levels - 1)
  const problem: Problem = { grid, floor, inside: options.inside, tension: membrane(options.tautness) }

  let load = firstLoad(options)
  let coarse = yield* descend(problem, flatStart(problem, levels - 1), levels - 1, dialAt, load)
  let radius = leastConcaveRadius(coarse.grid, addCamber(coarse, options), coarsen(problem, dialAt).inside)
  for (let round = 0; round < 3; round++) {
    const ratio = radius / options.fairRadius_mm
    if (!Number.isFinite(radius) || (ratio > 0.95 && ratio < 1.1)) break
    load *= Math.min(8, Math.max(0.125, ratio))
    coarse = yield* descend(problem, flatStart(problem, levels - 1), levels - 1, dialAt, load)
    radius = leastConcaveRadius(coarse.grid, addCamber(coarse, options), coarsen(problem, dialAt).inside)
    yield 0.2 + 0.1 * round
  }
  const fine = dialAt === 0 ? coarse : yield* descend(problem, coarse, dialAt - 1, 0, load)
  const contact: number[] = []
  for (let k = 0; k < floor.length; k++) if (fine.height[k]! <= floor[k]! + 1e-9) contact.push(k)
  const height = fine.height.map((z, k) => z + camber[k]!)
  return { grid, height, contact: Uint32Array.from(contact), load, leastConcaveRadius_mm: radius }
}

/** The sheet relaxed again where its obstacle was raised: a few sweeps from where it stands; nothing moves far. */
export function* relaxAgain(
  options: CrownOptions,
  height: Float64Array,
  load: number,
  sweeps: number,
): Steps<Float64Array> {
  const camber = camberSheet(options)
  const floor = options.obstacle.map((z, k) => (options.inside[k] ? z - camber[k]! : -Infinity))
  const problem: Problem = { grid: options.grid, floor, inside: options.inside, tension: membrane(options.tautness) }
  const start = { grid: options.grid, height: height.map((z, k) => z - camber[k]!) }
  const end = yield* sweepLevel(problem, problem, start, load, sweeps, 0)
  return end.height.map((z, k) => z + camber[k]!)
}

/**
 * Least concave (upward curved) radius of the sheet inside: 1 over the largest principal curvature from second differences,
 * small slopes taken as such. Infinity for a sheet that is nowhere concave.
 */
export function leastConcaveRadius(grid: PlanGrid, height: Float64Array, inside: Uint8Array): number {
  const { nx, ny, h, mirrored } = grid
  let largest = 0
  for (let j = mirrored ? 0 : 1; j < ny - 1; j++)
    for (let i = 1; i < nx - 1; i++) {
      const k = j * nx + i
      if (!inside[k]) continue
      const up = k + nx
      const down = j === 0 ? k + nx : k - nx
      if (!inside[k - 1] || !inside[k + 1] || !inside[up] || !inside[down]) continue
      const xx = height[k - 1]! - 2 * height[k]! + height[k + 1]!
      const yy = height[down]! - 2 * height[k]! + height[up]!
      const xy = j === 0 ? 0 : (height[up + 1]! - height[up - 1]! - height[down + 1]! + height[down - 1]!) / 4
      const mean = (xx + yy) / 2
      const curvature = mean + Math.sqrt(((xx - yy) / 2) ** 2 + xy * xy)
      if (curvature > largest) largest = curvature
    }
  return largest > 0 ? (h * h) / largest : Infinity
}

interface Problem {
  readonly grid: PlanGrid
  /** Obstacle less the camber, −Infinity where it does not count. */
  readonly floor: Float64Array
  readonly inside: Uint8Array
  /** 1/length² of the membrane. */
  readonly tension: number
}

interface Sheet {
  readonly grid: PlanGrid
  readonly height: Float64Array
}

const membrane = (tautness: number): number => (tautness / TAUT_LENGTH_MM) ** 2

const firstLoad = (options: CrownOptions): number =>
  24 / (options.fairRadius_mm * FIRST_SPAN_MM * FIRST_SPAN_MM) + membrane(options.tautness) / options.fairRadius_mm

/** How often the grid can be halved with its corners kept and at least five nodes each way left. */
function levelCount(grid: PlanGrid): number {
  let levels = 1
  for (let f = 2; f <= 32; f *= 2) {
    if ((grid.nx - 1) % f !== 0 || (grid.ny - 1) % f !== 0) break
    if ((grid.nx - 1) / f < 4 || (grid.ny - 1) / f < 4) break
    levels++
  }
  return levels
}

function* descend(problem: Problem, start: Sheet, from: number, to: number, load: number): Steps<Sheet> {
  let sheet = start
  for (let level = from; level >= to; level--) {
    const size = coarsen(problem, level)
    if (sheet.grid !== size.grid && sheet.grid.nx !== size.grid.nx) sheet = refine(sheet, size.grid)
    const coarsest = level === from && start.grid.nx === size.grid.nx
    const rounds = coarsest ? COARSEST_ROUNDS : 2
    const sweeps = coarsest ? COARSEST_SWEEPS : (SWEEPS[level] ?? COARSEST_SWEEPS)
    for (let round = 0; round < rounds; round++)
      sheet = yield* sweepLevel(problem, size, sheet, load, coarsest ? sweeps : Math.ceil(sweeps / 2), level)
  }
  return sheet
}

function* sweepLevel(
  problem: Problem,
  size: Problem,
  sheet: Sheet,
  load: number,
  sweeps: number,
  level: number,
): Steps<Sheet> {
  const { grid } = size
  const { nx, ny, h } = grid
  const state: Relaxation = {
    grid,
    u: new Float64Array((nx + 4) * (ny + 4)),
    floor: new Float64Array((nx + 4) * (ny + 4)).fill(-Infinity),
    load: new Float64Array((nx + 4) * (ny + 4)),
  }
  const floor = level === 0 ? problem.floor : pool(problem, sheet, level)
  const q = load * h * h * h * h
  for (let j = 0; j < ny; j++)
    for (let i = 0; i < nx; i++) {
      const k = paddedIndex(grid, i, j)
      state.floor[k] = floor[j * nx + i]!
      state.u[k] = Math.max(sheet.height[j * nx + i]!, floor[j * nx + i]!)
      if (size.inside[j * nx + i]) state.load[k] = q
    }
  const table = plateStencils(problem.tension * h * h, grid.mirrored)
  for (let sweep = 0; sweep < sweeps; sweep++) {
    relax(state, table, OMEGA, sweep % 2 === 1)
    if (nx * ny > 20_000 || sweep % 64 === 63) yield sweep / sweeps
  }
  const height = new Float64Array(nx * ny)
  for (let j = 0; j < ny; j++) for (let i = 0; i < nx; i++) height[j * nx + i] = state.u[paddedIndex(grid, i, j)]!
  return { grid, height }
}

function coarsen(problem: Problem, level: number): Problem {
  if (level === 0) return problem
  const f = 2 ** level
  const { grid } = problem
  const size: PlanGrid = { ...grid, nx: (grid.nx - 1) / f + 1, ny: (grid.ny - 1) / f + 1, h: grid.h * f }
  const inside = new Uint8Array(size.nx * size.ny)
  for (let j = 0; j < size.ny; j++)
    for (let i = 0; i < size.nx; i++) inside[j * size.nx + i] = problem.inside[j * f * grid.nx + i * f]!
  return { ...problem, grid: size, inside }
}

/** The obstacle on a coarser grid: per cell the highest fine place, seen from the node along the sheet's own slope. */
function pool(problem: Problem, sheet: Sheet, level: number): Float64Array {
  const f = 2 ** level
  const half = f / 2
  const { grid } = problem
  const { nx, ny, mirrored } = sheet.grid
  const floor = new Float64Array(nx * ny).fill(-Infinity)
  for (let j = 0; j < ny; j++)
    for (let i = 0; i < nx; i++) {
      const k = j * nx + i
      const slopeX =
        (sheet.height[j * nx + Math.min(nx - 1, i + 1)]! - sheet.height[j * nx + Math.max(0, i - 1)]!) /
        (f * (i > 0 && i < nx - 1 ? 2 : 1))
      const below = j > 0 ? sheet.height[k - nx]! : mirrored ? sheet.height[k + nx]! : sheet.height[k]!
      const above = j < ny - 1 ? sheet.height[k + nx]! : sheet.height[k]!
      const slopeY = (above - below) / (f * (j < ny - 1 && (j > 0 || mirrored) ? 2 : 1))
      let highest = -Infinity
      for (let b = -half; b <= half; b++) {
        let row = j * f + b
        if (row < 0) {
          if (!mirrored) continue
          row = -row
        }
        if (row >= grid.ny) continue
        for (let a = -half; a <= half; a++) {
          const column = i * f + a
          if (column < 0 || column >= grid.nx) continue
          const z = problem.floor[row * grid.nx + column]! - slopeX * a - slopeY * b
          if (z > highest) highest = z
        }
      }
      floor[k] = highest
    }
  return floor
}

function refine(sheet: Sheet, grid: PlanGrid): Sheet {
  const height = new Float64Array(grid.nx * grid.ny)
  const point: SheetPoint = { z: 0, dx: 0, dy: 0 }
  for (let j = 0; j < grid.ny; j++)
    for (let i = 0; i < grid.nx; i++) {
      sampleSheet(sheet.grid, sheet.height, grid.x0 + i * grid.h, grid.y0 + j * grid.h, point)
      height[j * grid.nx + i] = point.z
    }
  return { grid, height }
}

function flatStart(problem: Problem, level: number): Sheet {
  let highest = -Infinity
  for (let k = 0; k < problem.floor.length; k++) if (problem.floor[k]! > highest) highest = problem.floor[k]!
  const { grid } = coarsen(problem, level)
  return { grid, height: new Float64Array(grid.nx * grid.ny).fill(Number.isFinite(highest) ? highest : 0) }
}

/** −x²/2R about the middle of the inside, for both directions. */
function camberSheet(options: CrownOptions, grid: PlanGrid = options.grid): Float64Array {
  const out = new Float64Array(grid.nx * grid.ny)
  const along = options.camberAlong_mm > 0 ? 0.5 / options.camberAlong_mm : 0
  const across = options.camberAcross_mm > 0 ? 0.5 / options.camberAcross_mm : 0
  if (along === 0 && across === 0) return out
  const midX = grid.x0 + ((grid.nx - 1) * grid.h) / 2
  const midY = grid.mirrored ? 0 : grid.y0 + ((grid.ny - 1) * grid.h) / 2
  for (let j = 0; j < grid.ny; j++)
    for (let i = 0; i < grid.nx; i++) {
      const x = grid.x0 + i * grid.h - midX
      const y = grid.y0 + j * grid.h - midY
      out[j * grid.nx + i] = -along * x * x - across * y * y
    }
  return out
}

function addCamber(sheet: Sheet, options: CrownOptions): Float64Array {
  const camber = camberSheet(options, sheet.grid)
  return sheet.height.map((z, k) => z + camber[k]!)
}
