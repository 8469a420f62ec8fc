/**
 * The tool as a solid: extended face on top, drafted sides, a flat base, and in a shell a hollow from below.
 *
 * Top and underside are height fields over the plan, so the solid is closed and oriented by construction and needs no boolean
 * (a solid library proves it in the tests).
 */
import earcut from 'earcut'
import { type Steps, within } from '../geometry/kernel'
import { massProperties } from '../geometry/measure'
import { bounds, type Mesh, makeMesh } from '../geometry/mesh'
import { tanDeg } from '../geometry/portable-math'
import { Refused } from '../geometry/trouble'
import { contactMesh } from './contact'
import { type DropGrid, dropCutter } from './drop-cutter'
import type { ExtendedFace } from './extend-face'

export interface SolidOptions {
  /** Material below the lowest point of the face, mm. */
  readonly base_mm: number
  /** Draft of the outer sides, degrees. */
  readonly sideDraft_deg: number
  /** Least material between face and hollow, mm; null: a solid block. */
  readonly wall_mm: number | null
}

export interface MouldSolid {
  /** Tool axes, closed, outward normals. */
  readonly solid: Mesh<'part'>
  /** The same without the hollow. */
  readonly block: Mesh<'part'>
  /** The hollow alone, closed; null for a block, or where nothing is deep enough to be hollowed. */
  readonly hollow: Mesh<'part'> | null
  readonly volume_mm3: number
  readonly footprint_mm: readonly [number, number, number]
  readonly centroid: readonly [number, number, number]
}

/** @throws Refused `shape-impossible` if the flange's outer edge crosses itself in plan */
export function* mouldSolid(extended: ExtendedFace, options: SolidOptions): Steps<MouldSolid> {
  const { mesh, outer } = extended
  const box = bounds(mesh)
  const floor = box.min[2] - options.base_mm
  const foot = footRow(mesh, outer, floor, options.sideDraft_deg)
  const block = closeBlock(mesh, outer, foot, floor, null)
  yield 0.2
  let hollow: Mesh<'part'> | null = null
  let solid = block
  if (options.wall_mm !== null) {
    const field = yield* within(0.2, 0.7, 'hollow', hollowField(block, floor, options.wall_mm))
    if (field) {
      hollow = hollowSolid(field, floor)
      solid = closeBlock(mesh, outer, foot, floor, field)
    }
  }
  const { volume_mm3, centroid } = yield* within(0.7, 1, 'volume', massProperties(solid))
  const b = bounds(solid)
  return {
    solid,
    block,
    hollow,
    volume_mm3,
    centroid: [centroid[0], centroid[1], centroid[2]],
    footprint_mm: [b.max[0] - b.min[0], b.max[1] - b.min[1], b.max[2] - b.min[2]],
  }
}

/** Outer edge carried down to the floor at the draft, x y per corner. */
function footRow(mesh: Mesh, outer: Uint32Array, floor: number, draft_deg: number): Float64Array {
  const p = mesh.positions
  const n = outer.length
  const tan = tanDeg(draft_deg)
  const foot = new Float64Array(2 * n)
  for (let k = 0; k < n; k++) {
    const [a, b, c] = [3 * outer[(k + n - 1) % n]!, 3 * outer[k]!, 3 * outer[(k + 1) % n]!]
    const dx = p[c]! - p[a]!
    const dy = p[c + 1]! - p[a + 1]!
    const l = Math.sqrt(dx * dx + dy * dy) || 1
    const out = (p[b + 2]! - floor) * tan + jog_mm(k)
    foot[2 * k] = p[b]! + (out * dy) / l
    foot[2 * k + 1] = p[b + 1]! - (out * dx) / l
  }
  for (let k = 0; k < n; k++) {
    const j = (k + 1) % n
    const [a, b] = [3 * outer[k]!, 3 * outer[j]!]
    const along =
      (foot[2 * j]! - foot[2 * k]!) * (p[b]! - p[a]!) + (foot[2 * j + 1]! - foot[2 * k + 1]!) * (p[b + 1]! - p[a + 1]!)
    if (!(along > 0))
      throw new Refused(
        'shape-impossible',
        `tooling: the sides of the block cross about x ${Math.round(p[a]!)}, y ${Math.round(p[a + 1]!)}; make sideDraft_deg smaller.`,
      )
  }
  return foot
}

/**
 * A hundredth of a millimetre, one way or the other: the triangulation of the base passes over corners that lie exactly on a
 * line, which would leave the base open along it.
 */
function jog_mm(k: number): number {
  // Mixed twice: a plain multiple would put every third corner on one line again.
  let t = Math.imul(k + 1, 0x9e3779b1)
  t = Math.imul(t ^ (t >>> 15), 0x85ebca6b)
  return ((((t ^ (t >>> 13)) >>> 0) / 4294967296 - 0.5) * 4) / 100
}

