import { type Steps, within } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import { cosDeg, tanDeg } from '../geometry/portable-math'
import { type Crown, type CrownOptions, crownDraft, crownFrom } from './crown'
import { bossNodes, type Dressed, type Dressing, dress, isPlain } from './dress'
import { type EdgeRows, edgeRows, foldDepth_mm } from './edge'
import type { BearingTube } from './metal-gaps'
import { buildObstacle, type Obstacle } from './obstacle'
import { clearOf, localEdgeRadii, outline } from './outline'
import { cornerCount, mitres, type PlanCurve, pushOut } from './plan-curve'
import { carriers, nearestNode, planField } from './plan-field'
import { fillPolygon, type PlanGrid } from './plan-grid'
import { outlineLack, polygonCurve, refuseSmall } from './polygon-outline'
import { foldRadius_mm } from './settings'
import { lineBelow, type SkirtLine, skirtLine } from './skirt-line'
import type { ClearanceSettings } from './types'

/** Everything the underside's moulded face is built from; the lift changes `curve`, `height` and `obstacle` of it. */
export interface UndersideForm {
  readonly settings: ClearanceSettings
  readonly grid: PlanGrid
  /** Height below which the sheet may not be, as first found. One per node of `grid`. */
  readonly obstacle: Float64Array
  /** The fair sheet as solved, without the metal of the bosses. */
  readonly base: Crown
  /** The sheet with bosses and landing strips. */
  readonly crown: Crown
  readonly dressing: Dressing
  readonly dressed: Omit<Dressed, 'height'>
  readonly curve: PlanCurve
  readonly reference_mm: number
  readonly radius_mm: Float64Array
  readonly line: SkirtLine
  /** How far the whole outline was moved out so that the edge radius clears what lies in the corner, mm. */
  readonly pushed_mm: number
}

export interface UndersideOptions {
  readonly frame: Mesh<'job'>
  readonly rimVertex: Uint8Array
  readonly gap: number | Float32Array
  readonly largestGap_mm: number
  /** Added to every gap; greater than 0. */
  readonly guard_mm: number
  readonly settings: ClearanceSettings
  readonly bearing: readonly BearingTube[]
  /** Left out: found here. One of nearly the same settings does for a sheet that only has to be roughly right. */
  readonly line?: SkirtLine
}

/** Nodes of the skirt line's grid kept free beyond the covered area: flange, topside and the sheet's own run-out. */
const BORDER_NODES = 4
/** The sheet is halved in spacing down from about this. */
const COARSEST_MM = 128
/** Extra width of the plan field beyond its contour, in nodes: what fairing may ask about. */
const BAND_NODES = 4

/** Skirt line, obstacle, outline and crown: the form of the underside before its certificate. */
export function* undersideForm(options: UndersideOptions): Steps<UndersideForm> {
  const { frame, settings, guard_mm, largestGap_mm } = options
  const line =
    options.line ?? (yield* within(0, 0.1, 'skirt line', skirtLine(frame, largestGap_mm + guard_mm, settings)))
  const { outline: drawn } = settings
  const asked = drawn.from === 'polygon' ? polygonCurve(drawn, settings.symmetric, settings.minRadius_mm) : null
  const grid = chooseGrid(line, settings, asked)
  const found = yield* within(0.1, 0.5, 'obstacle', obstacleOn(grid, options))
  const reference_mm = referenceHeight(line)
  // The first line lies below a coarse sheet; a better sheet, over what the coarse one covered, settles it.
  const rough = asked ? fillPolygon(grid, asked.x, asked.y) : coveredOn(grid, line)
  const dressing: Dressing = {
    bosses: settings.bosses,
    lands: settings.lands,
    bearing: options.bearing,
    guard_mm,
    minRadius_mm: settings.minRadius_mm,
    edgeRadius_mm: settings.edgeRadius_mm,
  }
  const bare = withoutBosses(grid, found, dressing)
  const draft = yield* within(0.5, 0.6, 'crown', crownDraft(sheetOptions(settings, grid, bare, rough)))
  const real = lineBelow(line, draft, settings, largestGap_mm + guard_mm)
  let curve = yield* within(0.6, 0.75, 'outline', outlineAbove(grid, real, reference_mm, options, asked))
  const inside = fillPolygon(grid, curve.x, curve.y)
  const sheet = yield* within(0.75, 1, 'crown', crownFrom(draft, sheetOptions(settings, grid, bare, inside)))
  const { height, ...dressed } = dress(grid, curve, sheet.height, found, inside, dressing)
  let radius_mm = localEdgeRadii(curve, settings.edgeRadius_mm)
  const form: UndersideForm = {
    settings,
    grid,
    obstacle: found,
    base: sheet,
    crown: { ...sheet, height },
    dressing,
    dressed,
    curve,
    reference_mm,
    radius_mm,
    line,
    pushed_mm: 0,
  }
  const pushed_mm = filletPush(form, undersideRows(form))
  if (pushed_mm > 0) {
    curve = pushOut(curve, pushed_mm)
    radius_mm = localEdgeRadii(curve, settings.edgeRadius_mm)
  }
  return { ...form, curve, radius_mm, pushed_mm }
}

