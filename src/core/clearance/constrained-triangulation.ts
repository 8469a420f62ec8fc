import Delaunator from 'delaunator'

/**
 * Delaunay triangulation in plan with edges that must be there.
 *
 * Missing edges are forced by flipping the diagonals that cross them (S. W. Sloan 1993, "A fast algorithm for generating
 * constrained Delaunay triangulations"). Written here because the published package for it ships as source that our
 * stricter compiler settings refuse.
 *
 * @param coords  x y pairs, no two equal
 * @param edges   pairs of point numbers; they may meet at points but not cross
 * @returns three point numbers per triangle, counter-clockwise (y up), over the whole convex hull
 */
export function triangulate(coords: Float64Array, edges: Uint32Array): Uint32Array {
  const { triangles, halfedges } = new Delaunator(coords)
  const mesh: HalfEdges = {
    coords,
    corner: triangles,
    twin: halfedges,
    leaving: new Int32Array(coords.length / 2).fill(-1),
  }
  for (let e = 0; e < triangles.length; e++) note(mesh, e)
  for (let k = 0; k < edges.length; k += 2) force(mesh, edges[k]!, edges[k + 1]!)
  if (triangles.length > 0 && cross(coords, triangles[0]!, triangles[1]!, triangles[2]!) < 0)
    for (let t = 0; t < triangles.length; t += 3) {
      const keep = triangles[t + 1]!
      triangles[t + 1] = triangles[t + 2]!
      triangles[t + 2] = keep
    }
  return triangles
}

interface HalfEdges {
  readonly coords: Float64Array
  /** Point at which each half-edge starts. */
  readonly corner: Uint32Array
  readonly twin: Int32Array
  /** One half-edge that leaves each point; on the hull the one from which turning meets all others. */
  readonly leaving: Int32Array
}

const after = (e: number): number => (e % 3 === 2 ? e - 2 : e + 1)
const before = (e: number): number => (e % 3 === 0 ? e + 2 : e - 1)

/** Twice the signed area of a triangle. */
function cross(coords: Float64Array, a: number, b: number, c: number): number {
  const ax = coords[2 * a]!
  const ay = coords[2 * a + 1]!
  return (coords[2 * b]! - ax) * (coords[2 * c + 1]! - ay) - (coords[2 * b + 1]! - ay) * (coords[2 * c]! - ax)
}

/** Remembers a half-edge of its point; a hull point keeps the one that has no neighbour behind it, where its fan starts. */
function note(mesh: HalfEdges, e: number): void {
  const p = mesh.corner[e]!
  const held = mesh.leaving[p]!
  if (held < 0 || mesh.twin[e] === -1) mesh.leaving[p] = e
}

/** Turns round point a over its fan; calls back with each half-edge that leaves it, until told to stop. */
function fan(mesh: HalfEdges, a: number, visit: (e: number) => boolean): void {
  const start = mesh.leaving[a]!
  let e = start
  // A hull edge has no twin, so from it only the turn over the previous edge of the same triangle goes on.
  do {
    if (visit(e)) return
    e = mesh.twin[before(e)]!
  } while (e >= 0 && e !== start)
}

function force(mesh: HalfEdges, a: number, b: number): void {
  const { coords, corner, twin } = mesh
  const crossing: number[] = []
  let there = false
  fan(mesh, a, (e) => {
    const p = corner[after(e)]!
    const q = corner[before(e)]!
    if (p === b || q === b) {
      there = true
      return true
    }
    const sp = cross(coords, a, b, p)
    const sq = cross(coords, a, b, q)
    // The half-edge p → q is left through if b lies beyond it, between its ends.
    if (sp * sq < 0 && cross(coords, p, q, a) * cross(coords, p, q, b) < 0) {
      crossing.push(after(e))
      return true
    }
    return false
  })
  if (there) return
  if (crossing.length === 0) throw new Error('clearance: an edge of the outline passes through another of its points')
  for (;;) {
    const e = twin[crossing[crossing.length - 1]!]!
    if (e < 0) throw new Error('clearance: an edge of the outline leaves the hull of its points')
    const far = corner[before(e)]!
    if (far === b) break
    const left = after(e)
    const right = before(e)
    const sf = cross(coords, a, b, far)
    const s0 = cross(coords, a, b, corner[left]!)
    crossing.push(s0 * sf < 0 ? left : right)
    if (crossing.length > 10_000) throw new Error('clearance: an edge of the outline crosses the whole mesh')
  }
  // Edges are kept by their ends: a flip renumbers the half-edges around it.
  const queue = crossing.map((e): [number, number] => [corner[e]!, corner[after(e)]!])
  let turns = 0
  while (queue.length > 0) {
    const [p, q] = queue.shift()!
    const e = find(mesh, p, q)
    const r = corner[before(e)]!
    const s = corner[before(twin[e]!)]!
    const convex =
      cross(coords, r, s, p) * cross(coords, r, s, q) < 0 && cross(coords, p, q, r) * cross(coords, p, q, s) < 0
    if (convex) {
      flip(mesh, e)
      const ends = r === a || r === b || s === a || s === b
      if (!ends && cross(coords, a, b, r) * cross(coords, a, b, s) < 0) queue.push([r, s])
    } else queue.push([p, q])
    if (++turns > 100_000) throw new Error('clearance: an edge of the outline could not be forced into the mesh')
  }
}

function find(mesh: HalfEdges, p: number, q: number): number {
  let found = -1
  fan(mesh, p, (e) => {
    if (mesh.corner[after(e)] === q) found = e
    else if (mesh.corner[before(e)] === q) found = mesh.twin[before(e)]!
    return found >= 0
  })
  if (found < 0) throw new Error('clearance: an edge vanished while the outline was forced into the mesh')
  return found
}

/** Replaces the diagonal of the two triangles at half-edge e by the other one. */
function flip(mesh: HalfEdges, e: number): void {
  const { corner, twin, leaving } = mesh
  const o = twin[e]!
  const e1 = after(e)
  const e2 = before(e)
  const o1 = after(o)
  const o2 = before(o)
  const p = corner[e]!
  const q = corner[o]!
  const r = corner[e2]!
  const s = corner[o2]!
  const outer = [twin[e1]!, twin[e2]!, twin[o1]!, twin[o2]!] // q-r, r-p, p-s, s-q
  // Triangle of e becomes s, r, p; triangle of o becomes r, s, q.
  const set = (half: number, from: number, other: number) => {
    corner[half] = from
    twin[half] = other
    if (other >= 0) twin[other] = half
  }
  set(e, s, o)
  set(e1, r, outer[1]!)
  set(e2, p, outer[2]!)
  set(o, r, e)
  set(o1, s, outer[3]!)
  set(o2, q, outer[0]!)
  for (const [point, half] of [
    [p, e2],
    [q, o2],
    [r, e1],
    [s, o1],
  ] as const)
    leaving[point] = half
  for (const half of [e, e1, e2, o, o1, o2]) if (twin[half] === -1) leaving[corner[half]!] = half
  fixHull(mesh, p)
  fixHull(mesh, q)
  fixHull(mesh, r)
  fixHull(mesh, s)
}

/** A hull point's fan must start at its hull edge: turn back from any of its half-edges until there is none before it. */
function fixHull(mesh: HalfEdges, point: number): void {
  const start = mesh.leaving[point]!
  let e = start
  for (;;) {
    const back = mesh.twin[e]!
    if (back < 0) break
    e = after(back)
    if (e === start) return
  }
  mesh.leaving[point] = e
}
