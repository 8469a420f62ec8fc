import { square, tanDeg } from '../geometry/portable-math'
import { BALL, type Dressing } from './dress'
import type { BearingTube } from './metal-gaps'
import { cornerCount, type PlanCurve } from './plan-curve'
import type { PlanGrid } from './plan-grid'

/** A tube further below the sheet than this gets no strip: it is a leg, or the top does not bear on it there. */
const DEEPEST_MM = 60
/**
 * Radius to which the land is fair along its tube, mm. Beside a joint with metal that asks for more gap the land rises over
 * some 140 mm for a step of 50 mm; with 1500 mm it took 390 mm of the bedding away.
 */
const FAIR_MM = 200
/** Half length of the ball that fairs it, mm: beyond, it has risen by 57 mm. */
const FAIR_REACH_MM = 140
/** Room between the fillet at the edge of the top and a strip's foot, mm. */
const EDGE_ROOM_MM = 12

/**
 * Heights of the lands along the bearing tubes, flanks included; Infinity far from them. Along a tube the land is the least
 * fair line that stays on the obstacle over the whole width of the strip; across, it is level or round about the tube. At the
 * edge of the top, where the fillet needs the sheet as it is, the land rises back into it.
 */
export function landHeights(
  grid: PlanGrid,
  curve: PlanCurve,
  sheet: Float64Array,
  obstacle: Float64Array,
  dressing: Dressing,
): Float64Array {
  const out = new Float64Array(grid.nx * grid.ny).fill(Infinity)
  for (const tube of dressing.bearing) oneLand(grid, curve, sheet, obstacle, dressing, tube, out)
  return out
}

function oneLand(
  grid: PlanGrid,
  curve: PlanCurve,
  sheet: Float64Array,
  obstacle: Float64Array,
  { lands, guard_mm, minRadius_mm, edgeRadius_mm }: Dressing,
  tube: BearingTube,
  out: Float64Array,
): void {
  const { h } = grid
  const slope = 1 / tanDeg(lands.draft_deg)
  const half = lands.width_mm / 2
  // The ball's fillet at the foot of the flank: r tan(half the turn) into the strip, which gets that much more.
  const foot = BALL * minRadius_mm * tanDeg((90 - lands.draft_deg) / 2)
  const wide = half + foot
  const round = tube.radius_mm + tube.gap_mm + guard_mm
  const shape = (d: number) => {
    if (lands.kind === 'flat') return 0
    const e = Math.min(d, half, 0.9 * round)
    return Math.sqrt(round * round - e * e) - round
  }
  const near = nearestOnTube(grid, tube, wide + DEEPEST_MM / slope)
  const bins = Math.max(1, Math.ceil(near.length_mm / h) + 1)
  const line = new Float64Array(bins).fill(-Infinity)
  const above = new Float64Array(bins).fill(-Infinity)
  for (const k of near.nodes) {
    if (near.off[k]! > half) continue
    const b = Math.min(bins - 1, Math.round(near.along[k]! / h))
    line[b] = Math.max(line[b]!, obstacle[k]! - shape(near.off[k]!))
    above[b] = Math.max(above[b]!, sheet[k]!)
  }
  // No strip where the metal is out of sight from above, or far below the sheet.
  for (let b = 0; b < bins; b++) if (!(above[b]! - line[b]! <= DEEPEST_MM)) line[b] = Number.NaN
  const fair = rampedEnds(fairLine(line, h), slope * h)
  const edge = edgeRadius_mm + EDGE_ROOM_MM + foot
  for (const k of near.nodes) {
    const s = Math.min(bins - 1, near.along[k]! / h)
    const b = Math.min(bins - 2 < 0 ? 0 : bins - 2, Math.floor(s))
    const z = bins > 1 ? fair[b]! + (s - b) * (fair[b + 1]! - fair[b]!) : fair[0]!
    if (!Number.isFinite(z)) continue
    const d = near.off[k]!
    const flank = Math.max(0, d - wide) * slope
    if (z + flank - DEEPEST_MM > sheet[k]!) continue
    const fromEdge = distanceToCurve(grid, curve, k)
    out[k] = Math.min(out[k]!, z + shape(d) + flank + Math.max(0, edge - fromEdge) * slope)
  }
}

interface NearTube {
  readonly nodes: readonly number[]
  /** Plan distance to the axis and length along it at the nearest place, at the nodes listed. */
  readonly off: Float64Array
  readonly along: Float64Array
  readonly length_mm: number
}

