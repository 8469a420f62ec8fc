import { describe, expect, it } from 'vitest'
import { CLEARANCE_DEFAULTS, clearanceStep } from '../../../src/core/clearance'
import { makeMesh, transformMesh } from '../../../src/core/geometry/mesh'
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

describe('frames that need a second look', () => {
  const small = { length: 640, width: 480 }

  it('legs that end above the ring: the shell goes over them', () => {
    const posts = [1, -1].flatMap((sx) =>
      [1, -1].map((sy) => tube(straight([sx * 240, sy * 150, -300], [sx * 240, sy * 150, 45]), 19)),
    )
    const frame = joined(ringFrame({ ...small, legs: false }), ...posts)
    const { certificate, underside } = plan(frame, { sample_mm: 8 })
    expect(certificate.verdict).toBe('proven')
    expect(surfaceIndex(underside.face).leastDistance(surfaceIndex(frame)).distance_mm).toBeGreaterThan(12)
  })

  it('a hole in the scan where the metal would be nearest: said, not proven', () => {
    // The cross tube stands highest; its crest about the middle was not reached by the scanner.
    const whole = ringFrame({ ...small, cross: [[0, 40]], legs: false })
    const { positions: p, indices } = whole
    const middle = (f: number, k: number) => [0, 1, 2].reduce((sum, c) => sum + p[3 * indices[3 * f + c]! + k]!, 0) / 3
    const gone = (f: number) => Math.abs(middle(f, 0)) < 14 && Math.abs(middle(f, 1)) < 60 && middle(f, 2) > 60
    const keep: number[] = []
    const rimVertex = new Uint8Array(p.length / 3)
    for (let f = 0; f < indices.length / 3; f++) {
      const corners = indices.subarray(3 * f, 3 * f + 3)
      if (gone(f)) for (const v of corners) rimVertex[v] = 1
      else keep.push(...corners)
    }
    expect(keep.length).toBeLessThan(indices.length)
    const frame = makeMesh('job', p, Uint32Array.from(keep))
    const { certificate, findings } = plan(frame, { sample_mm: 8 }, { rimVertex })
    expect(certificate.unseen_mm2).toBeGreaterThan(0)
    expect(certificate.fails_mm2).toBe(0)
    expect(findings.some((f) => f.id.startsWith('clearance.unseen'))).toBe(true)
  })

  it('a gusset plate that stands proud, under a boss of its own', async () => {
    const frame = joined(ringFrame({ ...small, cross: [], legs: false }), box([-40, -3, -20], [40, 3, 75]))
    const bosses = [{ name: 'gusset', at_mm: [0, 0], radius_mm: 75, draft_deg: 35 }] as const
    const { underside, certificate } = plan(frame, { sample_mm: 5, bosses })
    expect(certificate.verdict).toBe('proven')
    expect(drafts(underside).least).toBeGreaterThan(2.99)
    expectExactlySymmetric(underside.face)
    expectClosed(underside.solid)
    await expectValidSolid(underside.solid)
  })

  it('an outline drawn with a notch: kept, and cleared', () => {
    const frame = ringFrame({ ...small, cross: [], legs: false })
    // A bay of 60 mm in the fore end, outside the metal.
    const points = [
      [470, 0],
      [470, 60],
      [530, 90],
      [530, 340],
      [-420, 340],
      [-420, 0],
    ].map(([x, y]) => ({
      at_mm: [x!, y!] as const,
      radius_mm: 40,
    }))
    const outline = { from: 'polygon', mirrored: true, points } as const
    const { outline: made, certificate, underside } = plan(frame, { sample_mm: 8, outline })
    expect(certificate.verdict).toBe('proven')
    expect(drafts(underside).least).toBeGreaterThan(2.99)
    let atMiddle = -Infinity
    let beside = -Infinity
    for (let k = 0; k < made.length; k += 2) {
      if (Math.abs(made[k + 1]!) < 30) atMiddle = Math.max(atMiddle, made[k]!)
      if (made[k + 1]! > 120) beside = Math.max(beside, made[k]!)
    }
    expect(beside - atMiddle).toBeGreaterThan(45)
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
