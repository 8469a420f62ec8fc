/**
 * Locked facets grouped into regions that hang together by shared edges: each with its area, deepest point, cause, and the
 * pull by which it alone would leave.
 */
import type { Direction } from '../geometry/axes'
import { BLOCK, type Steps, within } from '../geometry/kernel'
import type { FacetShape } from '../geometry/measure'
import { asinDeg } from '../geometry/portable-math'
import { wayAhead_mm } from './columns'
import { type DepthMap, depthByMap, exactDepth } from './locked-depth'
import { ownPull } from './own-pull'
import { blockedAtMiddle } from './plan-bins'
import { facetSides, planView, SIDE } from './plan-view'
import type { UndercutRegion } from './types'

/** Regions listed one by one, largest first; the others are counted. */
const MOST_REGIONS = 100
/** Points of a region that are measured exactly: the deepest by the height map. */
const EXACT_POINTS = 12
/** Every so many facets of a region are looked at first: what they find lets most of the others be dismissed at a glance. */
const FIRST_STRIDE = 29
/** Facets longer than this many cells of the height map are looked at on a lattice about this fine. */
const LATTICE_CELLS = 8
const MOST_LATTICE = 32
const MOST_CLIMBS = 200
/** Regions for which a loose piece is tried, and the facets that may be looked at for it in all. */
const MOST_LOOSE = 12
const LOOSE_BUDGET = 3_000_000

export interface UndercutRegions {
  readonly regions: UndercutRegion[]
  readonly count: number
  readonly depth_mm: number
  readonly regionOf: Int32Array
}

/**
 * @param across  three per facet, from `adjacency`
 * @param corners of the covered pieces of large facets: u, v, w, facet
 */