/** Nodes within a plan distance of the axis, the tube of the other side folded over where the grid is. */
function nearestOnTube(grid: PlanGrid, { axis, closed }: BearingTube, reach: number): NearTube {
  const { nx, ny, x0, y0, h, mirrored } = grid
  const off = new Float64Array(nx * ny).fill(Infinity)
  const along = new Float64Array(nx * ny)
  const n = axis.length / 3
  let length_mm = 0
  for (let s = 0; s + 1 < (closed ? n + 1 : n); s++) {
    const [a, b] = [3 * s, 3 * ((s + 1) % n)]
    const ax = axis[a]!
    const dx = axis[b]! - ax
    const dyReal = axis[b + 1]! - axis[a + 1]!
    const long = Math.sqrt(dx * dx + dyReal * dyReal + square(axis[b + 2]! - axis[a + 2]!))
    for (const side of mirrored ? [1, -1] : [1]) {
      const ay = side * axis[a + 1]!
      const dy = side * dyReal
      if (mirrored && Math.max(ay, ay + dy) < -reach) continue
      const l2 = dx * dx + dy * dy
      const i0 = Math.max(0, Math.ceil((Math.min(ax, ax + dx) - reach - x0) / h))
      const i1 = Math.min(nx - 1, Math.floor((Math.max(ax, ax + dx) + reach - x0) / h))
      const j0 = Math.max(0, Math.ceil((Math.min(ay, ay + dy) - reach - y0) / h))
      const j1 = Math.min(ny - 1, Math.floor((Math.max(ay, ay + dy) + reach - y0) / h))
      for (let j = j0; j <= j1; j++)
        for (let i = i0; i <= i1; i++) {
          const px = x0 + i * h - ax
          const py = y0 + j * h - ay
          const t = l2 > 0 ? Math.min(1, Math.max(0, (px * dx + py * dy) / l2)) : 0
          const d = Math.sqrt(square(px - t * dx) + square(py - t * dy))
          const k = j * nx + i
          if (d > reach || d >= off[k]!) continue
          off[k] = d
          along[k] = length_mm + t * long
        }
    }
    length_mm += long
  }
  const nodes: number[] = []
  for (let k = 0; k < off.length; k++) if (off[k]! < Infinity) nodes.push(k)
  return { nodes, off, along, length_mm }
}

/** The line on or above all its places that a large ball leaves when it rolls along on top; NaN stays NaN. */
function fairLine(line: Float64Array, h: number): Float64Array {
  const n = Math.floor(FAIR_REACH_MM / h)
  const cap = Array.from({ length: n + 1 }, (_, a) => Math.sqrt(FAIR_MM * FAIR_MM - square(a * h)))
  const ball = new Float64Array(line.length)
  for (let b = 0; b < line.length; b++) {
    let most = -Infinity
    for (let a = Math.max(-n, -b); a <= Math.min(n, line.length - 1 - b); a++) {
      const z = line[b + a]!
      if (z > -Infinity) most = Math.max(most, z + cap[Math.abs(a)]!)
    }
    ball[b] = most
  }
  return line.map((z, b) => {
    if (Number.isNaN(z)) return z
    let least = Infinity
    for (let a = Math.max(-n, -b); a <= Math.min(n, line.length - 1 - b); a++)
      least = Math.min(least, ball[b + a]! - cap[Math.abs(a)]!)
    return Math.max(z, least)
  })
}

/** Where a land ends along its tube it rises again at the slope of its flanks. */
function rampedEnds(line: Float64Array, rise: number): Float64Array {
  const out = line.map((z) => (Number.isNaN(z) ? Infinity : z))
  for (let b = 1; b < out.length; b++) if (Number.isNaN(line[b]!)) out[b] = Math.min(out[b]!, out[b - 1]! + rise)
  for (let b = out.length - 2; b >= 0; b--) if (Number.isNaN(line[b]!)) out[b] = Math.min(out[b]!, out[b + 1]! + rise)
  return out
}

function distanceToCurve(grid: PlanGrid, curve: PlanCurve, k: number): number {
  const i = k % grid.nx
  const x = grid.x0 + i * grid.h
  const y = grid.y0 + ((k - i) / grid.nx) * grid.h
  const n = cornerCount(curve)
  let best = Infinity
  for (let c = 0; c < (curve.mirrored ? n - 1 : n); c++) {
    const e = (c + 1) % n
    const dx = curve.x[e]! - curve.x[c]!
    const dy = curve.y[e]! - curve.y[c]!
    const px = x - curve.x[c]!
    const py = y - curve.y[c]!
    const l2 = dx * dx + dy * dy
    const t = l2 > 0 ? Math.min(1, Math.max(0, (px * dx + py * dy) / l2)) : 0
    best = Math.min(best, square(px - t * dx) + square(py - t * dy))
  }
  return Math.sqrt(best)
}
