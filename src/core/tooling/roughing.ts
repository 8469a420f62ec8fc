/** Roughing: what is taken off the glued blank, layer by layer of the cutter's depth. */
import { areaPathsD, FillRule, intersectD, type PathsD, unionD } from 'clipper2-ts'
import type { Steps } from '../geometry/kernel'
import { bounds } from '../geometry/mesh'
import type { MouldSolid } from './mould-solid'
import { sliceSolid } from './slice-solid'
import type { StockPlan } from './stock'

export interface RoughLayer {
  /** Height of the cut's floor, tool axes, mm. */
  readonly z_mm: number
  readonly depth_mm: number
  /** Area removed in plan. */
  readonly area_mm2: number
}

export interface Roughing {
  readonly layers: readonly RoughLayer[]
  readonly removed_mm3: number
  /** Width × feed gives the area a minute: t = V/Q (C15) with Q = ap ae vf. */
  readonly time_s: number
}

export interface RoughOptions {
  readonly made: MouldSolid
  readonly stock: StockPlan
  readonly depth_mm: number
  readonly width_mm: number
  readonly feed_mm_min: number
  /** Way to the next layer, up, over and down, s. */
  readonly layerChange_s: number
}

/**
 * Each layer's area is that of the blank's boards less the section of the tool at the layer's middle, so the sum of the layers
 * is the blank less the tool. What is left on for finishing is not taken off here and not counted.
 */
export function* roughing(options: RoughOptions): Steps<Roughing> {
  const { made, stock, depth_mm, width_mm, feed_mm_min } = options
  const box = bounds(made.block)
  const layers: RoughLayer[] = []
  let removed = 0
  let time = 0
  for (let n = stock.layers.length - 1; n >= 0; n--) {
    const boards = stock.layers[n]!
    const rects: PathsD = unionD(
      boards.pieces.map((r) => [
        { x: r.x0, y: r.y0 },
        { x: r.x1, y: r.y0 },
        { x: r.x1, y: r.y1 },
        { x: r.x0, y: r.y1 },
      ]),
      FillRule.NonZero,
    )
    const blank = Math.abs(areaPathsD(rects))
    const cuts = Math.max(1, Math.ceil((boards.z1_mm - boards.z0_mm) / depth_mm - 1e-9))
    const depth = (boards.z1_mm - boards.z0_mm) / cuts
    for (let k = cuts - 1; k >= 0; k--) {
      const z = boards.z0_mm + (k + 0.5) * depth
      const inside = z > box.min[2] && z < box.max[2]
      const section: PathsD = inside
        ? sliceSolid(made.block, z).map((polygon) => polygon.map(([x, y]) => ({ x, y })))
        : []
      const kept = section.length > 0 ? Math.abs(areaPathsD(intersectD(section, rects, FillRule.NonZero, 3))) : 0
      const area = Math.max(0, blank - kept)
      if (area < LEAST_MM2) continue
      layers.push({ z_mm: boards.z0_mm + k * depth, depth_mm: depth, area_mm2: area })
      removed += area * depth
      time += (60 * area) / (width_mm * feed_mm_min) + options.layerChange_s
    }
    yield (stock.layers.length - n) / stock.layers.length
  }
  return { layers, removed_mm3: removed, time_s: time }
}

const LEAST_MM2 = 100
