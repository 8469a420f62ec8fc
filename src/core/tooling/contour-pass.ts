/**
 * Passes at level heights along the steep parts of a face, as polylines of the cutter's tip.
 *
 * On a wall of a few degrees, passes side by side in plan stand twenty times too far apart along the surface (C06). A level
 * pass at height z runs where the tip's surface is z: found as contours on a grid of tips, each crossing then sharpened with exact
 * drops, and each move halved until the drop at its middle is no higher.
 */

import type { Steps } from '../geometry/kernel'
import { square } from '../geometry/portable-math'
import { type CutterShape, cutterRadii } from './cutter'
import { dropAt, type FacetBins } from './drop-at'
import type { DropGrid } from './drop-cutter'
import { GOUGE_MM, type Passes, PassList } from './raster-pass'

export interface ContourOptions {
  readonly bins: FacetBins
  readonly cutter: CutterShape
  /** Tips on a grid over the face and beyond its rim. */
  readonly grid: DropGrid
  readonly tip: Float64Array
  /** Heights of the passes, mm. */
  readonly levels_mm: readonly number[]
  /** Steeper than this the passes are kept: rise over run of the tip's surface. */
  readonly leastSlope: number
}

interface Crossing {
  x: number
  y: number
  steep: boolean
}

/** `known`: heights up to this are of no interest, and come back as it. */
type Drop = (x: number, y: number, known?: number) => number

/**
 * @returns level polylines, the high side on the left, only where the tips' surface is at least as steep as asked
 *
 * @example const wall = drain(contourPasses({ bins, cutter, grid, tip, levels_mm: [10, 12, 14], leastSlope: 1 }))
 */
export function* contourPasses(options: ContourOptions): Steps<Passes> {
  const { levels_mm } = options
  const out = new PassList()
  for (let n = 0; n < levels_mm.length; n++) {
    levelPass(options, levels_mm[n]!, out)
    yield (n + 1) / levels_mm.length
  }
  return out.passes()
}

function levelPass(options: ContourOptions, z: number, out: PassList): void {
  const { grid, tip, bins, cutter, leastSlope } = options
  const { nx, ny, h } = grid
  const hy = grid.hy ?? h
  const radii = cutterRadii(cutter)
  const drop: Drop = (x, y, known) => dropAt(bins, radii, x, y, known)
  const up = (i: number, j: number) => tip[j * nx + i]! >= z
  // Crossed grid edges: 2 (j nx + i) for the one along x, + 1 for the one along y.
  const next = new Map<number, number>()
  const link = (a: number, b: number) => next.set(a, b)
  for (let j = 0; j + 1 < ny; j++)
    for (let i = 0; i + 1 < nx; i++) {
      const code = (up(i, j) ? 1 : 0) + (up(i + 1, j) ? 2 : 0) + (up(i + 1, j + 1) ? 4 : 0) + (up(i, j + 1) ? 8 : 0)
      if (code === 0 || code === 15) continue
      const k = j * nx + i
      const [south, east, north, west] = [2 * k, 2 * (k + 1) + 1, 2 * (k + nx), 2 * k + 1]
      // The high side on the left.
      switch (code) {
        case 1:
          link(south, west)
          break
        case 2:
          link(east, south)
          break
        case 3:
          link(east, west)
          break
        case 4:
          link(north, east)
          break
        case 5:
          link(south, east)
          link(north, west)
          break
        case 6:
          link(north, south)
          break
        case 7:
          link(north, west)
          break
        case 8:
          link(west, north)
          break
        case 9:
          link(south, north)
          break
        case 10:
          link(east, north)
          link(west, south)
          break
        case 11:
          link(east, north)
          break
        case 12:
          link(west, east)
          break
        case 13:
          link(south, east)
          break
        case 14:
          link(west, south)
          break
      }
    }
  const crossing = (key: number): Crossing => {
    const k = key >> 1
    const i = k % nx
    const j = (k / nx) | 0
    const alongX = key % 2 === 0
    const [x0, y0] = [grid.x0 + i * h, grid.y0 + j * hy]
    const [dx, dy] = alongX ? [h, 0] : [0, hy]
    const a = tip[k]!
    const b = tip[alongX ? k + 1 : k + nx]!
    const steep =
      slopeAt(options, i, j) >= leastSlope || slopeAt(options, alongX ? i + 1 : i, alongX ? j : j + 1) >= leastSlope
    if (!steep) return { x: x0, y: y0, steep }
    // The side that is too high is never taken: `low` always holds a place where the tip is at most z.
    let [low, high] = a < z ? [0, 1] : [1, 0]
    let [zLow, zHigh] = a < z ? [a, b] : [b, a]
    for (let round = 0; round < 12 && Math.abs(high - low) * h > 1e-4; round++) {
      const share = Number.isFinite(zLow) && round % 3 !== 2 ? (z - zLow) / (zHigh - zLow) : 0.5
      const t = low + Math.min(0.95, Math.max(0.05, share)) * (high - low)
      const value = drop(x0 + t * dx, y0 + t * dy)
      if (value <= z) {
        low = t
        zLow = value
        if (z - value < NEAR_MM) break
      } else {
        high = t
        zHigh = value
      }
    }
    return { x: x0 + low * dx, y: y0 + low * dy, steep }
  }
  const incoming = new Set(next.values())
  const starts = [...next.keys()].filter((k) => !incoming.has(k)).concat([...next.keys()])
  for (const first of starts) {
    if (!next.has(first)) continue
    let run: Crossing[] = []
    const end = () => {
      writeRun(run, z, drop, out)
      run = []
    }
    const begin = crossing(first)
    let point = begin
    for (let key = first; ; ) {
      if (point.steep) run.push(point)
      else end()
      const to = next.get(key)
      if (to === undefined) break
      next.delete(key)
      if (to === first) {
        if (begin.steep) run.push(begin)
        break
      }
      key = to
      point = crossing(key)
    }
    end()
  }
}

