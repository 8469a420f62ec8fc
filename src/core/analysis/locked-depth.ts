/**
 * Locked depth: the least move across the pull after which a point could leave along it.
 *
 * A point at height w is free where its column is open: nothing of the mesh stands above w there. Its depth is the distance
 * in plan to the nearest open place. This gives h cot(a) for a dovetail groove (G47), and the width of the hidden ring for a
 * mushroom (G48). A height map with a pyramid of lowest values finds the nearest open cell; the deepest points of a
 * region are then measured exactly to the borders that open the column.
 */
import { BLOCK, type Steps } from '../geometry/kernel'
import { type Columns, isCovered } from './columns'
import { SIDE, touch_mm } from './plan-view'

/** Cells along the longer side of the height map. */
const CELLS = 512
/** Facets that may be looked at in all for exact distances; past that the height map's distance stands. */
const EXACT_BUDGET = 20_000_000

export interface DepthMap {
  readonly columns: Columns
  /** Size of a cell, mm. */
  readonly cell_mm: number
  readonly u0: number
  readonly v0: number
  /** Least height in each block, finest level first; sides are powers of two. −Infinity where nothing stands. */
  readonly levels: readonly Float32Array[]
  readonly size: number
  readonly contour: Uint8Array
  /** Share of each facet that is covered, 0…1; `away` facets 1. */
  readonly share: Float32Array
  readonly stamp: Uint32Array
  round: number
  budget: number
}

/** Draws the height map. Cells are sampled at their middles, so that an open cell is an open place. */
export function* depthMap(columns: Columns, contour: Uint8Array, share: Float32Array): Steps<DepthMap> {
  const { view, side } = columns
  const { uvw, mesh, min, max } = view
  const { indices } = mesh
  const longest = Math.max(max[0] - min[0], max[1] - min[1], 1e-9)
  // A border of two cells all round stays empty: beyond the mesh every column is open.
  const cell = longest / (CELLS - 5)
  const u0 = min[0] - 2.5 * cell
  const v0 = min[1] - 2.5 * cell
  const height = new Float32Array(CELLS * CELLS).fill(-Infinity)
  const lift = 2 * touch_mm(view)
  for (let f = 0; f < side.length; f++) {
    if (side[f] === SIDE.wall) continue
    const a = 3 * indices[3 * f]!
    const b = 3 * indices[3 * f + 1]!
    const c = 3 * indices[3 * f + 2]!
    const au = (uvw[a]! - u0) / cell - 0.5
    const av = (uvw[a + 1]! - v0) / cell - 0.5
    const bu = (uvw[b]! - u0) / cell - 0.5
    const bv = (uvw[b + 1]! - v0) / cell - 0.5
    const cu = (uvw[c]! - u0) / cell - 0.5
    const cv = (uvw[c + 1]! - v0) / cell - 0.5
    // Metal begins at a facet that faces away: its own points are not free, so it stands a little higher.
    const raise = side[f] === SIDE.away ? lift : 0
    const twice = (bu - au) * (cv - av) - (bv - av) * (cu - au)
    const slopeU = ((uvw[b + 2]! - uvw[a + 2]!) * (cv - av) - (uvw[c + 2]! - uvw[a + 2]!) * (bv - av)) / twice
    const slopeV = ((uvw[c + 2]! - uvw[a + 2]!) * (bu - au) - (uvw[b + 2]! - uvw[a + 2]!) * (cu - au)) / twice
    const base = uvw[a + 2]! - slopeU * au - slopeV * av + raise
    const top = Math.max(uvw[a + 2]!, uvw[b + 2]!, uvw[c + 2]!) + raise
    const low = Math.min(uvw[a + 2]!, uvw[b + 2]!, uvw[c + 2]!) + raise
    const j0 = Math.ceil(Math.min(av, bv, cv))
    const j1 = Math.floor(Math.max(av, bv, cv))
    for (let j = j0; j <= j1; j++) {
      let from = Infinity
      let to = -Infinity
      for (let k = 0; k < 3; k++) {
        const pu = k === 0 ? au : k === 1 ? bu : cu
        const pv = k === 0 ? av : k === 1 ? bv : cv
        const qu = k === 0 ? bu : k === 1 ? cu : au
        const qv = k === 0 ? bv : k === 1 ? cv : av
        if (pv < j === qv < j && pv !== j && qv !== j) continue
        const u = pv === qv ? pu : pu + ((qu - pu) * (j - pv)) / (qv - pv)
        if (u < from) from = u
        if (u > to) to = u
        if (pv === qv && qu > to) to = qu
        if (pv === qv && qu < from) from = qu
      }
      const i1 = Math.floor(to)
      for (let i = Math.ceil(from); i <= i1; i++) {
        const at = j * CELLS + i
        const w = Math.min(top, Math.max(low, base + slopeU * i + slopeV * j))
        if (w > height[at]!) height[at] = w
      }
    }
    if (f % (2 * BLOCK) === 0) yield (0.9 * f) / side.length
  }
  const levels = [height]
  for (let size = CELLS / 2; size >= 1; size /= 2) {
    const fine = levels[levels.length - 1]!
    const coarse = new Float32Array(size * size)
    for (let j = 0; j < size; j++)
      for (let i = 0; i < size; i++) {
        const at = 2 * j * 2 * size + 2 * i
        coarse[j * size + i] = Math.min(fine[at]!, fine[at + 1]!, fine[at + 2 * size]!, fine[at + 2 * size + 1]!)
      }
    levels.push(coarse)
  }
  return {
    columns,
    cell_mm: cell,
    u0,
    v0,
    levels,
    size: CELLS,
    contour,
    share,
    stamp: new Uint32Array(side.length),
    round: 0,
    budget: EXACT_BUDGET,
  }
}

