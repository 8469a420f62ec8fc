/**
 * A copy of a large mesh for drawing: as many facets as a picture can show, with how far off it is. No figure is taken from it;
 * whoever points at it is led back to the facets of the whole mesh.
 */
import type { Axes } from './axes'
import { BLOCK, type Steps, within } from './kernel'
import { facetCount, type Mesh, vertexCount } from './mesh'
import { facetDistance2 } from './point-triangle'
import { clustered } from './thin-mesh'

export interface DisplayCopy<A extends Axes = Axes> {
  /** Id of the whole mesh. */
  readonly of: string
  readonly mesh: Mesh<A>
  /** Vertex of the copy that stands for each vertex of the whole mesh. */
  readonly clusterOf: Uint32Array
  /**
   * Facets of the whole mesh by the vertex of the copy that stands for their first corner: those of vertex c are
   * `facetsAt[first[c] … first[c + 1])`. Every facet stands once.
   */
  readonly first: Uint32Array
  readonly facetsAt: Uint32Array
  /** A facet of the whole mesh for each of the copy. */
  readonly facetFrom: Uint32Array
  /** No vertex of the whole mesh is further from the drawn surface than this, mm; 95 % of them are within `p95_mm`. */
  readonly deviation_mm: number
  readonly p95_mm: number
}

/** A surface crosses about so many cells of a grid per square of their side (measured on scans of tube frames: 1.4 to 1.6). */
const CELLS_PER_SQUARE = 1.5

/**
 * @param request.keep most facets of the copy
 * @example const copy = drain(displayCopy({ mesh, keep: 300_000 }))
 */
export function* displayCopy<A extends Axes>(request: {
  readonly mesh: Mesh<A>
  readonly keep: number
}): Steps<DisplayCopy<A>> {
  const { mesh, keep } = request
  const vertices = vertexCount(mesh)
  let cell = Math.sqrt((2 * CELLS_PER_SQUARE * area_mm2(mesh)) / keep)
  let thin = yield* within(0, 0.5, 'drawing', clustered(mesh, cell))
  // The guess fits most scans; noisy ones cross more cells.
  while (facetCount(thin.mesh) > keep) {
    cell *= Math.sqrt(facetCount(thin.mesh) / keep) * 1.03
    thin = yield* within(0.5, 0.6, 'drawing', clustered(mesh, cell))
  }
  const { clusterOf } = thin
  const drawn = vertexCount(thin.mesh)
  const whole = byCluster(facetCount(mesh), drawn, (f) => clusterOf[mesh.indices[3 * f]!]!)
  const { squared, largest } = yield* within(0.6, 1, 'deviation', deviations(mesh, thin.mesh, clusterOf))
  return {
    of: mesh.id,
    mesh: thin.mesh,
    clusterOf,
    facetFrom: thin.facetFrom,
    first: whole.first,
    facetsAt: whole.items,
    deviation_mm: Math.sqrt(largest),
    p95_mm: Math.sqrt(vertices === 0 ? 0 : squared.sort()[Math.ceil(0.95 * vertices) - 1]!),
  }
}

/**
 * Squared distance of every vertex to the nearest facet round the vertex that stands for it, mm2: never less than the distance
 * to the drawn surface. Where no facet is left, to that vertex.
 */
function* deviations(
  mesh: Mesh,
  thin: Mesh,
  clusterOf: Uint32Array,
): Steps<{ squared: Float32Array; largest: number }> {
  const { positions: p } = mesh
  const { positions: q, indices } = thin
  const corners = byCluster(indices.length, vertexCount(thin), (c) => indices[c]!)
  const squared = new Float32Array(vertexCount(mesh))
  let [x, y, z, least] = [0, 0, 0, 0]
  const lookAround = (vertex: number) => {
    for (let i = corners.first[vertex]!; i < corners.first[vertex + 1]!; i++) {
      const d = facetDistance2(q, indices, Math.floor(corners.items[i]! / 3), x, y, z)
      if (d < least) least = d
    }
  }
  let largest = 0
  for (let v = 0; v < squared.length; v++) {
    const at = clusterOf[v]!
    x = p[3 * v]!
    y = p[3 * v + 1]!
    z = p[3 * v + 2]!
    least = squareOf(x - q[3 * at]!) + squareOf(y - q[3 * at + 1]!) + squareOf(z - q[3 * at + 2]!)
    lookAround(at)
    // A bound may be coarse where it does not count: only what would stand out is looked at further round.
    if (least > largest / 16)
      for (let i = corners.first[at]!; i < corners.first[at + 1]!; i++) {
        const f = corners.items[i]! - (corners.items[i]! % 3)
        for (let k = 0; k < 3; k++) lookAround(indices[f + k]!)
      }
    squared[v] = least
    if (least > largest) largest = least
    if (v % BLOCK === 0) yield v / squared.length
  }
  return { squared, largest }
}

/** Numbers 0 … count − 1 in the order of the cluster each belongs to; within one cluster in their own order. */
function byCluster(
  count: number,
  clusters: number,
  of: (item: number) => number,
): { first: Uint32Array; items: Uint32Array } {
  const first = new Uint32Array(clusters + 1)
  for (let i = 0; i < count; i++) first[of(i) + 1]!++
  for (let c = 0; c < clusters; c++) first[c + 1]! += first[c]!
  const next = first.slice(0, clusters)
  const items = new Uint32Array(count)
  for (let i = 0; i < count; i++) items[next[of(i)]!++] = i
  return { first, items }
}

function area_mm2({ positions: p, indices }: Mesh): number {
  let twice = 0
  for (let i = 0; i < indices.length; i += 3) {
    const [a, b, c] = [3 * indices[i]!, 3 * indices[i + 1]!, 3 * indices[i + 2]!]
    const [ux, uy, uz] = [p[b]! - p[a]!, p[b + 1]! - p[a + 1]!, p[b + 2]! - p[a + 2]!]
    const [vx, vy, vz] = [p[c]! - p[a]!, p[c + 1]! - p[a + 1]!, p[c + 2]! - p[a + 2]!]
    twice += Math.sqrt(squareOf(uy * vz - uz * vy) + squareOf(uz * vx - ux * vz) + squareOf(ux * vy - uy * vx))
  }
  return twice / 2
}

const squareOf = (v: number): number => v * v
