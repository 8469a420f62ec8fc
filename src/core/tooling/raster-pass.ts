/**
 * Finishing passes side by side over the whole face, as polylines of the cutter's tip.
 *
 * The points of a pass are exact drops, but straight moves between exact points still cut into a rounded edge (0.43 mm at a 2 mm
 * pitch, half of the moves there). So the tip is dropped far more densely than needed, moves are halved where the surface of
 * tips bends down between two drops until the drop at the middle agrees, and only then are points left out again, never to cut
 * deeper than `GOUGE_MM`.
 */
import { type Steps, within } from '../geometry/kernel'
import type { ContactMesh } from './contact'
import { type CutterShape, cutterRadii } from './cutter'
import { dropAt, type FacetBins } from './drop-at'
import { dropCutter } from './drop-cutter'

/** Polylines one after the other. */
export interface Passes {
  /** x y z of the tip, mm, tool axes. Three per point. */
  readonly points: Float32Array
  /** First point of each polyline, and one more for the end. */
  readonly start: Uint32Array
}

export interface RasterOptions {
  readonly contact: ContactMesh
  readonly bins: FacetBins
  readonly cutter: CutterShape
  /** Plan box of the passes, mm. */
  readonly min: readonly [number, number]
  readonly max: readonly [number, number]
  readonly along: 'x' | 'y'
  readonly stepOver_mm: number
  /** Closed line in plan, x y pairs, that the axis stays within; left out: the box alone. */
  readonly within?: ArrayLike<number>
}

/** Deepest cut of a straight move below the face that is let pass, mm; Float32 takes part of it. */
export const GOUGE_MM = 0.002
/** How far above the tips' surface a move may run, mm. */
const CHORD_MM = 0.01
/**
 * Drops along a pass. To draw the grid twice as densely costs less than the single drops that it saves: at 0.2 mm the round of
 * a 10 mm ball over a sharp edge bends by no more than a line may miss.
 */
const DENSE_MM = 0.2
/** A move shorter than this is not halved again: the tip jumps there, and the cutter is lifted first. */
const SHORTEST_MM = 0.02
const POINTS_AT_ONCE = 3_000_000

export function* rasterPasses(options: RasterOptions): Steps<Passes> {
  const { contact, cutter, min, max, stepOver_mm } = options
  const swap = options.along === 'y'
  const [a0, a1, c0, c1] = swap ? [min[1], max[1], min[0], max[0]] : [min[0], max[0], min[1], max[1]]
  const n = Math.max(2, Math.ceil((a1 - a0) / DENSE_MM) + 1)
  const h = (a1 - a0) / (n - 1)
  const rows = Math.max(1, Math.ceil((c1 - c0) / stepOver_mm) + 1)
  const pitch = rows > 1 ? (c1 - c0) / (rows - 1) : 1
  const rowsAtOnce = Math.max(1, Math.floor(POINTS_AT_ONCE / n))
  const drop = singleDrop(options)
  const bend_mm = cutterRadii(cutter).r >= ROUND_MM ? ROUND_BEND_MM : SHARP_BEND_MM
  const out = new PassList()
  for (let from = 0; from < rows; from += rowsAtOnce) {
    const count = Math.min(rowsAtOnce, rows - from)
    const grid = swap
      ? { x0: c0 + from * pitch, y0: a0, h: pitch, hy: h, nx: count, ny: n }
      : { x0: a0, y0: c0 + from * pitch, h, hy: pitch, nx: n, ny: count }
    const share = (k: number) => (from + k * count) / rows
    const tip = yield* within(share(0), share(0.7), 'passes', dropCutter(contact, cutter, grid))
    for (let r = 0; r < count; r++) {
      const c = c0 + (from + r) * pitch
      const at: number[] = []
      const z: number[] = []
      const spans = options.within ? spansOf(options.within, c, swap) : null
      // Every other row backwards, as the cutter would run.
      const back = (from + r) % 2 === 1
      for (let i = 0; i < n; i++) {
        const k = back ? n - 1 - i : i
        const height = tip[swap ? k * count + r : r * n + k]!
        if (height === -Infinity || (spans && !inSpans(spans, a0 + k * h))) {
          flush(out, at, z, c, swap, drop, bend_mm)
          continue
        }
        at.push(a0 + k * h)
        z.push(height)
      }
      flush(out, at, z, c, swap, drop, bend_mm)
      if (r % 8 === 0) yield share(0.7 + (0.3 * r) / count)
    }
  }
  return out.passes()
}

