/**
 * What a cutter leaves standing: the depth of uncut material over every place of a face, along its normal and along z.
 *
 * A place p with normal n is cut clean if the cutter can stand where it touches p: its tip at p + r n + (R − r) n_xy/|n_xy| −
 * (0, 0, r). One exact drop there tells: the tip stands higher by the amount that something else holds it off. Where it does,
 * the depth is the least over all places u of the axis of the way from p along n until it enters the cutter standing on u,
 * found by pattern search with exact drops. Closing on a grid of tips, the usual short cut, is up to 1 mm wrong in a corner at a
 * 2 mm pitch (the crease of the tip surface falls between points), so it only gives starting places here.
 */

import { BLOCK, type Steps } from '../geometry/kernel'
import { square } from '../geometry/portable-math'
import { type CutterRadii, profileHeight_mm } from './cutter'
import { dropAt, type FacetBins } from './drop-at'
import type { DropGrid } from './drop-cutter'
import type { SurfaceSamples } from './surface-samples'

export interface HolderShape {
  readonly radius_mm: number
  /** From the tip to the holder's end. */
  readonly stickOut_mm: number
}

export interface RestOptions {
  readonly bins: FacetBins
  readonly radii: CutterRadii
  /** Tips on a grid, as `dropCutter` gives them (with the holder's lift, if it has one). */
  readonly grid: DropGrid
  readonly tip: Float64Array
  readonly samples: SurfaceSamples
  /** Counted as cut clean below this, mm. */
  readonly clean_mm: number
  /** Holder, where it may touch; left out: it is known not to. */
  readonly holder?: HolderShape
}

export interface RestMaterial {
  /** Along the facet's normal, one per sample, mm; 0 where cut clean. Along z where the normal leads to no way out. */
  readonly normal_mm: Float32Array
  /** Along z, one per sample, mm. On a wall it is many times the other and means little. */
  readonly z_mm: Float32Array
  /** Samples whose depth was searched for exactly. */
  readonly searched: number
  /** Samples that keep the grid's estimate, which is never too small; the budget did not reach them. */
  readonly estimated: number
}

/** Depth beyond which no number is sought. */
export const DEEPEST_MM = 1000

/**
 * Facets that may be tested for exact depths, some seconds' worth. With a cutter that fits nowhere half of a face is left over,
 * and to search all of it would take minutes for figures that nobody needs to hundredths.
 */
const BUDGET_TESTS = 25_000_000
/** The deepest places by estimate come first: the figure that is reported is one of them. */
const DEEPEST_FIRST = 150

export function* restMaterial(options: RestOptions): Steps<RestMaterial> {
  const { samples, radii, clean_mm, bins } = options
  const { R, r } = radii
  const normal_mm = new Float32Array(samples.count)
  const z_mm = new Float32Array(samples.count)
  const drop = standingHeight(options, false)
  const dropCounted = standingHeight(options, true)
  const flagged: number[] = []
  let tests = bins.count.tests
  for (let s = 0; s < samples.count; s++) {
    const { px, py, pz, nx, ny, nz } = placeOf(samples, s)
    const flat = Math.sqrt(nx * nx + ny * ny)
    const out = flat > 1e-12 ? r + (R - r) / flat : 0
    const free = pz + r * (nz - 1)
    if (drop(px + nx * out, py + ny * out, free, free + clean_mm) - free > clean_mm) flagged.push(s)
    if (bins.count.tests - tests > TESTS_A_BLOCK || s % BLOCK === 0) {
      tests = bins.count.tests
      yield (0.3 * s) / samples.count
    }
  }
  const starts: (readonly [number, number])[][] = []
  for (let k = 0; k < flagged.length; k++) {
    const s = flagged[k]!
    const found = estimate(options, placeOf(samples, s))
    normal_mm[s] = found.normal_mm
    z_mm[s] = found.z_mm
    starts.push(found.starts)
    if (k % 64 === 0) yield 0.3 + (0.2 * k) / flagged.length
  }
  const order = searchOrder(flagged, normal_mm)
  const began = bins.count.tests
  let searched = 0
  for (; searched < order.length && bins.count.tests - began < BUDGET_TESTS; searched++) {
    const k = order[searched]!
    const s = flagged[k]!
    const place = placeOf(samples, s)
    const along = patternSearch((x, y, best) => wayOut(radii, dropCounted, place, x, y, best), starts[k]!, R, clean_mm)
    if (along > clean_mm) {
      const up = patternSearch(
        (x, y, best) => heightOver(radii, dropCounted, place, x, y, best),
        starts[k]!,
        R,
        clean_mm,
      )
      normal_mm[s] = along < DEEPEST_MM ? along : up
      z_mm[s] = up
    } else {
      normal_mm[s] = 0
      z_mm[s] = 0
    }
    if (searched % 8 === 0)
      yield 0.5 + 0.5 * Math.max(searched / order.length, (bins.count.tests - began) / BUDGET_TESTS)
  }
  return { normal_mm, z_mm, searched, estimated: order.length - searched }
}

const TESTS_A_BLOCK = 400_000

