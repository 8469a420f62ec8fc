/**
 * How much of one facet has something ahead of it along the pull, with the border found and not sampled.
 *
 * The covered part of a facet changes only where, seen along the pull, a contour passes above it (an edge where the surface
 * turns over, or ends), or where another facet passes through its plane. The facet is cut along exactly these lines, as a
 * binary space partition in plan, until no line is left inside a piece; one column then settles each piece. A 2-facet plate
 * under a 64-sided mushroom takes some 200 pieces and is exact; halving the facet evenly still left 0.2 % after 131,072.
 */
import { NON_MANIFOLD, RIM } from '../geometry/adjacency'
import { BLOCK, type Steps } from '../geometry/kernel'
import { type Columns, isCovered } from './columns'
import { type PlanView, SIDE, touch_mm } from './plan-view'

/** Lines nearer to a piece's border than this many Float32 steps lie on it. */
const BORDER_STEPS = 4
/** With more lines than this a piece is first halved, so that long chains do not cost their square. */
const MANY_LINES = 12

/**
 * Bit k is set where the edge from corner k to corner k + 1 is a contour: a rim, or the surface turns over there. An edge
 * between two facets is marked on one of them.
 */
export function* contourBits(view: PlanView, side: Uint8Array, across: Int32Array): Steps<Uint8Array> {
  const { indices } = view.mesh
  const bits = new Uint8Array(side.length)
  for (let f = 0; f < side.length; f++) {
    const s = side[f]!
    if (s === SIDE.wall) continue
    for (let k = 0; k < 3; k++) {
      const g = across[3 * f + k]!
      if (g !== RIM && g !== NON_MANIFOLD) {
        const other = side[g]!
        if (other === s) {
          // Turned neighbours (both run the edge the same way) lie on the same side of it in plan: a fold.
          const a = indices[3 * f + k]!
          const b = indices[3 * f + ((k + 1) % 3)]!
          if (!runs(indices, g, a, b)) continue
        }
        if (other !== SIDE.wall && g < f) continue
      }
      bits[f]! |= 1 << k
    }
    if (f % (4 * BLOCK) === 0) yield f / side.length
  }
  return bits
}

function runs(indices: Uint32Array, g: number, a: number, b: number): boolean {
  for (let k = 0; k < 3; k++) if (indices[3 * g + k] === a && indices[3 * g + ((k + 1) % 3)] === b) return true
  return false
}

/** What `cutFacet` adds to, from facet to facet. */
export interface Cutting {
  readonly columns: Columns
  readonly contour: Uint8Array
  /** Facets seen in this gathering, by its number. */
  readonly stamp: Uint32Array
  round: number
  /** Pieces that may still be made; past that a piece is judged by its middle and its area goes to the bound. */
  budget: number
  pieces: number
  /** Area in plan that could be wrong, mm2. */
  bound_mm2: number
  /** Corners of covered pieces, u v w and facet number, four per corner: where the locked depth is looked for. */
  readonly corners: number[]
}

export function startCutting(columns: Columns, contour: Uint8Array, budget: number): Cutting {
  return {
    columns,
    contour,
    stamp: new Uint32Array(contour.length),
    round: 0,
    budget,
    pieces: 0,
    bound_mm2: 0,
    corners: [],
  }
}

/** @returns share of the facet (0…1) that is covered; `f` must be a `front` facet. Yields 0: a single facet may take a second. */
export function* cutFacet(cutting: Cutting, f: number): Steps<number> {
  const { view } = cutting.columns
  const { uvw, mesh } = view
  const a = 3 * mesh.indices[3 * f]!
  const b = 3 * mesh.indices[3 * f + 1]!
  const c = 3 * mesh.indices[3 * f + 2]!
  const au = uvw[a]!
  const av = uvw[a + 1]!
  const bu = uvw[b]! - au
  const bv = uvw[b + 1]! - av
  const cu = uvw[c]! - au
  const cv = uvw[c + 1]! - av
  const aw = uvw[a + 2]!
  const bw = uvw[b + 2]! - aw
  const cw = uvw[c + 2]! - aw
  const twice = bu * cv - bv * cu
  const slopeU = (bw * cv - cw * bv) / twice
  const slopeV = (cw * bu - bw * cu) / twice
  // The facet's own plane: w = base + slopeU u + slopeV v.
  const plane: Plane = { base: aw - slopeU * au - slopeV * av, slopeU, slopeV }
  const lines = yield* gather(cutting, f, plane)
  const outline = [au, av, au + bu, av + bv, au + cu, av + cv]
  const covered = yield* partition(cutting, f, plane, outline, lines)
  return Math.max(0, Math.min(1, covered / (twice / 2)))
}

