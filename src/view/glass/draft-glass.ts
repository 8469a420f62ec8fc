/** What the glass shows where a part must leave its mould: the wall at the least draft, cut across, with the pull beside it. */

import type { PartAnalysis } from '../../core/analysis/types'
import type { Shell } from '../../core/clearance/types'
import { facetMiddle } from '../../core/geometry/mesh'
import type { Vec3 } from '../camera/eye'
import { facetNormalsOf } from '../geometry/facet-data'
import { type Chain, cutMesh, type SectionPlane } from '../section/cut-mesh'
import { type GlassScale, glassScale } from './section-glass'

export interface DraftView {
  readonly plane: SectionPlane
  readonly spot: Vec3
  readonly middle: readonly [number, number]
  readonly scale: GlassScale
  readonly laminate: readonly Chain[]
  readonly draft_deg: number
  /** Along the wall, in the plane, towards the pull. Unit. */
  readonly wall: readonly [number, number]
  /** 1 up, −1 down. */
  readonly pull: 1 | -1
}

export function draftView(shell: Shell, part: PartAnalysis, radius_px: number): DraftView | null {
  const facet = leastFacet(part.draft.values)
  if (facet < 0) return null
  const { face, solid } = shell
  const n = facetNormalsOf(face).normals.subarray(facet * 3, facet * 3 + 3)
  const spot = facetMiddle(face, facet)
  // Across the wall: the section shows it in true shape where it runs along the other axis.
  const across = Math.abs(n[0]!) > Math.abs(n[1]!) ? 'y' : 'x'
  const along = across === 'x' ? 1 : 0
  const plane: SectionPlane = { across, at_mm: spot[across === 'x' ? 0 : 1]! }
  const scale = glassScale(70, radius_px * 1.3)
  const middle: [number, number] = [spot[along]!, spot[2]]
  const laminate = cutMesh(solid, plane)
  const pull = shell.pull[2] >= 0 ? 1 : -1
  const length = Math.hypot(n[along]!, n[2]!) || 1
  const wall: [number, number] = [-n[2]! / length, n[along]! / length]
  const sign = wall[1] * pull >= 0 ? 1 : -1
  return {
    plane,
    spot,
    middle,
    scale,
    laminate,
    draft_deg: part.draft.values[facet]!,
    wall: [wall[0] * sign, wall[1] * sign],
    pull,
  }
}

function leastFacet(draft: Float32Array): number {
  let least = -1
  for (let f = 0; f < draft.length; f++) if (least < 0 || draft[f]! < draft[least]!) least = f
  return least
}
