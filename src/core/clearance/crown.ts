import { type Steps, within } from '../geometry/kernel'
import { square } from '../geometry/portable-math'
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
const COLD_SWEEPS = 400
const COLD_ROUNDS = 4

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
  const draft = yield* within(0, 0.4, '', crownDraft(options))
  return yield* within(0.4, 1, '', crownFrom(draft, options))
}

/** A sheet at a coarser spacing, and the load that gave it the wanted radius. */
export interface CrownDraft extends Sheet {
  readonly load: number
  readonly leastConcaveRadius_mm: number
}

/** What is solved coarse to fine as far as 4 spacings, and between which levels. */
function pooled(options: CrownOptions) {
  const fine = problemOf(options)
  const levels = levelCount(fine.grid)
  // Everything coarser is pooled from half the resolution: a quarter of the nodes to visit, and the slopes are small.
  const shift = Math.min(1, levels - 1)
  return {
    problem: shift === 0 ? fine : halved(fine),
    from: levels - 1 - shift,
    to: Math.max(0, Math.min(DIAL_LEVEL, levels - 1) - shift),
  }
}

/**
 * The first half of `crown`: coarse to fine as far as 4 spacings, with the load dialled in.
 *
 * @param dialled false: with the first guess of the load (for sheets that only have to be roughly right)
 */
export function* crownDraft(options: CrownOptions, dialled = true): Steps<CrownDraft> {
  const { problem, from, to } = pooled(options)
  const { inside } = coarsen(problem, to)
  let load = firstLoad(options)
  let before = 1
  for (let round = 0; ; round++) {
    const sheet = yield* descend(problem, flatStart(problem, from), { from, to, cold: true }, load)
    const height = addCamber(sheet, options)
    const radius = leastConcaveRadius(sheet.grid, height, inside)
    const ratio = radius / options.fairRadius_mm
    if (!dialled || round === DIAL_ROUNDS || !Number.isFinite(radius) || (ratio > 0.95 && ratio < 1.1))
      return { grid: sheet.grid, height, load, leastConcaveRadius_mm: radius }
    // A second step the same way means that the radius follows the load less than in proportion: twice the step then.
    const slow = (ratio < 1 && before < 1) || (ratio > 1 && before > 1)
    load *= Math.min(8, Math.max(0.125, slow ? ratio * ratio : ratio))
    before = ratio
    yield (round + 1) / (DIAL_ROUNDS + 1)
  }
}

/** The sheet at four spacings under a given load: for what-ifs that must be compared with each other. */
export function* crownWith(options: CrownOptions, load: number): Steps<Sheet> {
  const { problem, from, to } = pooled(options)
  const sheet = yield* descend(problem, flatStart(problem, from), { from, to, cold: true }, load)
  return { grid: sheet.grid, height: addCamber(sheet, options) }
}

/** The second half of `crown`: from a draft (made, perhaps, with another inside) to the full spacing. */
export function* crownFrom(draft: CrownDraft, options: CrownOptions): Steps<Crown> {
  const problem = problemOf(options)
  const level = Math.min(DIAL_LEVEL, levelCount(problem.grid) - 1)
  const camber = camberSheet(options)
  const bare = camberSheet(options, draft.grid)
  const start: Sheet = { grid: draft.grid, height: draft.height.map((z, k) => z - bare[k]!) }
  const fine = yield* descend(problem, start, { from: level, to: 0, cold: false }, draft.load)
  const contact: number[] = []
  for (let k = 0; k < problem.floor.length; k++) if (fine.height[k]! <= problem.floor[k]! + 1e-9) contact.push(k)
  return {
    grid: problem.grid,
    height: fine.height.map((z, k) => z + camber[k]!),
    contact: Uint32Array.from(contact),
    load: draft.load,
    leastConcaveRadius_mm: draft.leastConcaveRadius_mm,
  }
}

/**
 * The sheet solved again from where it stands, its obstacle raised here and there. From a quarter of the resolution on, so
 * that a raised node lifts the sheet about it fairly: twenty sweeps at the full spacing cleared as much and took a third of
 * the time, but left a dimple of 500 mm radius round every raised node of a sheet of 3000 mm.
 *
 * @returns the sheet with the contact nodes of the first solve: a node it was lifted to is no place to rest on
 */
export function* crownAgain(before: Crown, options: CrownOptions): Steps<Crown> {
  const level = Math.min(DIAL_LEVEL, levelCount(before.grid) - 1)
  const f = 1 << level
  const { grid } = before
  const coarse: PlanGrid = { ...grid, nx: (grid.nx - 1) / f + 1, ny: (grid.ny - 1) / f + 1, h: grid.h * f }
  const height = new Float64Array(coarse.nx * coarse.ny)
  for (let j = 0; j < coarse.ny; j++)
    for (let i = 0; i < coarse.nx; i++) height[j * coarse.nx + i] = before.height[j * f * grid.nx + i * f]!
  const { load, leastConcaveRadius_mm, contact } = before
  return { ...(yield* crownFrom({ grid: coarse, height, load, leastConcaveRadius_mm }, options)), contact }
}