/** Top, sides and base; with a field, the base has the hollow in it. */
function closeBlock(
  mesh: Mesh<'part'>,
  outer: Uint32Array,
  foot: Float64Array,
  floor: number,
  hollow: HollowField | null,
): Mesh<'part'> {
  const n = outer.length
  const own = mesh.positions.length / 3
  const points: number[] = []
  for (let k = 0; k < n; k++) points.push(foot[2 * k]!, foot[2 * k + 1]!, floor)
  const facets: number[] = []
  for (let k = 0; k < n; k++) {
    const j = (k + 1) % n
    facets.push(outer[k]!, own + k, own + j, outer[k]!, own + j, outer[j]!)
  }
  const flat: number[] = Array.from(foot, Math.fround)
  const rings: number[] = []
  const cornerVertex: number[] = Array.from({ length: n }, (_, k) => own + k)
  if (hollow) {
    const { vertex, loops, triangles } = hollow
    const first = own + n
    for (let v = 0; v < vertex.length / 3; v++) points.push(vertex[3 * v]!, vertex[3 * v + 1]!, vertex[3 * v + 2]!)
    // Seen from below, so turned.
    for (let t = 0; t < triangles.length; t += 3)
      facets.push(first + triangles[t]!, first + triangles[t + 2]!, first + triangles[t + 1]!)
    for (const loop of loops) {
      rings.push(flat.length / 2)
      for (const v of loop) {
        flat.push(Math.fround(vertex[3 * v]!), Math.fround(vertex[3 * v + 1]!))
        cornerVertex.push(first + v)
      }
    }
  }
  const base = earcut(flat, rings)
  for (let t = 0; t < base.length; t += 3) {
    const [a, b, c] = [base[t]!, base[t + 1]!, base[t + 2]!]
    const turn =
      (flat[2 * b]! - flat[2 * a]!) * (flat[2 * c + 1]! - flat[2 * a + 1]!) -
      (flat[2 * b + 1]! - flat[2 * a + 1]!) * (flat[2 * c]! - flat[2 * a]!)
    // The base looks down: clockwise from above.
    facets.push(cornerVertex[a]!, cornerVertex[turn > 0 ? c : b]!, cornerVertex[turn > 0 ? b : c]!)
  }
  const positions = new Float32Array(mesh.positions.length + points.length)
  positions.set(mesh.positions)
  positions.set(points, mesh.positions.length)
  const indices = new Uint32Array(mesh.indices.length + facets.length)
  indices.set(mesh.indices)
  indices.set(facets, mesh.indices.length)
  return makeMesh('part', positions, indices)
}

interface HollowField {
  /** x y z of the nodes in use. */
  readonly vertex: Float64Array
  /** Node numbers, counter-clockwise from above. */
  readonly triangles: number[]
  /** Borders of the hollow at the floor. */
  readonly loops: number[][]
}

/** Nodes of the hollow's ceiling stand this far apart; heights are sampled four times as fine. */
const NODE_MM = 24
const FINE = 4
/** A hollow lower than this is not worth making. */
const LEAST_HOLLOW_MM = 40

/**
 * Ceiling of the hollow: everywhere at least `wall_mm` from the face and the sides.
 *
 * The block is turned over and a ball of the wall's radius is dropped on it: its middle stands exactly a wall away from
 * everything. Each node takes the lowest of the fine samples of the cells about it, so that straight lines between nodes stay
 * within.
 */
function* hollowField(block: Mesh<'part'>, floor: number, wall_mm: number): Steps<HollowField | null> {
  const { positions: p, indices } = block
  const turned = new Float32Array(p.length)
  for (let v = 0; v < p.length; v += 3) {
    turned[v] = p[v]!
    turned[v + 1] = p[v + 1]!
    turned[v + 2] = -p[v + 2]!
  }
  // Only what is above the floor: the base itself is opened.
  const kept: number[] = []
  for (let f = 0; f < indices.length; f += 3) {
    const low = Math.min(...[0, 1, 2].map((k) => p[3 * indices[f + k]! + 2]!))
    const high = Math.max(...[0, 1, 2].map((k) => p[3 * indices[f + k]! + 2]!))
    if (high > floor + 1e-3 || low > floor + 1e-3) kept.push(indices[f]!, indices[f + 1]!, indices[f + 2]!)
  }
  const upsideDown = makeMesh('part', turned, Uint32Array.from(kept))
  const { min, max } = bounds(block)
  const h = NODE_MM / FINE
  const nodesX = Math.floor((max[0] - min[0]) / NODE_MM) + 1
  const nodesY = Math.floor((max[1] - min[1]) / NODE_MM) + 1
  const grid: DropGrid = {
    x0: min[0],
    y0: min[1],
    h,
    nx: (nodesX - 1) * FINE + 1,
    ny: (nodesY - 1) * FINE + 1,
  }
  const contact = yield* within(0, 0.2, 'hollow', contactMesh(upsideDown))
  const ball = { diameter_mm: 2 * wall_mm, cornerRadius_mm: wall_mm }
  const tip = yield* within(0.2, 0.9, 'hollow', dropCutter(contact, ball, grid))
  const ceiling = new Float64Array(nodesX * nodesY)
  for (let j = 0; j < nodesY; j++)
    for (let i = 0; i < nodesX; i++) {
      let low = Infinity
      for (let b = -FINE; b <= FINE; b++)
        for (let a = -FINE; a <= FINE; a++) {
          const x = i * FINE + a
          const y = j * FINE + b
          if (x < 0 || y < 0 || x >= grid.nx || y >= grid.ny) {
            low = -Infinity
            continue
          }
          const t = tip[y * grid.nx + x]!
          low = Math.min(low, t === -Infinity ? -Infinity : -(t + wall_mm))
        }
      ceiling[j * nodesX + i] = low
    }
  return cellsOf(ceiling, nodesX, nodesY, min[0], min[1], floor)
}