export function* undercutRegions(
  map: DepthMap,
  shape: FacetShape,
  across: Int32Array,
  corners: readonly number[],
): Steps<UndercutRegions> {
  const { share } = map
  const { side, view } = map.columns
  const { uvw, mesh } = view
  const { indices } = mesh
  const facets = share.length
  // Flood over shared edges.
  const component = new Int32Array(facets).fill(-1)
  const members: number[][] = []
  const stack: number[] = []
  let flooded = 0
  for (let seed = 0; seed < facets; seed++) {
    if (share[seed] === 0 || component[seed] !== -1) continue
    const own: number[] = []
    component[seed] = members.length
    stack.push(seed)
    for (let f = stack.pop(); f !== undefined; f = stack.pop()) {
      own.push(f)
      if (++flooded % (2 * BLOCK) === 0) yield (0.08 * flooded) / facets
      for (let k = 0; k < 3; k++) {
        const g = across[3 * f + k]!
        if (g < 0 || share[g] === 0 || component[g] !== -1) continue
        component[g] = members.length
        stack.push(g)
      }
    }
    members.push(own)
  }
  const area = members.map((own) => own.reduce((sum, f) => sum + share[f]! * shape.areas_mm2[f]!, 0))
  yield 0.09
  const order = members.map((_, i) => i).sort((i, k) => area[k]! - area[i]! || i - k)
  const listed = order.slice(0, MOST_REGIONS)
  const numberOf = new Int32Array(members.length).fill(-2)
  listed.forEach((c, i) => {
    numberOf[c] = i
  })
  const regionOf = component.map((c) => (c < 0 ? -1 : numberOf[c]!))

  // Corners of covered pieces by region.
  const pieces = new Map<number, number[]>()
  for (let i = 0; i < corners.length; i += 4) {
    const f = corners[i + 3]!
    const c = component[f]!
    if (c < 0) continue
    const list = pieces.get(c) ?? []
    list.push(corners[i]!, corners[i + 1]!, corners[i + 2]!)
    pieces.set(c, list)
  }

  const looked = new Uint32Array(uvw.length / 3)
  const tried = Math.max(1, Math.min(MOST_LOOSE, Math.floor(LOOSE_BUDGET / facets)))
  let deepest = 0
  const regions: UndercutRegion[] = []
  for (let i = 0; i < order.length; i++) {
    const c = order[i]!
    const own = members[c]!
    const isListed = i < listed.length
    const found: Place[] = []
    // A listed region wants its own depth; of the others only what is deeper than anything yet matters.
    let floor = isListed ? 0 : deepest
    const look = (f: number, u: number, v: number, w: number) => {
      const d = depthByMap(map, u, v, w, Math.max(0, floor - 2 * map.cell_mm))
      if (d <= floor - 2 * map.cell_mm) return
      found.push({ f, u, v, w, d })
      if (d > floor) floor = d
    }
    const list = pieces.get(c) ?? []
    for (let k = 0; k < list.length; k += 3) look(-1, list[k]!, list[k + 1]!, list[k + 2]!)
    for (let n = 0; n < own.length; n++) {
      if (n % (BLOCK >> 2) === 0) yield 0.1 + (0.9 * i) / order.length
      // A prime stride, round and round: all facets once, the first turn spread over the region.
      const f = own[strided(n, own.length)]!
      const p = 3 * indices[3 * f]!
      const q = 3 * indices[3 * f + 1]!
      const r = 3 * indices[3 * f + 2]!
      const cuts = latticeOf(map, p, q, r)
      if (cuts === 1) {
        // A vertex of several facets of the region is looked at once.
        if (looked[p / 3] !== c + 1) look(-1, uvw[p]!, uvw[p + 1]!, uvw[p + 2]!)
        if (looked[q / 3] !== c + 1) look(-1, uvw[q]!, uvw[q + 1]!, uvw[q + 2]!)
        if (looked[r / 3] !== c + 1) look(-1, uvw[r]!, uvw[r + 1]!, uvw[r + 2]!)
        looked[p / 3] = c + 1
        looked[q / 3] = c + 1
        looked[r / 3] = c + 1
        continue
      }
      for (let a = 0; a <= cuts; a++)
        for (let b = 0; a + b <= cuts; b++) {
          const s = a / cuts
          const t = b / cuts
          const at = (k: number) => uvw[p + k]! + s * (uvw[q + k]! - uvw[p + k]!) + t * (uvw[r + k]! - uvw[p + k]!)
          look(f, at(0), at(1), at(2))
        }
    }
    found.sort((a, b) => b.d - a.d)
    let depth = 0
    let at: Place = found[0] ?? middleOf(map, own[0]!)
    const seen = new Set<string>()
    for (const place of found) {
      // The height map never says less than the truth, so nothing later can be deeper.
      if (place.d <= depth || seen.size >= EXACT_POINTS) break
      const key = `${place.u} ${place.v} ${place.w}`
      if (seen.has(key)) continue
      seen.add(key)
      yield 0.1 + (0.9 * i) / order.length
      const d = exactDepth(map, place.u, place.v, place.w, place.d)
      if (d > depth) {
        depth = d
        at = place
      }
    }
    if (isListed && at.f >= 0) {
      at = climb(map, { ...at, d: depth })
      depth = at.d
    }
    if (depth > deepest) deepest = depth
    if (isListed) {
      const away = own.some((f) => side[f] === SIDE.away)
      const blocked = own.some((f) => side[f] !== SIDE.away)
      const { u, v, w } = view
      const leaves = ownPull(shape.normals, own)?.pull ?? null
      regions.push({
        area_mm2: area[c]!,
        facets: own.length,
        at: [
          at.u * u[0] + at.v * v[0] + at.w * w[0] + mesh.origin[0],
          at.u * u[1] + at.v * v[1] + at.w * w[1] + mesh.origin[1],
          at.u * u[2] + at.v * v[2] + at.w * w[2] + mesh.origin[2],
        ],
        depth_mm: depth,
        meetsAfter_mm: blocked ? yield* meetsAfter(map, own, list, 0.1 + (0.9 * i) / order.length) : null,
        min_deg: leastDraft_deg(shape.normals, own, view.w),
        cause: away && blocked ? 'both' : away ? 'facing-away' : 'blocked',
        ownPull: leaves,
        looseFrees: leaves && i < tried ? yield* looseFrees(map, own, leaves, 0.1 + (0.9 * i) / order.length) : null,
      })
    }
    yield 0.1 + (0.9 * i) / order.length
  }
  return { regions, count: members.length, depth_mm: deepest, regionOf }
}

interface Place {
  /** Facet to climb on, or −1. */
  readonly f: number
  readonly u: number
  readonly v: number
  readonly w: number
  readonly d: number
}

/** Facets of one region that are looked along: more would only find the same. */
const MOST_LOOKED = 20_000

/** Least way ahead of the covered part of a region, looked at in the middles of its facets and at the corners of cut pieces. */
function* meetsAfter(
  map: DepthMap,
  own: readonly number[],
  corners: readonly number[],
  done: number,
): Steps<number | null> {
  const { columns } = map
  let least = Infinity
  for (let k = 0; k < corners.length; k += 3) {
    if (k % (3 * BLOCK) === 0) yield done
    least = Math.min(least, wayAhead_mm(columns, corners[k]!, corners[k + 1]!, corners[k + 2]!))
  }
  const step = Math.max(1, Math.floor(own.length / MOST_LOOKED))
  for (let n = 0; n < own.length; n += step) {
    if (n % (BLOCK >> 2) === 0) yield done
    if (columns.side[own[n]!] !== SIDE.front) continue
    const { u, v, w } = middleOf(map, own[n]!)
    least = Math.min(least, wayAhead_mm(columns, u, v, w))
  }
  return least < Infinity ? least : null
}

