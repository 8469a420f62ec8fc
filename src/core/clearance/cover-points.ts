import { BLOCK, type Steps, within } from '../geometry/kernel'
import { facetCount, type Mesh } from '../geometry/mesh'
import { facetDistance2 } from '../geometry/point-triangle'
import { square } from '../geometry/portable-math'
import { buildTriangleTree, leafCount, leafStart, type TriangleTree } from '../geometry/triangle-tree'

/**
 * Points that stand for the facets of a mesh: its vertices, and more inside facets with long edges, each with the radius that
 * it covers. No place of a facet is further than that from the nearest of its points, and a place off the facet is no
 * nearer to the facet than sqrt(distance to the point² − radius²): the two are square to each other. So a search among
 * points settles whether any facet is within a distance, but for a handful of facets that are asked exactly (crossings of a
 * 12 mm offset of 1M facets: 5 s where asking the tree of triangles took 8 s, same run conditions).
 */
export interface CoverPoints {
  readonly mesh: Mesh
  /** Tree of the points (each as a triangle without size, point number = vertex number); the first are the vertices of `mesh`. */
  readonly tree: TriangleTree
  /** How many of the points are vertices. */
  readonly vertices: number
  /** Squared radius that each point covers, mm²; −1 for a vertex of no facet. */
  readonly cover2: Float32Array
  /** In the order of the leaves, so that a leaf reads one piece of memory: x, y, z and covered radius² of each point, and its number. */
  readonly inLeaf: Float32Array
  readonly numberInLeaf: Uint32Array
  /** Largest of these below each child of the tree. */
  readonly coverBelow: Float32Array
  /** Squared radius that the corners of each facet need, mm²; 0 for a facet that has points of its own. */
  readonly facetCover2: Float32Array
  /** Facets about each vertex: `facets` from `firstFacet[v]` to `firstFacet[v + 1]`; of a point beyond the vertices its one facet. */
  readonly firstFacet: Uint32Array
  readonly facets: Uint32Array
}

/** About how many points large facets may get. */
const MOST_INSIDE = 500_000

/** @param wanted_mm facets with edges longer than this get points inside, this far apart (further, where that would be too many) */
export function* coverPoints(mesh: Mesh, wanted_mm: number): Steps<CoverPoints> {
  const { positions, indices } = mesh
  const facets = facetCount(mesh)
  const vertices = positions.length / 3
  const facetCover2 = new Float32Array(facets)
  const vertexCover2 = new Float32Array(vertices).fill(-1)
  const firstFacet = new Uint32Array(vertices + 1)
  const extra: number[] = []
  const extraFacet: number[] = []
  let squares = 0
  for (let f = 0; f < facets; f++) {
    const [longest] = sizeOf(positions, 3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!)
    if (longest > wanted_mm) squares += longest * longest
    if (f % (2 * BLOCK) === 0) yield (0.1 * f) / facets
  }
  const spacing_mm = Math.max(wanted_mm, Math.sqrt(squares / (2 * MOST_INSIDE)))
  for (let f = 0; f < facets; f++) {
    const a = 3 * indices[3 * f]!
    const b = 3 * indices[3 * f + 1]!
    const c = 3 * indices[3 * f + 2]!
    const [longest, radius2] = sizeOf(positions, a, b, c)
    const cuts = Math.ceil(longest / spacing_mm)
    if (cuts <= 1) facetCover2[f] = radius2 * 1.000001
    else
      for (let i = 0; i <= cuts; i++)
        for (let j = 0; i + j <= cuts; j++) {
          for (let k = 0; k < 3; k++)
            extra.push(
              positions[a + k]! +
                (i / cuts) * (positions[b + k]! - positions[a + k]!) +
                (j / cuts) * (positions[c + k]! - positions[a + k]!),
            )
          extraFacet.push(f)
          if (extraFacet.length % 4096 === 0) yield 0.1 + (0.2 * f) / facets
        }
    for (let k = 0; k < 3; k++) {
      const v = indices[3 * f + k]!
      firstFacet[v + 1]!++
      if (vertexCover2[v]! < facetCover2[f]!) vertexCover2[v] = facetCover2[f]!
    }
    if (f % BLOCK === 0) yield 0.1 + (0.2 * f) / facets
  }
  for (let v = 0; v < vertices; v++) firstFacet[v + 1]! += firstFacet[v]!
  const around = new Uint32Array(3 * facets + extraFacet.length)
  const fill = firstFacet.slice()
  yield 0.3
  for (let f = 0; f < facets; f++) for (let k = 0; k < 3; k++) around[fill[indices[3 * f + k]!]!++] = f
  yield 0.33

  const points = new Float32Array(positions.length + extra.length)
  points.set(positions)
  points.set(extra, positions.length)
  const cover2 = new Float32Array(vertices + extraFacet.length)
  cover2.set(vertexCover2)
  // Equal cuts of a triangle have its shape; their points are rounded to Float32, for which a hundredth is generous.
  cover2.fill(square(spacing_mm) / 3 + 0.01 * spacing_mm, vertices)
  extraFacet.forEach((f, i) => {
    around[3 * facets + i] = f
  })
  yield 0.35
  let count = 0
  for (let p = 0; p < cover2.length; p++) if (cover2[p]! >= 0) count++
  const corners = new Uint32Array(3 * count)
  for (let p = 0, i = 0; p < cover2.length; p++) {
    if (cover2[p]! < 0) continue
    corners[i++] = p
    corners[i++] = p
    corners[i++] = p
  }
  yield 0.38
  // Named after the mesh instead of by content: nobody outside ever sees it, and hashing a million points takes as long as drawing them.
  const pointMesh: Mesh = { ...mesh, id: `${mesh.id}:points`, positions: points, indices: corners }
  const tree = yield* within(0.4, 0.9, 'points', buildTriangleTree(pointMesh))
  const coverBelow = new Float32Array(tree.child.length)
  for (let slot = tree.child.length - 1; slot >= 0; slot--) {
    const c = tree.child[slot]!
    if (c >= 0) coverBelow[slot] = Math.max(coverBelow[2 * c]!, coverBelow[2 * c + 1]!)
    else if (tree.box[6 * slot]! <= tree.box[6 * slot + 3]!)
      for (let i = leafStart(c); i < leafStart(c) + leafCount(c); i++)
        coverBelow[slot] = Math.max(coverBelow[slot]!, cover2[corners[3 * tree.order[i]!]!]!)
  }
  yield 0.92
  const inLeaf = new Float32Array(4 * count)
  const numberInLeaf = new Uint32Array(count)
  for (let i = 0; i < count; i++) {
    const p = corners[3 * tree.order[i]!]!
    numberInLeaf[i] = p
    for (let k = 0; k < 3; k++) inLeaf[4 * i + k] = points[3 * p + k]!
    inLeaf[4 * i + 3] = cover2[p]!
    if (i % (4 * BLOCK) === 0) yield 0.92 + (0.08 * i) / count
  }
  return { mesh, tree, vertices, cover2, inLeaf, numberInLeaf, coverBelow, facetCover2, firstFacet, facets: around }
}

