import { adjacency } from '../geometry/adjacency'
import { type Steps, within } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import { symmetricEigen } from '../geometry/symmetric-eigen'
import { across, cross, dot, plus, type Vec } from '../geometry/vectors'

/** A flat plate seen from both sides. Axes and origin of the mesh, mm. */
export interface FoundPlate {
  readonly thickness_mm: number
  /** Area of one side as far as both sides were seen, mm2. */
  readonly area_mm2: number
  readonly at: Vec
  readonly normal: Vec
}

/** Flat area from which a side of a plate is believed, mm2. */
const LEAST_AREA_mm2 = 500
/** cos 14°: how far a facet may be turned against the side it joins. */
const TURN = 0.97
/** Classes of flatness between `TURN` and 1. */
const CLASSES = 512
/** Distance from the side's plane, mm, at least. */
const OFF_mm = 1
/** Sides that belong together: cosine of 10° against parallel, and thickness between these, mm. */
const PARALLEL = 0.985
const THICK_mm = { least: 1.5, most: 30 } as const
/** Share of the smaller side that must lie over the other. */
const OVERLAP = 0.3

interface Side {
  readonly facets: Uint32Array
  readonly area_mm2: number
  readonly at: Vec
  readonly normal: Vec
}

/**
 * Plates by flat growth on the metal that no tube explains, and by pairing opposite sides where they overlap. Fillets stop the
 * growth and the halves of one side differ, so sides are paired by overlap of area and not by their middles; thickness is that
 * of the mesh (a coarse scan shows plates thicker than they are).
 *
 * @param taken one per facet, −1 where no tube is
 */
export function* findPlates(
  mesh: Mesh,
  vertexNormals: Float32Array,
  taken: Int32Array,
  noise_mm: number,
  edge_mm: number,
): Steps<FoundPlate[]> {
  const { positions } = mesh
  let rest = 0
  for (let f = 0; f < taken.length; f++) if (taken[f]! < 0) rest++
  const indices = new Uint32Array(3 * rest)
  for (let f = 0, n = 0; f < taken.length; f++) {
    if (taken[f]! >= 0) continue
    indices[n++] = mesh.indices[3 * f]!
    indices[n++] = mesh.indices[3 * f + 1]!
    indices[n++] = mesh.indices[3 * f + 2]!
  }
  const { across: beyond } = yield* within(0, 0.3, 'plates', adjacency(indices, positions.length / 3))
  const sides = yield* growSides(positions, vertexNormals, indices, beyond, Math.max(OFF_mm, 3 * noise_mm))
  yield 0.9
  return pairSides(positions, indices, sides, Math.max(6, 1.5 * edge_mm))
}

/** Facet normals of the smoothed vertex normals, and flatness: the least cosine between a corner's normal and theirs. */
function facetNormals(vertexNormals: Float32Array, indices: Uint32Array) {
  const count = indices.length / 3
  const normals = new Float32Array(3 * count)
  const flat = new Float32Array(count)
  for (let f = 0; f < count; f++) {
    let x = 0
    let y = 0
    let z = 0
    for (let k = 0; k < 3; k++) {
      const v = 3 * indices[3 * f + k]!
      x += vertexNormals[v]!
      y += vertexNormals[v + 1]!
      z += vertexNormals[v + 2]!
    }
    const l = Math.sqrt(x * x + y * y + z * z) || 1
    normals[3 * f] = x / l
    normals[3 * f + 1] = y / l
    normals[3 * f + 2] = z / l
    let least = 1
    for (let k = 0; k < 3; k++) {
      const v = 3 * indices[3 * f + k]!
      const c = (vertexNormals[v]! * x + vertexNormals[v + 1]! * y + vertexNormals[v + 2]! * z) / l
      if (c < least) least = c
    }
    flat[f] = least
  }
  return { normals, flat }
}

/** Numbers of the facets flat enough to begin a side, flattest first (a counting sort: a comparing one took 0.1 s). */
function flattestFirst(flat: Float32Array): Uint32Array {
  const classOf = (f: number) => Math.min(CLASSES - 1, Math.floor(((1 - flat[f]!) / (1 - TURN)) * CLASSES))
  const start = new Uint32Array(CLASSES + 1)
  for (let f = 0; f < flat.length; f++) if (flat[f]! >= TURN) start[Math.max(0, classOf(f)) + 1]!++
  for (let c = 0; c < CLASSES; c++) start[c + 1]! += start[c]!
  const order = new Uint32Array(start[CLASSES]!)
  for (let f = 0; f < flat.length; f++) if (flat[f]! >= TURN) order[start[Math.max(0, classOf(f))]!++] = f
  return order
}

