/**
 * The block before it is machined: layers of board glued up, each no larger than its slice of the tool with the allowance,
 * split for the machine's travel, and sawn out of as few boards as packing finds.
 */

import { EndType, FillRule, inflatePathsD, intersectD, JoinType, type PathsD, unionD } from 'clipper2-ts'
import type { Steps } from '../geometry/kernel'
import { bounds, type Mesh } from '../geometry/mesh'
import { square } from '../geometry/portable-math'
import { Refused } from '../geometry/trouble'
import { type BoardRect, coverRegion, regionArea_mm2 } from './cover-region'
import type { MouldSolid } from './mould-solid'
import { type PlacedPiece, packBoards } from './pack-boards'
import { sliceSolid } from './slice-solid'

export interface Board {
  readonly length_mm: number
  readonly width_mm: number
  readonly thickness_mm: number
  readonly density_kg_m3: number
  /** Width of the saw cut. */
  readonly saw_mm: number
}

export interface StockOptions {
  readonly made: MouldSolid
  readonly board: Board
  /** Material that every layer has beyond its slice, mm. */
  readonly allowance_mm: number
  /** Largest piece the machine takes, x y z, mm. */
  readonly travel_mm: readonly [number, number, number]
  /** Facets of the edge radius, tool axes: glue lines are kept off them where possible. */
  readonly edge: Mesh | null
}

export interface StockPiece extends BoardRect, PlacedPiece {
  readonly section: number
}

export interface StockLayer {
  readonly z0_mm: number
  readonly z1_mm: number
  /** What has to be covered, x y pairs: outer borders counter-clockwise, holes clockwise. */
  readonly region: readonly (readonly (readonly [number, number])[])[]
  readonly area_mm2: number
  readonly pieces: readonly StockPiece[]
}

/** One part of the tool that the machine takes at a time. */
export interface StockSection {
  readonly x0: number
  readonly y0: number
  readonly z0: number
  readonly x1: number
  readonly y1: number
  readonly z1: number
  /** Of the glued blank, before machining. */
  readonly blank_mm3: number
  readonly blank_kg: number
  /** Finished. */
  readonly finished_kg: number
}

export interface StockPlan {
  readonly layers: readonly StockLayer[]
  readonly sections: readonly StockSection[]
  readonly boards: number
  /** Boards that the slices' own volume would fill without any waste; not rounded up. */
  readonly leastBoards: number
  readonly blank_mm3: number
  /** Heights of the glue lines, tool axes. */
  readonly glue_mm: readonly number[]
  /** Length of glue line that comes to the surface on the edge radius, mm. */
  readonly glueOnEdge_mm: number
}

/** @throws Refused `setting-impossible` for boards or travels that nothing can be made of */
export function* stockPlan(options: StockOptions): Steps<StockPlan> {
  const { made, board, allowance_mm, travel_mm } = options
  const box = bounds(made.block)
  for (const v of [board.length_mm, board.width_mm, board.thickness_mm, ...travel_mm])
    if (!(v >= 5))
      throw new Refused('setting-impossible', `tooling: a board or machine travel of ${v} mm cannot be used.`)
  const levels = chooseLevels(options, box.min[2], box.max[2] + allowance_mm)
  yield 0.1
  const regions: PathsD[] = []
  for (let k = 0; k + 1 < levels.length; k++) {
    // The allowance holds upwards too: a layer reaches as far as the slice that lies so much lower.
    const z = Math.max(levels[k]! - allowance_mm, box.min[2])
    regions.push(layerRegion(made, z, levels[k + 1]!, allowance_mm))
    yield 0.1 + (0.3 * k) / levels.length
  }
  const cells = machineCells(regions, levels, travel_mm)
  let best: Laid | null = null
  const tries = ['turned', 'x', 'y'] as const
  for (let t = 0; t < tries.length; t++) {
    const laid = layBoards(regions, cells, options, tries[t]!)
    if (!best || laid.boards < best.boards) best = laid
    yield 0.4 + (0.5 * (t + 1)) / tries.length
  }
  return describe(options, levels, regions, cells, best!)
}

/** Glue lines from below the floor to above the top; where they start is chosen so that fewest of them cross the edge radius. */
function chooseLevels({ board, edge }: StockOptions, low: number, high: number): number[] {
  const t = board.thickness_mm
  const count = Math.max(1, Math.ceil((high - low) / t - 1e-9))
  const slack = count * t - (high - low)
  const cross = edge ? crossingLengths(edge, low, high) : null
  let bestStart = low
  let least = Infinity
  for (let s = 0; s <= slack + 1e-9; s += 1) {
    let sum = 0
    for (let k = 1; k < count; k++) sum += cross ? lengthAt(cross, low, low - s + k * t) : 0
    if (sum < least - 1e-6) {
      least = sum
      bestStart = low - s
    }
  }
  return Array.from({ length: count + 1 }, (_, k) => bestStart + k * t)
}

