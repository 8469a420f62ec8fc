import type { Matrix4, Point } from '../geometry/axes'
import type { Mesh } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'
import type { LengthUnit, MeshFile } from '../scan'
import type { LightCheck } from './lights'
import type { Chase } from './seat-types'
import type { LightSetting, VesselSettings } from './settings'
import type { Wire } from './wire-settings'
import type { ChaseFill, WireRun } from './wires'

export type { LightCheck } from './lights'
export type { ChaseFill, WireRun } from './wires'

export interface FittingItem {
  /** Stable within the job. */
  readonly id: string
  readonly name: string
  /** The supplier's mesh in its own axes, mm. */
  readonly mesh: Mesh<'part'>
  readonly on: 'topside' | 'underside'
  /** x, y in job axes of the middle of the base. */
  readonly at_mm: readonly [number, number]
  /** Turn about the seat normal, degrees, counter-clockwise from above. */
  readonly turn_deg: number
  readonly upright: boolean
  /** `geometry`: the twin is the mirror image; `position`: the twin is the same part at the mirrored place and turn. */
  readonly mirror: false | 'geometry' | 'position'
  /** Unit normal of the base in part axes, pointing out of the part; `null`: found as the largest flat side. */
  readonly baseNormal: Point<'part'> | null
  readonly mass_kg: number | null
  readonly light: LightSetting | null
}

export interface FittingRequest {
  readonly items: readonly FittingItem[]
  readonly frame: Mesh<'job'>
  readonly topside: Mesh<'job'>
  readonly underside: Mesh<'job'>
  /** Underside solid and topside solid clearances are asked at this distance, mm. */
  readonly gap_mm: number
  readonly vessel: VesselSettings
  readonly wires: readonly Wire[]
  readonly chases: readonly Chase[]
  /** Draft of a chase that states none. */
  readonly draft_deg: number
}

export interface BasePlane {
  readonly normal: Point<'part'>
  readonly at: Point<'part'>
  readonly area_mm2: number
}

export interface PlacedFitting {
  readonly id: string
  readonly name: string
  /** True for the mirrored twin of the item with the same `id`. */
  readonly twin: boolean
  readonly on: 'topside' | 'underside'
  /** Part axes to job axes; mirrors if `twin` and the item mirrors its geometry. */
  readonly pose: Matrix4
  /** The part in job axes. Facets turned rightly: volume keeps its sign. */
  readonly mesh: Mesh<'job'>
  readonly base: BasePlane
  readonly seat: { readonly at: Point<'job'>; readonly normal: Point<'job'> }
  /** Gap between the base plane and the shell over the footprint before any seat is made, mm (largest). */
  readonly gapUnderBase_mm: number
  readonly toFrame: { readonly min_mm: number; readonly part: Point<'job'>; readonly frame: Point<'job'> }
}

/** Two placed fittings that stand in each other, by their numbers in `placed`. */
export interface SharedSpace {
  readonly a: number
  readonly b: number
  /** What both fill, mm3, and how far that may be off; null: one of the two is open. */
  readonly volume_mm3: number | null
  readonly doubt_mm3: number | null
  /** Area of the first within a tenth of a millimetre of the second, mm2. */
  readonly contact_mm2: number
}

export interface FittingResult {
  readonly placed: readonly PlacedFitting[]
  /** Least distance between each two placed fittings, row by row; 0 on the diagonal. */
  readonly distances_mm: Float64Array
  readonly shared: readonly SharedSpace[]
  readonly lights: readonly LightCheck[]
  readonly wires: readonly WireRun[]
  readonly fills: readonly ChaseFill[]
  readonly findings: readonly Finding[]
}

export interface PartReadRequest {
  readonly file: MeshFile
  readonly unit: 'auto' | LengthUnit
}

export interface PartReadResult {
  readonly mesh: Mesh<'part'>
  /** `guessed` when neither the file nor the job says it: to be confirmed against the size. */
  readonly unit: LengthUnit
  readonly unitFrom: 'file' | 'size' | 'job'
  readonly closed: boolean
  readonly volume_mm3: number
  readonly size_mm: readonly [number, number, number]
  readonly rejected: number
}