function placeOf({ place, normal, facet }: SurfaceSamples, s: number): Place {
  const f = 3 * facet[s]!
  return {
    px: place[3 * s]!,
    py: place[3 * s + 1]!,
    pz: place[3 * s + 2]!,
    nx: normal[f]!,
    ny: normal[f + 1]!,
    nz: normal[f + 2]!,
  }
}

/** Numbers into `flagged`: the deepest first, the others in strides, so that what the budget reaches lies all over the face. */
function searchOrder(flagged: readonly number[], depth_mm: Float32Array): number[] {
  const all = flagged.map((_, k) => k)
  const deepest = [...all]
    .sort((a, b) => depth_mm[flagged[b]!]! - depth_mm[flagged[a]!]! || a - b)
    .slice(0, DEEPEST_FIRST)
  const taken = new Set(deepest)
  const order = deepest
  const stride = 17
  for (let from = 0; from < stride; from++)
    for (let k = from; k < all.length; k += stride) if (!taken.has(k)) order.push(k)
  return order
}

interface Place {
  readonly px: number
  readonly py: number
  readonly pz: number
  readonly nx: number
  readonly ny: number
  readonly nz: number
}

/** `known`, `ceiling`: see `dropAt`. */
type Drop = (x: number, y: number, known: number, ceiling: number) => number

/** Tip height over a place: what the cutter rests on, or what holds the holder off. `counted`: towards the budget. */
function standingHeight({ bins, radii, holder }: RestOptions, counted: boolean): Drop {
  if (!holder) return (x, y, known, ceiling) => dropAt(bins, radii, x, y, known, ceiling, counted)
  const disc = { R: holder.radius_mm, r: 0 }
  const out = holder.stickOut_mm
  return (x, y, known, ceiling) => {
    const cut = dropAt(bins, radii, x, y, known, ceiling, counted)
    return cut > ceiling ? cut : dropAt(bins, disc, x, y, cut + out, ceiling + out, counted) - out
  }
}

/** A place of the axis that is of no use, made worse the further off it is, so that the search finds its way. */
const USELESS = 2 * DEEPEST_MM

/** Height of the machined surface over p if the cutter only stood at (x, y), above p. */
function heightOver(radii: CutterRadii, drop: Drop, at: Place, x: number, y: number, best: number): number {
  const rho = Math.sqrt(square(at.px - x) + square(at.py - y))
  const rise = profileHeight_mm(radii, rho)
  if (rise === Infinity) return USELESS + rho
  return Math.max(0, drop(x, y, at.pz - rise, best + at.pz - rise) + rise - at.pz)
}

/** Length along n from p to where it enters the cutter that stands at (x, y). */
function wayOut(radii: CutterRadii, drop: Drop, at: Place, x: number, y: number, best: number): number {
  const { R } = radii
  const ax = at.px - x
  const ay = at.py - y
  // Within the cutter's cylinder from t0 to t1: |a + t m| ≤ R.
  const m2 = at.nx * at.nx + at.ny * at.ny
  const am = ax * at.nx + ay * at.ny
  const a2 = ax * ax + ay * ay
  let t0 = 0
  let t1 = DEEPEST_MM
  if (m2 > 1e-18) {
    const rest = am * am - m2 * (a2 - R * R)
    if (rest < 0) return USELESS + Math.sqrt(a2)
    const root = Math.sqrt(rest)
    t0 = Math.max(0, (-am - root) / m2)
    t1 = Math.min(DEEPEST_MM, (-am + root) / m2)
  } else if (a2 > R * R) return USELESS + Math.sqrt(a2)
  if (t1 < t0) return USELESS + Math.sqrt(a2)
  if (t0 >= best) return t0
  const highest = best < DEEPEST_MM ? at.pz + best * Math.max(0, at.nz) : Infinity
  // The place itself holds the cutter up wherever it lies under it.
  const rho0 = Math.sqrt(a2)
  const known = rho0 < R ? at.pz - profileHeight_mm(radii, rho0) : at.pz - R - DEEPEST_MM
  const tip = drop(x, y, known, highest)
  if (tip > highest) return DEEPEST_MM + tip - highest
  const above = (t: number) => {
    const rho = Math.sqrt(square(ax + t * at.nx) + square(ay + t * at.ny))
    return tip + profileHeight_mm(radii, Math.min(rho, R)) - at.pz - t * at.nz
  }
  if (above(t0) <= 0) return t0
  // `above` is convex: find a place where it is not positive, then halve back to the first zero.
  let low = t0
  let high = Math.min(t1, Math.max(best, t0))
  if (above(high) > 0) {
    let a = t0
    let b = high
    for (let k = 0; k < 60 && b - a > 1e-7; k++) {
      const c = a + (b - a) / 3
      const d = b - (b - a) / 3
      const vc = above(c)
      if (vc <= 0) {
        b = c
        break
      }
      const vd = above(d)
      if (vd <= 0) {
        b = d
        break
      }
      if (vc < vd) b = d
      else a = c
    }
    const still = above(b)
    if (still > 1e-9) return DEEPEST_MM + still
    high = b
  }
  for (let k = 0; k < 50 && high - low > 1e-9; k++) {
    const middle = (low + high) / 2
    if (above(middle) > 0) low = middle
    else high = middle
  }
  return high
}