/** Cells whose nodes are all deep enough; their border nodes are drawn down to the floor. */
function cellsOf(
  ceiling: Float64Array,
  nodesX: number,
  nodesY: number,
  x0: number,
  y0: number,
  floor: number,
): HollowField | null {
  const cx = nodesX - 1
  const cy = nodesY - 1
  const use = new Uint8Array(cx * cy)
  const deep = (i: number, j: number) => ceiling[j * nodesX + i]! > floor + 1
  for (let j = 0; j < cy; j++)
    for (let i = 0; i < cx; i++)
      if (deep(i, j) && deep(i + 1, j) && deep(i, j + 1) && deep(i + 1, j + 1)) use[j * cx + i] = 1
  const at = (i: number, j: number) => (i >= 0 && j >= 0 && i < cx && j < cy ? use[j * cx + i]! : 0)
  // Two cells that meet at a corner only would pinch the border there.
  for (let changed = true; changed; ) {
    changed = false
    for (let j = 0; j <= cy; j++)
      for (let i = 0; i <= cx; i++) {
        const [a, b, c, d] = [at(i - 1, j - 1), at(i, j - 1), at(i - 1, j), at(i, j)]
        if (a === d && b === c && a !== b) {
          if (a) use[j * cx + i] = 0
          else use[(j - 1) * cx + i] = 0
          changed = true
        }
      }
  }
  const number = new Map<number, number>()
  const vertex: number[] = []
  const triangles: number[] = []
  let highest = -Infinity
  const node = (i: number, j: number): number => {
    const key = j * nodesX + i
    const known = number.get(key)
    if (known !== undefined) return known
    const inner = at(i - 1, j - 1) && at(i, j - 1) && at(i - 1, j) && at(i, j)
    const z = inner ? ceiling[key]! : floor
    highest = Math.max(highest, z)
    vertex.push(x0 + i * NODE_MM + jog_mm(key), y0 + j * NODE_MM + jog_mm(key + 7), z)
    number.set(key, vertex.length / 3 - 1)
    return vertex.length / 3 - 1
  }
  const next = new Map<number, number>()
  for (let j = 0; j < cy; j++)
    for (let i = 0; i < cx; i++) {
      if (!at(i, j)) continue
      const [a, b, c, d] = [node(i, j), node(i + 1, j), node(i + 1, j + 1), node(i, j + 1)]
      // The diagonal that leaves no facet with all three corners on the floor unless it must.
      if ((i + j) % 2) triangles.push(a, b, c, a, c, d)
      else triangles.push(a, b, d, b, c, d)
      if (!at(i, j - 1)) next.set(a, b)
      if (!at(i + 1, j)) next.set(b, c)
      if (!at(i, j + 1)) next.set(c, d)
      if (!at(i - 1, j)) next.set(d, a)
    }
  if (triangles.length === 0 || highest < floor + LEAST_HOLLOW_MM) return null
  const loops: number[][] = []
  while (next.size > 0) {
    const first = next.keys().next().value as number
    const loop: number[] = []
    for (let v = first; next.has(v); ) {
      loop.push(v)
      const to = next.get(v)!
      next.delete(v)
      v = to
    }
    loops.push(loop)
  }
  return { vertex: Float64Array.from(vertex), triangles, loops }
}

/** Ceiling over its own floor, closed. */
function hollowSolid(field: HollowField, floor: number): Mesh<'part'> {
  const { vertex, triangles, loops } = field
  const count = vertex.length / 3
  const facets = [...triangles]
  // The lid below has the same plan triangles at the floor; border nodes are shared.
  const border = new Set(loops.flat())
  const below = Array.from({ length: count }, (_, v) => v)
  const points = Array.from(vertex)
  for (let v = 0; v < count; v++) {
    if (border.has(v)) continue
    below[v] = points.length / 3
    points.push(vertex[3 * v]!, vertex[3 * v + 1]!, floor)
  }
  const flatFacets: number[] = []
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [triangles[t]!, triangles[t + 1]!, triangles[t + 2]!]
    // A facet with all corners on the floor has no height: left out above and below.
    if (border.has(a) && border.has(b) && border.has(c)) flatFacets.push(t)
    else facets.push(below[a]!, below[c]!, below[b]!)
  }
  for (const t of flatFacets.reverse()) facets.splice(t, 3)
  return makeMesh('part', Float32Array.from(points), Uint32Array.from(facets))
}