interface Plane {
  readonly base: number
  readonly slopeU: number
  readonly slopeV: number
}

/** Border lines above the facet, four numbers each: u v of both ends. */
function* gather(cutting: Cutting, f: number, plane: Plane): Steps<number[]> {
  const { columns: grid, contour, stamp } = cutting
  const { view, columns, perU, perV, start, facet, top } = grid
  const { uvw, mesh } = view
  const { indices } = mesh
  const touch = touch_mm(view)
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const c = 3 * indices[3 * f + 2]!
  const minU = Math.min(uvw[a]!, uvw[b]!, uvw[c]!)
  const maxU = Math.max(uvw[a]!, uvw[b]!, uvw[c]!)
  const minV = Math.min(uvw[a + 1]!, uvw[b + 1]!, uvw[c + 1]!)
  const maxV = Math.max(uvw[a + 1]!, uvw[b + 1]!, uvw[c + 1]!)
  const minW = Math.min(uvw[a + 2]!, uvw[b + 2]!, uvw[c + 2]!) + touch
  const i0 = ((minU - view.min[0]) * perU) | 0
  const i1 = ((maxU - view.min[0]) * perU) | 0
  const j0 = ((minV - view.min[1]) * perV) | 0
  const j1 = ((maxV - view.min[1]) * perV) | 0
  const round = ++cutting.round
  const lines: number[] = []
  const h = [0, 0, 0]
  let work = 0
  for (let j = j0; j <= j1; j++)
    for (let cell = j * columns + i0; cell <= j * columns + i1; cell++) {
      if (!(top[cell]! > minW)) continue
      work += start[cell + 1]! - start[cell]!
      if (work > 2 * BLOCK) {
        work = 0
        yield 0
      }
      for (let at = start[cell]!; at < start[cell + 1]!; at++) {
        const g = facet[at]!
        if (g === f || stamp[g] === round) continue
        stamp[g] = round
        const p = 3 * indices[3 * g]!
        const q = 3 * indices[3 * g + 1]!
        const r = 3 * indices[3 * g + 2]!
        if (uvw[p + 2]! <= minW && uvw[q + 2]! <= minW && uvw[r + 2]! <= minW) continue
        if (Math.min(uvw[p]!, uvw[q]!, uvw[r]!) >= maxU || Math.max(uvw[p]!, uvw[q]!, uvw[r]!) <= minU) continue
        if (Math.min(uvw[p + 1]!, uvw[q + 1]!, uvw[r + 1]!) >= maxV) continue
        if (Math.max(uvw[p + 1]!, uvw[q + 1]!, uvw[r + 1]!) <= minV) continue
        h[0] = above(uvw, p, plane) - touch
        h[1] = above(uvw, q, plane) - touch
        h[2] = above(uvw, r, plane) - touch
        const anyAbove = h[0] > 0 || h[1] > 0 || h[2] > 0
        if (!anyAbove) continue
        const corner = [p, q, r]
        for (let k = 0; k < 3; k++) {
          if (!((contour[g]! >> k) & 1)) continue
          const next = (k + 1) % 3
          addAbove(lines, uvw, corner[k]!, corner[next]!, h[k]!, h[next]!)
        }
        if (h[0] < 0 || h[1] < 0 || h[2] < 0) addCrossing(lines, uvw, corner, h)
      }
    }
  return lines
}

const above = (uvw: Float64Array, i: number, plane: Plane): number =>
  uvw[i + 2]! - (plane.base + plane.slopeU * uvw[i]! + plane.slopeV * uvw[i + 1]!)

/** The part of an edge that lies above the plane. */
function addAbove(lines: number[], uvw: Float64Array, p: number, q: number, hp: number, hq: number): void {
  if (hp <= 0 && hq <= 0) return
  let pu = uvw[p]!
  let pv = uvw[p + 1]!
  let qu = uvw[q]!
  let qv = uvw[q + 1]!
  if (hp < 0) {
    const t = hp / (hp - hq)
    pu += t * (qu - pu)
    pv += t * (qv - pv)
  } else if (hq < 0) {
    const t = hq / (hq - hp)
    qu += t * (pu - qu)
    qv += t * (pv - qv)
  }
  lines.push(pu, pv, qu, qv)
}

