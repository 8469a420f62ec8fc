import { BLOCK, type Steps } from '../geometry/kernel'
import { facetCount, type Mesh } from '../geometry/mesh'
import { nodeCount, type PlanGrid } from './plan-grid'
import { floodOutside, grow, type SkirtLine, skirtHeight } from './skirt-line'

/** Lines of metal that can carry the silhouette: ends and the distance in plan that the outline must keep from each. */
export interface Carriers {
  readonly count: number
  /** x y z of both ends, six per carrier, job axes, mm. */
  readonly ends: Float64Array
  /** One per carrier, mm. */
  readonly reach: Float64Array
}

export interface CarrierOptions {
  readonly frame: Mesh<'job'>
  readonly rimVertex: Uint8Array
  readonly line: SkirtLine
  readonly gap: number | Float32Array
  readonly guard_mm: number
  readonly overhang_mm: number
  /** Cosine of the draft. */
  readonly cosDraft: number
}

/**
 * Collects what can carry the silhouette above the skirt line: edges between facets that look up and facets that do not
 * (found by their corners: both must have facets of either kind), rims of holes, and the cut of the metal by the skirt line
 * itself, which a leg that leans outwards shows first.
 *
 * Only metal near the outside of the covered area is taken: what lies deep inside cannot touch the wall.
 */
export function* carriers(options: CarrierOptions): Steps<Carriers> {
  const { frame, rimVertex, line, gap, guard_mm, overhang_mm, cosDraft } = options
  const { positions, indices } = frame
  const facets = facetCount(frame)
  const near = nearOutside(line)
  const vertices = positions.length / 3
  /** Bit 1: has a facet that looks up; bit 2: has one that does not; bit 4: near the outside and above the line. */
  const kind = new Uint8Array(vertices)
  const above = new Float32Array(vertices)
  for (let v = 0; v < vertices; v++) {
    const x = positions[3 * v]!
    const y = positions[3 * v + 1]!
    above[v] = positions[3 * v + 2]! - skirtHeight(line, x, y)
    if (near[nearestNode(line.grid, x, y)]) kind[v] = 4
    if (v % BLOCK === BLOCK - 1) yield (0.2 * v) / vertices
  }
  for (let f = 0; f < facets; f++) {
    const a = indices[3 * f]!
    const b = indices[3 * f + 1]!
    const c = indices[3 * f + 2]!
    if (((kind[a]! | kind[b]! | kind[c]!) & 4) === 0) continue
    const bit = facesUp(positions, a, b, c) ? 1 : 2
    kind[a]! |= bit
    kind[b]! |= bit
    kind[c]! |= bit
    if (f % BLOCK === BLOCK - 1) yield 0.2 + (0.3 * f) / facets
  }

  let ends = new Float64Array(6 * 65_536)
  let reach = new Float64Array(65_536)
  let count = 0
  const room = () => {
    if (count < reach.length) return
    const more = new Float64Array(2 * ends.length)
    more.set(ends)
    ends = more
    const moreReach = new Float64Array(2 * reach.length)
    moreReach.set(reach)
    reach = moreReach
  }
  const put = (ax: number, ay: number, az: number, bx: number, by: number, bz: number, r: number) => {
    room()
    const k = 6 * count
    ends[k] = ax
    ends[k + 1] = ay
    ends[k + 2] = az
    ends[k + 3] = bx
    ends[k + 4] = by
    ends[k + 5] = bz
    reach[count++] = r
  }
  const corner = [0, 0, 0]
  for (let f = 0; f < facets; f++) {
    const a = indices[3 * f]!
    const b = indices[3 * f + 1]!
    const c = indices[3 * f + 2]!
    if (f % BLOCK === BLOCK - 1) yield 0.5 + (0.5 * f) / facets
    if (((kind[a]! | kind[b]! | kind[c]!) & 4) === 0) continue
    const r = ((typeof gap === 'number' ? gap : gap[f]!) + guard_mm) / cosDraft + overhang_mm
    corner[0] = a
    corner[1] = b
    corner[2] = c
    let crossings = 0
    let x0 = 0
    let y0 = 0
    let z0 = 0
    for (let k = 0; k < 3; k++) {
      const p = corner[k]!
      const q = corner[(k + 1) % 3]!
      const ap = above[p]!
      const aq = above[q]!
      const px = positions[3 * p]!
      const py = positions[3 * p + 1]!
      const pz = positions[3 * p + 2]!
      const qx = positions[3 * q]!
      const qy = positions[3 * q + 1]!
      const qz = positions[3 * q + 2]!
      let cx = px
      let cy = py
      let cz = pz
      const cut = ap > 0 !== aq > 0
      if (cut) {
        const t = ap / (ap - aq)
        cx = px + t * (qx - px)
        cy = py + t * (qy - py)
        cz = pz + t * (qz - pz)
        if (crossings === 0) {
          x0 = cx
          y0 = cy
          z0 = cz
        } else put(x0, y0, z0, cx, cy, cz, r)
        crossings++
      }
      const rim = rimVertex[p] === 1 && rimVertex[q] === 1
      if ((!rim && ((kind[p]! & kind[q]! & 3) !== 3 || p > q)) || (ap <= 0 && aq <= 0)) continue
      if (!cut) put(px, py, pz, qx, qy, qz, r)
      else if (ap > 0) put(px, py, pz, cx, cy, cz, r)
      else put(cx, cy, cz, qx, qy, qz, r)
    }
  }
  return { count, ends: ends.subarray(0, 6 * count), reach: reach.subarray(0, count) }
}

