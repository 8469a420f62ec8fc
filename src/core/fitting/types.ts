import type { Matrix4, Point } from '../geometry/axes'
import type { Mesh } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'
import type { LengthUnit, MeshFile } from '../scan'
import type { FastenerSettings, FastensInto, KeepOut, KeepOutShape } from './fastening-settings'
import type { LightCheck } from './lights'
import type { NoVolume } from './part-volume'
import type { PeopleCheck } from './people'
import type { Chase } from './seat-types'
import type { LightSetting, PeopleSettings, VesselSettings } from './settings'
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
  /** Faces that its STEP file states and that came out of it; null: it came as a mesh. */
  readonly faces: { readonly stated: number; readonly read: number } | null
  readonly fasteners: FastenerSettings
  readonly keepOuts: readonly KeepOut[]
  readonly handle: boolean
}

export interface FittingRequest {
  readonly items: readonly FittingItem[]
  readonly frame: Mesh<'job'>
  readonly topside: Mesh<'job'>
  readonly underside: Mesh<'job'>
  /** Of each shell: moulded and raw face as one closed solid, and which facets of its face are joined to the other (1). */
  readonly shells: {
    readonly topside: { readonly solid: Mesh<'job'>; readonly joint: Uint8Array }
    readonly underside: { readonly solid: Mesh<'job'>; readonly joint: Uint8Array }
  }
  readonly tubes: readonly FittingTube[]
  /** Underside solid and topside solid clearances are asked at this distance, mm. */
  readonly gap_mm: number
  readonly vessel: VesselSettings
  readonly people: PeopleSettings
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

export interface PartBody {
  readonly size_mm: readonly [number, number, number]
  /** Enclosed by its mesh, mm3; or why there is none. */
  readonly volume: number | NoVolume
  readonly borders: readonly (readonly Point<'job'>[])[]
}

/** A nearest pair: on the part, and on what it was asked about. */
export interface NearPlace {
  readonly min_mm: number
  readonly part: Point<'job'>
  readonly there: Point<'job'>
}

/** A tube of the frame, job axes. */
export interface FittingTube {
  readonly name: string
  readonly axis: readonly Point<'job'>[]
  readonly radius_mm: number
}

/** One fastener of a placed fitting, or the hole for it. */
export interface Fastener {
  readonly fitting: string
  readonly twin: boolean
  /** Stable while the holes are the same: `hole 1`. */
  readonly name: string
  readonly diameter_mm: number
  /** In the plane of the base, and the way it goes: into the shell. */
  readonly at: Point<'job'>
  readonly along: Point<'job'>
  /** Where it enters the moulded face; null: there is no shell below. */
  readonly onFace: Point<'job'> | null
  readonly into: FastensInto
  /** From the base to the raw face: what is clamped, bedding gap included; null: no shell below, or it is not left again. */
  readonly grip_mm: number | null
  /** Of that, through the shell as drawn, core included. */
  readonly laminate_mm: number | null
  /** Room behind the laminate that nut, thread and tool want, and what there is; null: more than 200 mm below the base. */
  readonly neededBehind_mm: number
  readonly freeToShell_mm: number | null
  readonly freeToFrame_mm: number | null
  /** Across its axis, half of what washer and socket want, and what there is to a wall of its own shell over the base (of a
   * recess, of a neighbour's pad) and behind the laminate (of a recess, a chase, the skirt); null: none near. */
  readonly neededBeside_mm: number
  readonly wallOver_mm: number | null
  readonly wallBehind_mm: number | null
  /** The tube nearest to its line: how far apart the middles pass, and what is left between the surfaces (below 0: it goes in). */
  readonly tube: {
    readonly name: string
    readonly offMiddle_mm: number
    readonly gap_mm: number
    readonly radius_mm: number
  } | null
}

export interface RoomIntruder {
  readonly what: string
  /** Above 0: so deep in the room; below: so far from it. */
  readonly depth_mm: number
  readonly where: Point<'job'>
}

/** A room that a fitting wants, where it stands, with all that comes within 500 mm of it, the deepest first. */
export interface RoomCheck {
  readonly fitting: string
  readonly twin: boolean
  readonly name: string
  readonly shape: KeepOutShape
  readonly mesh: Mesh<'job'>
  readonly against: readonly RoomIntruder[]
}

export interface FittingResult {
  readonly placed: readonly PlacedFitting[]
  /** Least distance between each two placed fittings, row by row; 0 on the diagonal. */
  readonly distances_mm: Float64Array
  readonly shared: readonly SharedSpace[]
  /** To the edge of its shell and to the joint of the shells, one per placed fitting; null: the shell has none. */
  readonly edges: readonly { readonly toEdge: NearPlace | null; readonly toJoint: NearPlace | null }[]
  /** Of each placed fitting: its sizes along the axes of its file, and the borders of its base on the seat, job axes. */
  readonly bodies: readonly PartBody[]
  readonly fasteners: readonly Fastener[]
  readonly rooms: readonly RoomCheck[]
  readonly lights: readonly LightCheck[]
  readonly people: PeopleCheck
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
