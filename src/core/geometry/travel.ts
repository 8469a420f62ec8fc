/**
 * Can one body be moved on to another along a straight way, and where do they first touch?
 *
 * All points travel along one direction, so this is a question in the plane across it: looked at along the way, two facets
 * meet exactly where their outlines overlap, and then after the difference of their heights at that place. The difference is
 * linear over the overlap of two triangles, so its greatest value stands at a corner of the overlap: a corner of the one
 * inside the other, or a crossing of two edges. Nothing is stepped or sampled.
 */
import type { Direction, Point } from './axes'
import { BLOCK, type Steps } from './kernel'
import type { Mesh } from './mesh'

export interface Travel {
  /**
   * How far before its seat the moving body first touches, mm. Not above `touch_mm`: it never does, and less than 0 is the
   * least room along the way that is left at the seat. −Infinity: nothing of the two lies over each other.
   */
  readonly before_mm: number
  /** True if it reaches its seat: nothing is met before `touch_mm`. */
  readonly free: boolean
  /** What the coordinates cannot tell apart, mm: eight Float32 steps of the largest. */
  readonly touch_mm: number
  /** The place on the standing body that is met first (or has the least room), and the place of the moving body at its seat that meets it. */
  readonly at: Point | null
  readonly movingAt: Point | null
  /** Their facets; −1 where nothing lies over each other. */
  readonly facetStanding: number
  readonly facetMoving: number
}

const TOUCH_STEPS = 8
const MOST_CELLS = 1 << 20
/** Entries of the cells in all, per facet of the moving body; the grid is made coarser until they fit. */
const ENTRIES_PER_FACET = 8
/** A corner on the border of a facet belongs to it: share of the facet. */
const INSIDE = 1e-9

/**
 * @param moving   at its seat
 * @param standing in the same axes
 * @param away     from the seat back along the way the body came; any length
 * @throws a defect for a direction without length
 *
 * @example const way = yield* travel(shell.solid, frame, [0, 0, 1]); if (!way.free) … way.before_mm, way.at
 */
export function* travel(moving: Mesh, standing: Mesh, away: Direction): Steps<Travel> {
  const axes = across(away)
  const a = projected(moving, axes)
  const b = projected(standing, axes)
  const touch_mm = TOUCH_STEPS * 2 ** -23 * Math.max(largest(moving), largest(standing))
  const cells = yield* gridOf(moving, a)
  const best: Best = { height: -Infinity, u: 0, v: 0, w: 0, moving: -1, standing: -1 }
  const facets = standing.indices.length / 3
  const { indices } = standing
  let work = 0
  for (let f = 0; f < facets; f++) {
    const p = 3 * indices[3 * f]!
    const q = 3 * indices[3 * f + 1]!
    const r = 3 * indices[3 * f + 2]!
    const top = Math.max(b[p + 2]!, b[q + 2]!, b[r + 2]!)
    const lowU = Math.min(b[p]!, b[q]!, b[r]!)
    const highU = Math.max(b[p]!, b[q]!, b[r]!)
    const lowV = Math.min(b[p + 1]!, b[q + 1]!, b[r + 1]!)
    const highV = Math.max(b[p + 1]!, b[q + 1]!, b[r + 1]!)
    if (++work >= BLOCK) {
      work = 0
      yield { fraction: 0.3 + (0.7 * f) / facets, label: 'way on to the frame' }
    }
    const i0 = Math.max(0, Math.floor((lowU - cells.u0) * cells.perU))
    const i1 = Math.min(cells.columns - 1, Math.floor((highU - cells.u0) * cells.perU))
    const j0 = Math.max(0, Math.floor((lowV - cells.v0) * cells.perV))
    const j1 = Math.min(cells.rows - 1, Math.floor((highV - cells.v0) * cells.perV))
    for (let j = j0; j <= j1; j++)
      for (let i = i0; i <= i1; i++) {
        const cell = j * cells.columns + i
        if (top - cells.lowest[cell]! <= best.height) continue
        for (let k = cells.start[cell]!; k < cells.start[cell + 1]!; k++) {
          const m = cells.facet[k]!
          work += 0.25
          if (top - cells.low[m]! > best.height) meet(best, a, moving.indices, m, b, indices, f)
        }
      }
  }
  const place = (height: number): Point | null =>
    best.moving < 0
      ? null
      : ([0, 1, 2].map((k) => best.u * axes.u[k]! + best.v * axes.v[k]! + height * axes.w[k]!) as unknown as Point)
  return {
    before_mm: best.height,
    free: !(best.height > touch_mm),
    touch_mm,
    at: place(best.w),
    movingAt: place(best.w - best.height),
    facetStanding: best.standing,
    facetMoving: best.moving,
  }
}

interface Best {
  height: number
  /** On the standing body. */
  u: number
  v: number
  w: number
  moving: number
  standing: number
}

