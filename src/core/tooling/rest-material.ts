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
  /** Samples whose depth was searched for. */
  readonly searched: number
}

/** Depth beyond which no number is sought. */
export const DEEPEST_MM = 1000

export function* restMaterial(options: RestOptions): Steps<RestMaterial> {
  const { samples, radii, clean_mm } = options
  const { R, r } = radii
  const normal_mm = new Float32Array(samples.count)
  const z_mm = new Float32Array(samples.count)
  const drop = standingHeight(options)
  let searched = 0
  let work = 0
  for (let s = 0; s < samples.count; s++) {
    const f = 3 * samples.facet[s]!
    const nx = samples.normal[f]!
    const ny = samples.normal[f + 1]!
    const nz = samples.normal[f + 2]!
    const px = samples.place[3 * s]!
    const py = samples.place[3 * s + 1]!
    const pz = samples.place[3 * s + 2]!
    const flat = Math.sqrt(nx * nx + ny * ny)
    const out = flat > 1e-12 ? r + (R - r) / flat : 0
    const ux = px + nx * out
    const uy = py + ny * out
    const free = pz + r * (nz - 1)
    work++
    if (drop(ux, uy, free, free + clean_mm) - free > clean_mm) {
      searched++
      work += 500
      const place: Place = { px, py, pz, nx, ny, nz }
      const starts = [[ux, uy] as const, ...gridStarts(options, place)]
      const along = patternSearch((x, y, best) => wayOut(radii, drop, place, x, y, best), starts, R, clean_mm)
      if (along > clean_mm) {
        const up = patternSearch((x, y, best) => heightOver(radii, drop, place, x, y, best), starts, R, clean_mm)
        normal_mm[s] = along < DEEPEST_MM ? along : up
        z_mm[s] = up
      }
    }
    if (work >= BLOCK) {
      work = 0
      yield s / samples.count
    }
  }
  return { normal_mm, z_mm, searched }
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

/** Tip height over a place: what the cutter rests on, or what holds the holder off. */
function standingHeight({ bins, radii, holder }: RestOptions): Drop {
  if (!holder) return (x, y, known, ceiling) => dropAt(bins, radii, x, y, known, ceiling)
  const disc = { R: holder.radius_mm, r: 0 }
  const out = holder.stickOut_mm
  return (x, y, known, ceiling) => {
    const cut = dropAt(bins, radii, x, y, known, ceiling)
    return cut > ceiling ? cut : dropAt(bins, disc, x, y, cut + out, ceiling + out) - out
  }
}

/** A place of the axis that is of no use, made worse the further off it is, so that the search finds its way. */
const USELESS = 2 * DEEPEST_MM

/** Height of the machined surface over p if the cutter only stood at (x, y), above p. */
function heightOver(radii: CutterRadii, drop: Drop, at: Place, x: number, y: number, best: number): number {
  const rho = Math.sqrt((at.px - x) ** 2 + (at.py - y) ** 2)
  const rise = profileHeight_mm(radii, rho)
  if (rise === Infinity) return USELESS + rho
  return Math.max(0, drop(x, y, at.pz - radii.R - DEEPEST_MM, best + at.pz - rise) + rise - at.pz)
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
  const tip = drop(x, y, at.pz - R - DEEPEST_MM, highest)
  if (tip > highest) return DEEPEST_MM + tip - highest
  const above = (t: number) => {
    const rho = Math.sqrt((ax + t * at.nx) ** 2 + (ay + t * at.ny) ** 2)
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

/** Grid places that leave least over p: two at most, R/2 apart. */
function gridStarts({ grid, tip, radii }: RestOptions, at: Place): (readonly [number, number])[] {
  const { R } = radii
  const hy = grid.hy ?? grid.h
  const i0 = Math.max(0, Math.ceil((at.px - R - grid.x0) / grid.h))
  const i1 = Math.min(grid.nx - 1, Math.floor((at.px + R - grid.x0) / grid.h))
  const j0 = Math.max(0, Math.ceil((at.py - R - grid.y0) / hy))
  const j1 = Math.min(grid.ny - 1, Math.floor((at.py + R - grid.y0) / hy))
  const found: [number, number][] = []
  for (let round = 0; round < 2; round++) {
    let best = Infinity
    let bestX = 0
    let bestY = 0
    for (let j = j0; j <= j1; j++)
      for (let i = i0; i <= i1; i++) {
        const x = grid.x0 + i * grid.h
        const y = grid.y0 + j * hy
        if (round === 1 && (x - found[0]![0]) ** 2 + (y - found[0]![1]) ** 2 < (R * R) / 4) continue
        const z = tip[j * grid.nx + i]! + profileHeight_mm(radii, Math.sqrt((x - at.px) ** 2 + (y - at.py) ** 2))
        if (z < best) {
          best = z
          bestX = x
          bestY = y
        }
      }
    if (best === Infinity) break
    found.push([bestX, bestY])
  }
  return found
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
    for (let step = R / 4; step > LAST_STEP_MM; ) {
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