const stack = new Int32Array(3 * 256)

/**
 * Distance in plan from (u, v) to the middle of the nearest cell that is open at height w, mm: never less than the depth, and
 * more by at most a cell's diagonal unless the opening is narrower than a cell.
 *
 * @param enough the search ends as soon as something this near is found, mm
 */
export function depthByMap(map: DepthMap, u: number, v: number, w: number, enough: number): number {
  const { levels, cell_mm, u0, v0 } = map
  const x = (u - u0) / cell_mm
  const y = (v - v0) / cell_mm
  const from = w + touch_mm(map.columns.view)
  const stop = (enough / cell_mm) * (enough / cell_mm)
  let best = Infinity
  let top = 0
  stack[top++] = levels.length - 1
  stack[top++] = 0
  stack[top++] = 0
  while (top > 0) {
    const j = stack[--top]!
    const i = stack[--top]!
    const level = stack[--top]!
    const side = 1 << level
    // Distance to the nearest middle of a cell in this block.
    const dx = Math.max(i * side + 0.5 - x, 0, x - ((i + 1) * side - 0.5))
    const dy = Math.max(j * side + 0.5 - y, 0, y - ((j + 1) * side - 0.5))
    const d = dx * dx + dy * dy
    if (d >= best || levels[level]![j * (map.size >> level) + i]! > from) continue
    if (level === 0) {
      best = d
      if (best <= stop) break
      continue
    }
    // The quarter that holds the point, or lies nearest, is pushed last and so looked at first.
    const ni = x >= (i + 0.5) * side ? 1 : 0
    const nj = y >= (j + 0.5) * side ? 1 : 0
    for (let k = 0; k < 4; k++) {
      stack[top++] = level - 1
      stack[top++] = 2 * i + (k === 0 || k === 2 ? 1 - ni : ni)
      stack[top++] = 2 * j + (k === 0 || k === 1 ? 1 - nj : nj)
    }
  }
  return Math.sqrt(best) * cell_mm
}

/**
 * The depth of one point, exactly: the nearest place in plan on a free facet below w, or just beyond a contour above w
 * that has nothing more ahead of it.
 *
 * @param limit what the height map found; nothing further away is looked for
 */
