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
import { type Steps, within } from '../geometry/kernel'
import { type FacetShape, facetShape } from '../geometry/measure'
import { facetCount, type Mesh, vertexCount } from '../geometry/mesh'
import { buildColumns } from './columns'
import { type Cutting, contourBits, cutFacet, startCutting } from './cut-facet'
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

/** How much of every facet is locked, before it is grouped and measured. */
export interface LockedShares {
  /** One per facet: 1 for a facet that faces away, the covered share for one that faces the pull. */
  readonly share: Float32Array
  readonly facingAway_mm2: number
  readonly blocked_mm2: number
  /** Certain error of the cutting, and expected error of the facets judged at their middle, mm2. */
  readonly bound_mm2: number
  readonly estimate_mm2: number
  /** What the cutting was done with; `null` if nothing had to be cut. */
  readonly cutting: Cutting | null
}

/**
 * @param neighbours made here if they are needed and not given
 */
export function* lockedShares(
  view: PlanView,
  side: Uint8Array,
  shape: FacetShape,
  neighbours?: Adjacency,
): Steps<LockedShares> {
  const { mesh } = view
  const facets = facetCount(mesh)
  const { areas_mm2: areas, normals } = shape
  const blocked = yield* within(0, 0.4, 'undercut', blockedAtMiddle(view, side))
  const share = new Float32Array(facets)
  let total = 0
  for (let f = 0; f < facets; f++) {
    total += areas[f]!
    share[f] = side[f] === SIDE.away ? 1 : blocked[f]!
  }
  const large: number[] = []
  let small2 = 0
  for (let f = 0; f < facets; f++) {
    if (side[f] !== SIDE.front) continue
    if (areas[f]! > CUT_SHARE * total) large.push(f)
    else small2 += areas[f]! * areas[f]!
  }
  yield 0.42
  let bound = 0
  let cutting: Cutting | null = null
  if (large.length > 0) {
    cutting = yield* within(0.42, 0.7, 'undercut', prepareCutting(view, side, neighbours))
    for (let i = 0; i < large.length; i++) {
      const f = large[i]!
      const before = cutting.bound_mm2
      const done = 0.7 + (0.3 * i) / large.length
      share[f] = yield* within(done, done, 'undercut', cutFacet(cutting, f))
      // What is doubtful in plan is larger on the facet itself.
      const flat = Math.abs(
        normals[3 * f]! * view.w[0] + normals[3 * f + 1]! * view.w[1] + normals[3 * f + 2]! * view.w[2],
      )
      bound += Math.min(areas[f]!, (cutting.bound_mm2 - before) / flat)
      if (i % 64 === 0) yield { fraction: done, label: 'undercut' }
    }
  }
  let away_mm2 = 0
  let blocked_mm2 = 0
  for (let f = 0; f < facets; f++) {
    if (share[f] === 0) continue
    if (side[f] === SIDE.away) away_mm2 += areas[f]!
    else blocked_mm2 += share[f]! * areas[f]!
  }
  return {
    share,
    facingAway_mm2: away_mm2,
    blocked_mm2,
    bound_mm2: bound,
    // Standard deviation of a share that is 0 or 1 with equal chance, against its estimate at the middle: at most 0.29 of the area.
    estimate_mm2: blocked_mm2 > 0 ? 0.29 * Math.sqrt(small2) : 0,
    cutting,
  }
}

function* prepareCutting(view: PlanView, side: Uint8Array, neighbours?: Adjacency): Steps<Cutting> {
  const { indices } = view.mesh
  const known = neighbours ?? (yield* within(0, 0.4, 'undercut', adjacency(indices, vertexCount(view.mesh))))
  const columns = yield* within(0.4, 0.8, 'undercut', buildColumns(view, side))
  const contour = yield* within(0.8, 1, 'undercut', contourBits(view, side, known.across))
  return startCutting(columns, contour, MOST_PIECES)
}

/** As `undercut`, for a caller that has view and sides already, and perhaps the neighbours. */
export function* undercutInView(view: PlanView, side: Uint8Array, neighbours?: Adjacency): Steps<UndercutResult> {
  const { mesh } = view
  const facets = facetCount(mesh)
  const shape = yield* within(0, 0.05, 'undercut', facetShape(mesh))
  const shares = yield* within(0.05, 0.5, 'undercut', lockedShares(view, side, shape, neighbours))
  const { share, facingAway_mm2, blocked_mm2 } = shares
  let regions: UndercutRegions | null = null
  if (facingAway_mm2 + blocked_mm2 > 0) {
    const known = neighbours ?? (yield* within(0.5, 0.6, 'undercut', adjacency(mesh.indices, vertexCount(mesh))))
    const cutting = shares.cutting ?? (yield* within(0.6, 0.75, 'undercut', prepareCutting(view, side, known)))
    const map = yield* within(0.75, 0.8, 'undercut', depthMap(cutting.columns, cutting.contour, share))
    regions = yield* within(0.8, 1, 'undercut', undercutRegions(map, shape, known.across, cutting.corners))
  }
  const locked = new Float32Array(facets)
  const undercutClass = new Uint8Array(facets)
  for (let f = 0; f < facets; f++) {
    if (share[f] === 0) continue
    locked[f] = share[f]! * shape.areas_mm2[f]!
    undercutClass[f] = side[f] === SIDE.away ? UNDERCUT_CLASS.away : UNDERCUT_CLASS.blocked
  }
  return {
    summary: {
      area_mm2: facingAway_mm2 + blocked_mm2,
      facingAway_mm2,
      blocked_mm2,
      depth_mm: regions?.depth_mm ?? 0,
      bound_mm2: shares.bound_mm2,
      estimate_mm2: shares.estimate_mm2,
      regionCount: regions?.count ?? 0,
      regions: regions?.regions ?? [],
    },
    locked_mm2: facetField(mesh, locked, 'mm2'),
    undercutClass,
    regionOf: regions?.regionOf ?? new Int32Array(facets).fill(-1),
  }
}
