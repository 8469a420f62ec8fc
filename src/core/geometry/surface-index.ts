import { BufferAttribute, BufferGeometry, DoubleSide, Matrix4, Ray, Vector3 } from 'three'
import { type HitPointInfo, MeshBVH } from 'three-mesh-bvh'
import type { Direction, Point } from './axes'
import type { Mesh } from './mesh'

/**
 * The general-purpose search structure of a mesh: rays for picking and probing, closest points, and the least distance of two
 * meshes by another library's code. The kernels ask their own `TriangleTree`, which is several times faster; this one is
 * the independent witness in tests and benches. The only file of core that knows three and three-mesh-bvh.
 *
 * Always built `indirect`: the default reorders the facets of its caller, and every field of ours is per facet.
 */
export interface SurfaceIndex {
  readonly mesh: Mesh
  /** Nearest point of the mesh within `limit_mm`, or null. */
  closestPoint(at: Point, limit_mm?: number): SurfaceHit | null
  /** First facet met by the ray from either side, or null. `distance_mm` runs along the unit direction. */
  firstHit(from: Point, along: Direction): SurfaceHit | null
  /** Nearest pair of points of this mesh and another. */
  leastDistance(other: SurfaceIndex): { distance_mm: number; here: Point; there: Point }
}

export interface SurfaceHit {
  readonly distance_mm: number
  readonly facet: number
  readonly at: Point
}

const trees = new WeakMap<SurfaceIndex, MeshBVH>()

/** @example const hit = surfaceIndex(shell).firstHit(eye, gaze) */
export function surfaceIndex(mesh: Mesh): SurfaceIndex {
  const geometry = new BufferGeometry()
  geometry.setAttribute('position', new BufferAttribute(mesh.positions, 3))
  geometry.setIndex(new BufferAttribute(mesh.indices, 1))
  const bvh = new MeshBVH(geometry, { indirect: true })
  // Where the other geometry carries no tree, the library tries each of its facets at every leaf: minutes instead of seconds.
  geometry.boundsTree = bvh
  const [ox, oy, oz] = mesh.origin
  const outside = (p: Vector3): Point => [p.x + ox, p.y + oy, p.z + oz]
  const inside = (p: readonly [number, number, number]) => new Vector3(p[0] - ox, p[1] - oy, p[2] - oz)
  const index: SurfaceIndex = {
    mesh,
    closestPoint(at, limit_mm = Infinity) {
      const hit = bvh.closestPointToPoint(inside(at), emptyHit(), 0, limit_mm)
      return hit ? { distance_mm: hit.distance, facet: hit.faceIndex, at: outside(hit.point) } : null
    },
    firstHit(from, along) {
      const hit = bvh.raycastFirst(new Ray(inside(from), new Vector3(...along)), DoubleSide)
      return hit ? { distance_mm: hit.distance, facet: hit.faceIndex ?? -1, at: outside(hit.point) } : null
    },
    leastDistance(other) {
      const theirs = trees.get(other)
      if (!theirs) throw new Error('geometry: a surface index that was not made here')
      const [qx, qy, qz] = other.mesh.origin
      const move = new Matrix4().makeTranslation(qx - ox, qy - oy, qz - oz)
      const here = emptyHit()
      const there = emptyHit()
      bvh.closestPointToGeometry(theirs.geometry, move, here, there)
      // The library gives the second point in the axes of the first geometry or of its own, depending on its version:
      // so it is not asked for it. The other tree finds it again from the first.
      const foot = other.closestPoint(outside(here.point))
      return { distance_mm: here.distance, here: outside(here.point), there: foot ? foot.at : outside(there.point) }
    },
  }
  trees.set(index, bvh)
  return index
}

const emptyHit = (): HitPointInfo => ({ point: new Vector3(), distance: 0, faceIndex: -1 })
