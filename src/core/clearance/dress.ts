import { square, tanDeg } from '../geometry/portable-math'
import { ballClosing, leastRadiusWhere, widened } from './ball-closing'
import { landHeights } from './lands'
import type { BearingTube } from './metal-gaps'
import type { PlanCurve } from './plan-curve'
import type { PlanGrid } from './plan-grid'
import type { Boss, LandSetting } from './shape-types'
import type { BossMade } from './types'
import type { UndersideForm } from './underside'

/** What is shaped into the fair sheet afterwards, and where. */
export interface Dressing {
  readonly bosses: readonly Boss[]
  readonly lands: LandSetting
  readonly bearing: readonly BearingTube[]
  /** Gap and guard of the bearing tubes together are those of the obstacle; this is the guard alone, mm. */
  readonly guard_mm: number
  readonly minRadius_mm: number
  readonly edgeRadius_mm: number
}

export interface Dressed {
  readonly height: Float64Array
  /** 1 where the sheet was changed: these nodes are meshed one by one. */
  readonly fine: Uint8Array
  /** Least upward-curved radius where it was changed; Infinity where nothing was. */
  readonly leastRadius_mm: number
}

/** Balls are this much larger than the radius asked: on samples a few millimetres apart a ball leaves a tighter curve. */
export const BALL = 1.45
/** A change below this is none, mm. */
const CHANGE_MM = 0.02

export const isPlain = ({ bosses, lands, bearing }: Dressing): boolean =>
  bosses.length === 0 && (lands.kind === 'none' || bearing.length === 0)

/** How far each boss rises above the fair sheet, and its highest place. */
export function bossesMade({ grid, base, crown, dressing }: UndersideForm): BossMade[] {
  return dressing.bosses.map((boss) => {
    let rise_mm = 0
    let top_mm = -Infinity
    bossNodes(grid, [boss]).forEach((mine, k) => {
      if (!mine) return
      rise_mm = Math.max(rise_mm, crown.height[k]! - base.height[k]!)
      top_mm = Math.max(top_mm, crown.height[k]!)
    })
    return { name: boss.name, at_mm: boss.at_mm, rise_mm, top_mm: Number.isFinite(top_mm) ? top_mm : 0 }
  })
}

/** 1 within the plan radius of a boss: metal there does not lift the sheet. */
export function bossNodes(grid: PlanGrid, bosses: readonly Boss[]): Uint8Array {
  const out = new Uint8Array(grid.nx * grid.ny)
  for (const boss of bosses) {
    const [x, y] = middleOf(grid, boss)
    for (let j = 0; j < grid.ny; j++)
      for (let i = 0; i < grid.nx; i++) {
        const d2 = square(grid.x0 + i * grid.h - x) + square(grid.y0 + j * grid.h - y)
        if (d2 <= boss.radius_mm * boss.radius_mm) out[j * grid.nx + i] = 1
      }
  }
  return out
}

const middleOf = (grid: PlanGrid, { at_mm }: Boss): readonly [number, number] => [
  at_mm[0],
  grid.mirrored ? Math.abs(at_mm[1]) : at_mm[1],
]

/**
 * Bosses and landing strips in a fair sheet. A boss is the obstacle within its circle, its flanks at the boss's draft, and
 * the greater of it and the sheet; a strip is the lesser of the sheet and a land along the tube with flanks at its draft,
 * never below the obstacle. Then a ball rolls over all that was changed, so that no upward curve is tighter than asked.
 *
 * @param sheet    the fair sheet, solved without the metal of the bosses
 * @param obstacle all metal, raised where a certificate fell short; one per node
 */
export function dress(
  grid: PlanGrid,
  curve: PlanCurve,
  sheet: Float64Array,
  obstacle: Float64Array,
  inside: Uint8Array,
  dressing: Dressing,
): Dressed {
  const height = sheet.slice()
  if (isPlain(dressing)) return { height, fine: new Uint8Array(height.length), leastRadius_mm: Infinity }
  if (dressing.lands.kind !== 'none') {
    const land = landHeights(grid, curve, sheet, obstacle, dressing)
    for (let k = 0; k < height.length; k++)
      if (inside[k] && land[k]! < height[k]!) height[k] = Math.max(land[k]!, obstacle[k]!)
  }
  for (const boss of dressing.bosses) raiseBoss(grid, height, obstacle, boss)
  // Where a certificate fell short on a flank, outside the circle of the boss.
  for (let k = 0; k < height.length; k++) if (inside[k] && obstacle[k]! > height[k]!) height[k] = obstacle[k]!
  const changed = new Uint8Array(height.length)
  for (let k = 0; k < height.length; k++) if (Math.abs(height[k]! - sheet[k]!) > CHANGE_MM) changed[k] = 1
  const border = widened(grid, changed, 1)
  const rolled = ballClosing(grid, height, border, BALL * dressing.minRadius_mm)
  const fine = new Uint8Array(height.length)
  for (let k = 0; k < fine.length; k++) if (changed[k] || Math.abs(rolled[k]! - sheet[k]!) > CHANGE_MM) fine[k] = 1
  const wide = widened(grid, fine, 1)
  return { height: rolled, fine: wide, leastRadius_mm: leastRadiusWhere(grid, rolled, wide) }
}

/** The nodes of the boss that stand above the sheet, each with a cone at the boss's draft under it. */
function raiseBoss(grid: PlanGrid, height: Float64Array, obstacle: Float64Array, boss: Boss): void {
  const { nx, ny, h, x0, y0, mirrored } = grid
  const slope = 1 / tanDeg(boss.draft_deg)
  const [x, y] = middleOf(grid, boss)
  const base = height.slice()
  const mine = bossNodes(grid, [boss])
  for (let k = 0; k < mine.length; k++) {
    if (!mine[k] || !(obstacle[k]! > base[k]!)) continue
    const i = k % nx
    const j = (k - i) / nx
    const reach = Math.ceil((obstacle[k]! - lowestAbout(grid, base, x, y, boss.radius_mm)) / slope / h) + 1
    for (let b = -reach; b <= reach; b++) {
      const row = j + b < 0 && mirrored ? -(j + b) : j + b
      if (row < 0 || row >= ny) continue
      for (let a = Math.max(0, i - reach); a <= Math.min(nx - 1, i + reach); a++) {
        const z = obstacle[k]! - slope * h * Math.sqrt(square(a - i) + b * b)
        if (z > height[row * nx + a]!) height[row * nx + a] = z
      }
    }
  }

  function lowestAbout(of: PlanGrid, heights: Float64Array, cx: number, cy: number, radius: number): number {
    let least = Infinity
    const wide = radius + 100
    for (let j = Math.max(0, Math.floor((cy - wide - y0) / h)); j <= Math.min(ny - 1, (cy + wide - y0) / h); j += 4)
      for (let i = Math.max(0, Math.floor((cx - wide - x0) / h)); i <= Math.min(nx - 1, (cx + wide - x0) / h); i += 4)
        least = Math.min(least, heights[j * of.nx + i]!)
    return least
  }
}