/**
 * Least concave (upward curved) radius of the sheet inside: 1 over the largest principal curvature from second differences,
 * small slopes taken as such. Infinity for a sheet that is nowhere concave.
 *
 * @param every measured over nodes this far apart: a mesh that takes every fourth node has no finer curvature
 */
export function leastConcaveRadius(grid: PlanGrid, height: Float64Array, inside: Uint8Array, every = 1): number {
  const { nx, ny, mirrored } = grid
  const h = grid.h * every
  const row = nx * every
  let largest = 0
  for (let j = mirrored ? 0 : every; j < ny - every; j += every)
    for (let i = every; i < nx - every; i += every) {
      const k = j * nx + i
      if (!inside[k]) continue
      const up = k + row
      const down = j === 0 ? k + row : k - row
      if (!inside[k - every] || !inside[k + every] || !inside[up] || !inside[down]) continue
      const xx = height[k - every]! - 2 * height[k]! + height[k + every]!
      const yy = height[down]! - 2 * height[k]! + height[up]!
      const xy =
        j === 0 ? 0 : (height[up + every]! - height[up - every]! - height[down + every]! + height[down - every]!) / 4
      const mean = (xx + yy) / 2
      const curvature = mean + Math.sqrt(square((xx - yy) / 2) + xy * xy)
      if (curvature > largest) largest = curvature
    }
  return largest > 0 ? (h * h) / largest : Infinity
}

/** Level at which the load is dialled in: a quarter of the resolution. */
const DIAL_LEVEL = 2
const DIAL_ROUNDS = 4

interface Problem {
  readonly grid: PlanGrid
  /** Obstacle less the camber, −Infinity where it does not count. */
  readonly floor: Float64Array
  readonly inside: Uint8Array
  /** 1/length² of the membrane. */
  readonly tension: number
  /** How many times this problem's grid was halved from the asked one. */
  readonly shift: number
}

function problemOf(options: CrownOptions): Problem {
  const camber = camberSheet(options)
  return {
    grid: options.grid,
    floor: options.obstacle.map((z, k) => (options.inside[k] ? z - camber[k]! : -Infinity)),
    inside: options.inside,
    tension: membrane(options.tautness),
    shift: 0,
  }
}

function halved(problem: Problem): Problem {
  const size = coarsen(problem, 1)
  const flat: Sheet = { grid: size.grid, height: new Float64Array(size.grid.nx * size.grid.ny) }
  return { ...size, floor: pool(problem, flat, 1), shift: 1 }
}

export interface Sheet {
  readonly grid: PlanGrid
  readonly height: Float64Array
}

const membrane = (tautness: number): number => square(tautness / TAUT_LENGTH_MM)

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

/** Level by level from a start; a cold start (a level plane) gets many sweeps at its own level first. */
function* descend(
  problem: Problem,
  start: Sheet,
  levels: { readonly from: number; readonly to: number; readonly cold: boolean },
  load: number,
): Steps<Sheet> {
  let sheet = start
  for (let level = levels.from; level >= levels.to; level--) {
    const size = coarsen(problem, level)
    if (sheet.grid.nx !== size.grid.nx) sheet = refine(sheet, size.grid)
    const cold = levels.cold && level === levels.from
    const rounds = cold ? COLD_ROUNDS : 2
    const sweeps = cold ? COLD_SWEEPS : Math.ceil((SWEEPS[level + problem.shift] ?? COLD_SWEEPS) / 2)
    for (let round = 0; round < rounds; round++) sheet = yield* sweepLevel(problem, size, sheet, load, sweeps, level)
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
  const f = 1 << level
  const { grid } = problem
  const size: PlanGrid = { ...grid, nx: (grid.nx - 1) / f + 1, ny: (grid.ny - 1) / f + 1, h: grid.h * f }
  const inside = new Uint8Array(size.nx * size.ny)
  for (let j = 0; j < size.ny; j++)
    for (let i = 0; i < size.nx; i++) inside[j * size.nx + i] = problem.inside[j * f * grid.nx + i * f]!
  return { ...problem, grid: size, inside }
}

/** The obstacle on a coarser grid: per cell the highest fine place, seen from the node along the sheet's own slope. */
function pool(problem: Problem, sheet: Sheet, level: number): Float64Array {
  const f = 1 << level
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
