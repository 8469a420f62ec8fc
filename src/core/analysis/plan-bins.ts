/**
 * Which facets have something ahead of them along the pull, judged at their middle: no search tree, no ray. The middles of the
 * facets that face the pull are put into bins of a grid across the pull, then every triangle of the mesh is streamed once
 * against the bins that it covers.
 */
import { BLOCK, type Steps } from '../geometry/kernel'
import { type PlanView, SIDE, touch_mm } from './plan-view'

/** Bins per facet that faces the pull. Frames cover a small part of their box, so the bins in use hold several each. */
const BINS_PER_FACET = 4
const MOST_BINS = 1 << 22

/** A triangle that covers more bins than this is followed row by row, not by its box. */
const BOX_BINS = 12

/**
 * @param side one of `SIDE` per facet
 * @param only  1 for the facets that are asked about, one per facet; left out: all. All facets stand in the way.
 * @returns 1 for each `front` facet that has a facet of the mesh, of any orientation, more than `touch_mm` ahead of its
 *          middle; 0 for all others
 */
export function* blockedAtMiddle(view: PlanView, side: Uint8Array, only?: Uint8Array): Steps<Uint8Array> {
  const { uvw, mesh } = view
  const { indices } = mesh
  const facets = side.length
  const blocked = new Uint8Array(facets)
  let fronts = 0
  for (let f = 0; f < facets; f++) if (side[f] === SIDE.front && (!only || only[f] === 1)) fronts++
  if (fronts === 0) return blocked

  const u0 = view.min[0]
  const v0 = view.min[1]
  const width = Math.max(view.max[0] - u0, 1e-9)
  const height = Math.max(view.max[1] - v0, 1e-9)
  const wanted = Math.min(MOST_BINS, Math.max(1, BINS_PER_FACET * fronts))
  const columns = Math.max(1, Math.min(wanted, Math.ceil(Math.sqrt((wanted * width) / height))))
  const rows = Math.max(1, Math.ceil(wanted / columns))
  const perU = (columns * (1 - 1e-12)) / width
  const perV = (rows * (1 - 1e-12)) / height

  // Counting sort of the middles into bins.
  const start = new Uint32Array(columns * rows + 1)
  const binOf = new Uint32Array(facets)
  for (let from = 0; from < facets; from += 4 * BLOCK) {
    const to = Math.min(facets, from + 4 * BLOCK)
    for (let f = from; f < to; f++) {
      if (side[f] !== SIDE.front || (only && only[f] === 0)) continue
      const a = 3 * indices[3 * f]!
      const b = 3 * indices[3 * f + 1]!
      const c = 3 * indices[3 * f + 2]!
      const i = (((uvw[a]! + uvw[b]! + uvw[c]!) / 3 - u0) * perU) | 0
      const j = (((uvw[a + 1]! + uvw[b + 1]! + uvw[c + 1]!) / 3 - v0) * perV) | 0
      const bin = j * columns + i
      binOf[f] = bin
      start[bin]!++
    }
    yield (0.15 * to) / facets
  }
  let sum = 0
  for (let bin = 0; bin <= columns * rows; bin++) {
    const count = start[bin]!
    start[bin] = sum
    sum += count
  }
  const item = new Float64Array(3 * fronts) // u, v, w of each middle, bin after bin
  const facetOf = new Uint32Array(fronts)
  const lowest = new Float32Array(columns * rows).fill(Infinity) // lowest middle of the bin
  const touch = touch_mm(view)
  for (let from = 0; from < facets; from += 4 * BLOCK) {
    const to = Math.min(facets, from + 4 * BLOCK)
    for (let f = from; f < to; f++) {
      if (side[f] !== SIDE.front || (only && only[f] === 0)) continue
      const a = 3 * indices[3 * f]!
      const b = 3 * indices[3 * f + 1]!
      const c = 3 * indices[3 * f + 2]!
      const bin = binOf[f]!
      const at = start[bin]!++
      const w = (uvw[a + 2]! + uvw[b + 2]! + uvw[c + 2]!) / 3
      item[3 * at] = (uvw[a]! + uvw[b]! + uvw[c]!) / 3
      item[3 * at + 1] = (uvw[a + 1]! + uvw[b + 1]! + uvw[c + 1]!) / 3
      item[3 * at + 2] = w
      facetOf[at] = f
      // Float32 may round up by half a step, which `touch` (8 steps) covers.
      if (w < lowest[bin]!) lowest[bin] = w
    }
    yield 0.15 + (0.2 * to) / facets
  }
  // `start[bin]` is now the end of its bin, and the start of the next.

  let work = 0
  for (let f = 0; f < facets; f++) {
    if (side[f] === SIDE.wall) continue // no area in plan
    const a = 3 * indices[3 * f]!
    // Corners anticlockwise in plan, whichever way the facet faces.
    const front = side[f] === SIDE.front
    const b = 3 * indices[3 * f + (front ? 1 : 2)]!
    const c = 3 * indices[3 * f + (front ? 2 : 1)]!
    const au = uvw[a]!
    const av = uvw[a + 1]!
    const aw = uvw[a + 2]!
    const bu = uvw[b]!
    const bv = uvw[b + 1]!
    const bw = uvw[b + 2]!
    const cu = uvw[c]!
    const cv = uvw[c + 1]!
    const cw = uvw[c + 2]!
    const top = Math.max(aw, bw, cw) - touch
    const leastU = Math.min(au, bu, cu)
    const mostU = Math.max(au, bu, cu)
    const leastV = Math.min(av, bv, cv)
    const mostV = Math.max(av, bv, cv)
    let i0 = ((leastU - u0) * perU) | 0
    let i1 = ((mostU - u0) * perU) | 0
    const j0 = ((leastV - v0) * perV) | 0
    const j1 = ((mostV - v0) * perV) | 0
    const byRow = (i1 - i0 + 1) * (j1 - j0 + 1) > BOX_BINS
    const abU = bu - au
    const abV = bv - av
    const bcU = cu - bu
    const bcV = cv - bv
    const caU = au - cu
    const caV = av - cv
    const twice = abV * caU - abU * caV
    for (let j = j0; j <= j1; j++) {
      if (byRow) {
        const low = v0 + j / perV
        const high = v0 + (j + 1) / perV
        let from = Infinity
        let to = -Infinity
        for (let k = 0; k < 3; k++) {
          const pu = k === 0 ? au : k === 1 ? bu : cu
          const pv = k === 0 ? av : k === 1 ? bv : cv
          const qu = k === 0 ? bu : k === 1 ? cu : au
          const qv = k === 0 ? bv : k === 1 ? cv : av
          if ((pv < low && qv < low) || (pv > high && qv > high)) continue
          const slope = qv === pv ? 0 : (qu - pu) / (qv - pv)
          const su = pv < low ? pu + slope * (low - pv) : pv > high ? pu + slope * (high - pv) : pu
          const tu = qv < low ? qu + slope * (low - qv) : qv > high ? qu + slope * (high - qv) : qu
          if (su < from) from = su
          if (tu < from) from = tu
          if (su > to) to = su
          if (tu > to) to = tu
        }
        if (to < from) continue
        i0 = ((from - u0) * perU - 1e-6) | 0
        i1 = Math.min(columns - 1, ((to - u0) * perU + 1e-6) | 0)
        work += i1 - i0
      }
      const row = j * columns
      for (let bin = row + i0; bin <= row + i1; bin++) {
        if (lowest[bin]! >= top) continue
        const end = start[bin]!
        for (let at = bin === 0 ? 0 : start[bin - 1]!; at < end; at++) {
          const w = item[3 * at + 2]!
          if (w >= top) continue
          const u = item[3 * at]!
          const v = item[3 * at + 1]!
          const inC = abU * (v - av) - abV * (u - au)
          if (inC < 0) continue
          const inA = bcU * (v - bv) - bcV * (u - bu)
          if (inA < 0) continue
          const inB = caU * (v - cv) - caV * (u - cu)
          if (inB < 0) continue
          if (inA * aw + inB * bw + inC * cw > (w + touch) * twice) blocked[facetOf[at]!] = 1
        }
      }
    }
    if (++work > 4 * BLOCK) {
      work = 0
      yield 0.35 + (0.65 * f) / facets
    }
  }
  return blocked
}
