import { describe, expect, it } from 'vitest'
import { CLEARANCE_DEFAULTS, clearanceStep, type OutlineSetting } from '../../../src/core/clearance'
import { expectSentence, refusal } from '../../support/refusals'
import { drafts, expectClosed, expectExactlySymmetric, expectValidSolid, plan } from './shells'
import { ringFrame } from './tube-frame'

const frame = ringFrame()
type Corner = readonly [number, number, number?]
const polygon = (corners: readonly Corner[], mirrored = true): OutlineSetting => ({
  from: 'polygon',
  mirrored,
  points: corners.map(([x, y, radius_mm = 0]) => ({ at_mm: [x, y], radius_mm })),
})
const settings = (outline: OutlineSetting) => ({ ...CLEARANCE_DEFAULTS, sample_mm: 8, outline })
const refused = (outline: OutlineSetting, more = {}) =>
  refusal(() =>
    clearanceStep({
      frame,
      rimVertex: new Uint8Array(frame.positions.length / 3),
      unseenFacet: null,
      noise_mm: 0.1,
      settings: { ...settings(outline), ...more },
      facetGap_mm: null,
    }),
  )

describe('a drawn outline', () => {
  it('is followed: the wall stands on its sides and round its corners', async () => {
    const { underside, topside, certificate, outline } = plan(
      frame,
      settings(
        polygon([
          [760, 520, 90],
          [-700, 470, 60],
        ]),
      ),
    )
    expect(certificate.verdict).toBe('proven')
    for (const shell of [underside, topside]) {
      expect(drafts(shell).least).toBeGreaterThan(2.99)
      expectExactlySymmetric(shell.face)
      expectClosed(shell.solid)
      await expectValidSolid(shell.solid)
    }
    let [left, right] = [Infinity, -Infinity]
    for (let k = 0; k < outline.length; k += 2) {
      const [x, y] = [outline[k]!, outline[k + 1]!]
      left = Math.min(left, x)
      right = Math.max(right, x)
      // Off the corners every point of the side lies on its line.
      if (x > -500 && x < 500) expect(Math.abs(Math.abs(y) - (470 + ((x + 700) * 50) / 1460))).toBeLessThan(0.05)
    }
    expect([left, right].map((v) => Math.round(v * 100) / 100)).toEqual([-700, 760])
  })

  it('holds without symmetry, where it need not be its own mirror image', () => {
    const corners: Corner[] = [
      [700, -480, 80],
      [700, 500, 80],
      [-680, 500, 80],
      [-680, -480, 80],
    ]
    const { certificate, underside } = plan(frame, { ...settings(polygon(corners, false)), symmetric: false })
    expect(certificate.verdict).toBe('proven')
    expectClosed(underside.solid)
    expect(refused(polygon(corners, false)).message).toMatch(/not symmetric.* 20\.0 mm/)
  })

  it('too small says where and by how much', () => {
    const no = refused(
      polygon([
        [700, 410],
        [-700, 410],
      ]),
    )
    expect(no.code).toBe('shape-impossible')
    // Half the ring's width, tube, gap and guard: 400 + 19 + 12 + 0.2, less the 410 that were drawn, leaning by 3°.
    const lack = Number(/is ([\d.]+) mm too small/.exec(no.message)?.[1])
    expect(lack).toBeGreaterThan(20)
    expect(lack).toBeLessThan(25)
    expectSentence(no.message)
    expect(
      refused(
        polygon([
          [300, 200],
          [-300, 200],
        ]),
      ).message,
    ).toMatch(/too small/)
  })

  it.each([
    [
      'crosses itself',
      polygon([
        [700, 500],
        [-700, 500],
        [-600, 700],
        [600, 300],
      ]),
      /crosses or touches itself about x/,
    ],
    [
      'a point to starboard',
      polygon([
        [700, 500],
        [-700, -20],
      ]),
      /point 2 .* starboard/,
    ],
    [
      'a radius that does not fit',
      polygon([
        [700, 500, 900],
        [-700, 500],
      ]),
      /radius of 900 mm at point 1/,
    ],
    [
      'no area',
      polygon([
        [7, 5],
        [-7, 5],
      ]),
      /encloses only/,
    ],
  ])('%s: refused', (_, outline, says) => {
    const no = refused(outline)
    expect(no.code).toBe('shape-impossible')
    expect(no.message).toMatch(says)
    expectSentence(no.message)
  })
})
