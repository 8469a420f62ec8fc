/**
 * The facets of a mesh by where they stand in plan: a grid across the pull, each cell listing the facets whose box reaches
 * into it. Answers “is anything ahead of this point?”, and “which facets stand over this patch?”.
 */
import { BLOCK, type Steps } from '../geometry/kernel'
import { type PlanView, SIDE, touch_mm } from './plan-view'

export interface Columns {
  readonly view: PlanView
  /** One of `SIDE` per facet. */
  readonly side: Uint8Array
  readonly columns: number
  readonly rows: number
  /** Cells per mm. */
  readonly perU: number
  readonly perV: number
  /** Cell c lists `facet[start[c]] … facet[start[c + 1] − 1]`. */
  readonly start: Uint32Array
  readonly facet: Uint32Array
  /** Highest w of any facet listed in the cell, one per cell; −Infinity where there is none. */
  readonly top: Float32Array
}

const MOST_CELLS = 1 << 21
/** Entries the lists may hold in all, per facet; the grid is made coarser until they fit. */
const ENTRIES_PER_FACET = 6

/** @param side one of `SIDE` per facet; walls have no area in plan and are left out */
export function* buildColumns(view: PlanView, side: Uint8Array): Steps<Columns> {
  const { uvw, mesh } = view
  const { indices } = mesh
  const facets = side.length
  const u0 = view.min[0]
  const v0 = view.min[1]
  const width = Math.max(view.max[0] - u0, 1e-9)
  const height = Math.max(view.max[1] - v0, 1e-9)
  let wanted = Math.min(MOST_CELLS, facets)
  let shown = 0 // a grid that was too fine is begun again; progress does not run backwards
  for (;;) {
    const columns = Math.max(1, Math.min(Math.max(1, wanted), Math.ceil(Math.sqrt((wanted * width) / height))))
    const rows = Math.max(1, Math.ceil(wanted / columns))
    const perU = (columns * (1 - 1e-12)) / width
    const perV = (rows * (1 - 1e-12)) / height
    const start = new Uint32Array(columns * rows + 1)
    const top = new Float32Array(columns * rows).fill(-Infinity)
    let entries = 0
    const limit = ENTRIES_PER_FACET * facets + 4096
    // First round counts, second round writes.
    let facet = new Uint32Array(0)
    for (let round = 0; round < 2; round++) {
      for (let f = 0; f < facets && entries <= limit; f++) {
        if (side[f] === SIDE.wall) continue
        const a = 3 * indices[3 * f]!
        const b = 3 * indices[3 * f + 1]!
        const c = 3 * indices[3 * f + 2]!
        const i0 = ((Math.min(uvw[a]!, uvw[b]!, uvw[c]!) - u0) * perU) | 0
        const i1 = ((Math.max(uvw[a]!, uvw[b]!, uvw[c]!) - u0) * perU) | 0
        const j0 = ((Math.min(uvw[a + 1]!, uvw[b + 1]!, uvw[c + 1]!) - v0) * perV) | 0
        const j1 = ((Math.max(uvw[a + 1]!, uvw[b + 1]!, uvw[c + 1]!) - v0) * perV) | 0
        if (round === 0) entries += (i1 - i0 + 1) * (j1 - j0 + 1)
        const w = Math.max(uvw[a + 2]!, uvw[b + 2]!, uvw[c + 2]!)
        for (let j = j0; j <= j1; j++)
          for (let cell = j * columns + i0; cell <= j * columns + i1; cell++) {
            if (round === 0) start[cell]!++
            else {
              facet[start[cell]!++] = f
              if (w > top[cell]!) top[cell] = w
            }
          }
        if (f % (2 * BLOCK) === 0) {
          shown = Math.max(shown, 0.5 * (round + f / facets))
          yield shown
        }
      }
      if (entries > limit) break
      if (round === 0) {
        let sum = 0
        for (let cell = 0; cell < start.length; cell++) {
          const count = start[cell]!
          start[cell] = sum
          sum += count
        }
        facet = new Uint32Array(sum)
      }
    }
    if (entries > limit) {
      // With one cell there is one entry a facet, so this ends.
      wanted = Math.floor(wanted / 4)
      continue
    }
    // Writing moved each start to its cell's end: shift back by one.
    for (let cell = start.length - 1; cell > 0; cell--) start[cell] = start[cell - 1]!
    start[0] = 0
    return { view, side, columns, rows, perU, perV, start, facet, top }
  }
}

/**
 * Is any facet of the mesh ahead of (u, v, w) by more than `touch_mm`? Exact in double; a point on the edge of a facet in
 * plan counts as covered.
 *
 * @param alsoAt facets that face away from the pull count from this height below the point on as well, mm; 0: they count
 *               like all others. (Metal begins at such a facet, so its own points stand under it.)
 */
export function isCovered(grid: Columns, u: number, v: number, w: number, alsoAt = 0): boolean {
  const { view, side, columns, rows, perU, perV, start, facet, top } = grid
  const i = Math.floor((u - view.min[0]) * perU)
  const j = Math.floor((v - view.min[1]) * perV)
  if (i < 0 || j < 0 || i >= columns || j >= rows) return false
  const cell = j * columns + i
  const ahead = w + touch_mm(view)
  const under = alsoAt > 0 ? w - alsoAt : ahead
  if (!(top[cell]! > under)) return false
  const { indices } = view.mesh
  for (let k = start[cell]!; k < start[cell + 1]!; k++) {
    const f = facet[k]!
    if (heightOver(view, indices, f, u, v, side[f] === SIDE.away ? under : ahead) > -Infinity) return true
  }
  return false
}

/** How far ahead of (u, v, w) the nearest facet of the mesh lies, mm, beyond `touch_mm`; Infinity: nothing is ahead. */
export function wayAhead_mm(grid: Columns, u: number, v: number, w: number): number {
  const { view, columns, rows, perU, perV, start, facet } = grid
  const i = Math.floor((u - view.min[0]) * perU)
  const j = Math.floor((v - view.min[1]) * perV)
  if (i < 0 || j < 0 || i >= columns || j >= rows) return Infinity
  const cell = j * columns + i
  const ahead = w + touch_mm(view)
  let least = Infinity
  for (let k = start[cell]!; k < start[cell + 1]!; k++) {
    const height = heightOver(view, view.mesh.indices, facet[k]!, u, v, ahead)
    if (height > -Infinity) least = Math.min(least, height - w)
  }
  return least
}

/** Height of a facet over (u, v) where it is above `from`; −Infinity where it is not, or does not stand over that place. */
function heightOver({ uvw }: PlanView, indices: Uint32Array, f: number, u: number, v: number, from: number): number {
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const c = 3 * indices[3 * f + 2]!
  const aw = uvw[a + 2]!
  const bw = uvw[b + 2]!
  const cw = uvw[c + 2]!
  if (aw <= from && bw <= from && cw <= from) return -Infinity
  const au = uvw[a]! - u
  const av = uvw[a + 1]! - v
  const bu = uvw[b]! - u
  const bv = uvw[b + 1]! - v
  const cu = uvw[c]! - u
  const cv = uvw[c + 1]! - v
  const inC = au * bv - av * bu
  const inA = bu * cv - bv * cu
  const inB = cu * av - cv * au
  const all = inA + inB + inC
  if (all > 0 ? inA < 0 || inB < 0 || inC < 0 : inA > 0 || inB > 0 || inC > 0) return -Infinity
  const height = (inA * aw + inB * bw + inC * cw) / all
  return height > from ? height : -Infinity
}
