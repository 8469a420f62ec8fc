import type { Point } from '../geometry/axes'
import type { FacetField } from '../geometry/facet-field'
import type { Mesh } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'
import type { BearingGap, BearingTube, RegionGap } from './metal-gaps'
import type { ShapeSettings } from './shape-types'
import type { TrimWater } from './water-trims'

export type {
  Boss,
  GapAllowance,
  GapRegion,
  LandSetting,
  OutlinePoint,
  OutlineSetting,
  ShapeSettings,
  Trim,
} from './shape-types'

/** All lengths mm, angles degrees. The keys are those of `job.json`. */
export interface ClearanceSettings extends ShapeSettings {
  readonly gap_mm: number
  readonly symmetric: boolean
  readonly draft_deg: number
  readonly skirt_mm: number
  readonly overhang_mm: number
  /** Least concave radius of the moulded face. */
  readonly minRadius_mm: number
  readonly edgeRadius_mm: number
  readonly flange_mm: number
  /** Wanted least concave radius of the crown as a sheet: large is fair, small drapes close. */
  readonly fairRadius_mm: number
  /** Weight of the taut membrane against the thin plate, 0 (plate) … 1 (membrane). */
  readonly tautness: number
  /** Camber radii added to the crown, 0: none. */
  readonly camberAlong_mm: number
  readonly camberAcross_mm: number
  /** Spacing of the samples the crown is solved on. */
  readonly sample_mm: number
  /** Laminate of the underside shell and of the topside shell. */
  readonly underside_mm: number
  readonly topside_mm: number
  /** Least height of the cavity between the two raw faces over the crown. */
  readonly cavity_mm: number
  readonly bond_mm: number
  /** Coverage factor of the expanded uncertainty: U = coverage · noise. */
  readonly coverage: number
  readonly joint: 'shoebox' | 'flat'
}

export interface ClearanceRequest {
  readonly frame: Mesh<'job'>
  /** One per vertex of `frame`, 1 on the rim of a hole. */
  readonly rimVertex: Uint8Array
  /** One per facet of `frame`, 1 where a hole was filled; `null`: none was. */
  readonly unseenFacet: Uint8Array | null
  /** 1 sigma of the scan, mm. */
  readonly noise_mm: number
  readonly settings: ClearanceSettings
  /** Gap of each facet, mm; `null`: `settings.gap_mm` everywhere. */
  readonly facetGap_mm: Float32Array | null
  /** Shells that are taken as they are instead of being drawn. Left out: both are drawn. */
  readonly imported?: ImportedShells
  /** Tubes on which the top is bedded, whose gap is reported along them. Left out: none. */
  readonly bearing?: readonly BearingTube[]
  /** From the seat back along the way on which the top is to be lowered, besides straight along the pull; unit. Left out or `null`: only along the pull. */
  readonly approach?: Point<'job'> | null
}

export interface ImportedShells {
  readonly underside: ImportedMesh | null
  readonly topside: ImportedMesh | null
}

export interface ImportedMesh {
  readonly name: string
  readonly mesh: Mesh<'job'>
}

/** What a facet of a shell belongs to. */
export const ZONES = ['crown', 'edge', 'skirt', 'flange'] as const
export type Zone = (typeof ZONES)[number]

/**
 * A moulded face and the laminate on it. Both faces' normals point out of the laminate, to where the mould stands: the
 * underside's look down and inwards (its mould is a plug below it, on the frame's side), the topside's up and outwards (its
 * mould is a shell over it).
 */
export interface Shell {
  /**
   * The moulded face, job axes. A moulded face parts two bodies that lie one above the other; its normals look up, from the
   * lower to the upper one. For the inner surface the lower one is the mould (a plug) and the part lifts off it; for the
   * topside the lower one is the part and the mould lifts off it.
   */
  readonly face: Mesh<'job'>
  /** Index into `ZONES`, one per facet of `face`. */
  readonly zone: Uint8Array
  /** Moulded and raw face joined at the trim line: a closed solid. */
  readonly solid: Mesh<'job'>
  readonly thickness_mm: number
  /**
   * The way the upper body is drawn off the lower one: +z for both shells, so that draft = asin(n·pull) with the face's own
   * normals n is positive where it leaves. (docs/decisions/0002)
   */
  readonly pull: Point<'job'>
}