/** Where a facet passes through the plane. */
function addCrossing(lines: number[], uvw: Float64Array, corner: readonly number[], h: readonly number[]): void {
  const ends: number[] = []
  for (let k = 0; k < 3; k++) {
    const p = corner[k]!
    const q = corner[(k + 1) % 3]!
    const hp = h[k]!
    const hq = h[(k + 1) % 3]!
    if (hp < 0 === hq < 0) continue
    const t = hp / (hp - hq)
    ends.push(uvw[p]! + t * (uvw[q]! - uvw[p]!), uvw[p + 1]! + t * (uvw[q + 1]! - uvw[p + 1]!))
  }
  if (ends.length === 4) lines.push(...ends)
}

/**
 * Area in plan of the covered part of a convex patch.
 *
 * @param outline u v of its corners, anticlockwise
 */
function* partition(cutting: Cutting, f: number, plane: Plane, outline: number[], lines: number[]): Steps<number> {
  const { view } = cutting.columns
  const border = BORDER_STEPS * view.step_mm
  let covered = 0
  // `halved`: how many lines there were before the patch was halved; Infinity if it was cut along a line.
  const stack: { outline: number[]; lines: number[]; halved: number }[] = [{ outline, lines, halved: Infinity }]
  for (let piece = stack.pop(); piece; piece = stack.pop()) {
    const area = polygonArea(piece.outline)
    const inside = area > 0 ? linesInside(piece.outline, piece.lines, border) : []
    const thin = area <= border * perimeter(piece.outline)
    if (inside.length === 0 || thin || cutting.budget <= 0) {
      if (inside.length > 0) cutting.bound_mm2 += area
      if (area > 0 && middleCovered(cutting, piece.outline, plane)) {
        covered += area
        if (!thin) keepCorners(cutting, f, plane, piece.outline)
      }
      continue
    }
    cutting.budget--
    cutting.pieces++
    if (cutting.pieces % 256 === 0 || inside.length > BLOCK) yield 0
    let pu: number
    let pv: number
    let du: number
    let dv: number
    // Lines that lie on each other (stacked plates) do not become fewer by halving: then cut along one.
    const many = inside.length > 4 * MANY_LINES && inside.length < 0.8 * piece.halved
    if (many) [pu, pv, du, dv] = halving(inside)
    else {
      // The longest line first: it leaves the fewest slivers.
      let longest = 0
      let best = -1
      for (let k = 0; k < inside.length; k += 4) {
        const x = inside[k + 2]! - inside[k]!
        const y = inside[k + 3]! - inside[k + 1]!
        if (x * x + y * y > best) {
          best = x * x + y * y
          longest = k
        }
      }
      pu = inside[longest]!
      pv = inside[longest + 1]!
      du = inside[longest + 2]! - pu
      dv = inside[longest + 3]! - pv
      // Within `border` of this line either side may be wrong.
      cutting.bound_mm2 += border * Math.sqrt(du * du + dv * dv)
      inside.splice(longest, 4)
    }
    const left = halfOf(piece.outline, pu, pv, du, dv, 1, border)
    const right = halfOf(piece.outline, pu, pv, du, dv, -1, border)
    const halved = many ? inside.length : Infinity
    if (left.length >= 6) stack.push({ outline: left, lines: inside, halved })
    if (right.length >= 6) stack.push({ outline: right, lines: inside, halved })
  }
  return covered
}

/** A line across the longer side of the box of all lines, through the middle of their middles. */
function halving(lines: readonly number[]): [number, number, number, number] {
  const us: number[] = []
  const vs: number[] = []
  for (let k = 0; k < lines.length; k += 4) {
    us.push((lines[k]! + lines[k + 2]!) / 2)
    vs.push((lines[k + 1]! + lines[k + 3]!) / 2)
  }
  us.sort((x, y) => x - y)
  vs.sort((x, y) => x - y)
  const middle = us.length >> 1
  const wide = us[us.length - 1]! - us[0]! > vs[vs.length - 1]! - vs[0]!
  return wide ? [us[middle]!, vs[middle]!, 0, 1] : [us[middle]!, vs[middle]!, 1, 0]
}