interface Estimate {
  readonly normal_mm: number
  readonly z_mm: number
  /** Places of the axis to search from, best first. */
  readonly starts: (readonly [number, number])[]
}

/**
 * Depths by the grid's tips alone: the least over grid places, so never too small. The place that serves z best, one half a
 * radius away from it, and places along the normal are asked for the normal.
 */
function estimate(options: RestOptions, at: Place): Estimate {
  const { grid, tip, radii } = options
  const { R, r } = radii
  const hy = grid.hy ?? grid.h
  const i0 = Math.max(0, Math.ceil((at.px - R - grid.x0) / grid.h))
  const i1 = Math.min(grid.nx - 1, Math.floor((at.px + R - grid.x0) / grid.h))
  const j0 = Math.max(0, Math.ceil((at.py - R - grid.y0) / hy))
  const j1 = Math.min(grid.ny - 1, Math.floor((at.py + R - grid.y0) / hy))
  const found: [number, number][] = []
  let z = Infinity
  for (let round = 0; round < 2; round++) {
    let best = Infinity
    let bestX = 0
    let bestY = 0
    for (let j = j0; j <= j1; j++)
      for (let i = i0; i <= i1; i++) {
        const height = tip[j * grid.nx + i]!
        if (height >= best) continue
        const x = grid.x0 + i * grid.h
        const y = grid.y0 + j * hy
        if (round === 1 && square(x - found[0]![0]) + square(y - found[0]![1]) < (R * R) / 4) continue
        const over = height + profileHeight_mm(radii, Math.sqrt(square(x - at.px) + square(y - at.py)))
        if (over < best) {
          best = over
          bestX = x
          bestY = y
        }
      }
    if (best === Infinity) break
    if (round === 0) z = Math.max(0, best - at.pz)
    found.push([bestX, bestY])
  }
  const flat = Math.sqrt(at.nx * at.nx + at.ny * at.ny)
  const out = flat > 1e-12 ? r + (R - r) / flat : 0
  const natural = [at.px + at.nx * out, at.py + at.ny * out] as const
  const tries: (readonly [number, number])[] = [...found, natural]
  if (flat > 0.05)
    for (const reach of [1.25, 1.5, 2, 3])
      tries.push([at.px + (at.nx / flat) * reach * R, at.py + (at.ny / flat) * reach * R])
  const onGrid: Drop = (x, y) => {
    const i = Math.round((x - grid.x0) / grid.h)
    const j = Math.round((y - grid.y0) / hy)
    return i < 0 || j < 0 || i >= grid.nx || j >= grid.ny ? Infinity : tip[j * grid.nx + i]!
  }
  const asked = tries.map(([x, y]) => {
    const gx = grid.x0 + Math.round((x - grid.x0) / grid.h) * grid.h
    const gy = grid.y0 + Math.round((y - grid.y0) / hy) * hy
    return { x, y, way: wayOut(radii, onGrid, at, gx, gy, Infinity) }
  })
  const least = Math.min(...asked.map((a) => a.way))
  const ranked = asked.filter((_, k) => k >= 3).sort((p, q) => p.way - q.way)
  const starts: (readonly [number, number])[] = [natural, ...found]
  if (ranked[0] && ranked[0].way < DEEPEST_MM) starts.push([ranked[0].x, ranked[0].y])
  return {
    normal_mm: least < DEEPEST_MM ? least : z === Infinity ? DEEPEST_MM : z,
    z_mm: z === Infinity ? DEEPEST_MM : z,
    starts,
  }
}

const COMPASS = [
  [1, 0],
  [0, 1],
  [-1, 0],
  [0, -1],
  [0.7, 0.7],
  [-0.7, 0.7],
  [-0.7, -0.7],
  [0.7, -0.7],
] as const

const FIRST_STEP_MM = 2.5
/** Step at which a search ends, mm: the value is then good to a few thousandths. */
const LAST_STEP_MM = 0.01

/** Least value found from any of the starts; the search ends where it is `enough` already. */
function patternSearch(
  value: (x: number, y: number, best: number) => number,
  starts: readonly (readonly [number, number])[],
  R: number,
  enough: number,
): number {
  let least = Infinity
  for (const [sx, sy] of starts) {
    let x = sx
    let y = sy
    let best = value(x, y, Infinity)
    for (let step = Math.min(R / 4, FIRST_STEP_MM); step > LAST_STEP_MM; ) {
      let moved = false
      for (const [cx, cy] of COMPASS) {
        const v = value(x + step * cx, y + step * cy, best)
        if (v <= enough) return v
        if (v < best - 1e-7) {
          best = v
          x += step * cx
          y += step * cy
          moved = true
        }
      }
      if (best <= enough) return best
      if (best > least + 4 * step) break // what is left of this search cannot bring it below the other
      if (!moved) step *= 0.5
    }
    if (best < least) least = best
  }
  return least
}