function nearOutside(line: SkirtLine): Uint8Array {
  const outside = line.covered.map((v) => (v ? 0 : 1))
  return grow(line.grid, outside, 3)
}

/** Number of the node nearest to a place, the border's for a place beyond. */
export function nearestNode(grid: PlanGrid, x: number, y: number): number {
  const i = Math.min(grid.nx - 1, Math.max(0, Math.round((x - grid.x0) / grid.h)))
  const j = Math.min(grid.ny - 1, Math.max(0, Math.round(((grid.mirrored && y < 0 ? -y : y) - grid.y0) / grid.h)))
  return j * grid.nx + i
}

function facesUp(positions: Float32Array, a: number, b: number, c: number): boolean {
  const ax = positions[3 * a]!
  const ay = positions[3 * a + 1]!
  return (
    (positions[3 * b]! - ax) * (positions[3 * c + 1]! - ay) - (positions[3 * b + 1]! - ay) * (positions[3 * c]! - ax) >
    0
  )
}

/** Far outside; larger than what contour and fairing ask about. */
const FAR = 1e4

/**
 * The plan field F(x) = least over all metal p above the skirt line of |x − p in plan| − (height of p − reference)·tan(draft)
 * − reach(p). A wall of constant draft whose section at the reference height runs where F ≥ 0 keeps its gap from all of
 * that metal, whatever the height of its top and foot: the distance from p to the leaning wall is the horizontal distance at
 * p's height times cos(draft), and reach is (gap + guard)/cos(draft) + overhang.
 *
 * Exact at every node within `band_mm` of the contour; `FAR` beyond.
 */
export function* planField(
  grid: PlanGrid,
  metal: Carriers,
  options: { readonly tanDraft: number; readonly reference_mm: number; readonly band_mm: number },
): Steps<Float64Array> {
  const field = new Float64Array(nodeCount(grid)).fill(FAR)
  const { tanDraft, reference_mm, band_mm } = options
  const { ends, reach } = metal
  for (let c = 0; c < metal.count; c++) {
    const k = 6 * c
    const ax = ends[k]!
    const ay = ends[k + 1]!
    const az = ends[k + 2]! - reference_mm
    const bx = ends[k + 3]!
    const by = ends[k + 4]!
    const bz = ends[k + 5]! - reference_mm
    const wide = Math.max(0, reach[c]! + Math.max(az, bz) * tanDraft) + band_mm
    if (grid.mirrored) {
      if (Math.max(ay, by) > -wide) splat(grid, field, ax, ay, az, bx, by, bz, reach[c]!, tanDraft, wide)
      if (Math.min(ay, by) < wide) splat(grid, field, ax, -ay, az, bx, -by, bz, reach[c]!, tanDraft, wide)
    } else splat(grid, field, ax, ay, az, bx, by, bz, reach[c]!, tanDraft, wide)
    if (c % 2048 === 2047) yield c / metal.count
  }
  return field
}

