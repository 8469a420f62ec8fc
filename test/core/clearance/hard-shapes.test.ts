import { describe, expect, it } from 'vitest'
import { CLEARANCE_DEFAULTS, clearanceStep } from '../../../src/core/clearance'
import { transformMesh } from '../../../src/core/geometry/mesh'
import { surfaceIndex } from '../../../src/core/geometry/surface-index'
import { expectSentence, refusal } from '../../support/refusals'
import { box, joined } from '../../support/solids'
import { drafts, expectClosed, expectExactlySymmetric, expectValidSolid, plan } from './shells'
import { ringFrame, straight, tube } from './tube-frame'

const plain = ringFrame()
const settings = { sample_mm: 6 }
const beside = (x: number, y: number) => transformMesh(plain, [1, 0, 0, x, 0, 1, 0, y, 0, 0, 1, 0, 0, 0, 0, 1], 'job')

describe('frames that are no plain ring', () => {
  it.each([
    { name: 'a bolt that stands proud', frame: joined(plain, tube(straight([0, 100, 10], [0, 100, 60], 5), 6)) },
    { name: 'a gusset plate that stands proud', frame: joined(plain, box([200, -3, -20], [300, 3, 60])) },
    { name: 'a tube that pokes out at the side', frame: joined(plain, tube(straight([100, 0, 0], [100, 520, 0]), 19)) },
    { name: 'a thin rod that pokes out', frame: joined(plain, tube(straight([100, 0, 0], [100, 480, 0]), 4)) },
    { name: 'a tube out over the centreline', frame: joined(plain, tube(straight([0, 0, 0], [760, 0, 0]), 19)) },
    {
      name: 'a notch between two tubes',
      frame: joined(
        plain,
        tube(straight([100, 0, 0], [100, 520, 0]), 19),
        tube(straight([220, 0, 0], [220, 520, 0]), 19),
      ),
    },
    {
      name: 'a cross tube above the ring and one below',
      frame: ringFrame({
        cross: [
          [0, 78],
          [300, -39],
        ],
      }),
    },
    { name: 'corners bent tightly', frame: ringFrame({ corner: 45 }) },
    { name: 'legs that lean far out', frame: ringFrame({ splay: 300 }) },
    { name: 'an edge radius larger than the tube and its gap', frame: plain, edgeRadius_mm: 60 },
    { name: 'no gap at all', frame: plain, gap_mm: 0 },
  ])('$name: cleared, leaves the mould, valid', async ({ frame, ...own }) => {
    const gap = own.gap_mm ?? CLEARANCE_DEFAULTS.gap_mm
    const { underside, topside, certificate } = plan(frame, { ...settings, ...own }, { noise_mm: 0.1 })
    expect(certificate.verdict).toBe('proven')
    expect(certificate.notProven_mm2).toBe(0)
    expect(surfaceIndex(underside.face).leastDistance(surfaceIndex(frame)).distance_mm).toBeGreaterThan(
      gap + 0.2 - 1e-3,
    )
    for (const shell of [underside, topside]) {
      expect(drafts(shell).least).toBeGreaterThan(2.99)
      expectExactlySymmetric(shell.face)
      expectClosed(shell.solid)
      await expectValidSolid(shell.solid)
    }
  })

  it('legs that lean out do not widen the outline', () => {
    const steep = plan(ringFrame({ splay: 0 }), { sample_mm: 8 })
    const leaning = plan(ringFrame({ splay: 300 }), { sample_mm: 8 })
    const wide = (o: Float64Array) => o.reduce((most, v, k) => (k % 2 ? Math.max(most, v) : most), 0)
    // Metal above the skirt line, 80 mm down, has leaned out by 34 mm; at the feet it would be 300.
    expect(wide(leaning.outline) - wide(steep.outline)).toBeLessThan(60)
  })
})

describe('what cannot be made is refused with what to change', () => {
  const step = (frame: typeof plain, own = {}) =>
    refusal(() =>
      clearanceStep({
        frame,
        rimVertex: new Uint8Array(frame.positions.length / 3),
        unseenFacet: null,
        noise_mm: 0.1,
        settings: { ...CLEARANCE_DEFAULTS, sample_mm: 8, ...own },
        facetGap_mm: null,
      }),
    )

  it.each([
    ['two frames apart', joined(plain, beside(2200, 0)), /2 parts .*x 2\d\d\d/],
    ['a frame beside the centreline', beside(0, 900), /datum|symmetric/],
    ['posts far above the ring', joined(plain, tube(straight([400, 400, -100], [400, 400, 250]), 19)), /top at z 250/],
  ])('%s', (_, frame, says) => {
    const no = step(frame)
    expect(no.code).toBe('shape-impossible')
    expect(no.message).toMatch(says)
    expectSentence(no.message)
  })

  it.each([
    [{ gap_mm: -1 }, 'gap_mm'],
    [{ draft_deg: 0 }, 'draft_deg'],
    [{ skirt_mm: 12 }, 'skirt'],
    [{ edgeRadius_mm: 8 }, 'edgeRadius_mm'],
    [{ camberAcross_mm: 100 }, 'camberAcross_mm'],
    [{ sample_mm: Number.NaN }, 'sample_mm'],
  ])('setting %j', (own, names) => {
    const no = step(plain, own)
    expect(no.code).toBe('setting-impossible')
    expect(no.message).toContain(names)
    expectSentence(no.message)
  })
})
