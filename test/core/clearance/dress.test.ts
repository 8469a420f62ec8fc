import { describe, expect, it } from 'vitest'
import { CLEARANCE_DEFAULTS, clearanceStep } from '../../../src/core/clearance'
import { ballClosing, leastRadiusWhere } from '../../../src/core/clearance/ball-closing'
import { drain } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { bounds } from '../../../src/core/geometry/mesh'
import { surfaceIndex } from '../../../src/core/geometry/surface-index'
import { joined } from '../../support/solids'
import { drafts, expectClosed, expectExactlySymmetric, expectValidSolid, plan } from './shells'
import { ringFrame, straight, tube } from './tube-frame'

describe('a ball that rolls over a sheet', () => {
  const grid = { nx: 61, ny: 41, x0: -60, y0: 0, h: 2, mirrored: true }
  const heights = (f: (x: number, y: number) => number) =>
    Float64Array.from({ length: grid.nx * grid.ny }, (_, k) =>
      f(grid.x0 + (k % grid.nx) * 2, Math.floor(k / grid.nx) * 2),
    )
  const all = new Uint8Array(grid.nx * grid.ny).fill(1)

  it('leaves planes and bulges, and gives a kink its own radius', () => {
    const plane = heights((x, y) => 0.3 * x + 0.1 * y)
    // Beyond the border there is nothing for the ball to rest on.
    const inner = (k: number) => Math.abs((k % grid.nx) - 30) < 20 && k > 11 * grid.nx && k < 29 * grid.nx
    const still = ballClosing({ ...grid, mirrored: false }, plane, all, 20)
    expect(still.every((z, k) => !inner(k) || Math.abs(z - plane[k]!) < 1e-9)).toBe(true)
    const kink = heights((x) => Math.abs(x))
    const rolled = ballClosing(grid, kink, all, 20)
    // A circle in a right angle: its lowest point is r(√2 − 1) above the corner.
    expect(Math.abs(rolled[30]! - 20 * (Math.SQRT2 - 1))).toBeLessThan(0.05)
    const middle = all.map((_, k) => (Math.abs(grid.x0 + (k % grid.nx) * 2) < 30 && k > 3 * grid.nx ? 1 : 0))
    expect(leastRadiusWhere(grid, rolled, middle)).toBeGreaterThan(13)
    expect(leastRadiusWhere(grid, rolled, middle)).toBeLessThan(20.5)
  })

  it('measures the radius of a bowl, slopes in full', () => {
    const bowl = heights((x, y) => 60 - Math.sqrt(60 * 60 - x * x * 0.25 - y * y * 0.25))
    const somewhere = all.map((_, k) => (k === 20 * grid.nx + 40 ? 1 : 0))
    // An ellipsoid with semi-axes 120, 120, 60: curvature at its foot is 60/120².
    const foot = all.map((_, k) => (k === 30 ? 1 : 0))
    expect(leastRadiusWhere(grid, bowl, foot)).toBeCloseTo(240, 0)
    expect(leastRadiusWhere(grid, bowl, somewhere)).toBeLessThan(240)
  })
})

const SMALL = { length: 800, width: 600, legs: false }