/** Where a row runs inside a closed line, from–to pairs in order. */
function spansOf(line: ArrayLike<number>, c: number, swap: boolean): Float64Array {
  const [a, b] = swap ? [1, 0] : [0, 1] // along and across
  const cuts: number[] = []
  const n = line.length / 2
  for (let k = 0, j = n - 1; k < n; j = k++) {
    const [cj, ck] = [line[2 * j + b]!, line[2 * k + b]!]
    if (cj > c === ck > c) continue
    cuts.push(line[2 * j + a]! + ((c - cj) / (ck - cj)) * (line[2 * k + a]! - line[2 * j + a]!))
  }
  return Float64Array.from(cuts).sort()
}

function inSpans(spans: Float64Array, v: number): boolean {
  for (let k = 0; k + 1 < spans.length; k += 2) if (v >= spans[k]! && v <= spans[k + 1]!) return true
  return false
}

/** Collects polylines in growing arrays. */
export class PassList {
  private points = new Float32Array(1 << 16)
  private used = 0
  private readonly starts: number[] = [0]

  push(x: number, y: number, z: number): void {
    if (this.used + 3 > this.points.length) {
      const larger = new Float32Array(2 * this.points.length)
      larger.set(this.points)
      this.points = larger
    }
    this.points[this.used] = x
    this.points[this.used + 1] = y
    // Rounded up: half a Float32 step must not cost what the tolerance leaves.
    const low = Math.fround(z)
    this.points[this.used + 2] = low < z ? Math.fround(z + 1e-5) : low
    this.used += 3
  }

  /** Ends the polyline; one of a single point is dropped. */
  end(): void {
    const last = this.starts.at(-1)!
    const count = this.used / 3
    if (count - last < 2) this.used = 3 * last
    else this.starts.push(count)
  }

  passes(): Passes {
    return { points: this.points.slice(0, this.used), start: Uint32Array.from(this.starts) }
  }
}

type Drop = (along: number, across: number) => number

function singleDrop({ bins, cutter, along }: RasterOptions): Drop {
  const radii = cutterRadii(cutter)
  return along === 'y' ? (a, c) => dropAt(bins, radii, c, a) : (a, c) => dropAt(bins, radii, a, c)
}

/** Writes one run of dense drops as a polyline and empties the run. */
function flush(out: PassList, at: number[], z: number[], c: number, swap: boolean, drop: Drop, bend_mm: number): void {
  if (at.length > 1) {
    const [fineAt, fineZ] = refine(at, z, c, drop, bend_mm)
    for (const k of keep(fineAt, fineZ)) {
      if (swap) out.push(c, fineAt[k]!, fineZ[k]!)
      else out.push(fineAt[k]!, c, fineZ[k]!)
    }
    out.end()
  }
  at.length = 0
  z.length = 0
}

/** Drops between two drops wherever the surface of tips bends there by more than a line may miss. */
function refine(
  at: readonly number[],
  z: readonly number[],
  c: number,
  drop: Drop,
  bend_mm: number,
): [number[], number[]] {
  const n = at.length
  const outAt: number[] = [at[0]!]
  const outZ: number[] = [z[0]!]
  const bend = (k: number) => (k > 0 && k < n - 1 ? z[k]! - (z[k - 1]! + z[k + 1]!) / 2 : 0)
  let before = bend(0)
  for (let k = 0; k + 1 < n; k++) {
    const after = bend(k + 1)
    // A kink inside a move shows at one of its ends by at least its height over the chord: up, it gouges; down, it leaves stock.
    // On a slope a height counts by its cosine: what matters is how far the cutter's body moves across the face.
    const lean = leanOf(at[k + 1]! - at[k]!, z[k + 1]! - z[k]!)
    const most = Math.max(before, after)
    const least = Math.min(before, after)
    if (most > bend_mm * lean || least < -CHORD_MM * lean || Math.abs(z[k + 1]! - z[k]!) > JUMP_MM)
      halve(at[k]!, z[k]!, at[k + 1]!, z[k + 1]!, c, drop, outAt, outZ)
    outAt.push(at[k + 1]!)
    outZ.push(z[k + 1]!)
    before = after
  }
  return [outAt, outZ]
}

