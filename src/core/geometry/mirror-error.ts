import type { Direction, Point } from './axes'
import { closestPoint, makeNearest } from './closest-point'
import { type FacetField, facetField } from './facet-field'
import { type Steps, within } from './kernel'
import { facetCount, type Mesh, vertexCount } from './mesh'
import { FEATURE } from './point-triangle'
import { buildTriangleTree } from './triangle-tree'
import { across } from './vectors'
import { type VertexSurface, vertexSurface } from './vertex-surface'
import { weightedQuantile } from './weighted-quantile'

/** Mirror error of a mesh about a plane: distance of each mirrored vertex from the surface, weighted by area. */
export interface MirrorError {
  readonly plane: { readonly normal: Point; readonly offset_mm: number }
  readonly rms_mm: number
  readonly p95_mm: number
  readonly max_mm: number
  /** The vertex (not its image) with the largest error. */
  readonly maxAt: Point
  /** Area whose mirror image falls on unseen metal; left out of the statistics. */
  readonly unseen_mm2: number
  /**
   * How much higher the port half (where the normal points) stands than the mirrored other half, mm, by least squares over the
   * area: negative, port hangs lower. The most deviating twentieth of the area has no say.
   */
  readonly portMinusStarboard_mm: number
}

export interface MirrorErrorOptions {
  /** One per vertex, 1 on the rim of a hole: images that come nearest to a rim are unseen. `null`: everything was seen. */
  readonly rimVertex: Uint8Array | null
  /** Up, for port against starboard; default z (x where the plane is level). */
  readonly up?: Direction
  /** If the caller has it already. */
  readonly surface?: VertexSurface
}

/**
 * Mirrors every vertex in a plane and measures its exact distance to the triangles of the mesh itself.
 *
 * Positive: the metal stands outside its mirror image. The sign is that of the facet where the nearest point lies inside one,
 * else of the normal interpolated between the corners. A plane shifted by e moves every image by 2e; a plane turned by α moves
 * it by 2 L sin α at distance L from the turning axis.
 *
 * @param plane unit normal and offset along it, axes of the mesh
 * @returns the statistics, and the mean of the three corners per facet (mm; NaN where one of them is unseen)
 * @example const { error, field } = drain(mirrorError(mesh, { normal: [0, 1, 0], offset_mm: 0 }, { rimVertex: null }))
 */
export function* mirrorError(
  mesh: Mesh,
  plane: { readonly normal: Direction; readonly offset_mm: number },
  options: MirrorErrorOptions,
): Steps<{ readonly error: MirrorError; readonly field: FacetField; readonly vertex_mm: Float32Array }> {
  const surface = options.surface ?? (yield* within(0, 0.05, 'normals', vertexSurface(mesh)))
  const signed = yield* within(0.05, 0.93, 'mirror image', imageDistances(mesh, plane, options.rimVertex, surface))
  const { normals, area } = surface
  const size = signed.map(Math.abs)
  const p95_mm = weightedQuantile(size, area, 0.95)
  yield 0.96
  const [nx, ny, nz] = plane.normal
  const up = options.up ?? [0, 0, 1]
  const level = Math.abs(up[0] * nx + up[1] * ny + up[2] * nz) > 0.99
  const [ux, uy, uz] = across(level ? [1, 0, 0] : up, plane.normal)
  const { positions, origin, indices } = mesh
  const offset = plane.offset_mm - (nx * origin[0] + ny * origin[1] + nz * origin[2])
  let sum2 = 0
  let sum = 0
  let unseen_mm2 = 0
  let worst = -1
  let rise = 0
  let riseWeight = 0
  for (let i = 0; i < signed.length; i++) {
    const d = signed[i]!
    const a = area[i]!
    if (Number.isNaN(d)) {
      unseen_mm2 += a
      continue
    }
    sum += a
    sum2 += a * d * d
    if (worst < 0 || size[i]! > size[worst]!) worst = i
    if (size[i]! > p95_mm * (1 + 1e-6)) continue
    const v = 3 * i
    const tilt = normals[v]! * ux + normals[v + 1]! * uy + normals[v + 2]! * uz
    const side = nx * positions[v]! + ny * positions[v + 1]! + nz * positions[v + 2]! - offset
    rise += side > 0 ? a * d * tilt : -a * d * tilt
    riseWeight += a * tilt * tilt
  }
  const values = new Float32Array(facetCount(mesh))
  for (let f = 0; f < values.length; f++)
    values[f] = (signed[indices[3 * f]!]! + signed[indices[3 * f + 1]!]! + signed[indices[3 * f + 2]!]!) / 3
  const at = 3 * worst
  const maxAt: Point =
    worst < 0
      ? [origin[0], origin[1], origin[2]]
      : [origin[0] + positions[at]!, origin[1] + positions[at + 1]!, origin[2] + positions[at + 2]!]
  const error: MirrorError = {
    plane: { normal: [nx, ny, nz], offset_mm: plane.offset_mm },
    rms_mm: sum > 0 ? Math.sqrt(sum2 / sum) : 0,
    p95_mm: sum > 0 ? p95_mm : 0,
    max_mm: worst < 0 ? 0 : size[worst]!,
    maxAt,
    unseen_mm2,
    portMinusStarboard_mm: riseWeight > 0 ? rise / riseWeight : 0,
  }
  return { error, field: facetField(mesh, values, 'mm'), vertex_mm: signed }
}