describe('a boss over a bolt that stands proud', () => {
  const frame = joined(ringFrame(SMALL), tube(straight([0, 120, 10], [0, 120, 70], 5), 6))
  const bosses = [{ name: 'bolt', at_mm: [0, 120], radius_mm: 35, draft_deg: 40 }] as const

  it('clears it, leaves its mould, and the sheet round about stays low', async () => {
    const lifted = plan(frame, { sample_mm: 4 }, { noise_mm: 0.1 })
    const local = plan(frame, { sample_mm: 4, bosses }, { noise_mm: 0.1 })
    expect(local.certificate.verdict).toBe('proven')
    expect(surfaceIndex(local.underside.face).leastDistance(surfaceIndex(frame)).distance_mm).toBeGreaterThan(
      12.2 - 1e-3,
    )
    expect(drafts(local.underside).least).toBeGreaterThan(2.99)
    expect(local.leastConcaveRadius_mm!).toBeGreaterThan(0.98 * CLEARANCE_DEFAULTS.minRadius_mm)
    expect(local.bosses[0]!.rise_mm).toBeGreaterThan(10)
    // The same boss is what the plan without one offers.
    const offer = lifted.findings.find((f) => f.id === 'clearance.boss-offered')
    expect(offer!.value!).toBeGreaterThan(0.5)
    const [offered] = offer!.remedy!.clearance['bosses'] as (typeof bosses)[0][]
    expect(Math.hypot(offered!.at_mm[0], offered!.at_mm[1] - 120)).toBeLessThan(10)
    expect(offered!.radius_mm).toBeLessThan(80)
    for (const shell of [local.underside, local.topside]) {
      expectExactlySymmetric(shell.face)
      expectClosed(shell.solid)
      await expectValidSolid(shell.solid)
    }
    const mean = (m: Mesh) => heightOver(m, -200, 0)
    expect(mean(lifted.underside.face) - mean(local.underside.face)).toBeGreaterThan(1)
    expect(Math.abs(bounds(lifted.underside.face).max[2] - bounds(local.underside.face).max[2])).toBeLessThan(8)
  })
})

const heightOver = (m: Mesh, x: number, y: number): number => surfaceIndex(m).closestPoint([x, y, 60])!.at[2]

describe('landing strips on a bearing tube', () => {
  // The cross tube lies 40 mm below the ring: a fair sheet bridges it.
  const frame = ringFrame({ ...SMALL, cross: [[0, -40]] })
  const ring = ringFrame({ ...SMALL, cross: [] }).indices.length / 3
  const facets = Uint32Array.from({ length: frame.indices.length / 3 - ring }, (_, k) => ring + k)
  const gaps = new Float32Array(frame.indices.length / 3).fill(12).fill(2, ring)
  const run = (kind: 'none' | 'flat' | 'saddle') =>
    drain(
      clearanceStep({
        frame,
        rimVertex: new Uint8Array(frame.positions.length / 3),
        unseenFacet: null,
        noise_mm: 0,
        settings: { ...CLEARANCE_DEFAULTS, sample_mm: 4, lands: { kind, width_mm: 30, draft_deg: 45 } },
        facetGap_mm: gaps,
        bearing: [
          {
            id: 'cross',
            name: 'cross',
            gap_mm: 2,
            radius_mm: 19,
            closed: false,
            axis: Float64Array.from(straight([0, -300, -20], [0, 300, -20]).flat()),
            facets,
          },
        ],
      }),
    )
  let before: ReturnType<typeof run> | null = null
  const even = ({ bearing }: ReturnType<typeof run>) => {
    const { gap_mm, along_mm } = bearing[0]!
    return gap_mm.filter((_, k) => Math.abs(along_mm[k]! - 300) < 110)
  }

  it.each(['flat', 'saddle'] as const)('%s: the bedding is even along it', async (kind) => {
    before ??= run('none')
    const plain = even(before)
    const result = run(kind)
    const landed = even(result)
    // What the plain plan offers is these strips.
    const offer = before.findings.find((f) => f.id === 'clearance.bedding.cross')!.remedy!
    expect(offer.clearance).toMatchObject({ lands: { kind: 'flat' } })
    expect(Math.min(...plain)).toBeGreaterThan(8)
    expect(Math.min(...landed)).toBeGreaterThanOrEqual(2)
    expect(Math.max(...landed)).toBeLessThan(2.4)
    expect(result.certificate.verdict).toBe('proven')
    expect(drafts(result.underside).least).toBeGreaterThan(2.99)
    expect(result.leastConcaveRadius_mm!).toBeGreaterThan(0.98 * CLEARANCE_DEFAULTS.minRadius_mm)
    expectExactlySymmetric(result.underside.face)
    expectClosed(result.underside.solid)
    await expectValidSolid(result.underside.solid)
  })
})
