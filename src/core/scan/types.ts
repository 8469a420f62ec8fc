import type { Matrix4, Point } from '../geometry/axes'
import type { Mesh } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'

export type LengthUnit = 'um' | 'mm' | 'cm' | 'm' | 'in' | 'ft'

/** Millimetres in one unit (definitions: inch 25.4 mm, foot 304.8 mm). */
export const MM_PER: Record<LengthUnit, number> = { um: 0.001, mm: 1, cm: 10, m: 1000, in: 25.4, ft: 304.8 }

export interface MeshFile {
  /** Only for messages: the format is decided by content. */
  readonly name: string
  readonly bytes: Uint8Array
}

/** Undoable repairs, applied in this order on the welded mesh. Lengths in mm, areas in mm2, scan axes. */
export type Repair =
  | {
      readonly kind: 'drop-islands' /** islands below this share of the largest one's area go */
      readonly belowShare: number
    }
  | { readonly kind: 'turn-facets' }
  | { readonly kind: 'fill-holes'; readonly longestRim_mm: number }
  | {
      readonly kind: 'crop-box'
      readonly min: Point
      readonly max: Point
      /** Scan axes to the axes of the box; left out: the box lies along the scan axes. */
      readonly motion?: Matrix4 | undefined
    }
  | { readonly kind: 'crop-plane'; readonly normal: Point<'scan'>; readonly offset_mm: number }
  | {
      readonly kind: 'thin'
      /** Wanted length of an edge. */
      readonly edge_mm: number
      /** The thinned surface and the full one never lie further apart than this. */
      readonly deviation_mm: number
    }

/** How a further file is brought on to the first; see `core/geometry/register.ts`. */
export interface FileRegister {
  readonly how: 'given' | 'auto' | 'shape' | 'pairs'
  readonly pairs: readonly { readonly moving: Point<'scan'>; readonly standing: Point<'scan'> }[]
}

/** A file that was laid on the first, and how well it lies. */
export interface FileFit {
  /** Its place among the files, from 1. */
  readonly file: number
  readonly name: string
  readonly from: 'near' | 'shape' | 'pairs'
  /** The file's axes (mm) to the first file's. */
  readonly motion: Matrix4
  /** Distance of the two surfaces over what they share, nothing trimmed, mm. */
  readonly rms_mm: number
  readonly p95_mm: number
  /** Share of this file's area that meets the first. */
  readonly overlap: number
  /** How far two disjoint samples disagree. */
  readonly shiftSpread_mm: number
  readonly turnSpread_deg: number
  readonly settled: boolean
}

export interface ScanRequest {
  readonly files: readonly MeshFile[]
  /** One per file after the first; left out: all as they stand. */
  readonly register?: readonly FileRegister[]
  readonly unit: 'auto' | LengthUnit
  readonly repairs: readonly Repair[]
  /** What the scanner's certificate says, 1 sigma, mm; `null`: estimated from the mesh. */
  readonly noise_mm: number | null
}

/** Facets (or corners) that could not be used, by cause. They are counted and reported, never dropped in silence. */
export interface Rejected {
  readonly total: number
  readonly notFinite: number
  readonly zeroArea: number
  readonly duplicate: number
  readonly badIndex: number
}

export interface Hole {
  /** Length of the rim (all loops that belong together), mm. */
  readonly rim_mm: number
  /** Middle of the rim, scan axes. */
  readonly at: Point<'scan'>
  readonly loops: number
}

/** A soup of loose facets has as many rims as facets; a list of them helps nobody. */
export const MOST_HOLES_LISTED = 200

export interface Health {
  readonly facets: number
  readonly vertices: number
  /** Corners that fell together with another corner. */
  readonly welded: number
  readonly rejected: Rejected
  readonly boundaryEdges: number
  readonly nonManifoldEdges: number
  readonly inconsistentEdges: number
  readonly boundaryLoops: number
  /** Holes in all; `holes` lists the longest. */
  readonly holeCount: number
  /** Longest rim first, at most `MOST_HOLES_LISTED`. */
  readonly holes: readonly Hole[]
  /** Connected pieces (by shared edges or vertices), before repairs. */
  readonly islands: number
  readonly islandsDropped: number
  readonly facetsDropped: number
  readonly area_mm2: number
  readonly volume_mm3: number
  readonly meanEdge_mm: number
  /** 1 sigma, mm, and where it came from. */
  readonly noise_mm: number
  readonly noiseFrom: 'patches' | 'tubes' | 'user'
  readonly closed: boolean
}

/** A piece that does not touch the largest one. */
export interface StrayPiece {
  /** Middle of its area, scan axes. */
  readonly at: Point<'scan'>
  readonly area_mm2: number
  readonly facets: number
}

/** Places of defects, scan axes, at most 50 of a kind; those of holes stand in the health itself. */
export interface DefectPlaces {
  /** Every piece but the largest, largest first, as the file had them: repairs may have dropped them since. */
  readonly strays: readonly StrayPiece[]
  /** Where three or more facets meet at an edge; places within 20 mm of each other are one. */
  readonly crossing: readonly Point<'scan'>[]
  /** Where two facets face opposite ways, likewise. */
  readonly turned: readonly Point<'scan'>[]
}

export interface UnitReading {
  readonly unit: LengthUnit
  /** `file`: the format states it; `size`: guessed from the longest side, to be confirmed; `job`: the user's word. */
  readonly from: 'file' | 'size' | 'job'
  /** Other units that would also give a believable size. */
  readonly alternatives: readonly LengthUnit[]
  /** Longest side of the box, mm, with this unit. */
  readonly longest_mm: number
}

export interface ScanResult {
  readonly mesh: Mesh<'scan'>
  /** 1 for each vertex on the rim of a hole (metal may go on beyond it): `unseen` starts here. One per vertex. */
  readonly rimVertex: Uint8Array
  /** 1 for each facet that a repair filled in: nobody saw metal there. One per facet. */
  readonly unseenFacet: Uint8Array
  readonly unit: UnitReading
  /** Files that were laid on the first; left out where none was. */
  readonly fits?: readonly FileFit[]
  readonly health: Health
  readonly places: DefectPlaces
  readonly findings: readonly Finding[]
}
