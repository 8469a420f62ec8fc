import { type Steps, within } from '../geometry/kernel'
import { cosDeg, sinDeg } from '../geometry/portable-math'
import { crown, crownDraft } from './crown'
import { fillPolygon, type PlanGrid } from './plan-grid'
import type { Trim } from './shape-types'
import { type Pond, standingWater } from './standing-water'
import { raisedSheet } from './topside'
import type { ClearanceSettings } from './types'
import { sheetObstacle, sheetOptions, type UndersideForm } from './underside'

export interface TrimWater {
  /** `null`: level trim. */
  readonly trim: Trim | null
  /** Deepest first. */
  readonly ponds: readonly Pond[]
  readonly area_mm2: number
  /** 0: none. */
  readonly depth_mm: number
}

/** A camber with which no water stands, at no trim that was asked about. */
export interface DrainingCamber {
  readonly camberAcross_mm: number
  readonly camberAlong_mm: number
  readonly fairRadius_mm: number
  /** How much higher the topside's highest place comes to lie, mm, as foretold on a coarse sheet. */
  readonly rise_mm: number
}

/** Water on a sheet at level trim and at each of the trims given. */
export function waterAtTrims(
  grid: PlanGrid,
  height: Float64Array,
  inside: Uint8Array,
  trims: readonly Trim[],
): TrimWater[] {
  return [null, ...trims].map((trim) => {
    const ponds = trim ? leaning(grid, height, inside, trim) : standingWater(grid, height, inside)
    return {
      trim,
      ponds,
      area_mm2: ponds.reduce((sum, p) => sum + p.area_mm2, 0),
      depth_mm: ponds.reduce((most, p) => Math.max(most, p.depth_mm), 0),
    }
  })
}

/**
 * The same sheet with plumb leaning: heights are taken along the plumb line, so a pond's depth is its true depth and its area
 * that of its level surface. Heel parts the sides: a mirrored sheet is unfolded.
 */
function leaning(grid: PlanGrid, height: Float64Array, inside: Uint8Array, trim: Trim): Pond[] {
  const up = [
    sinDeg(trim.pitch_deg),
    sinDeg(trim.heel_deg) * cosDeg(trim.pitch_deg),
    cosDeg(trim.heel_deg) * cosDeg(trim.pitch_deg),
  ] as const
  const { nx, ny, h } = grid
  const rows = grid.mirrored ? 2 * ny - 1 : ny
  const whole: PlanGrid = { ...grid, ny: rows, y0: grid.mirrored ? -(ny - 1) * h : grid.y0, mirrored: false }
  const level = new Float64Array(nx * rows)
  const there = new Uint8Array(nx * rows)
  const from = (j: number) => (grid.mirrored ? Math.abs(j - (ny - 1)) : j)
  for (let j = 0; j < rows; j++)
    for (let i = 0; i < nx; i++) {
      const k = from(j) * nx + i
      there[j * nx + i] = inside[k]!
      level[j * nx + i] = up[0] * (whole.x0 + i * h) + up[1] * (whole.y0 + j * h) + up[2] * height[k]!
    }
  return standingWater(whole, level, there).map(({ area_mm2, depth_mm, at }) => {
    const i = Math.round((at[0] - whole.x0) / h)
    const j = Math.round((at[1] - whole.y0) / h)
    return { area_mm2: area_mm2 / up[2], depth_mm, at: [at[0], at[1], height[from(j) * nx + i]!] }
  })
}

/** Radii athwart that are tried, from the flattest on; fore and aft twice as flat, since tops are longer than wide. */
const RADII_MM = [30_000, 20_000, 14_000, 10_000, 7000, 5000, 3600, 2600, 1900]
const ALONG = 2
/**
 * The load is dialled until the sheet is as hollow as `fairRadius_mm` allows, so it can pull any camber flat again: where the
 * deepest camber is pulled flat, a fairer sheet is tried.
 */
const FAIRER = [1, 4, 16]

/**
 * The flattest camber that drains the topside at level trim and at the trims given, with the fair radius it needs: both
 * sheets solved anew at four times the spacing for each radius tried, by halving the list (five solves for each fair radius
 * at most). `null`: none of the list does.
 */
export function* drainingCamber(form: UndersideForm): Steps<DrainingCamber | null> {
  const { settings } = form
  const now = yield* cambered(form, settings)
  for (const times of FAIRER) {
    const fairRadius_mm = Math.min(100_000, Math.round(settings.fairRadius_mm * times))
    let low = 0
    let high = RADII_MM.length
    let found: DrainingCamber | null = null
    // The deepest first: if it is pulled flat, all are.
    let middle = high - 1
    while (low < high) {
      const camberAcross_mm = RADII_MM[middle]!
      const camberAlong_mm = ALONG * camberAcross_mm
      const tried = yield* cambered(form, { ...settings, camberAcross_mm, camberAlong_mm, fairRadius_mm })
      if (tried.dry) {
        found = { camberAcross_mm, camberAlong_mm, fairRadius_mm, rise_mm: tried.top_mm - now.top_mm }
        high = middle
      } else low = middle + 1
      middle = (low + high) >> 1
    }
    if (found) return found
  }
  return null
}

/** Both sheets with other settings, roughly: whether they are dry at every trim, and the highest place of the topside. */
function* cambered(form: UndersideForm, settings: ClearanceSettings): Steps<{ dry: boolean; top_mm: number }> {
  const { grid, obstacle, curve } = form
  const { underside_mm, topside_mm, cavity_mm, trims } = settings
  const options = sheetOptions(settings, grid, sheetObstacle(form, obstacle), fillPolygon(grid, curve.x, curve.y))
  const under = yield* within(0, 0.5, '', crownDraft(options))
  const inside = fillPolygon(under.grid, curve.x, curve.y)
  const raised = raisedSheet(under.grid, under.height, under.grid, underside_mm + cavity_mm + topside_mm)
  const top = yield* within(0.5, 1, '', crown({ ...options, grid: under.grid, obstacle: raised, inside }))
  return {
    dry: waterAtTrims(top.grid, top.height, inside, trims).every((w) => w.ponds.length === 0),
    top_mm: top.height.reduce((most, z, k) => (inside[k] ? Math.max(most, z) : most), -Infinity),
  }
}