/** Longest edge, and the squared radius in which the three corners cover the triangle: its circle's, or half the longest edge where that is obtuse. */
function sizeOf(p: Float32Array, a: number, b: number, c: number): [number, number] {
  const ab = square(p[a]! - p[b]!) + square(p[a + 1]! - p[b + 1]!) + square(p[a + 2]! - p[b + 2]!)
  const bc = square(p[b]! - p[c]!) + square(p[b + 1]! - p[c + 1]!) + square(p[b + 2]! - p[c + 2]!)
  const ca = square(p[c]! - p[a]!) + square(p[c + 1]! - p[a + 1]!) + square(p[c + 2]! - p[a + 2]!)
  const longest2 = Math.max(ab, bc, ca)
  const longest = Math.sqrt(longest2)
  if (2 * longest2 >= ab + bc + ca) return [longest, longest2 / 4]
  // 16 · area², by Heron.
  const area16 = 2 * (ab * bc + bc * ca + ca * ab) - (ab * ab + bc * bc + ca * ca)
  return [longest, Math.min(longest2 / 3, (ab * bc * ca) / area16)]
}

const stack = new Int32Array(160)

/**
 * Any facet nearer to a place than `limit`, or −1: the same answer as `facetWithin` on the tree of triangles.
 *
 * @param seed facet to try first; −1: none
 */
export function facetWithinCover(
  cover: CoverPoints,
  x: number,
  y: number,
  z: number,
  limit: number,
  seed: number,
): number {
  const { mesh, tree, vertices, inLeaf, numberInLeaf, coverBelow, facetCover2, firstFacet, facets } = cover
  const { child, box } = tree
  const { origin, positions, indices } = mesh
  const px = x - origin[0]
  const py = y - origin[1]
  const pz = z - origin[2]
  const limit2 = limit * limit
  if (seed >= 0 && facetDistance2(positions, indices, seed, px, py, pz) < limit2) return seed
  const ownFacets = 3 * facetCover2.length
  let top = 1
  stack[0] = 0
  while (top > 0) {
    const node = stack[--top]!
    const at = 12 * node
    let dx = Math.max(box[at]! - px, 0, px - box[at + 3]!)
    let dy = Math.max(box[at + 1]! - py, 0, py - box[at + 4]!)
    let dz = Math.max(box[at + 2]! - pz, 0, pz - box[at + 5]!)
    const first = dx * dx + dy * dy + dz * dz
    dx = Math.max(box[at + 6]! - px, 0, px - box[at + 9]!)
    dy = Math.max(box[at + 7]! - py, 0, py - box[at + 10]!)
    dz = Math.max(box[at + 8]! - pz, 0, pz - box[at + 11]!)
    const second = dx * dx + dy * dy + dz * dz
    const nearer = first <= second ? 0 : 1
    for (let turn = 0; turn < 2; turn++) {
      const side = turn === 0 ? 1 - nearer : nearer
      if ((side === 0 ? first : second) >= limit2 + coverBelow[2 * node + side]!) continue
      const c = child[2 * node + side]!
      if (c >= 0) {
        stack[top++] = c
        continue
      }
      const start = ~c >>> 2
      for (let i = start + (~c & 3); i >= start; i--) {
        dx = inLeaf[4 * i]! - px
        dy = inLeaf[4 * i + 1]! - py
        dz = inLeaf[4 * i + 2]! - pz
        const d2 = dx * dx + dy * dy + dz * dz
        if (d2 >= limit2 + inLeaf[4 * i + 3]!) continue
        const p = numberInLeaf[i]!
        if (p >= vertices) {
          const f = facets[ownFacets + p - vertices]!
          if (facetDistance2(positions, indices, f, px, py, pz) < limit2) return f
          continue
        }
        const end = firstFacet[p + 1]!
        // A vertex is a point of each of its facets.
        if (d2 < limit2) return facets[end - 1]!
        for (let k = firstFacet[p]!; k < end; k++) {
          const f = facets[k]!
          if (d2 < limit2 + facetCover2[f]! && facetDistance2(positions, indices, f, px, py, pz) < limit2) return f
        }
      }
    }
  }
  return -1
}
