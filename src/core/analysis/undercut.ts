/**
 * What is kept from leaving along one pull: facets that face away from it, and facets that face it but have something of the
 * mesh ahead. A test of normals alone misses the second kind (G48, the ring under a mushroom).
 *
 * Definitions. A facet parallel to the pull (`SIDE.wall`) is neither: it slides. A facet blocks another from `touch_mm` ahead
 * on (8 Float32 steps of the largest coordinate; nearer is touching), whatever its orientation. Areas are areas of the
 * surface, not of its shadow.
 */
import { type Adjacency, adjacency } from '../geometry/adjacency'
import type { Point } from '../geometry/axes'
import { type FacetField, facetField } from '../geometry/facet-field'
import { BLOCK, type Steps, within } from '../geometry/kernel'
import { facetShape } from '../geometry/measure'
import { facetCount, type Mesh, vertexCount } from '../geometry/mesh'
import { buildColumns } from './columns'
import { contourBits, cutFacet, startCutting } from './cut-facet'
import { depthMap } from './locked-depth'
import { blockedAtMiddle } from './plan-bins'
import { facetSides, type PlanView, planView, SIDE } from './plan-view'
import type { UndercutSummary } from './types'
import { type UndercutRegions, undercutRegions } from './undercut-regions'

/** Facets larger than this share of the whole area are cut along the contours above them; smaller ones are judged at their middle. */
const CUT_SHARE = 1e-5
/** Pieces all large facets together may be cut into. */
const MOST_PIECES = 400_000

export const UNDERCUT_CLASS = { free: 0, away: 1, blocked: 2 } as const

export interface UndercutResult {
  readonly summary: UndercutSummary
  /** Area of each facet that is kept from leaving, mm2. */
  readonly locked_mm2: FacetField
  /** One of `UNDERCUT_CLASS` per facet; a facet of which any part is covered counts as blocked. */
  readonly undercutClass: Uint8Array
  /** Number of the region, −1: free, −2: in a region too small to be listed. */
  readonly regionOf: Int32Array
}

/**
 * @param mesh outward normals, mm; open or closed
 * @param pull any length, axes of the mesh
 * @throws Refused `setting-impossible` for a pull without length
 *
 * @example const { summary } = drain(undercut(shell, [0, 0, 1])) // summary.area_mm2 === 0: it leaves its mould
 */
export function* undercut(mesh: Mesh, pull: Point): Steps<UndercutResult> {
  const view = yield* within(0, 0.1, 'undercut', planView(mesh, pull))
  const side = yield* within(0.1, 0.15, 'undercut', facetSides(view))
  return yield* within(0.15, 1, 'undercut', undercutInView(view, side))
}

/** As `undercut`, for a caller that has view and sides already, and perhaps the neighbours. */
export function* undercutInView(view: PlanView, side: Uint8Array, neighbours?: Adjacency): Steps<UndercutResult> {
  const { mesh } = view
  const facets = facetCount(mesh)
  const shape = yield* within(0, 0.05, 'undercut', facetShape(mesh))
  const { areas_mm2: areas, normals } = shape
  const blocked = yield* within(0.05, 0.4, 'undercut', blockedAtMiddle(view, side))

  let total = 0
  let anyLocked = false
  for (let f = 0; f < facets; f++) {
    total += areas[f]!
    if (blocked[f] !== 0 || side[f] === SIDE.away) anyLocked = true
  }
  const large: number[] = []
  let small2 = 0
  for (let f = 0; f < facets; f++) {
    if (side[f] !== SIDE.front) continue
    if (areas[f]! > CUT_SHARE * total) large.push(f)
    else small2 += areas[f]! * areas[f]!
  }
  const share = new Float32Array(facets)
  for (let f = 0; f < facets; f++) share[f] = side[f] === SIDE.away ? 1 : blocked[f]!

  let bound = 0
  let regions: UndercutRegions | null = null
  const needsNeighbours = anyLocked || large.length > 0
  if (needsNeighbours) {
    const known = neighbours ?? (yield* within(0.4, 0.5, 'undercut', adjacency(mesh.indices, vertexCount(mesh))))
    const columns = yield* within(0.5, 0.6, 'undercut', buildColumns(view, side))
    const contour = yield* within(0.6, 0.65, 'undercut', contourBits(view, side, known.across))
    const cutting = startCutting(columns, contour, MOST_PIECES)
    for (let i = 0; i < large.length; i++) {
      const f = large[i]!
      const before = cutting.bound_mm2
      share[f] = cutFacet(cutting, f)
      // What is doubtful in plan is larger on the facet itself.
      const flat = Math.abs(
        normals[3 * f]! * view.w[0] + normals[3 * f + 1]! * view.w[1] + normals[3 * f + 2]! * view.w[2],
      )
      bound += Math.min(areas[f]!, (cutting.bound_mm2 - before) / flat)
      if (share[f]! > 0) anyLocked = true
      if (i % 64 === 0) yield { fraction: 0.65 + (0.15 * i) / large.length, label: 'undercut' }
    }
    if (anyLocked) {
      const map = yield* within(0.8, 0.85, 'undercut', depthMap(columns, contour, share))
      regions = yield* within(0.85, 1, 'undercut', undercutRegions(map, shape, known.across, cutting.corners))
    }
  }

  const locked = new Float32Array(facets)
  const undercutClass = new Uint8Array(facets)
  let away_mm2 = 0
  let blocked_mm2 = 0
  for (let f = 0; f < facets; f++) {
    if (share[f] === 0) continue
    locked[f] = share[f]! * areas[f]!
    if (side[f] === SIDE.away) {
      undercutClass[f] = UNDERCUT_CLASS.away
      away_mm2 += areas[f]!
    } else {
      undercutClass[f] = UNDERCUT_CLASS.blocked
      blocked_mm2 += share[f]! * areas[f]!
    }
    if (f % (16 * BLOCK) === 0) yield { fraction: 1, label: 'undercut' }
  }
  return {
    summary: {
      area_mm2: away_mm2 + blocked_mm2,
      facingAway_mm2: away_mm2,
      blocked_mm2,
      depth_mm: regions?.depth_mm ?? 0,
      bound_mm2: bound,
      // Standard deviation of a share that is 0 or 1 with equal chance, against its estimate at the middle: at most 0.29 of the area.
      estimate_mm2: blocked_mm2 > 0 ? 0.29 * Math.sqrt(small2) : 0,
      regionCount: regions?.count ?? 0,
      regions: regions?.regions ?? [],
    },
    locked_mm2: facetField(mesh, locked, 'mm2'),
    undercutClass,
    regionOf: regions?.regionOf ?? new Int32Array(facets).fill(-1),
  }
}
