import type { Direction, Point } from '../geometry/axes'
import type { FacetField } from '../geometry/facet-field'
import type { Mesh } from '../geometry/mesh'
import type { Registration } from '../geometry/register'
import type { Finding } from '../geometry/trouble'
import type { AsMade } from './as-made'

export interface DraftSummary {
  readonly pull: Point
  readonly min_deg: number
  /** Middle of the facet with the least draft. */
  readonly minAt: Point
  readonly negative_mm2: number
  readonly low_mm2: number
  readonly good_mm2: number
  /** Where low ends and good begins. */
  readonly limit_deg: number
  /** Area of facets that reach across 0, or across the limit: a coarse mesh cannot say on which side (G43). */
  readonly unsureAtZero_mm2: number
  readonly unsureAtLimit_mm2: number
  /** Where the draft is below the limit, largest first. */
  readonly regions: readonly DraftRegion[]
}

export interface DraftRegion {
  readonly kind: 'negative' | 'low'
  readonly area_mm2: number
  readonly facets: number
  /** Least draft of the region, and the middle of that facet. */
  readonly min_deg: number
  readonly at: Point
}

export interface UndercutRegion {
  readonly area_mm2: number
  readonly facets: number
  /** Its deepest point. */
  readonly at: Point
  /** Least move across the pull that frees its deepest point. */
  readonly depth_mm: number
  /** Least draft of its facets against the pull. */
  readonly min_deg: number
  /** Travel along the pull after which what fills its covered part first meets metal, mm; null: all of it faces away and is stopped at once. */
  readonly meetsAfter_mm: number | null
  readonly cause: 'facing-away' | 'blocked' | 'both'
  /** A direction in which every facet of the region alone would leave, or null. */
  readonly ownPull: Point | null
  /** Whether a loose piece of the mould would free it: nothing of the part stands in the way along `ownPull`. `null`: not tried. */
  readonly looseFrees: boolean | null
}

export interface UndercutSummary {
  readonly area_mm2: number
  readonly facingAway_mm2: number
  readonly blocked_mm2: number
  readonly depth_mm: number
  /** Largest error that the cutting of large facets leaves, mm2 (certain). */
  readonly bound_mm2: number
  /** Expected error (1 sigma) of the small facets, which are judged at their middle, if every one of them were half covered. */
  readonly estimate_mm2: number
  /** How many regions there are; `regions` lists the largest. */
  readonly regionCount: number
  readonly regions: readonly UndercutRegion[]
}

export interface SymmetrySummary {
  readonly plane: { readonly normal: Point; readonly offset_mm: number }
  readonly rms_mm: number
  readonly p95_mm: number
  readonly max_mm: number
  readonly maxAt: Point
  readonly unseen_mm2: number
  /** How much higher the half where the normal points stands than the other's mirror image, mm. */
  readonly portMinusStarboard_mm: number
}

export interface RadiusSummary {
  /** Least radius of the largest ball that touches on the tool side without entering; a property of the mesh. */
  readonly min_mm: number
  readonly minAt: Point
  /** How far the arc that was found leaves the least radius open, mm. */
  readonly minDoubt_mm: number
  /** First percentile by area. */
  readonly p01_mm: number
  /** Radii above this were not looked for. */
  readonly limit_mm: number
  readonly sharpInside: SharpInside
}

/** Inside edges without a radius: the two facets turn by more than 30 degrees. */
export interface SharpInside {
  readonly edges: number
  readonly length_mm: number
  /** Largest turn, and the middle of that edge. */
  readonly worst_deg: number
  readonly at: Point | null
}

export interface MeshSummary {
  readonly facets: number
  readonly vertices: number
  readonly unit: string
  readonly closed: boolean
  readonly area_mm2: number
  readonly volume_mm3: number
  readonly boundaryLoops: number
  readonly islands: number
  readonly nonManifoldEdges: number
  readonly rejected: { readonly total: number }
}

/** What `check` prints, and what `report.json` holds per shell. */
export interface Check {
  readonly mesh: MeshSummary
  readonly draft: DraftSummary
  readonly undercut: UndercutSummary
  readonly symmetry: SymmetrySummary
  readonly radius: RadiusSummary
}

export interface PartRequest {
  readonly name: string
  readonly mesh: Mesh<'job'>
  readonly pull: Direction
  readonly minDraft_deg: number
  /** Plane of the mirror error; `null`: fitted by the caller beforehand. Unit normal and offset along it. */
  readonly mirror: { readonly normal: Direction; readonly offset_mm: number }
  /** Radii looked for up to here, mm. */
  readonly radiusLimit_mm: number
  /** Where the cutter works: in front of the facets (default), or behind them (a face whose mould lies above it). */
  readonly cutter?: 'in-front' | 'behind'
  readonly minRadius_mm: number
  /** 1 sigma of the mesh (0 for our own shells), mm. */
  readonly noise_mm: number
  /** One per vertex, 1 on the rim of a hole; left out: everything was seen. */
  readonly rimVertex?: Uint8Array
  /** What the reader of the file found out already. */
  readonly mesh_summary?: Partial<MeshSummary>
}

export interface PartAnalysis {
  readonly name: string
  readonly check: Check
  readonly draft: FacetField
  /** Share of each facet that is kept from leaving, 0…1 by area, as a field in mm2. */
  readonly undercut_mm2: FacetField
  /** 0 free, 1 facing away, 2 blocked, one per facet. */
  readonly undercutClass: Uint8Array
  /** Number of the region in `check.undercut.regions`, −1: free, −2: in a region too small to be listed. One per facet. */
  readonly undercutRegion: Int32Array
  readonly symmetry: FacetField
  readonly radius: FacetField
}

/** A scan of something made, in its own axes, and the planned face it is held against. */
export interface AsMadeRequest {
  readonly name: string
  readonly mesh: Mesh
  readonly against: 'underside' | 'topside'
  readonly face: Mesh<'job'>
  /** True where the scan's normals look the other way: the mould of a topside, the part of an underside. */
  readonly turned: boolean
  readonly start: 'any' | 'near'
  readonly tolerance_mm: number
}

export interface AsMadeResult {
  readonly name: string
  readonly against: 'underside' | 'topside'
  /** `null`: it does not fit; the finding says why. */
  readonly fit: Registration | null
  readonly made: AsMade | null
}

export interface AnalysisRequest {
  readonly parts: readonly PartRequest[]
  /** Left out: none. */
  readonly asMade?: readonly AsMadeRequest[]
}

export interface AnalysisResult {
  readonly parts: readonly PartAnalysis[]
  readonly asMade: readonly AsMadeResult[]
  readonly findings: readonly Finding[]
}

export interface CompareResult {
  readonly min_mm: number
  readonly pointA: Point
  readonly pointB: Point
  readonly aToB: { readonly rms_mm: number; readonly p95_mm: number; readonly max_mm: number; readonly mean_mm: number }
  /** Area of A that lies within `within_mm` of B. */
  readonly contact: { readonly within_mm: number; readonly area_mm2: number }
}
