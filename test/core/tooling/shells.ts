/** Both shells over a small round frame, made by the clearance step itself: real faces for the tooling tests. */
import { CLEARANCE_DEFAULTS, type ClearanceResult, clearanceStep } from '../../../src/core/clearance'
import { drain } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { vertexCount } from '../../../src/core/geometry/mesh'
import { torus } from '../../support/solids'

let made: ClearanceResult | null = null

export function smallClearance(): ClearanceResult {
  const frame = torus(300, 19, 48, 16)
  made ??= drain(
    clearanceStep({
      frame,
      rimVertex: new Uint8Array(vertexCount(frame)),
      unseenFacet: null,
      noise_mm: 0.1,
      settings: CLEARANCE_DEFAULTS,
      facetGap_mm: null,
    }),
  )
  return made
}

/** Moulded face and laminated part of one shell. */
export function shellOf(role: 'underside' | 'topside'): { face: Mesh<'job'>; part: Mesh<'job'> } {
  const shell = smallClearance()[role]
  return { face: shell.face, part: shell.solid }
}