/** Length of the section line through a mesh, every millimetre from `low` up. */
function crossingLengths(edge: Mesh, low: number, high: number): Float64Array {
  const out = new Float64Array(Math.max(1, Math.ceil(high - low) + 1))
  const { positions: p, indices, origin } = edge
  const a = [0, 0, 0]
  for (let f = 0; f < indices.length; f += 3) {
    const corner = [0, 1, 2].map((k) => 3 * indices[f + k]!) as [number, number, number]
    const z = corner.map((c) => p[c + 2]! + origin[2])
    const from = Math.max(0, Math.ceil(Math.min(...z) - low))
    const to = Math.min(out.length - 1, Math.floor(Math.max(...z) - low))
    for (let n = from; n <= to; n++) {
      const points: [number, number][] = []
      for (let k = 0; k < 3; k++) {
        const [i, j] = [corner[k]!, corner[(k + 1) % 3]!]
        a[0] = z[k]! - low - n
        a[1] = z[(k + 1) % 3]! - low - n
        if (a[0] >= 0 === a[1] >= 0) continue
        const s = a[0] / (a[0] - a[1])
        points.push([p[i]! + s * (p[j]! - p[i]!), p[i + 1]! + s * (p[j + 1]! - p[i + 1]!)])
      }
      if (points.length === 2)
        out[n]! += Math.sqrt(square(points[0]![0] - points[1]![0]) + square(points[0]![1] - points[1]![1]))
    }
  }
  return out
}

const lengthAt = (cross: Float64Array, low: number, z: number): number => cross[Math.round(z - low)] ?? 0

/** The tool between two heights, grown by the allowance: widest at its foot, its hollow narrowest at the top. */
function layerRegion(made: MouldSolid, z0: number, z1: number, allowance_mm: number): PathsD {
  const outer = asPaths(sliceSolid(made.block, z0 + 1e-4))
  const grown = inflatePathsD(
    unionD(outer, FillRule.NonZero),
    allowance_mm,
    JoinType.Round,
    EndType.Polygon,
    2,
    3,
    0.05,
  )
  const inner = made.hollow ? asPaths(sliceSolid(made.hollow, z1)) : []
  if (inner.length === 0) return unionD(grown, FillRule.NonZero)
  const kept = inflatePathsD(unionD(inner, FillRule.NonZero), -allowance_mm, JoinType.Miter, EndType.Polygon, 2, 3)
  return intersectD(grown, invert(kept, grown), FillRule.NonZero, 3)
}

/** Everything within the bounds of a region but the given paths. */
function invert(paths: PathsD, region: PathsD): PathsD {
  let [minX, maxX, minY, maxY] = [Infinity, -Infinity, Infinity, -Infinity]
  for (const path of region)
    for (const { x, y } of path) {
      minX = Math.min(minX, x - 1)
      maxX = Math.max(maxX, x + 1)
      minY = Math.min(minY, y - 1)
      maxY = Math.max(maxY, y + 1)
    }
  return [rectPath(minX, minY, maxX, maxY), ...paths.map((path) => [...path].reverse())]
}

const rectPath = (x0: number, y0: number, x1: number, y1: number) => [
  { x: x0, y: y0 },
  { x: x1, y: y0 },
  { x: x1, y: y1 },
  { x: x0, y: y1 },
]

const asPaths = (polygons: readonly (readonly (readonly [number, number])[])[]): PathsD =>
  polygons.map((polygon) => polygon.map(([x, y]) => ({ x, y })))

interface Cell {
  readonly x0: number
  readonly y0: number
  readonly x1: number
  readonly y1: number
  /** First layer and the one after the last. */
  readonly from: number
  readonly to: number
}

/** Equal parts in x and y, and whole layers in z, none larger than the travel; turned on the table where that gives fewer. */
function machineCells(
  regions: readonly PathsD[],
  levels: readonly number[],
  travel: readonly [number, number, number],
): Cell[] {
  let [x0, x1, y0, y1] = [Infinity, -Infinity, Infinity, -Infinity]
  for (const { x, y } of regions.flat(2)) {
    x0 = Math.min(x0, x)
    x1 = Math.max(x1, x)
    y0 = Math.min(y0, y)
    y1 = Math.max(y1, y)
  }
  const parts = (tx: number, ty: number) =>
    [Math.ceil((x1 - x0) / tx - 1e-9), Math.ceil((y1 - y0) / ty - 1e-9)] as const
  const straight = parts(travel[0], travel[1])
  const across = parts(travel[1], travel[0])
  const [nx, ny] = across[0] * across[1] < straight[0] * straight[1] ? across : straight
  const perStack = Math.floor(travel[2] / (levels[1]! - levels[0]!) + 1e-9)
  if (perStack < 1)
    throw new Refused(
      'setting-impossible',
      `tooling: one board is ${levels[1]! - levels[0]!} mm thick and the machine has ${travel[2]} mm of height; use thinner boards.`,
    )
  const stacks = Math.ceil(regions.length / perStack)
  const cells: Cell[] = []
  for (let s = 0; s < stacks; s++)
    for (let j = 0; j < ny; j++)
      for (let i = 0; i < nx; i++)
        cells.push({
          x0: x0 + ((x1 - x0) * i) / nx,
          x1: x0 + ((x1 - x0) * (i + 1)) / nx,
          y0: y0 + ((y1 - y0) * j) / ny,
          y1: y0 + ((y1 - y0) * (j + 1)) / ny,
          from: Math.floor((s * regions.length) / stacks),
          to: Math.floor(((s + 1) * regions.length) / stacks),
        })
  return cells
}

