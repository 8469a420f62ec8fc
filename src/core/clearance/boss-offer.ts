import { type Steps, within } from '../geometry/kernel'
import { square } from '../geometry/portable-math'
import { crownWith, type Sheet } from './crown'
import { bossNodes } from './dress'
import { fillPolygon, type PlanGrid } from './plan-grid'
import type { Boss } from './shape-types'
import { sheetObstacle, sheetOptions, type UndersideForm } from './underside'

/** Metal that lifts the whole sheet by standing proud, and what a boss over it would save. */
export interface BossOffer {
  readonly boss: Boss
  /** Mean fall of the sheet over the whole plan and the volume between, as foretold on a sheet of four times the spacing. */
  readonly lower_mm: number
  readonly volume_mm3: number
  readonly at: readonly [number, number, number]
}

/** Contact places nearer to each other than this are one. */
const TOGETHER_MM = 50
/** Contact that runs further is no single feature. */
const LOCAL_MM = 130
/** At most so many places are tried, the highest first; each costs one rough sheet. */
const TRIED = 2
/** Proud is what stands this much above nearly all of the grown metal. */
const PROUD_MM = 5
const MOSTLY = 0.97
/** Metal within this is left out when a place is tried. */
const LEFT_OUT_MM = 120
/** Below this nobody would machine a boss. */
const LEAST_LITRES = 0.5
const LEAST_MM = 0.5
const DRAFT_DEG = 40

/**
 * Whether the sheet would come down if one feature that it rests on were cleared by a boss: the sheet is solved roughly with
 * the same load, with and without the metal there. The circle offered holds all metal about the place that stands above the
 * lower sheet; where that is wider than a boss may be, nothing is offered.
 */
export function* bossOffer(form: UndersideForm): Steps<BossOffer | null> {
  const { grid, obstacle, base, settings, curve } = form
  const inside = fillPolygon(grid, curve.x, curve.y)
  const metal = obstacle.filter((z, k) => inside[k] === 1 && z > -Infinity).sort()
  if (metal.length === 0) return null
  const high = metal[Math.floor(MOSTLY * (metal.length - 1))]! + PROUD_MM
  // The crest of a tube runs on: only what falls away on all sides can be given a boss, and is worth a rough sheet.
  const places = proudPlaces(grid, base.height, base.contact, high).filter(
    ([x, y, z]) => together(grid, x, y, LOCAL_MM, (i, j) => obstacle[j * grid.nx + i]! > z - PROUD_MM) !== null,
  )
  if (places.length === 0) return null
  const without = (boss: Boss | null) => {
    const bare = sheetObstacle(form, obstacle).slice()
    if (boss)
      bossNodes(grid, [boss]).forEach((mine, k) => {
        if (mine) bare[k] = -Infinity
      })
    return crownWith(sheetOptions(settings, grid, bare, inside), base.load)
  }
  const now = yield* within(0, 0.3, '', without(null))
  let best: BossOffer | null = null
  for (const [x, y, z] of places) {
    const trial: Boss = { name: 'boss', at_mm: [x, y], radius_mm: LEFT_OUT_MM, draft_deg: DRAFT_DEG }
    const lower = yield* without(trial)
    const rough = fillPolygon(now.grid, curve.x, curve.y)
    let sum = 0
    let cells = 0
    for (let k = 0; k < rough.length; k++) {
      if (!rough[k]) continue
      const both = now.grid.mirrored && k >= now.grid.nx ? 2 : 1
      sum += both * (now.height[k]! - lower.height[k]!)
      cells += both
    }
    const lower_mm = sum / Math.max(1, cells)
    const volume_mm3 = sum * square(now.grid.h)
    if (lower_mm < LEAST_MM || volume_mm3 < LEAST_LITRES * 1e6 || (best && best.volume_mm3 >= volume_mm3)) continue
    const circle = circleAbout(grid, obstacle, lower, x, y)
    if (!circle) continue
    const name = `boss ${settings.bosses.length + 1}`
    best = { boss: { name, ...circle, draft_deg: DRAFT_DEG }, lower_mm, volume_mm3, at: [x, y, z] }
  }
  return best
}

