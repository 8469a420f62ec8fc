import type { Steps } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import type { Obstacle } from './obstacle'
import type { Certificate } from './types'

export interface CertificateRequest {
  /** The surface that must clear: the moulded face of the underside shell, or any imported one. */
  readonly face: Mesh<'job'>
  readonly frame: Mesh<'job'>
  /** One per vertex of `frame`, 1 on the rim of a hole in the scan. */
  readonly rimVertex: Uint8Array
  /** Gap of each frame facet, mm, or one for all. */
  readonly gap: number | Float32Array
  /** Expanded uncertainty U: the margin from which a gap counts as proven. */
  readonly guard_mm: number
  /** Distances are exact up to here, mm, and Infinity beyond; at least the largest gap + guard. */
  readonly limit_mm: number
  /** For the excess lift: the obstacle, the sheet's height at each of its nodes, and the nodes on which the sheet rests. `null`: not measured (0). */
  readonly lift: { readonly obstacle: Obstacle; readonly sheet: Float64Array; readonly contact: Uint32Array } | null
}

export type Certify = (request: CertificateRequest) => Steps<Certificate>
