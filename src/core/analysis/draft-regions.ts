/** Facets below the asked draft, grouped by class and shared edges: where to add draft, and how much. */
import { BLOCK, type Steps } from '../geometry/kernel'
import type { FacetShape } from '../geometry/measure'
import { facetMiddle, type Mesh } from '../geometry/mesh'
import { DRAFT_CLASS, type DraftResult } from './draft'
import type { DraftRegion } from './types'

/** Regions listed one by one, largest first. */
const MOST = 20

export function* draftRegions(
  mesh: Mesh,
  shape: FacetShape,
  across: Int32Array,
  { draftClass, field }: DraftResult,
): Steps<DraftRegion[]> {
  const regions: DraftRegion[] = []
  const seen = new Uint8Array(draftClass.length)
  const stack: number[] = []
  const low = (f: number) => draftClass[f] === DRAFT_CLASS.negative || draftClass[f] === DRAFT_CLASS.low
  for (let seed = 0; seed < draftClass.length; seed++) {
    if (seed % (8 * BLOCK) === 0) yield seed / draftClass.length
    if (seen[seed] !== 0 || !low(seed)) continue
    const kind = draftClass[seed]!
    seen[seed] = 1
    stack.push(seed)
    let area = 0
    let facets = 0
    let worst = seed
    for (let f = stack.pop(); f !== undefined; f = stack.pop()) {
      area += shape.areas_mm2[f]!
      facets++
      if (field.values[f]! < field.values[worst]!) worst = f
      for (let k = 0; k < 3; k++) {
        const g = across[3 * f + k]!
        if (g < 0 || seen[g] !== 0 || draftClass[g] !== kind) continue
        seen[g] = 1
        stack.push(g)
      }
    }
    regions.push({
      kind: kind === DRAFT_CLASS.low ? 'low' : 'negative',
      area_mm2: area,
      facets,
      min_deg: field.values[worst]!,
      at: facetMiddle(mesh, worst),
    })
    if (regions.length > 4096) trim(regions)
  }
  trim(regions)
  return regions
}

function trim(regions: DraftRegion[]): void {
  regions.sort((a, b) => b.area_mm2 - a.area_mm2)
  regions.length = Math.min(MOST, regions.length)
}