/** The lines clipped to the patch, without those that only run along its border. */
function linesInside(outline: readonly number[], lines: readonly number[], border: number): number[] {
  const kept: number[] = []
  const n = outline.length
  for (let k = 0; k < lines.length; k += 4) {
    const pu = lines[k]!
    const pv = lines[k + 1]!
    const du = lines[k + 2]! - pu
    const dv = lines[k + 3]! - pv
    let from = 0
    let to = 1
    let along = false
    for (let i = 0; i < n && from < to; i += 2) {
      const au = outline[i]!
      const av = outline[i + 1]!
      const eu = outline[(i + 2) % n]! - au
      const ev = outline[(i + 3) % n]! - av
      const length = Math.sqrt(eu * eu + ev * ev)
      if (!(length > 0)) continue
      // Distance inside this side at both ends.
      const d0 = (eu * (pv - av) - ev * (pu - au)) / length
      const d1 = d0 + (eu * dv - ev * du) / length
      if (d0 <= border && d1 <= border) {
        along = true
        break
      }
      if (d0 < 0) from = Math.max(from, d0 / (d0 - d1))
      else if (d1 < 0) to = Math.min(to, d0 / (d0 - d1))
    }
    if (along || !(to > from)) continue
    const length = Math.sqrt(du * du + dv * dv) * (to - from)
    if (length <= border) continue
    // Cut to the patch: a part of it may still run along the border, which then shows in the pieces.
    kept.push(pu + from * du, pv + from * dv, pu + to * du, pv + to * dv)
  }
  return kept
}

/**
 * The part of a convex patch to the left (`hand` 1) or right (−1) of a directed line. Corners that nearly coincide become one:
 * a side of no length has no direction, and once made a line seem to lie outside.
 */
function halfOf(
  outline: readonly number[],
  pu: number,
  pv: number,
  du: number,
  dv: number,
  hand: number,
  border: number,
): number[] {
  const out: number[] = []
  const n = outline.length
  const near = border / 8
  const add = (u: number, v: number) => {
    const last = out.length - 2
    if (last >= 0 && Math.abs(u - out[last]!) <= near && Math.abs(v - out[last + 1]!) <= near) return
    out.push(u, v)
  }
  for (let i = 0; i < n; i += 2) {
    const au = outline[i]!
    const av = outline[i + 1]!
    const bu = outline[(i + 2) % n]!
    const bv = outline[(i + 3) % n]!
    const da = hand * (du * (av - pv) - dv * (au - pu))
    const db = hand * (du * (bv - pv) - dv * (bu - pu))
    if (da >= 0) add(au, av)
    if ((da > 0 && db < 0) || (da < 0 && db > 0)) {
      const t = da / (da - db)
      add(au + t * (bu - au), av + t * (bv - av))
    }
  }
  const last = out.length - 2
  if (last > 0 && Math.abs(out[0]! - out[last]!) <= near && Math.abs(out[1]! - out[last + 1]!) <= near)
    out.length = last
  return out
}

function polygonArea(outline: readonly number[]): number {
  let twice = 0
  const u0 = outline[0]!
  const v0 = outline[1]!
  for (let i = 2; i + 3 < outline.length; i += 2)
    twice += (outline[i]! - u0) * (outline[i + 3]! - v0) - (outline[i + 1]! - v0) * (outline[i + 2]! - u0)
  return twice / 2
}

function perimeter(outline: readonly number[]): number {
  let sum = 0
  for (let i = 0; i < outline.length; i += 2) {
    const du = outline[(i + 2) % outline.length]! - outline[i]!
    const dv = outline[(i + 3) % outline.length]! - outline[i + 1]!
    sum += Math.sqrt(du * du + dv * dv)
  }
  return sum
}

/** Middle of area, which lies well inside even where two corners nearly coincide. */
function middleCovered(cutting: Cutting, outline: readonly number[], plane: Plane): boolean {
  const u0 = outline[0]!
  const v0 = outline[1]!
  let sum = 0
  let u = 0
  let v = 0
  for (let i = 2; i + 3 < outline.length; i += 2) {
    const pu = outline[i]! - u0
    const pv = outline[i + 1]! - v0
    const qu = outline[i + 2]! - u0
    const qv = outline[i + 3]! - v0
    const twice = pu * qv - pv * qu
    sum += twice
    u += twice * (pu + qu)
    v += twice * (pv + qv)
  }
  u = u0 + u / (3 * sum)
  v = v0 + v / (3 * sum)
  return isCovered(cutting.columns, u, v, plane.base + plane.slopeU * u + plane.slopeV * v)
}

function keepCorners(cutting: Cutting, f: number, plane: Plane, outline: readonly number[]): void {
  for (let i = 0; i < outline.length; i += 2) {
    const u = outline[i]!
    const v = outline[i + 1]!
    cutting.corners.push(u, v, plane.base + plane.slopeU * u + plane.slopeV * v, f)
  }
}