interface PlanAxes {
  readonly u: readonly number[]
  readonly v: readonly number[]
  readonly w: readonly number[]
}

/** By + − · / and square root only, so that every engine finds the same. */
function across(away: Direction): PlanAxes {
  const length = Math.sqrt(away[0] * away[0] + away[1] * away[1] + away[2] * away[2])
  if (!(length > 0 && length < Infinity)) throw new Error('geometry: a way without direction')
  const w = away.map((c) => c / length)
  const size = w.map(Math.abs)
  const k = size[0]! <= size[1]! && size[0]! <= size[2]! ? 0 : size[1]! <= size[2]! ? 1 : 2
  const e = w.map((c, i) => (i === k ? 1 : 0) - c * w[k]!)
  const n = Math.sqrt(e[0]! * e[0]! + e[1]! * e[1]! + e[2]! * e[2]!)
  const u = e.map((c) => c / n)
  const v = [w[1]! * u[2]! - w[2]! * u[1]!, w[2]! * u[0]! - w[0]! * u[2]!, w[0]! * u[1]! - w[1]! * u[0]!]
  return { u, v, w }
}

/** u, v, w of every vertex with the origin added, in double. */
function projected({ positions, origin }: Mesh, { u, v, w }: PlanAxes): Float64Array {
  const out = new Float64Array(positions.length)
  for (let i = 0; i < positions.length; i += 3) {
    const x = positions[i]! + origin[0]
    const y = positions[i + 1]! + origin[1]
    const z = positions[i + 2]! + origin[2]
    out[i] = u[0]! * x + u[1]! * y + u[2]! * z
    out[i + 1] = v[0]! * x + v[1]! * y + v[2]! * z
    out[i + 2] = w[0]! * x + w[1]! * y + w[2]! * z
  }
  return out
}

function largest({ positions, origin }: Mesh): number {
  let most = 0
  for (let i = 0; i < positions.length; i++) most = Math.max(most, Math.abs(positions[i]! + origin[i % 3]!))
  return most
}

/** The moving body's facets by where they stand in plan. */
interface Cells {
  readonly u0: number
  readonly v0: number
  readonly perU: number
  readonly perV: number
  readonly columns: number
  readonly rows: number
  readonly start: Uint32Array
  readonly facet: Uint32Array
  /** Lowest w of any facet listed in the cell. */
  readonly lowest: Float64Array
  /** Lowest w of each facet. */
  readonly low: Float64Array
}

function* gridOf({ indices }: Mesh, uvw: Float64Array): Steps<Cells> {
  const facets = indices.length / 3
  const low = new Float64Array(facets)
  const min = [Infinity, Infinity]
  const max = [-Infinity, -Infinity]
  for (const i of indices)
    for (let k = 0; k < 2; k++) {
      const c = uvw[3 * i + k]!
      if (c < min[k]!) min[k] = c
      if (c > max[k]!) max[k] = c
    }
  yield 0.05
  const width = Math.max(max[0]! - min[0]!, 1e-9)
  const height = Math.max(max[1]! - min[1]!, 1e-9)
  for (let wanted = Math.min(MOST_CELLS, Math.max(1, facets)); ; wanted = Math.floor(wanted / 4)) {
    const columns = Math.max(1, Math.min(wanted, Math.ceil(Math.sqrt((wanted * width) / height))))
    const rows = Math.max(1, Math.ceil(wanted / columns))
    const perU = (columns * (1 - 1e-12)) / width
    const perV = (rows * (1 - 1e-12)) / height
    const start = new Uint32Array(columns * rows + 1)
    const lowest = new Float64Array(columns * rows).fill(Infinity)
    let facet = new Uint32Array(0)
    let entries = 0
    const limit = ENTRIES_PER_FACET * facets + 4096
    for (let round = 0; round < 2 && entries <= limit; round++) {
      for (let f = 0; f < facets && entries <= limit; f++) {
        const a = 3 * indices[3 * f]!
        const b = 3 * indices[3 * f + 1]!
        const c = 3 * indices[3 * f + 2]!
        const i0 = Math.floor((Math.min(uvw[a]!, uvw[b]!, uvw[c]!) - min[0]!) * perU)
        const i1 = Math.floor((Math.max(uvw[a]!, uvw[b]!, uvw[c]!) - min[0]!) * perU)
        const j0 = Math.floor((Math.min(uvw[a + 1]!, uvw[b + 1]!, uvw[c + 1]!) - min[1]!) * perV)
        const j1 = Math.floor((Math.max(uvw[a + 1]!, uvw[b + 1]!, uvw[c + 1]!) - min[1]!) * perV)
        if (round === 0) entries += (i1 - i0 + 1) * (j1 - j0 + 1)
        low[f] = Math.min(uvw[a + 2]!, uvw[b + 2]!, uvw[c + 2]!)
        for (let j = j0; j <= j1; j++)
          for (let cell = j * columns + i0; cell <= j * columns + i1; cell++) {
            if (round === 0) start[cell]!++
            else {
              facet[start[cell]!++] = f
              if (low[f]! < lowest[cell]!) lowest[cell] = low[f]!
            }
          }
        if (f % BLOCK === 0) yield 0.1 + 0.1 * (round + f / facets)
      }
      if (round === 0 && entries <= limit) {
        let sum = 0
        for (let cell = 0; cell < start.length; cell++) {
          const count = start[cell]!
          start[cell] = sum
          sum += count
        }
        facet = new Uint32Array(sum)
      }
    }
    // With one cell there is one entry a facet, so this ends.
    if (entries > limit) continue
    for (let cell = start.length - 1; cell > 0; cell--) start[cell] = start[cell - 1]!
    start[0] = 0
    return { u0: min[0]!, v0: min[1]!, perU, perV, columns, rows, start, facet, lowest, low }
  }
}