/** Middles of the small contacts above a height, highest first: x, y, z. */
function proudPlaces(
  grid: PlanGrid,
  height: Float64Array,
  contact: Uint32Array,
  high: number,
): [number, number, number][] {
  const at = (k: number): [number, number, number] => [
    grid.x0 + (k % grid.nx) * grid.h,
    grid.y0 + Math.floor(k / grid.nx) * grid.h,
    height[k]!,
  ]
  const left = Array.from(contact, at)
  const groups: [number, number, number][][] = []
  while (left.length > 0) {
    const group = [left.pop()!]
    for (let g = 0; g < group.length; g++)
      for (let i = left.length - 1; i >= 0; i--)
        if (square(left[i]![0] - group[g]![0]) + square(left[i]![1] - group[g]![1]) < square(TOGETHER_MM))
          group.push(...left.splice(i, 1))
    groups.push(group)
  }
  return groups
    .filter((group) => group.every((p) => square(p[0] - group[0]![0]) + square(p[1] - group[0]![1]) < square(LOCAL_MM)))
    .map((group) => [0, 1, 2].map((c) => group.reduce((sum, p) => sum + p[c]!, 0) / group.length))
    .map(([x, y, z]): [number, number, number] => [x!, y!, z!])
    .filter((p) => p[2] > high)
    .sort((a, b) => b[2] - a[2] || a[0] - b[0])
    .slice(0, TRIED)
}

/** The least circle, about their middle, round the nodes that stand above the lower sheet and hang together with the place. */
function circleAbout(
  grid: PlanGrid,
  obstacle: Float64Array,
  lower: Sheet,
  x: number,
  y: number,
): Pick<Boss, 'at_mm' | 'radius_mm'> | null {
  const { nx, h, x0, y0 } = grid
  const every = Math.round(lower.grid.h / h)
  const stands = (i: number, j: number): boolean => {
    const a = Math.min(lower.grid.nx - 1, Math.round(i / every))
    const b = Math.min(lower.grid.ny - 1, Math.round(j / every))
    return obstacle[j * nx + i]! > lower.height[b * lower.grid.nx + a]! + PROUD_MM
  }
  const found = together(grid, x, y, LEFT_OUT_MM, stands)?.map(([i, j]): [number, number] => [x0 + i * h, y0 + j * h])
  if (!found) return null
  const middle = (c: 0 | 1) => {
    const all = found.map((p) => p[c])
    return (Math.min(...all) + Math.max(...all)) / 2
  }
  // A feature on the centreline has its other half across it.
  const my = grid.mirrored && found.some((p) => p[1] < h) ? 0 : middle(1)
  const mx = middle(0)
  const radius = Math.sqrt(found.reduce((most, p) => Math.max(most, square(p[0] - mx) + square(p[1] - my)), 0))
  const radius_mm = Math.ceil(radius + 2 * h)
  return radius_mm > 150 ? null : { at_mm: [Math.round(mx), Math.round(my)], radius_mm }
}

/** Nodes that hang together with a place and pass a test; `null` if they reach further from it than asked. */
function together(
  { nx, ny, x0, y0, h }: PlanGrid,
  x: number,
  y: number,
  reach_mm: number,
  test: (i: number, j: number) => boolean,
): [number, number][] | null {
  const start: [number, number] = [Math.round((x - x0) / h), Math.round((y - y0) / h)]
  const seen = new Set<number>()
  const queue = [start]
  const found: [number, number][] = []
  while (queue.length > 0) {
    const [i, j] = queue.pop()!
    if (i < 0 || j < 0 || i >= nx || j >= ny || seen.has(j * nx + i)) continue
    seen.add(j * nx + i)
    // The middle of a contact may itself lie between its nodes.
    if (!test(i, j) && square(i - start[0]) + square(j - start[1]) > 2) continue
    if (square(i - start[0]) + square(j - start[1]) > square(reach_mm / h)) return null
    found.push([i, j])
    queue.push([i + 1, j], [i - 1, j], [i, j + 1], [i, j - 1])
  }
  return found
}
