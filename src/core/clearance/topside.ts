import { type Steps, within } from '../geometry/kernel'
import { cosDeg, sinDeg } from '../geometry/portable-math'
import { crown } from './crown'
import { type EdgeRows, edgeRows } from './edge'
import { cornerCount, pushOut } from './plan-curve'
import { fillPolygon, type PlanGrid } from './plan-grid'
import { type ShellFace, shellFace } from './shell'
import { sheetOptions, type UndersideForm } from './underside'

export interface TopsideForm {
  readonly face: ShellFace
  readonly grid: PlanGrid
  /** The moulded sheet, one per node. */
  readonly height: Float64Array
  readonly inside: Uint8Array
}

/** The topside's sheet rests on a fair one, so it is solved at twice the spacing. */
const EVERY = 2

/**
 * The topside's moulded (outer) face: its own sheet over the underside's, at least the two laminates and the cavity above it
 * everywhere along the normal, and walls parallel to the underside's at the two laminates and the bond.
 *
 * Both outlines are sections of constant-slope surfaces at the same height, so the bond gap is the same all along the joint.
 *
 * @param edge rows of the underside, whose wall ends where the topside's must end
 */
export function* topsideForm(under: UndersideForm, edge: EdgeRows, meshStep_mm: number): Steps<TopsideForm> {
  const { settings } = under
  const { underside_mm, topside_mm, bond_mm, cavity_mm, draft_deg } = settings
  const wall = underside_mm + bond_mm + topside_mm
  const curve = pushOut(under.curve, wall / cosDeg(draft_deg))
  const grid: PlanGrid = {
    ...under.grid,
    nx: (under.grid.nx - 1) / EVERY + 1,
    ny: (under.grid.ny - 1) / EVERY + 1,
    h: under.grid.h * EVERY,
  }
  const inside = fillPolygon(grid, curve.x, curve.y)
  const obstacle = raisedSheet(under.grid, under.base.height, grid, underside_mm + cavity_mm + topside_mm)
  // Over a boss the cavity may close to the bond line, so that a low one does not show on the topside.
  if (settings.bosses.length > 0)
    raisedSheet(under.grid, under.crown.height, grid, wall).forEach((z, k) => {
      if (z > obstacle[k]!) obstacle[k] = z
    })
  const sheet = yield* within(0, 0.6, '', crown(sheetOptions(settings, grid, obstacle, inside)))

  const flat = settings.joint === 'flat'
  const foot = edge.rows[edge.wallFoot]!
  const ends = new Float64Array(cornerCount(curve))
  // Flat: both folds turn about one middle, so the straight walls end on one line across them. Shoebox: clear of the fold.
  for (let k = 0; k < ends.length; k++) ends[k] = foot[3 * k + 2]! + (flat ? wall * sinDeg(draft_deg) : bond_mm)
  const rows = edgeRows({
    curve,
    reference_mm: under.reference_mm,
    grid,
    height: sheet.height,
    radius_mm: under.radius_mm.map((r) => r + wall),
    draft_deg,
    wallEnd: { height_mm: ends },
    flange: flat ? { fold_mm: settings.minRadius_mm, width_mm: settings.flange_mm } : null,
  })
  const face = yield* within(
    0.6,
    1,
    '',
    shellFace({ curve, edge: rows, grid, height: sheet.height, fine: null, meshStep_mm, facing: 'up', draft_deg }),
  )
  return { face, grid, height: sheet.height, inside }
}

/** A sheet moved along its normals, read as heights on the nodes of the same grid or of one that takes every second, third … node. */
export function raisedSheet(fine: PlanGrid, height: Float64Array, grid: PlanGrid, by_mm: number): Float64Array {
  const every = Math.round(grid.h / fine.h)
  const out = new Float64Array(grid.nx * grid.ny)
  for (let j = 0; j < grid.ny; j++)
    for (let i = 0; i < grid.nx; i++) {
      const a = i * every
      const b = j * every
      const k = b * fine.nx + a
      const left = a > 0 ? k - 1 : k
      const right = a < fine.nx - 1 ? k + 1 : k
      const below = b > 0 ? k - fine.nx : fine.mirrored ? k + fine.nx : k
      const above = b < fine.ny - 1 ? k + fine.nx : k
      const dx = (height[right]! - height[left]!) / (fine.h * (right - left))
      const rise =
        b === 0 && fine.mirrored ? 0 : (height[above]! - height[below]!) / (fine.h * ((above - below) / fine.nx))
      out[j * grid.nx + i] = height[k]! + by_mm * Math.sqrt(1 + dx * dx + rise * rise)
    }
  return out
}
