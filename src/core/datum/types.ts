import type { Tube } from '../frame'
import type { Matrix4, Point } from '../geometry/axes'
import type { FacetField } from '../geometry/facet-field'
import type { Mesh } from '../geometry/mesh'
import type { MirrorError } from '../geometry/mirror-error'
import type { Finding } from '../geometry/trouble'

/** Places on the metal that a person picked, scan axes, mm. An empty list was not picked and comes from the automatic pose. */
export interface DatumPicks {
  /** Three or more that lie level. */
  readonly level: readonly Point<'scan'>[]
  /** The same spot on both sides. */
  readonly pairs: readonly { readonly port: Point<'scan'>; readonly starboard: Point<'scan'> }[]
  /** Two: aft, then forward. */
  readonly forward: readonly Point<'scan'>[]
}

/** What the picks leave between each other. */
export interface PickResiduals {
  /** How far the farthest place lies off the level plane; null where none was picked. */
  readonly level_mm: number | null
  /** Port less the mirrored starboard of each pair: in plan, and in height (heights may differ). */
  readonly pairs: readonly { readonly plan_mm: number; readonly up_mm: number }[]
  /** Between the picked way forward and the forward of the job; null where none was picked. */
  readonly forward_deg: number | null
}

export interface DatumSetting {
  /** `auto`, or a rigid motion from scan axes to job axes, row by row. */
  readonly matrix: 'auto' | Matrix4
  /** Take the place of what would be found, where the matrix is `auto`. */
  readonly picks?: DatumPicks
  /** Which way is forward cannot be read from metal: by the user's word the automatic choice is kept or turned round. */
  readonly forwardFlipped: boolean
  readonly upFlipped: boolean
  /** `plan-view`: the plane about which the plan view is symmetric, heights may differ. `best-match`: rolled by k/2 so that the sides level out. */
  readonly reading: 'plan-view' | 'best-match'
}

export interface DatumRequest {
  readonly mesh: Mesh<'scan'>
  /** One per vertex, 1 on the rim of a hole. */
  readonly rimVertex: Uint8Array
  readonly noise_mm: number
  readonly setting: DatumSetting
  /** Tubes of the frame step, if they are known: the final plane then comes from their axes. */
  readonly tubes?: readonly Tube[]
}

/** A tube and the tube that its mirror image meets (itself, for a ring or a cross tube). */
export interface TubePair {
  readonly port: string
  readonly starboard: string
  /** Port minus the mirrored starboard, mm, means over the stations that meet: outward from the centreline, and up. */
  readonly outward_mm: number
  readonly up_mm: number
  /** Largest distance between the two axes, mm. */
  readonly largest_mm: number
  readonly stations: number
}

export type { MirrorError } from '../geometry/mirror-error'

export interface DatumResult {
  /** From scan axes (mm) to job axes. */
  readonly motion: Matrix4
  /** The scan in job axes: same facets, same vertex order; all later steps measure on this. */
  readonly mesh: Mesh<'job'>
  readonly symmetry: MirrorError
  /** Signed distance of each facet's mirror image, mm; positive: the metal stands outside its mirror image. NaN where unseen. */
  readonly symmetryField: FacetField
  /** How much lower (negative: higher) the port rim hangs than starboard, at half width `halfWidth_mm`. */
  readonly lowered: {
    readonly port_mm: number
    readonly halfWidth_mm: number
    /** The roll that would level both sides, degrees: the other reading. */
    readonly roll_deg: number
    /** Least eigenvalue of the scaled normal matrix; below 0.001 roll and lowered side cannot be told apart. */
    readonly told: number
    readonly canBeTold: boolean
  }
  /** Spread between two disjoint sets of samples. */
  readonly uncertainty: {
    readonly offset_mm: number
    readonly roll_deg: number
    readonly yaw_deg: number
    readonly lowered_mm: number
  }
  /** How far the forward port corner stands up, and the forward starboard corner down, beyond the lowered side, mm (aft: reversed). */
  readonly twist_mm: number
  /** What the final plane was measured on. */
  readonly planeFrom: 'tubes' | 'points' | 'picks' | 'matrix'
  /** Left out where nothing was picked. */
  readonly picked?: PickResiduals
  /** Share of the area (of the axis stations, from tubes) that met a partner on the other side. */
  readonly matched: number
  /** Tubes against their mirror partners; empty where tubes are not known. */
  readonly pairs: readonly TubePair[]
  /** How the pitch was chosen, and the runner-up, degrees apart. */
  readonly pitch: { readonly from: string; readonly runnerUp: string; readonly difference_deg: number }
  /** Score of the chosen plane against the next best (mean capped distance, mm). */
  readonly score_mm: number
  readonly runnerUpScore_mm: number
  readonly findings: readonly Finding[]
}
