import type { Point } from '../geometry/axes'
import type { Mesh } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'

export interface FrameRequest {
  readonly mesh: Mesh<'scan'>
  readonly rimVertex: Uint8Array
  readonly noise_mm: number
}

/** Across a tube that is no round one. */
export interface TubeSection {
  readonly kind: 'oval' | 'square'
  /** The longer and the shorter way across, mm. */
  readonly wide_mm: number
  readonly narrow_mm: number
  /** Radius of the corners of a square one, mm. */
  readonly corner_mm: number | null
  /** Of the outline from this shape, the middle of the metal in each direction, mm. */
  readonly rms_mm: number
}

/** One diameter and a line of stations: ring, cambered and straight tubes are one kind. Scan axes, mm. */
export interface Tube {
  readonly id: string
  readonly diameter_mm: number
  /** Left out where the tube is round, or what it is was not told: then a finding says so. */
  readonly section?: TubeSection
  readonly length_mm: number
  readonly rms_mm: number
  /** Largest distance of the axis from its chord; for a closed tube from its mean plane. */
  readonly bow_mm: number
  readonly closed: boolean
  readonly straight: boolean
  /** Three per station, scan axes. */
  readonly axis: Float64Array
  /** One per station: 1 where the tube stands free of joints and was fitted whole (carried ends and fillets are 0). */
  readonly clean: Uint8Array
  readonly from: Point<'scan'>
  readonly to: Point<'scan'>
  readonly coverage: number
  readonly joins: readonly string[]
  /** Plates that an end stands on. */
  readonly seats: readonly string[]
}

/** Fasteners down on to the crest of a tube, one after the other. */
export interface FastenerPitch {
  /** From one to the next along the axis, mm; round a ring they are spread evenly, never further apart than this. */
  readonly pitch_mm: number
  /** From the end that lies further forward (to port, where both lie alike) to the first, mm; null: evenly, with like ends. */
  readonly from_mm: number | null
  /** Of the hole. */
  readonly diameter_mm: number
}

export interface Plate {
  readonly id: string
  readonly thickness_mm: number
  readonly area_mm2: number
  readonly at: Point<'scan'>
  readonly normal: Point<'scan'>
}

export interface FrameResult {
  readonly tubes: readonly Tube[]
  readonly plates: readonly Plate[]
  /** Number of the tube each facet belongs to, −1 for none. One per facet. */
  readonly tubeOfFacet: Int32Array
  /** 1 sigma from the residual to the fitted tubes, mm; NaN when there are no tubes. */
  readonly noise_mm: number
  readonly findings: readonly Finding[]
}
