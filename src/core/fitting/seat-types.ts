import type { Certificate, Shell } from '../clearance'
import type { Point } from '../geometry/axes'
import type { Mesh } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'

export type ShellName = 'topside' | 'underside'

/** What the shell does under a fitting. Lengths mm, angles degrees; `null`: the step's own choice. */
export interface SeatSettings {
  /**
   * `pad`: a raised flat land; `recess`: a pocket with a flat floor, both by the outline of what touches; `sunk`: a pocket
   * by the plan outline (convex hull) of the whole body; `none`: the fitting stands on the shell as it is.
   */
  readonly kind: 'none' | 'pad' | 'recess' | 'sunk'
  /** Flat land kept beyond the outline. */
  readonly margin_mm: number
  /** Least height of a pad, or least depth of a pocket, against the shell. `null`: 3, 6, or as deep as a sunk body is high. */
  readonly height_mm: number | null
  /** Draft of the wall against the pull; `null`: that of the shells. */
  readonly draft_deg: number | null
  /** Least radius of the land's corners in plan; `null`: the least radius of the shells. */
  readonly cornerRadius_mm: number | null
  /** Fillet between land and wall of a pad, or between shell and wall of a pocket; 0: sharp; `null`: the least radius of the shells. */
  readonly edgeRadius_mm: number | null
  /** The concave fillet at the foot of the wall; 0: sharp; `null`: the least radius of the shells. */
  readonly footRadius_mm: number | null
  /** The same shape on the other side of the centreline too, though nothing stands there: the shell stays symmetric. */
  readonly bothSides: boolean
}

/** A channel for wires: swept along a line in plan, its floor as deep below the shell everywhere. */
export interface Chase {
  readonly id: string
  readonly name: string
  readonly on: ShellName
  /** Corners of its middle line in plan, job axes. */
  readonly path_mm: readonly (readonly [number, number])[]
  /** Width of the floor. */
  readonly width_mm: number
  readonly depth_mm: number
  readonly draft_deg: number | null
  readonly edgeRadius_mm: number | null
  readonly footRadius_mm: number | null
  /** Radius of the middle line at its corners. */
  readonly bendRadius_mm: number
  /** An exact mirror image about the centreline. */
  readonly mirror: boolean
}

/** A fitting that wants a seat. */
export interface SeatItem {
  readonly id: string
  readonly name: string
  readonly mesh: Mesh<'part'>
  readonly on: ShellName
  readonly at_mm: readonly [number, number]
  readonly turn_deg: number
  readonly upright: boolean
  readonly mirror: false | 'geometry' | 'position'
  readonly baseNormal: Point<'part'> | null
  readonly seat: SeatSettings
}

export interface SeatsRequest {
  readonly items: readonly SeatItem[]
  readonly chases: readonly Chase[]
  readonly underside: Shell
  readonly topside: Shell
  /** Shells that somebody else drew are taken as they are: nothing is set into them. */
  readonly imported: { readonly underside: boolean; readonly topside: boolean }
  /** Draft and least radius of the shells, for seats that do not say their own. */
  readonly draft_deg: number
  readonly minRadius_mm: number
  /** Least room that must stay between the raw faces of the two shells. */
  readonly bond_mm: number
  readonly certificate: Certificate
  /** What the inner surface is certified against, once more where it has changed. */
  readonly frame: Mesh<'job'>
  readonly rimVertex: Uint8Array
  readonly unseenFacet: Uint8Array | null
  readonly gap: number | Float32Array
}

/** How a base stands: the largest gap under it, and what its rim stands clear by, which is what it can rock. */
export interface Standing {
  readonly gap_mm: number
  readonly rock_mm: number
}

export interface SeatFeature {
  /** Of the fitting or the chase. */
  readonly id: string
  readonly name: string
  readonly twin: boolean
  readonly kind: 'pad' | 'recess' | 'sunk' | 'chase'
  readonly on: ShellName
  /** False: it could not be made, and a finding says why. */
  readonly built: boolean
  /** Border of the flat land, and the line where the feature meets the shell: x y z, job axes, counter-clockwise from above. */
  readonly land_mm: Float64Array
  readonly rim_mm: Float64Array
  /** Height of the land over the shell along its border (depth for a pocket). */
  readonly least_mm: number
  readonly most_mm: number
  readonly landArea_mm2: number
  /** Least draft of its facets. */
  readonly draft_deg: number
  /** Radii as built: they may be larger than asked where the laminate could not turn tighter. */
  readonly edgeRadius_mm: number
  readonly footRadius_mm: number
  /** Least distance from its raw face to the other shell; `null`: beyond 100 mm. */
  readonly room_mm: number | null
  /** `null` for a chase and for a seat without a base. */
  readonly before: Standing | null
  readonly after: Standing | null
}

export interface SeatsResult {
  /** The shells with their features; `null` where nothing was added. */
  readonly underside: Shell | null
  readonly topside: Shell | null
  /** Of the seated inner surface; `null` where that is unchanged. */
  readonly certificate: Certificate | null
  /** Moulded faces that this was made from, by mesh id. */
  readonly from: { readonly underside: string; readonly topside: string }
  readonly features: readonly SeatFeature[]
  readonly findings: readonly Finding[]
}