/** One run of crossings as a polyline, with what has to stand between them. */
function writeRun(run: readonly Crossing[], z: number, drop: Drop, out: PassList): void {
  for (let k = 0; k < run.length; k++) {
    if (k > 0) {
      const [p, q] = [run[k - 1]!, run[k]!]
      // Evenly bent before and after: nothing stands between that they do not show.
      const uneven = Math.abs(bendOf(run[k - 2], p, q) - bendOf(p, q, run[k + 1]))
      const sag = (uneven * (square(q.x - p.x) + square(q.y - p.y))) / 8
      joinSafely(p, q, z, drop, out, 0, sag < EVEN_MM ? EVEN_ASK_MM : ASK_MM)
    }
    out.push(run[k]!.x, run[k]!.y, z)
  }
  out.end()
}

/** One over the radius of the circle through three points, positive to the left; NaN where there are not three. */
function bendOf(a: Crossing | undefined, b: Crossing, c: Crossing | undefined): number {
  if (!a || !c) return Number.NaN
  const twice = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
  const sides = [
    [b.x - a.x, b.y - a.y],
    [c.x - b.x, c.y - b.y],
    [c.x - a.x, c.y - a.y],
  ].reduce((product, [x, y]) => product * Math.sqrt(x! * x! + y! * y!), 1)
  return sides > 0 ? (2 * twice) / sides : Number.NaN
}

/** Rise over run of the tip's surface about a grid point; Infinity at a rim. */
function slopeAt({ grid, tip }: ContourOptions, i: number, j: number): number {
  const { nx, ny, h } = grid
  const hy = grid.hy ?? h
  const [i0, i1, j0, j1] = [Math.max(0, i - 1), Math.min(nx - 1, i + 1), Math.max(0, j - 1), Math.min(ny - 1, j + 1)]
  const dx = (tip[j * nx + i1]! - tip[j * nx + i0]!) / ((i1 - i0) * h)
  const dy = (tip[j1 * nx + i]! - tip[j0 * nx + i]!) / ((j1 - j0) * hy)
  const slope = Math.sqrt(dx * dx + dy * dy)
  return Number.isNaN(slope) ? 0 : slope
}

const ASK_MM = 0.5
/** Where the bend before and after differs by less than this at the middle of a move, fewer questions do. */
const EVEN_MM = 0.002
const EVEN_ASK_MM = 2
/** A pass may run this much below its height's own place, which on a slope of 40 degrees is as much to the side. */
const NEAR_MM = 0.004

/** Points between two, moved to the low side where the straight way would cut in. The low side lies to the right. */
function joinSafely(
  a: { x: number; y: number },
  b: { x: number; y: number },
  z: number,
  drop: Drop,
  out: PassList,
  depth: number,
  ask_mm: number,
): void {
  const dx = b.x - a.x
  const dy = b.y - a.y
  const length = Math.sqrt(dx * dx + dy * dy)
  if (length < 0.02 || depth > 14) return
  // Asked every so often; the highest place that stands too high is where the way is bent aside.
  const asks = Math.max(2, Math.ceil(length / ask_mm))
  let worst = z + GOUGE_MM / 2
  let at = -1
  for (let k = 1; k < asks; k++) {
    const height = drop(a.x + (k / asks) * dx, a.y + (k / asks) * dy, worst)
    if (height > worst) {
      worst = height
      at = k / asks
    }
  }
  if (at < 0) return
  const x = a.x + at * dx
  const y = a.y + at * dy
  const nx = dy / length
  const ny = -dx / length
  let reach = 0.05
  while (reach < 2 * length + 1 && drop(x + reach * nx, y + reach * ny, z) > z) reach *= 2
  let low = 0
  for (let k = 0; k < 14 && reach - low > 2e-4; k++) {
    const t = (low + reach) / 2
    if (drop(x + t * nx, y + t * ny, z) > z) low = t
    else reach = t
  }
  const middle = { x: x + reach * nx, y: y + reach * ny }
  joinSafely(a, middle, z, drop, out, depth + 1, ASK_MM)
  out.push(middle.x, middle.y, z)
  joinSafely(middle, b, z, drop, out, depth + 1, ASK_MM)
}