/**
 * Bend between neighbouring drops from which on a move is halved. Where tips come from a rounded cutter their surface is the
 * highest of smooth ones: its ridges are as round as the cutter, only its valleys have kinks, so a chord runs a quarter of the
 * bend deep at most. A flat's ridges may be sharp, and a chord as deep as the bend.
 */
const ROUND_BEND_MM = 0.006
const SHARP_BEND_MM = 0.002
const ROUND_MM = 2
/** So steep a move may hide a step of a flat cutter. */
const JUMP_MM = 6

/** 1/cos of the slope of a move. */
function leanOf(run: number, rise: number): number {
  const slope = rise / run
  return Math.sqrt(1 + slope * slope)
}

function halve(
  a: number,
  za: number,
  b: number,
  zb: number,
  c: number,
  drop: Drop,
  outAt: number[],
  outZ: number[],
): void {
  const m = (a + b) / 2
  const zm = drop(m, c)
  const straight = (za + zb) / 2
  if (Math.abs(b - a) < SHORTEST_MM) {
    if (zm > straight + GOUGE_MM) {
      // A step: up first, then across; or across first, then down.
      const top = Math.max(za, zb, zm)
      outAt.push(a, b)
      outZ.push(top, top)
    }
    return
  }
  const agree = (GOUGE_MM / 4) * leanOf(b - a, zb - za)
  if (Math.abs(zm - straight) <= agree) {
    // An S agrees at its middle: the quarters have to as well.
    const q1 = drop((a + m) / 2, c)
    const q3 = drop((m + b) / 2, c)
    if (Math.abs(q1 - (za + zm) / 2) <= agree && Math.abs(q3 - (zm + zb) / 2) <= agree) {
      outAt.push((a + m) / 2, m, (m + b) / 2)
      outZ.push(q1, zm, q3)
      return
    }
  }
  halve(a, za, m, zm, c, drop, outAt, outZ)
  outAt.push(m)
  outZ.push(zm)
  halve(m, zm, b, zb, c, drop, outAt, outZ)
}

/** Points that are kept: between two of them the straight move runs no deeper than GOUGE under, nor CHORD over, any left out. */
function keep(at: readonly number[], z: readonly number[]): number[] {
  const kept = [0]
  let from = 0
  let low = -Infinity
  let high = Infinity
  const gouge = GOUGE_MM / 2
  for (let k = 1; k < at.length; k++) {
    const run = Math.abs(at[k]! - at[from]!)
    const slope = run > 0 ? (z[k]! - z[from]!) / run : z[k]! >= z[from]! ? Infinity : -Infinity
    if (k > from + 1 && (slope < low || slope > high || run === 0)) {
      from = k - 1
      kept.push(from)
      low = -Infinity
      high = Infinity
      const short = Math.abs(at[k]! - at[from]!)
      if (short > 0) {
        const lean = leanOf(short, z[k]! - z[from]!)
        low = (z[k]! - gouge * lean - z[from]!) / short
        high = (z[k]! + CHORD_MM * lean - z[from]!) / short
      } else {
        from = k
        kept.push(k)
      }
      continue
    }
    if (run === 0) {
      from = k
      kept.push(k)
      low = -Infinity
      high = Infinity
      continue
    }
    const lean = leanOf(run, z[k]! - z[from]!)
    low = Math.max(low, (z[k]! - gouge * lean - z[from]!) / run)
    high = Math.min(high, (z[k]! + CHORD_MM * lean - z[from]!) / run)
  }
  if (kept.at(-1) !== at.length - 1) kept.push(at.length - 1)
  return kept
}