function* growSides(
  positions: Float32Array,
  vertexNormals: Float32Array,
  indices: Uint32Array,
  beyond: Int32Array,
  off_mm: number,
): Steps<Side[]> {
  const count = indices.length / 3
  const { normals, flat } = facetNormals(vertexNormals, indices)
  yield 0.4
  const state = new Uint8Array(count)
  const member = new Uint32Array(count)
  const sides: Side[] = []
  // Flattest first: a side grown from its middle is not led astray by its edge.
  const order = flattestFirst(flat)
  for (const [turn, seed] of order.entries()) {
    if (turn % 4096 === 0) yield 0.4 + (0.5 * turn) / order.length
    if (state[seed]) continue
    let size = 0
    member[size++] = seed
    state[seed] = 1
    let plane = planeOf(positions, normals, indices, member, size)
    let fitted = 1
    for (let head = 0; head < size; head++) {
      const f = member[head]!
      for (let k = 0; k < 3; k++) {
        const next = beyond[3 * f + k]!
        if (next < 0 || state[next]) continue
        const n = 3 * next
        const facing =
          normals[n]! * plane.normal[0] + normals[n + 1]! * plane.normal[1] + normals[n + 2]! * plane.normal[2]
        if (facing < TURN || outOfPlane(positions, indices, next, plane) > off_mm) continue
        state[next] = 1
        member[size++] = next
      }
      if (size >= 2 * fitted && size < 4000) {
        plane = planeOf(positions, normals, indices, member, size)
        fitted = size
      }
    }
    const whole = planeOf(positions, normals, indices, member, size)
    if (whole.area_mm2 >= LEAST_AREA_mm2) sides.push({ ...whole, facets: member.slice(0, size) })
    if (size > 256) yield 0.4 + (0.5 * turn) / order.length
  }
  return sides
}

/** Plane of some facets by area: the middle of their corners, and the direction in which these spread least. */
function planeOf(
  positions: Float32Array,
  normals: Float32Array,
  indices: Uint32Array,
  member: Uint32Array,
  size: number,
) {
  let area = 0
  let mean: Vec = [0, 0, 0]
  let guess: Vec = [0, 0, 0]
  const corner = (f: number, k: number): Vec => {
    const v = 3 * indices[3 * f + k]!
    return [positions[v]!, positions[v + 1]!, positions[v + 2]!]
  }
  const areas = new Float64Array(size)
  for (let i = 0; i < size; i++) {
    const f = member[i]!
    const a = corner(f, 0)
    const b = corner(f, 1)
    const c = corner(f, 2)
    const n = cross(plus(b, a, -1), plus(c, a, -1))
    const w = Math.sqrt(dot(n, n)) / 2
    areas[i] = w
    area += w
    mean = plus(mean, plus(plus(a, b), c), w / 3)
    guess = plus(guess, [normals[3 * f]!, normals[3 * f + 1]!, normals[3 * f + 2]!], w)
  }
  const at: Vec = area > 0 ? [mean[0] / area, mean[1] / area, mean[2] / area] : mean
  const length = Math.sqrt(dot(guess, guess)) || 1
  const mean_normal: Vec = [guess[0] / length, guess[1] / length, guess[2] / length]
  if (size < 12) return { at, normal: mean_normal, area_mm2: area }
  const m = new Float64Array(9)
  for (let i = 0; i < size; i++)
    for (let k = 0; k < 3; k++) {
      const d = plus(corner(member[i]!, k), at, -1)
      for (let r = 0; r < 3; r++) for (let c = 0; c < 3; c++) m[3 * r + c]! += areas[i]! * d[r]! * d[c]!
    }
  const { vectors } = symmetricEigen(m, 3)
  const normal: Vec = [vectors[0]!, vectors[1]!, vectors[2]!]
  const agree = dot(normal, mean_normal)
  // A strip spreads as little across as along its normal: then the normals know better.
  if (Math.abs(agree) < 0.99) return { at, normal: mean_normal, area_mm2: area }
  return { at, normal: agree < 0 ? ([-normal[0], -normal[1], -normal[2]] as Vec) : normal, area_mm2: area }
}