/** Does nothing of the part stand before these facets along their own pull? Judged at their middles. */
function* looseFrees(map: DepthMap, own: readonly number[], pull: Direction, done: number): Steps<boolean> {
  const { mesh } = map.columns.view
  const along = yield* within(done, done, 'undercut', planView(mesh, pull))
  const side = yield* within(done, done, 'undercut', facetSides(along))
  const only = new Uint8Array(map.share.length)
  for (const f of own) only[f] = 1
  const blocked = yield* within(done, done, 'undercut', blockedAtMiddle(along, side, only))
  return own.every((f) => blocked[f] === 0)
}

/** The n-th of `count` things taken in strides: 0, 29, 58, …, 1, 30, … */
function strided(n: number, count: number): number {
  const perTurn = Math.ceil(count / FIRST_STRIDE)
  // Turns whose start lies past the remainder are one shorter.
  const long = count - (perTurn - 1) * FIRST_STRIDE
  if (n < long * perTurn) return Math.floor(n / perTurn) + FIRST_STRIDE * (n % perTurn)
  const rest = n - long * perTurn
  return long + Math.floor(rest / (perTurn - 1)) + FIRST_STRIDE * (rest % (perTurn - 1))
}

function leastDraft_deg(normals: Float32Array, own: readonly number[], w: Direction): number {
  let least = 1
  for (const f of own)
    least = Math.min(least, normals[3 * f]! * w[0] + normals[3 * f + 1]! * w[1] + normals[3 * f + 2]! * w[2])
  return asinDeg(Math.max(-1, least))
}

/** Steps along the sides of a facet at which it is looked at: 1 (its corners) for a small one. */
function latticeOf(map: DepthMap, p: number, q: number, r: number): number {
  const { uvw } = map.columns.view
  let longest2 = 0
  for (const [i, k] of [
    [p, q],
    [q, r],
    [r, p],
  ] as const) {
    const du = uvw[k]! - uvw[i]!
    const dv = uvw[k + 1]! - uvw[i + 1]!
    longest2 = Math.max(longest2, du * du + dv * dv)
  }
  const cells = Math.sqrt(longest2) / map.cell_mm
  return cells < LATTICE_CELLS ? 1 : Math.min(MOST_LATTICE, 2 * Math.ceil(cells / (2 * LATTICE_CELLS)))
}

/** Moves a deep point about on its own large facet to where it is deepest: steps of a lattice cell, halved until they are small. */
function climb(map: DepthMap, from: Place): Place {
  const { uvw, mesh } = map.columns.view
  const p = 3 * mesh.indices[3 * from.f]!
  const q = 3 * mesh.indices[3 * from.f + 1]!
  const r = 3 * mesh.indices[3 * from.f + 2]!
  const bu = uvw[q]! - uvw[p]!
  const bv = uvw[q + 1]! - uvw[p + 1]!
  const cu = uvw[r]! - uvw[p]!
  const cv = uvw[r + 1]! - uvw[p + 1]!
  const twice = bu * cv - bv * cu
  let best = from
  let step = LATTICE_CELLS * map.cell_mm
  for (let tries = 0; tries < MOST_CLIMBS && step > map.cell_mm / 64; ) {
    let moved = false
    for (let k = 0; k < 8; k++) {
      const u = best.u + step * COMPASS[2 * k]!
      const v = best.v + step * COMPASS[2 * k + 1]!
      const s = ((u - uvw[p]!) * cv - (v - uvw[p + 1]!) * cu) / twice
      const t = ((v - uvw[p + 1]!) * bu - (u - uvw[p]!) * bv) / twice
      if (!(s >= 0 && t >= 0 && s + t <= 1)) continue
      const w = uvw[p + 2]! + s * (uvw[q + 2]! - uvw[p + 2]!) + t * (uvw[r + 2]! - uvw[p + 2]!)
      tries++
      const limit = depthByMap(map, u, v, w, best.d)
      if (limit <= best.d) continue
      const d = exactDepth(map, u, v, w, limit)
      if (d > best.d) {
        best = { f: best.f, u, v, w, d }
        moved = true
        break
      }
    }
    if (!moved) step /= 2
  }
  return best
}

const COMPASS = [1, 0, 0, 1, -1, 0, 0, -1, 0.7, 0.7, -0.7, 0.7, -0.7, -0.7, 0.7, -0.7]

function middleOf(map: DepthMap, f: number): Place {
  const { uvw, mesh } = map.columns.view
  const a = 3 * mesh.indices[3 * f]!
  const b = 3 * mesh.indices[3 * f + 1]!
  const c = 3 * mesh.indices[3 * f + 2]!
  const mean = (k: number) => (uvw[a + k]! + uvw[b + k]! + uvw[c + k]!) / 3
  return { f: -1, u: mean(0), v: mean(1), w: mean(2), d: 0 }
}
