import { atan2Rad, cosDeg, cosRad, sinDeg, sinRad } from '../geometry/portable-math'
import { Refused } from '../geometry/trouble'
import { cornerCount, mitres, type PlanCurve } from './plan-curve'
import { type PlanGrid, type SheetPoint, sampleSheet } from './plan-grid'
import { ZONES } from './types'

export interface EdgeOptions {
  /** Where the wall cuts the reference height. */
  readonly curve: PlanCurve
  readonly reference_mm: number
  /** Crown sheet, moulded face. */
  readonly grid: PlanGrid
  readonly height: Float64Array
  /** Fillet from crown to wall, one per corner of the curve, mm. */
  readonly radius_mm: Float64Array
  readonly draft_deg: number
  /** Where the straight wall ends: a depth below its own top, or a height per corner. */
  readonly wallEnd: { readonly depth_mm: number } | { readonly height_mm: Float64Array }
  /** Fillet from wall to flange and width of the flat beyond it; `null`: the wall ends free. */
  readonly flange: { readonly fold_mm: number; readonly width_mm: number } | null
}

/** Rows of points round the shell, from the crown's rim to the trim line: `rows[r]` holds x y z per corner of the curve. */
export interface EdgeRows {
  readonly rows: readonly Float64Array[]
  /** Index into `ZONES` of the strip between row r and row r + 1. */
  readonly zoneOfStrip: readonly number[]
  /** Number of the row where the fillet has become the wall, and of the row where the wall ends. */
  readonly wallTop: number
  readonly wallFoot: number
}

const EDGE_ARCS = 8
const FOLD_ARCS = 5
/**
 * Built steeper than asked by this much: rounding to Float32 at 1.3 m moves a corner by 6e-5 mm, which turns a facet of
 * 3 mm by about a thousandth of a degree.
 */
export const DRAFT_ALLOWANCE_DEG = 0.001

/**
 * Edge radius, wall and flange as rows of points. Every row is the curve moved along its mitre vectors, so each segment's
 * wall is exactly planar at the draft, convex or concave, whatever the heights of its top and foot.
 *
 * The fillet at a corner is an arc of radius r in the upright plane along the mitre: from the crown's own slope θ0 to the
 * wall's −(90° − draft). A point with tangent angle θ lies at offset a + r(sin θ0 − sin θ), height zc + r(cos θ − cos θ0);
 * a follows from the arc's end lying on the wall, and from the crown's height at a: a fixed point.
 *
 * @throws Refused `shape-impossible` where no arc fits between crown and wall
 */
export function edgeRows(options: EdgeOptions): EdgeRows {
  const { curve, reference_mm, grid, height, radius_mm, flange } = options
  const n = cornerCount(curve)
  const draft = ((options.draft_deg + DRAFT_ALLOWANCE_DEG) * Math.PI) / 180
  const sin = sinDeg(options.draft_deg + DRAFT_ALLOWANCE_DEG)
  const cos = cosDeg(options.draft_deg + DRAFT_ALLOWANCE_DEG)
  const tan = sin / cos
  const { mx, my } = mitres(curve)
  const flangeArcs = flange ? FOLD_ARCS : 0
  const rowCount = EDGE_ARCS + 1 + 1 + flangeArcs + (flange ? 1 : 0)
  const rows = Array.from({ length: rowCount }, () => new Float64Array(3 * n))
  const point: SheetPoint = { z: 0, dx: 0, dy: 0 }
  for (let k = 0; k < n; k++) {
    const ox = curve.x[k]!
    const oy = curve.y[k]!
    const r = radius_mm[k]!
    const put = (row: number, offset: number, z: number) => {
      rows[row]![3 * k] = ox + offset * mx[k]!
      rows[row]![3 * k + 1] = oy + offset * my[k]!
      rows[row]![3 * k + 2] = z
    }
    let a = -r
    let sin0 = 0
    let cos0 = 1
    for (let round = 0; ; round++) {
      sampleSheet(grid, height, ox + a * mx[k]!, oy + a * my[k]!, point)
      // Slope per offset, not per length along the (longer) mitre.
      const slope = point.dx * mx[k]! + point.dy * my[k]!
      cos0 = 1 / Math.sqrt(1 + slope * slope)
      sin0 = slope * cos0
      const wallTop = point.z + r * (sin - cos0)
      const next = (reference_mm - wallTop) * tan - r * (sin0 + cos)
      const moved = Math.abs(next - a)
      a = next
      if (moved < 1e-10) break
      if (round === 60) {
        if (moved < 1e-5) break
        throw new Refused(
          'shape-impossible',
          `clearance: no edge radius of ${r.toFixed(1)} mm fits between crown and skirt about x ${Math.round(ox)}, y ${Math.round(oy)}; lessen edgeRadius_mm or raise fairRadius_mm.`,
        )
      }
    }
    const zc = point.z
    const theta0 = atan2Rad(sin0, cos0)
    const theta1 = draft - Math.PI / 2
    put(0, a, zc)
    for (let arc = 1; arc < EDGE_ARCS; arc++) {
      const theta = theta0 + ((theta1 - theta0) * arc) / EDGE_ARCS
      put(arc, a + r * (sin0 - sinRad(theta)), zc + r * (cosRad(theta) - cos0))
    }
    const wallTop = zc + r * (sin - cos0)
    put(EDGE_ARCS, (reference_mm - wallTop) * tan, wallTop)
    const foot = 'depth_mm' in options.wallEnd ? wallTop - options.wallEnd.depth_mm : options.wallEnd.height_mm[k]!
    if (foot > wallTop - 1)
      throw new Refused(
        'shape-impossible',
        `clearance: the skirt ends above its own top about x ${Math.round(ox)}, y ${Math.round(oy)}; deepen skirt_mm or lessen edgeRadius_mm.`,
      )
    const footOffset = (reference_mm - foot) * tan
    put(EDGE_ARCS + 1, footOffset, foot)
    if (!flange) continue
    const f = flange.fold_mm
    for (let arc = 1; arc <= FOLD_ARCS; arc++) {
      // From the wall's direction to level, the middle of the arc outside.
      const theta = theta1 * (1 - arc / FOLD_ARCS)
      put(EDGE_ARCS + 1 + arc, footOffset + f * (cos + sinRad(theta)), foot - f * (cosRad(theta) - sin))
    }
    put(rowCount - 1, footOffset + f * cos + flange.width_mm, foot - f * (1 - sin))
  }
  const zone = (name: (typeof ZONES)[number]) => ZONES.indexOf(name)
  const zoneOfStrip: number[] = []
  for (let s = 0; s < rowCount - 1; s++)
    zoneOfStrip.push(s < EDGE_ARCS ? zone('edge') : s === EDGE_ARCS ? zone('skirt') : zone('flange'))
  return { rows, zoneOfStrip, wallTop: EDGE_ARCS, wallFoot: EDGE_ARCS + 1 }
}

/** Depth that the fold takes off the straight wall. */
export const foldDepth_mm = (fold_mm: number, draft_deg: number): number => fold_mm * (1 - sinDeg(draft_deg))