/** What the fair sheet is solved against: all metal but that of the bosses. */
function withoutBosses(grid: PlanGrid, obstacle: Float64Array, { bosses }: Dressing): Float64Array {
  if (bosses.length === 0) return obstacle
  const mine = bossNodes(grid, bosses)
  return obstacle.map((z, k) => (mine[k] ? -Infinity : z))
}

/**
 * What the fair sheet is solved against once a certificate has asked for more here and there: where the sheet was dressed it
 * is the dressing that must rise, not the whole sheet.
 */
export function sheetObstacle(
  { grid, obstacle, dressing, dressed }: UndersideForm,
  raised: Float64Array,
): Float64Array {
  if (isPlain(dressing)) return raised
  return withoutBosses(
    grid,
    raised.map((z, k) => (dressed.fine[k] ? obstacle[k]! : z)),
    dressing,
  )
}

/** The form with another fair sheet, dressed again. */
export function withSheet(form: UndersideForm, base: Crown, raised: Float64Array, inside: Uint8Array): UndersideForm {
  const { grid, curve, dressing } = form
  const { height, ...dressed } = dress(grid, curve, base.height, raised, inside, dressing)
  // What was changed once stays finely meshed and keeps rising by itself.
  const fine = dressed.fine.map((f, k) => f | form.dressed.fine[k]!)
  return { ...form, base, crown: { ...base, height }, dressed: { ...dressed, fine } }
}

export function sheetOptions(
  settings: ClearanceSettings,
  grid: PlanGrid,
  obstacle: Float64Array,
  inside: Uint8Array,
): CrownOptions {
  const { fairRadius_mm, tautness, camberAlong_mm, camberAcross_mm } = settings
  return { grid, obstacle, inside, fairRadius_mm, tautness, camberAlong_mm, camberAcross_mm }
}

/** Edge, skirt and flange of the underside as rows. */
export function undersideRows(
  form: Pick<UndersideForm, 'settings' | 'curve' | 'reference_mm' | 'radius_mm' | 'grid' | 'crown'>,
): EdgeRows {
  const { settings } = form
  const fold_mm = foldRadius_mm(settings)
  return edgeRows({
    curve: form.curve,
    reference_mm: form.reference_mm,
    grid: form.grid,
    height: form.crown.height,
    radius_mm: form.radius_mm,
    draft_deg: settings.draft_deg,
    wallEnd: { depth_mm: settings.skirt_mm - foldDepth_mm(fold_mm, settings.draft_deg) },
    flange: { fold_mm, width_mm: settings.flange_mm },
  })
}

/** The fine grid over the covered area; its counts halve down to the coarsest level. */
function chooseGrid(line: SkirtLine, settings: ClearanceSettings, asked: PlanCurve | null): PlanGrid {
  const { grid, covered } = line
  let left = grid.nx
  let right = 0
  let low = grid.ny
  let high = 0
  for (let j = 0; j < grid.ny; j++)
    for (let i = 0; i < grid.nx; i++) {
      if (!covered[j * grid.nx + i]) continue
      left = Math.min(left, i)
      right = Math.max(right, i)
      low = Math.min(low, j)
      high = Math.max(high, j)
    }
  const h = settings.sample_mm
  const border = BORDER_NODES * grid.h + settings.overhang_mm
  let halvings = 1
  while (2 * halvings * h <= COARSEST_MM) halvings *= 2
  const cells = (from: number, to: number) => Math.ceil((to - from) / (h * halvings)) * halvings
  const box = {
    x: [grid.x0 + left * grid.h, grid.x0 + right * grid.h] as [number, number],
    y: [grid.y0 + low * grid.h, grid.y0 + high * grid.h] as [number, number],
  }
  // A drawn outline may stand further out than the metal.
  if (asked)
    for (const k of ['x', 'y'] as const)
      box[k] = [
        asked[k].reduce((a, b) => Math.min(a, b), box[k][0]),
        asked[k].reduce((a, b) => Math.max(a, b), box[k][1]),
      ]
  const x0 = Math.floor((box.x[0] - border) / h) * h
  const y0 = grid.mirrored ? 0 : Math.floor((box.y[0] - border) / h) * h
  return {
    x0,
    y0,
    h,
    mirrored: grid.mirrored,
    nx: cells(x0, box.x[1] + border) + 1,
    ny: cells(y0, box.y[1] + border) + 1,
  }
}