/** Signed distance of each vertex's image from the mesh, mm; NaN where the image is nearest to a rim, or the vertex is in no facet. */
function* imageDistances(
  mesh: Mesh,
  plane: { readonly normal: Direction; readonly offset_mm: number },
  rimVertex: Uint8Array | null,
  { normals }: VertexSurface,
): Steps<Float32Array> {
  const tree = yield* within(0, 0.2, 'search tree', buildTriangleTree(mesh))
  const { positions, indices, origin } = mesh
  const [ox, oy, oz] = origin
  const [nx, ny, nz] = plane.normal
  const signed = new Float32Array(vertexCount(mesh)).fill(Number.NaN)
  const done = new Uint8Array(signed.length)
  const near = makeNearest()
  // Facets in the order of the tree: the next image lies close to the last, so the last answer is a good first guess (1.35–1.5×).
  const { order } = tree
  let seed = -1
  for (let k = 0; k < order.length; k++) {
    const facet = 3 * order[k]!
    for (let c = 0; c < 3; c++) {
      const vertex = indices[facet + c]!
      if (done[vertex]) continue
      done[vertex] = 1
      const x = ox + positions[3 * vertex]!
      const y = oy + positions[3 * vertex + 1]!
      const z = oz + positions[3 * vertex + 2]!
      const twice = 2 * (nx * x + ny * y + nz * z - plane.offset_mm)
      const px = x - twice * nx
      const py = y - twice * ny
      const pz = z - twice * nz
      closestPoint(tree, px, py, pz, Infinity, near, seed)
      if (near.facet < 0) continue
      seed = near.facet
      const a = indices[3 * seed]!
      const b = indices[3 * seed + 1]!
      const d = indices[3 * seed + 2]!
      if (rimVertex && onRim(near.feature, rimVertex[a]!, rimVertex[b]!, rimVertex[d]!)) continue
      const outside =
        near.feature === FEATURE.face
          ? facetSide(positions, a, b, d, px - near.x, py - near.y, pz - near.z)
          : (1 - near.v - near.w) * along(normals, a, px - near.x, py - near.y, pz - near.z) +
            near.v * along(normals, b, px - near.x, py - near.y, pz - near.z) +
            near.w * along(normals, d, px - near.x, py - near.y, pz - near.z)
      signed[vertex] = outside < 0 ? -near.distance : near.distance
    }
    if (k % 1024 === 0) yield 0.2 + (0.8 * k) / order.length
  }
  return signed
}

/**
 * Nearest point at a corner on a rim, on an edge between two such corners, or in a facet of three: the filling of a hole has no
 * others. A chord between rims counts too, and a seen facet in the corner of a rim: the safe side.
 */
function onRim(feature: number, a: number, b: number, c: number): boolean {
  switch (feature) {
    case FEATURE.a:
      return a !== 0
    case FEATURE.b:
      return b !== 0
    case FEATURE.c:
      return c !== 0
    case FEATURE.ab:
      return a !== 0 && b !== 0
    case FEATURE.bc:
      return b !== 0 && c !== 0
    case FEATURE.ca:
      return c !== 0 && a !== 0
    default:
      return a !== 0 && b !== 0 && c !== 0
  }
}

const along = (normals: Float32Array, vertex: number, x: number, y: number, z: number): number =>
  normals[3 * vertex]! * x + normals[3 * vertex + 1]! * y + normals[3 * vertex + 2]! * z

function facetSide(p: Float32Array, a: number, b: number, c: number, x: number, y: number, z: number): number {
  const ux = p[3 * b]! - p[3 * a]!
  const uy = p[3 * b + 1]! - p[3 * a + 1]!
  const uz = p[3 * b + 2]! - p[3 * a + 2]!
  const vx = p[3 * c]! - p[3 * a]!
  const vy = p[3 * c + 1]! - p[3 * a + 1]!
  const vz = p[3 * c + 2]! - p[3 * a + 2]!
  return (uy * vz - uz * vy) * x + (uz * vx - ux * vz) * y + (ux * vy - uy * vx) * z
}
