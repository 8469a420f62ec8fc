import type { FacetGaps } from './facet-gaps'
import type { PlanGrid } from './plan-grid'
import type { ShellFace } from './shell'
import { ZONES } from './types'

/** What the facets that are too near ask for: nodes of the sheet to be held higher, and a push of the whole outline. */
export interface Lift {
  /** Facets that fall short. */
  readonly facets: number
  /** The obstacle, raised where a crown facet falls short. One per node. */
  readonly obstacle: Float64Array
  /** What the worst crown facet lacks, upwards, mm; 0 if none does. */
  readonly up_mm: number
  /** What the worst facet of edge or skirt lacks, outwards, mm; 0 if none does. */
  readonly push_mm: number
}

/** A little more than is lacking, so that the sheet's give between the nodes does not ask for one more round. */
const MORE = 1.05

/**
 * @param height   the sheet now, one per node of `grid`
 * @param obstacle what it was solved against, one per node
 * @param least_mm margin that every facet must have
 */
export function lift(
  face: ShellFace,
  gaps: FacetGaps,
  least_mm: number,
  grid: PlanGrid,
  height: Float64Array,
  obstacle: Float64Array,
): Lift {
  const { positions, indices } = face.mesh
  const crown = ZONES.indexOf('crown')
  const edge = ZONES.indexOf('edge')
  const raised = obstacle.slice()
  let push = 0
  let most = 0
  let facets = 0
  for (let f = 0; f < gaps.margin.length; f++) {
    const lack = least_mm - gaps.margin[f]!
    if (!(lack > 0)) continue
    facets++
    const zone = face.zone[f]!
    const up = Math.abs(normalZ(positions, indices, f))
    if (zone === crown || (zone === edge && up > 0.8)) {
      most = Math.max(most, (lack * MORE) / up)
      for (let c = 0; c < 3; c++) {
        const v = 3 * indices[3 * f + c]!
        raise(grid, height, raised, positions[v]!, positions[v + 1]!, (lack * MORE) / up)
      }
    }
    // A facet of the fillet leans both ways; moved out it gains what its normal has of level.
    if (zone !== crown && up < 0.95) push = Math.max(push, (lack * MORE) / Math.sqrt(1 - up * up))
  }
  return { facets, obstacle: raised, up_mm: most, push_mm: push }
}

/** The nodes of the cell around a place may not lie lower than they do now and this much more. */
function raise(grid: PlanGrid, height: Float64Array, obstacle: Float64Array, x: number, y: number, by: number): void {
  const { nx, ny, h } = grid
  const gx = (x - grid.x0) / h
  const gy = ((grid.mirrored && y < 0 ? -y : y) - grid.y0) / h
  // On a node exactly (to Float32) only that node; else the four around.
  const i0 = Math.floor(gx + 1e-3)
  const j0 = Math.floor(gy + 1e-3)
  const i1 = gx - i0 > 2e-3 ? i0 + 1 : i0
  const j1 = gy - j0 > 2e-3 ? j0 + 1 : j0
  for (let j = Math.max(0, j0); j <= Math.min(ny - 1, j1); j++)
    for (let i = Math.max(0, i0); i <= Math.min(nx - 1, i1); i++) {
      const k = j * nx + i
      const z = height[k]! + by
      if (z > obstacle[k]!) obstacle[k] = z
    }
}

function normalZ(p: Float32Array, indices: Uint32Array, f: number): number {
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const c = 3 * indices[3 * f + 2]!
  const ux = p[b]! - p[a]!
  const uy = p[b + 1]! - p[a + 1]!
  const uz = p[b + 2]! - p[a + 2]!
  const vx = p[c]! - p[a]!
  const vy = p[c + 1]! - p[a + 1]!
  const vz = p[c + 2]! - p[a + 2]!
  const nx = uy * vz - uz * vy
  const ny = uz * vx - ux * vz
  const nz = ux * vy - uy * vx
  return nz / Math.sqrt(nx * nx + ny * ny + nz * nz)
}
