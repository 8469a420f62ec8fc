import type { Axes } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { facetCount, type Mesh, makeMesh } from '../geometry/mesh'
import { buildTriangleTree } from '../geometry/triangle-tree'
import { Refused } from '../geometry/trouble'
import { contour } from './contour'
import { coverPoints } from './cover-points'
import { gridSize, grownBody, outsideOf } from './grown-body'
import { type Achieved, finish } from './relief'

export interface OffsetOptions {
  /** Above 0: the outer surface at this distance. Below 0: the surface that lies this far inside a closed mesh. */
  readonly distance_mm: number
  /** Spacing of the grid; at most the distance. Features narrower than this may be bridged, with more distance, never less. */
  readonly voxel_mm: number
  /**
   * Up to how many facets the surface is corrected until no point of it is short of the distance; default 200,000, some
   * seconds. A larger surface is left with its corners at the distance and its chords between them: nearest to the
   * distance on the whole (1M noisy facets, 12 mm, voxels of 3: rms 0.07 mm, corrected 0.13), but short by the sag of a chord.
   */
  readonly neverShortUpTo?: number
}

export interface OffsetSolid<A extends Axes = Axes> {
  /** Closed, outward; origin of the input. */
  readonly mesh: Mesh<A>
  readonly achieved: Achieved
}

/** Facets with edges longer than this share of the distance get cover points inside. */
const LONG_EDGE = 0.4

/**
 * The surface at a given distance from a mesh in all directions, for collars, boots and covers: rounded outside corners, true
 * inside corners (to a voxel), never a vertex-normal offset, which falls short at every corner (G26).
 *
 * The grid only says which nodes are within the distance (`grownBody`); where the surface crosses an edge of the grid is
 * then solved exactly on the triangles, so the voxel size costs detail, not accuracy. Between the crossings the facets are
 * chords: where they would cut into the asked distance, their corners are moved out along the line from the nearest metal until the
 * middles of facets and sides are at the distance too.
 *
 * Outside is what is joined to the far away: pockets that the grown body closes off are filled, so an open mesh (a scan with
 * holes narrower than twice the distance) gets one outer skin.
 *
 * @returns a closed mesh; up to `neverShortUpTo` facets no point of it is short by more than 0.02 mm; what was achieved is measured either way
 * @throws Refused `setting-impossible` for a distance of 0 or voxels larger than it; `too-large` for a grid that does not fit;
 *   `shape-impossible` if nothing is left inside
 *
 * @example const boot = yield* offsetSolid(bracket, { distance_mm: 15, voxel_mm: 2 })
 */
export function* offsetSolid<A extends Axes>(mesh: Mesh<A>, options: OffsetOptions): Steps<OffsetSolid<A>> {
  const { distance_mm, voxel_mm } = options
  const d = Math.abs(distance_mm)
  if (!(d > 0 && d < Infinity && voxel_mm > 0))
    throw new Refused('setting-impossible', 'An offset needs a distance other than 0 mm and voxels larger than 0 mm.')
  if (voxel_mm > d)
    throw new Refused(
      'setting-impossible',
      `Voxels of ${voxel_mm} mm are too coarse for an offset of ${d} mm: choose voxels of at most ${d} mm.`,
    )
  if (facetCount(mesh) === 0) throw new Refused('mesh-empty', 'A mesh without facets has no offset surface.')
  // Before anything long is begun.
  gridSize(mesh, d, voxel_mm)
  const tree = yield* within(0, 0.05, 'search tree', buildTriangleTree(mesh))
  const cover = yield* within(0.05, 0.1, 'points', coverPoints(mesh, LONG_EDGE * d))
  const grid = yield* within(0.1, 0.2, 'grid', grownBody(cover, d, voxel_mm))
  const outside = yield* within(0.2, 0.25, 'outside', outsideOf(grid))
  const solid = new Uint32Array(grid.bits.length)
  // Outward: all that is not outside. Inward: what is beyond the distance, but not outside.
  if (distance_mm > 0) for (let w = 0; w < solid.length; w++) solid[w] = ~outside[w]!
  else for (let w = 0; w < solid.length; w++) solid[w] = ~outside[w]! & ~grid.bits[w]!
  const skin = yield* within(0.25, 0.65, 'surface', contour(cover, grid, solid, d))
  if (skin.indices.length === 0)
    throw new Refused(
      'shape-impossible',
      `Nothing of this mesh lies ${d} mm inside it: it is open, or thinner than ${2 * d} mm. Choose a smaller distance.`,
    )
  const achieved = yield* within(0.65, 1, 'achieved distance', finish(tree, skin, d, options.neverShortUpTo ?? 200_000))
  return {
    mesh: makeMesh(mesh.axes, new Float32Array(skin.positions), skin.indices, mesh.origin),
    achieved,
  }
}
