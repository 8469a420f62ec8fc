/** What the job may say about the fasteners of a fitting, and about the room it wants around it. */
import type { OnFitting } from './settings'

/** `shell`: through the laminate, clear of every tube; `tube`: into a tube below, on purpose. */
export const FASTENS_INTO = ['shell', 'tube'] as const
export type FastensInto = (typeof FASTENS_INTO)[number]

export interface AddedFastener {
  /** x y in the stand axes of the fitting: forward and to the left of the middle of its base, at turn 0. */
  readonly at_mm: readonly [number, number]
  /** Of the hole. */
  readonly diameter_mm: number
}

export interface FastenerSettings {
  /** Whether the round holes in the base are holes for fasteners. */
  readonly holes: boolean
  readonly into: FastensInto
  readonly added: readonly AddedFastener[]
}

export const FASTENER_DEFAULTS: FastenerSettings = { holes: true, into: 'shell', added: [] }

export const KEEP_OUT_SHAPES = ['cylinder', 'cone', 'sphere', 'sector'] as const
export type KeepOutShape = (typeof KEEP_OUT_SHAPES)[number]

/**
 * Room that must stay free: what a lid sweeps, what a hand or a beam needs. Stand axes of the fitting; it is mirrored with a twin.
 *
 * - cylinder: from `at_mm` along `axis`, `length_mm` long
 * - cone: its point at `at_mm`, opening along `axis` to `length_mm` by `halfAngle_deg` to each side
 * - sphere: about `at_mm`
 * - sector: a plate `length_mm` thick on `at_mm` across `axis`, from `from_deg` to `to_deg` about it (0 along x, then to y)
 */
export interface KeepOut {
  readonly name: string
  readonly shape: KeepOutShape
  readonly at_mm: OnFitting
  /** Any length; not all zero. */
  readonly axis: OnFitting
  readonly radius_mm: number
  readonly length_mm: number
  readonly halfAngle_deg: number
  readonly from_deg: number
  readonly to_deg: number
}

export const KEEP_OUT_DEFAULTS: Omit<KeepOut, 'name'> = {
  shape: 'cylinder',
  at_mm: [0, 0, 5],
  axis: [0, 0, 1],
  radius_mm: 100,
  length_mm: 200,
  halfAngle_deg: 30,
  from_deg: 0,
  to_deg: 110,
}