export type Verdict = 'proven' | 'not-proven' | 'fails' | 'unseen'
export const VERDICTS: readonly Verdict[] = ['proven', 'not-proven', 'fails', 'unseen']

export interface Certificate {
  /** Asked gap: least over the facets that matter at the closest place. */
  readonly required_mm: number
  /** Expanded uncertainty added as a guard band (ISO 14253-1): `coverage · noise`. */
  readonly guard_mm: number
  readonly min_mm: number
  /** Least of (distance − own required gap). */
  readonly margin_mm: number
  /** The pair of points with the least distance, and the pair with the least margin; the same one where all gaps are equal. */
  readonly at: { readonly shell: Point<'job'>; readonly frame: Point<'job'> }
  readonly marginAt: { readonly shell: Point<'job'>; readonly frame: Point<'job'> }
  readonly verdict: Verdict
  readonly proven_mm2: number
  readonly notProven_mm2: number
  readonly fails_mm2: number
  readonly unseen_mm2: number
  /** How far the surface stands above the obstacle it could rest on. */
  readonly excessLift: { readonly p50_mm: number; readonly p95_mm: number }
  /** Distance of each facet of the inner surface to the frame, mm: exact up to `gapLimit_mm`, that of the facet's middle beyond, Infinity far off. */
  readonly gap: FacetField
  readonly gapLimit_mm: number
  /** Index into `VERDICTS`, one per facet. */
  readonly verdictOfFacet: Uint8Array
  /** Least of (distance − own required gap) of each facet, mm, exact up to `gapLimit_mm` less the largest gap; Infinity beyond. */
  readonly marginOfFacet_mm: Float64Array
}

/** A boss as it came out. */
export interface BossMade {
  readonly name: string
  readonly at_mm: readonly [number, number]
  /** How far it rises above the sheet round about; 0: the sheet clears the metal by itself. */
  readonly rise_mm: number
  /** Its highest place, job axes, mm. */
  readonly top_mm: number
}

/** What the drawing of both shells gives. */
export interface DrawnShells {
  readonly underside: Shell
  readonly topside: Shell
  /** Closed polygon in plan, x y pairs, job axes: where the skirt's wall cuts height `outlineHeight_mm`. */
  readonly outline: Float64Array
  readonly outlineHeight_mm: number
  readonly certificate: Certificate
  /** Least concave radius measured on the crown sheet, mm. */
  readonly leastConcaveRadius_mm: number
  readonly lifts: number
  /** On the topside: at level trim first, then at the trims of the settings. */
  readonly water: readonly TrimWater[]
  readonly bosses: readonly BossMade[]
  readonly findings: readonly Finding[]
}

/** One way of a shell on to what stands below it. */
export interface Lowering {
  readonly shell: 'underside' | 'topside'
  /** On to the scanned frame, or (topside only) on to the underside shell. */
  readonly on: 'frame' | 'underside'
  readonly along: 'pull' | 'approach'
  /** Unit, from the seat back along the way. */
  readonly direction: Point<'job'>
  readonly free: boolean
  /** How far before its seat it first touches, mm; below 0 the least room along the way that is left at the seat; `null`: nothing lies over each other. */
  readonly before_mm: number | null
  /** The place on what stands still. */
  readonly at: Point<'job'> | null
}

/** How near two shells come to each other where at least one of them was not drawn here. */
export interface BetweenShells {
  /** 0: they touch or pierce. */
  readonly min_mm: number
  readonly at: { readonly underside: Point<'job'>; readonly topside: Point<'job'> } | null
}

export interface ClearanceResult extends Omit<DrawnShells, 'leastConcaveRadius_mm' | 'water'> {
  /** `null` for an imported topside. */
  readonly water: readonly TrimWater[] | null
  readonly bearing: readonly BearingGap[]
  readonly regions: readonly RegionGap[]
  /** `null` for an imported underside: there is no crown sheet to measure. */
  readonly leastConcaveRadius_mm: number | null
  readonly lowering: readonly Lowering[]
  /** Names of the files that were taken as shells; `null`: drawn here. */
  readonly imported: { readonly underside: string | null; readonly topside: string | null }
  readonly betweenShells: BetweenShells | null
}