/** Raises `best` to the greatest height of facet f of b over facet m of a, over the overlap of their outlines. */
function meet(
  best: Best,
  a: Float64Array,
  ai: Uint32Array,
  m: number,
  b: Float64Array,
  bi: Uint32Array,
  f: number,
): void {
  const m0 = 3 * ai[3 * m]!
  const m1 = 3 * ai[3 * m + 1]!
  const m2 = 3 * ai[3 * m + 2]!
  const f0 = 3 * bi[3 * f]!
  const f1 = 3 * bi[3 * f + 1]!
  const f2 = 3 * bi[3 * f + 2]!
  if (Math.max(a[m0]!, a[m1]!, a[m2]!) < Math.min(b[f0]!, b[f1]!, b[f2]!)) return
  if (Math.min(a[m0]!, a[m1]!, a[m2]!) > Math.max(b[f0]!, b[f1]!, b[f2]!)) return
  if (Math.max(a[m0 + 1]!, a[m1 + 1]!, a[m2 + 1]!) < Math.min(b[f0 + 1]!, b[f1 + 1]!, b[f2 + 1]!)) return
  if (Math.min(a[m0 + 1]!, a[m1 + 1]!, a[m2 + 1]!) > Math.max(b[f0 + 1]!, b[f1 + 1]!, b[f2 + 1]!)) return
  const note = (u: number, v: number, w: number, height: number) => {
    if (!(height > best.height)) return
    best.height = height
    best.u = u
    best.v = v
    best.w = w
    best.moving = m
    best.standing = f
  }
  for (let k = 0; k < 3; k++) {
    const i = k === 0 ? f0 : k === 1 ? f1 : f2
    const under = heightIn(a, m0, m1, m2, b[i]!, b[i + 1]!)
    if (!Number.isNaN(under)) note(b[i]!, b[i + 1]!, b[i + 2]!, b[i + 2]! - under)
    const j = k === 0 ? m0 : k === 1 ? m1 : m2
    const over = heightIn(b, f0, f1, f2, a[j]!, a[j + 1]!)
    if (!Number.isNaN(over)) note(a[j]!, a[j + 1]!, over, over - a[j + 2]!)
  }
  for (let k = 0; k < 3; k++) {
    const p = k === 0 ? f0 : k === 1 ? f1 : f2
    const q = k === 0 ? f1 : k === 1 ? f2 : f0
    const du = b[q]! - b[p]!
    const dv = b[q + 1]! - b[p + 1]!
    for (let l = 0; l < 3; l++) {
      const r = l === 0 ? m0 : l === 1 ? m1 : m2
      const s = l === 0 ? m1 : l === 1 ? m2 : m0
      const eu = a[s]! - a[r]!
      const ev = a[s + 1]! - a[r + 1]!
      const det = du * ev - dv * eu
      // Edges that run alike cross nowhere; where one lies on the other, their ends are corners inside the facets.
      if (det === 0) continue
      const ru = a[r]! - b[p]!
      const rv = a[r + 1]! - b[p + 1]!
      const t = (ru * ev - rv * eu) / det
      const x = (ru * dv - rv * du) / det
      if (t < 0 || t > 1 || x < 0 || x > 1) continue
      const w = b[p + 2]! + t * (b[q + 2]! - b[p + 2]!)
      note(b[p]! + t * du, b[p + 1]! + t * dv, w, w - (a[r + 2]! + x * (a[s + 2]! - a[r + 2]!)))
    }
  }
}

/** Height of a facet over a place in plan; NaN outside of it, or where it stands upright. */
function heightIn(uvw: Float64Array, a: number, b: number, c: number, u: number, v: number): number {
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
  if (all === 0) return Number.NaN
  const p = inA / all
  const q = inB / all
  const r = inC / all
  if (p < -INSIDE || q < -INSIDE || r < -INSIDE) return Number.NaN
  return p * uvw[a + 2]! + q * uvw[b + 2]! + r * uvw[c + 2]!
}