function* obstacleOn(grid: PlanGrid, options: UndersideOptions): Steps<Float64Array> {
  const { nx, ny, x0, y0, h, mirrored } = grid
  const { gap, guard_mm } = options
  const rows = mirrored ? 2 * ny - 1 : ny
  const full: Obstacle = yield* buildObstacle(options.frame, {
    nx,
    ny: rows,
    x0,
    y0: mirrored ? -(ny - 1) * h : y0,
    h,
    gap,
    guard_mm,
    symmetric: mirrored,
  })
  return mirrored ? full.height.slice((ny - 1) * nx) : full.height
}

/** Mean height of the line along the border of the covered area: near it, the wall's lean moves nothing. */
function referenceHeight(line: SkirtLine): number {
  const { grid, covered, height } = line
  let sum = 0
  let count = 0
  for (let j = 1; j < grid.ny - 1; j++)
    for (let i = 1; i < grid.nx - 1; i++) {
      const k = j * grid.nx + i
      if (!covered[k] || (covered[k - 1] && covered[k + 1] && covered[k + grid.nx])) continue
      sum += height[k]!
      count++
    }
  return count > 0 ? Math.round(sum / count) : 0
}

function* outlineAbove(
  grid: PlanGrid,
  line: SkirtLine,
  reference_mm: number,
  options: UndersideOptions,
  asked: PlanCurve | null,
): Steps<PlanCurve> {
  const { settings, frame, rimVertex, gap, guard_mm } = options
  const cosDraft = cosDeg(settings.draft_deg)
  const tanDraft = tanDeg(settings.draft_deg)
  const metal = yield* within(
    0,
    0.4,
    '',
    carriers({ frame, rimVertex, line, gap, guard_mm, overhang_mm: settings.overhang_mm, cosDraft }),
  )
  const field = yield* within(
    0.4,
    0.7,
    '',
    planField(grid, metal, { tanDraft, reference_mm, band_mm: BAND_NODES * grid.h }),
  )
  if (asked) {
    const inside = fillPolygon(grid, asked.x, asked.y)
    refuseSmall(outlineLack(asked, grid, field, inside, metal, { tanDraft, reference_mm }))
    return clearOf(grid, field, asked)
  }
  const curve = yield* within(0.7, 1, '', outline({ grid, field }))
  return clearOf(grid, field, curve)
}

/** The covered area of the skirt line on a finer grid. */
function coveredOn(grid: PlanGrid, line: SkirtLine): Uint8Array {
  const inside = new Uint8Array(grid.nx * grid.ny)
  for (let j = 0; j < grid.ny; j++)
    for (let i = 0; i < grid.nx; i++)
      inside[j * grid.nx + i] = line.covered[nearestNode(line.grid, grid.x0 + i * grid.h, grid.y0 + j * grid.h)]!
  return inside
}

/**
 * How far the outline must move out so that no point of the fillet lies below the obstacle: an edge radius larger than that
 * of the tube beside it (with its gap) would else cut the tube's corner. Found on the obstacle's own samples; what is left
 * between them is the certificate's to find.
 */
function filletPush(form: UndersideForm, edge: EdgeRows): number {
  const { curve, grid } = form
  const { mx, my } = mitres(curve)
  let push = 0
  for (let k = 0; k < cornerCount(curve); k++) {
    // The last rows of the fillet are as steep as the wall, where samples in plan say nothing; the plan field holds there.
    for (let r = 1; r < edge.wallTop - 1; r++) {
      const row = edge.rows[r]!
      while (push < MOST_PUSH_MM) {
        const z = lowest(grid, form.obstacle, row[3 * k]! + push * mx[k]!, row[3 * k + 1]! + push * my[k]!)
        if (row[3 * k + 2]! >= z - 0.3) break
        push += 0.5
      }
    }
  }
  return push
}

const MOST_PUSH_MM = 150

/** Obstacle between the nodes: straight in both directions, −Infinity where a node around it has none. */
function lowest(grid: PlanGrid, height: Float64Array, x: number, y: number): number {
  const gx = (x - grid.x0) / grid.h
  const gy = ((grid.mirrored && y < 0 ? -y : y) - grid.y0) / grid.h
  const i = Math.floor(gx)
  const j = Math.floor(gy)
  if (i < 0 || j < 0 || i >= grid.nx - 1 || j >= grid.ny - 1) return -Infinity
  const k = j * grid.nx + i
  const u = gx - i
  const v = gy - j
  const low = height[k]! + (u > 0 ? u * (height[k + 1]! - height[k]!) : 0)
  const high = height[k + grid.nx]! + (u > 0 ? u * (height[k + grid.nx + 1]! - height[k + grid.nx]!) : 0)
  const z = low + v * (high - low)
  return Number.isNaN(z) ? -Infinity : z
}