interface Laid {
  readonly rects: readonly { readonly layer: number; readonly section: number; readonly rect: BoardRect }[]
  readonly placed: readonly PlacedPiece[]
  readonly boards: number
}

const BAND_MM = 20
const JOIN_MM = 60

function layBoards(
  regions: readonly PathsD[],
  cells: readonly Cell[],
  { board }: StockOptions,
  along: 'x' | 'y' | 'turned',
): Laid {
  const rects: { layer: number; section: number; rect: BoardRect }[] = []
  for (let layer = 0; layer < regions.length; layer++)
    for (let section = 0; section < cells.length; section++) {
      const cell = cells[section]!
      if (layer < cell.from || layer >= cell.to) continue
      const part =
        cells.length === 1
          ? regions[layer]!
          : intersectD(regions[layer]!, [rectPath(cell.x0, cell.y0, cell.x1, cell.y1)], FillRule.NonZero, 4)
      const direction = along === 'turned' ? (layer % 2 ? 'y' : 'x') : along
      for (const rect of coverRegion(part, { ...board, along: direction, band_mm: BAND_MM, join_mm: JOIN_MM }))
        rects.push({ layer, section, rect })
    }
  const { placed, boards } = packBoards(
    rects.map(({ rect }) => ({
      length_mm: Math.max(rect.x1 - rect.x0, rect.y1 - rect.y0),
      width_mm: Math.min(rect.x1 - rect.x0, rect.y1 - rect.y0),
    })),
    board,
    board.saw_mm,
  )
  return { rects, placed, boards }
}

function describe(
  options: StockOptions,
  levels: readonly number[],
  regions: readonly PathsD[],
  cells: readonly Cell[],
  laid: Laid,
): StockPlan {
  const { board, made, edge } = options
  const t = board.thickness_mm
  const blank = new Float64Array(cells.length)
  const layers = regions.map((region, layer): StockLayer => {
    const pieces: StockPiece[] = []
    laid.rects.forEach((r, i) => {
      if (r.layer !== layer) return
      blank[r.section]! += (r.rect.x1 - r.rect.x0) * (r.rect.y1 - r.rect.y0) * t
      pieces.push({ ...r.rect, ...laid.placed[i]!, section: r.section })
    })
    return {
      z0_mm: levels[layer]!,
      z1_mm: levels[layer + 1]!,
      region: region.map((path) => path.map(({ x, y }): readonly [number, number] => [x, y])),
      area_mm2: regionArea_mm2(region),
      pieces,
    }
  })
  const box = bounds(made.block)
  const cross = edge ? crossingLengths(edge, box.min[2], box.max[2]) : null
  const glue = levels.slice(1, -1)
  const needed = layers.reduce((sum, l) => sum + l.area_mm2 * t, 0)
  const whole = blank.reduce((sum, v) => sum + v, 0)
  return {
    layers,
    sections: cells.map((cell, s) => ({
      x0: cell.x0,
      y0: cell.y0,
      z0: levels[cell.from]!,
      x1: cell.x1,
      y1: cell.y1,
      z1: levels[cell.to]!,
      blank_mm3: blank[s]!,
      blank_kg: (blank[s]! * board.density_kg_m3) / 1e9,
      finished_kg: (finishedVolume_mm3(made, cell, levels) * board.density_kg_m3) / 1e9,
    })),
    boards: laid.boards,
    leastBoards: needed / (board.length_mm * board.width_mm * t),
    blank_mm3: whole,
    glue_mm: glue,
    glueOnEdge_mm: cross ? glue.reduce((sum, z) => sum + lengthAt(cross, box.min[2], z), 0) : 0,
  }
}

/** Volume of the finished tool within a cell, by sections a few millimetres apart. */
function finishedVolume_mm3(made: MouldSolid, cell: Cell, levels: readonly number[]): number {
  const low = Math.max(levels[cell.from]!, bounds(made.solid).min[2])
  const high = Math.min(levels[cell.to]!, bounds(made.solid).max[2])
  if (high <= low) return 0
  const slices = Math.max(8, Math.ceil((high - low) / 5))
  const dz = (high - low) / slices
  const rect = [rectPath(cell.x0, cell.y0, cell.x1, cell.y1)]
  let sum = 0
  for (let k = 0; k < slices; k++) {
    const section = asPaths(sliceSolid(made.solid, low + (k + 0.5) * dz))
    sum += regionArea_mm2(intersectD(section, rect, FillRule.NonZero, 3)) * dz
  }
  return sum
}