function splat(
  grid: PlanGrid,
  field: Float64Array,
  ax: number,
  ay: number,
  az: number,
  bx: number,
  by: number,
  bz: number,
  reach: number,
  tanDraft: number,
  wide: number,
): void {
  const { nx, ny, x0, y0, h } = grid
  const fromI = Math.max(0, Math.ceil((Math.min(ax, bx) - wide - x0) / h))
  const toI = Math.min(nx - 1, Math.floor((Math.max(ax, bx) + wide - x0) / h))
  const fromJ = Math.max(0, Math.ceil((Math.min(ay, by) - wide - y0) / h))
  const toJ = Math.min(ny - 1, Math.floor((Math.max(ay, by) + wide - y0) / h))
  const ex = bx - ax
  const ey = by - ay
  const length = Math.sqrt(ex * ex + ey * ey)
  const dx = length > 1e-9 ? ex / length : 0
  const dy = length > 1e-9 ? ey / length : 0
  // What the bonus for height gains per step along the carrier; from 1 on its higher end always wins.
  const gain = length > 1e-9 ? ((bz - az) * tanDraft) / length : 0
  const lean = gain * gain < 1 ? gain / Math.sqrt(1 - gain * gain) : gain > 0 ? Infinity : -Infinity
  const topOnly = length <= 1e-9
  const base = topOnly ? Math.max(az, bz) * tanDraft : az * tanDraft
  for (let j = fromJ; j <= toJ; j++) {
    const py = y0 + j * h - ay
    for (let i = fromI; i <= toI; i++) {
      const px = x0 + i * h - ax
      const across = px * dy - py * dx
      let along = px * dx + py * dy
      let value: number
      if (topOnly) value = Math.sqrt(px * px + py * py) - base - reach
      else {
        const m = across < 0 ? -across : across
        let s = along + m * (Number.isFinite(lean) ? lean : 0)
        if (!Number.isFinite(lean)) s = lean > 0 ? length : 0
        s = s < 0 ? 0 : s > length ? length : s
        along -= s
        value = Math.sqrt(across * across + along * along) - base - gain * s - reach
      }
      const k = j * nx + i
      if (value < field[k]!) field[k] = value
    }
  }
}

/**
 * Places where the field passes zero on grid lines, seen from outside only: x y pairs. What the outside cannot reach (the
 * inside of tubes and of the ring) is no silhouette.
 */
export function outerContour(grid: PlanGrid, field: Float64Array): Float64Array {
  const { nx, ny, x0, y0, h } = grid
  const wall = new Uint8Array(field.length)
  for (let k = 0; k < field.length; k++) if (field[k]! <= 0) wall[k] = 1
  const outside = floodOutside(grid, wall)
  const points: number[] = []
  const cross = (k: number, n: number, i: number, j: number, di: number, dj: number) => {
    if (outside[k] ? !wall[n] : !(wall[k] && outside[n])) return
    const t = field[k]! / (field[k]! - field[n]!)
    points.push(x0 + (i + t * di) * h, y0 + (j + t * dj) * h)
  }
  for (let j = 0; j < ny; j++)
    for (let i = 0; i < nx; i++) {
      const k = j * nx + i
      if (i < nx - 1) cross(k, k + 1, i, j, 1, 0)
      if (j < ny - 1) cross(k, k + nx, i, j, 0, 1)
    }
  return Float64Array.from(points)
}

/** The field between the nodes, straight in both directions; exact enough near its contour (second order in the spacing). */
export function fieldAt(grid: PlanGrid, field: Float64Array, x: number, y: number): number {
  const gx = (x - grid.x0) / grid.h
  const gy = ((grid.mirrored && y < 0 ? -y : y) - grid.y0) / grid.h
  const i = Math.min(grid.nx - 2, Math.max(0, Math.floor(gx)))
  const j = Math.min(grid.ny - 2, Math.max(0, Math.floor(gy)))
  const u = gx - i
  const v = gy - j
  const k = j * grid.nx + i
  const low = field[k]! + u * (field[k + 1]! - field[k]!)
  const high = field[k + grid.nx]! + u * (field[k + grid.nx + 1]! - field[k + grid.nx]!)
  return low + v * (high - low)
}