function outOfPlane(positions: Float32Array, indices: Uint32Array, f: number, plane: { at: Vec; normal: Vec }): number {
  let most = 0
  for (let k = 0; k < 3; k++) {
    const v = 3 * indices[3 * f + k]!
    const d: Vec = [positions[v]! - plane.at[0], positions[v + 1]! - plane.at[1], positions[v + 2]! - plane.at[2]]
    most = Math.max(most, Math.abs(dot(d, plane.normal)))
  }
  return most
}

/** Cells of a side in its own plane; two sides of one plate share cells. */
function cellsOf(positions: Float32Array, indices: Uint32Array, side: Side, u: Vec, v: Vec, cell: number): Set<string> {
  const cells = new Set<string>()
  for (const f of side.facets)
    for (let k = 0; k < 3; k++) {
      const o = 3 * indices[3 * f + k]!
      const p: Vec = [positions[o]!, positions[o + 1]!, positions[o + 2]!]
      cells.add(`${Math.floor(dot(p, u) / cell)},${Math.floor(dot(p, v) / cell)}`)
    }
  return cells
}

function pairSides(positions: Float32Array, indices: Uint32Array, sides: readonly Side[], cell: number): FoundPlate[] {
  const pairs: { a: number; b: number; shared: number; thickness: number }[] = []
  for (let i = 0; i < sides.length; i++)
    for (let j = i + 1; j < sides.length; j++) {
      const a = sides[i]!
      const b = sides[j]!
      if (dot(a.normal, b.normal) > -PARALLEL) continue
      const between = plus(a.at, b.at, -1)
      // Seen from outside on both: a lies in the direction of its own normal from b.
      const thickness = (dot(between, a.normal) - dot(between, b.normal)) / 2
      if (thickness < THICK_mm.least || thickness > THICK_mm.most) continue
      if (dot(between, between) > (400 + thickness) * (400 + thickness)) continue
      const u = across(Math.abs(a.normal[2]) < 0.8 ? [0, 0, 1] : [1, 0, 0], a.normal)
      const v = cross(a.normal, u)
      const first = cellsOf(positions, indices, a, u, v, cell)
      const second = cellsOf(positions, indices, b, u, v, cell)
      let shared = 0
      for (const c of first) if (second.has(c)) shared++
      if (shared >= OVERLAP * Math.min(first.size, second.size)) pairs.push({ a: i, b: j, shared, thickness })
    }
  pairs.sort((p, q) => q.shared - p.shared || p.a - q.a || p.b - q.b)
  // Halves of one side share their partner: all pairs that touch make one plate.
  const group = sides.map((_, i) => i)
  const root = (i: number): number => (group[i] === i ? i : root(group[i]!))
  for (const { a, b } of pairs) group[Math.max(root(a), root(b))] = Math.min(root(a), root(b))
  const plates = new Map<number, { a: number; b: number; shared: number; thickness: number }[]>()
  for (const pair of pairs) plates.set(root(pair.a), [...(plates.get(root(pair.a)) ?? []), pair])
  return [...plates.values()].map((list): FoundPlate => {
    const members = [...new Set(list.flatMap((p) => [p.a, p.b]))].map((i) => sides[i]!)
    const shared = list.reduce((sum, p) => sum + p.shared, 0)
    const thickness_mm = list.reduce((sum, p) => sum + p.shared * p.thickness, 0) / shared
    const total = members.reduce((sum, s) => sum + s.area_mm2, 0)
    const reference = members[0]!.normal
    let at: Vec = [0, 0, 0]
    let normal: Vec = [0, 0, 0]
    let front = 0
    for (const s of members) {
      const same = dot(s.normal, reference) > 0
      at = plus(at, s.at, s.area_mm2 / total)
      normal = plus(normal, s.normal, same ? s.area_mm2 : -s.area_mm2)
      if (same) front += s.area_mm2
    }
    const l = Math.sqrt(dot(normal, normal))
    return {
      thickness_mm,
      area_mm2: Math.min(front, total - front),
      at,
      normal: [normal[0] / l, normal[1] / l, normal[2] / l],
    }
  })
}