export function exactDepth(map: DepthMap, u: number, v: number, w: number, limit: number): number {
  const { columns: grid, contour, share, stamp } = map
  const { view, side, columns, rows, perU, perV, start, facet } = grid
  const { uvw, mesh } = view
  const { indices } = mesh
  if (map.budget <= 0) return limit
  const touch = touch_mm(view)
  const open = w + touch
  const i0 = Math.max(0, Math.floor((u - limit - view.min[0]) * perU))
  const i1 = Math.min(columns - 1, Math.floor((u + limit - view.min[0]) * perU))
  const j0 = Math.max(0, Math.floor((v - limit - view.min[1]) * perV))
  const j1 = Math.min(rows - 1, Math.floor((v + limit - view.min[1]) * perV))
  const round = ++map.round
  let best = limit * limit
  const beyond: { d2: number; u: number; v: number }[] = []
  const polygon: number[] = []
  const point = { u: 0, v: 0, d2: 0 }
  for (let j = j0; j <= j1; j++)
    for (let cell = j * columns + i0; cell <= j * columns + i1; cell++) {
      map.budget -= start[cell + 1]! - start[cell]!
      for (let at = start[cell]!; at < start[cell + 1]!; at++) {
        const f = facet[at]!
        if (stamp[f] === round) continue
        stamp[f] = round
        const corner = [3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!]
        const free = side[f] === SIDE.front && share[f] === 0
        if (free) {
          below(polygon, uvw, corner, open)
          if (polygon.length >= 4 && nearestOn(polygon, u, v, point) && point.d2 < best) best = point.d2
        }
        if (contour[f] === 0) continue
        for (let k = 0; k < 3; k++) {
          if (!((contour[f]! >> k) & 1)) continue
          const p = corner[k]!
          const q = corner[(k + 1) % 3]!
          higherPart(polygon, uvw, p, q, open)
          if (polygon.length < 4) continue
          nearestOnSegment(polygon, 0, 2, u, v, point)
          if (point.d2 < best) beyond.push({ d2: point.d2, u: point.u, v: point.v })
        }
      }
    }
  beyond.sort((a, b) => a.d2 - b.d2)
  for (const place of beyond) {
    if (place.d2 >= best) break
    const d = Math.sqrt(place.d2)
    if (!(d > 0)) continue
    // A step beyond the contour: far enough to be off its facets' edges, near enough to belong to it.
    const ahead = touch / d
    const pu = place.u + (place.u - u) * ahead
    const pv = place.v + (place.v - v) * ahead
    if (!isCovered(grid, pu, pv, w, touch)) best = place.d2
  }
  return Math.sqrt(best)
}

/** The part of a facet that lies not above `height`, in plan. */
function below(out: number[], uvw: Float64Array, corner: readonly number[], height: number): void {
  out.length = 0
  for (let k = 0; k < 3; k++) {
    const p = corner[k]!
    const q = corner[(k + 1) % 3]!
    const hp = uvw[p + 2]! - height
    const hq = uvw[q + 2]! - height
    if (hp <= 0) out.push(uvw[p]!, uvw[p + 1]!)
    if (hp < 0 !== hq < 0 && hp !== 0 && hq !== 0) {
      const t = hp / (hp - hq)
      out.push(uvw[p]! + t * (uvw[q]! - uvw[p]!), uvw[p + 1]! + t * (uvw[q + 1]! - uvw[p + 1]!))
    }
  }
}

/** The part of an edge that lies above `height`, in plan: four numbers, or none. */
function higherPart(out: number[], uvw: Float64Array, p: number, q: number, height: number): void {
  out.length = 0
  const hp = uvw[p + 2]! - height
  const hq = uvw[q + 2]! - height
  if (hp <= 0 && hq <= 0) return
  out.push(uvw[p]!, uvw[p + 1]!, uvw[q]!, uvw[q + 1]!)
  if (hp > 0 && hq > 0) return
  const t = hp / (hp - hq)
  const u = uvw[p]! + t * (uvw[q]! - uvw[p]!)
  const v = uvw[p + 1]! + t * (uvw[q + 1]! - uvw[p + 1]!)
  const at = hp < 0 ? 0 : 2
  out[at] = u
  out[at + 1] = v
}

interface PlanPoint {
  u: number
  v: number
  d2: number
}

function nearestOnSegment(p: readonly number[], i: number, k: number, u: number, v: number, out: PlanPoint): void {
  const du = p[k]! - p[i]!
  const dv = p[k + 1]! - p[i + 1]!
  const length2 = du * du + dv * dv
  const t = length2 > 0 ? Math.max(0, Math.min(1, ((u - p[i]!) * du + (v - p[i + 1]!) * dv) / length2)) : 0
  out.u = p[i]! + t * du
  out.v = p[i + 1]! + t * dv
  out.d2 = (out.u - u) * (out.u - u) + (out.v - v) * (out.v - v)
}

/** Nearest point of a convex anticlockwise polygon (or a segment). */
function nearestOn(polygon: readonly number[], u: number, v: number, out: PlanPoint): boolean {
  const n = polygon.length
  let inside = n >= 6
  let best = Infinity
  let bestU = 0
  let bestV = 0
  for (let i = 0; i < n; i += 2) {
    const k = (i + 2) % n
    nearestOnSegment(polygon, i, k, u, v, out)
    if (out.d2 < best) {
      best = out.d2
      bestU = out.u
      bestV = out.v
    }
    const eu = polygon[k]! - polygon[i]!
    const ev = polygon[k + 1]! - polygon[i + 1]!
    if (eu * (v - polygon[i + 1]!) - ev * (u - polygon[i]!) < 0) inside = false
  }
  out.u = inside ? u : bestU
  out.v = inside ? v : bestV
  out.d2 = inside ? 0 : best
  return best < Infinity
}
