import { describe, expect, it } from 'vitest'
import { CLEARANCE_DEFAULTS, type ClearanceSettings, roughUnderside, thinFrame } from '../../../src/core/clearance'
import { drain } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { surfaceIndex } from '../../../src/core/geometry/surface-index'
import { Refused } from '../../../src/core/geometry/trouble'
import { drafts, plan } from './shells'
import { ringFrame } from './tube-frame'

const NOISE_MM = 0.2
const frame = ringFrame({ length: 1200, width: 900, legs: true, noise: NOISE_MM })
const thin = drain(thinFrame({ frame, rimVertex: new Uint8Array(frame.positions.length / 3) }))

const rough = (
  change: Partial<ClearanceSettings> = {},
  line: Parameters<typeof roughUnderside>[0]['line'] = null,
  facetGap_mm: Float32Array | null = null,
) =>
  drain(
    roughUnderside({
      frame: thin.mesh,
      rimVertex: thin.rimVertex,
      unseenFacet: null,
      noise_mm: NOISE_MM,
      settings: { ...CLEARANCE_DEFAULTS, ...change },
      facetGap_mm,
      line,
    }),
  )

/** Distance of each vertex of one face to another, sorted, mm. */
function between(a: Mesh, b: Mesh): number[] {
  const index = surfaceIndex(b)
  const off: number[] = []
  for (let v = 0; v < a.positions.length; v += 3)
    off.push(index.closestPoint([a.positions[v]!, a.positions[v + 1]!, a.positions[v + 2]!])!.distance_mm)
  return off.sort((p, q) => p - q)
}

describe('the underside roughly', () => {
  it('lies within a few millimetres of the exact one, draft and all, for settings far apart', () => {
    for (const change of [{}, { gap_mm: 30, skirt_mm: 80, draft_deg: 6, overhang_mm: 40, tautness: 0.5 }]) {
      const { underside } = rough(change)
      const exact = plan(frame, change, { noise_mm: NOISE_MM }).underside
      const off = between(underside.face, exact.face)
      expect(off[Math.floor(0.5 * off.length)]).toBeLessThan(1)
      expect(off[Math.floor(0.95 * off.length)]).toBeLessThan(3)
      expect(drafts(underside).least).toBeGreaterThan((('draft_deg' in change ? change.draft_deg : 3) ?? 3) - 0.01)
    }
  })

  it('does with the skirt line of another gap', () => {
    const off = between(
      rough({ gap_mm: 20 }, rough({ gap_mm: 8 }).line).underside.face,
      rough({ gap_mm: 20 }).underside.face,
    )
    expect(off[off.length - 1]).toBeLessThan(5)
  })

  it('asks of thin metal the gap of the metal it was thinned from', () => {
    const of = Float32Array.from({ length: frame.indices.length / 3 }, (_, f) =>
      frame.positions[3 * frame.indices[3 * f]!]! > 0 ? 40 : 12,
    )
    const own = rough(
      {},
      null,
      Float32Array.from(thin.facetFrom, (f) => of[f]!),
    ).underside
    const exact = plan(frame, {}, { noise_mm: NOISE_MM, facetGap_mm: of }).underside
    const off = between(own.face, exact.face)
    expect(off[Math.floor(0.95 * off.length)]).toBeLessThan(4)
    expect(between(own.face, rough().underside.face).pop()).toBeGreaterThan(15)
  })

  it('refuses what the exact step refuses', () => {
    expect(() => rough({ skirt_mm: 12 })).toThrow(Refused)
  })
})
