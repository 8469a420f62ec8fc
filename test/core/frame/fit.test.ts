import { describe, expect, it } from 'vitest'
import { type Circle, fitCircle, startCircle } from '../../../src/core/frame/fit-circle'
import { fitStation, type Station } from '../../../src/core/frame/fit-station'
import { seedTube } from '../../../src/core/frame/seed-tube'
import { pointGrid } from '../../../src/core/geometry/point-grid'
import { seededRandom } from '../../../src/core/geometry/seeded-random'

// W. Gander, G. H. Golub, R. Strebel, "Least-squares fitting of circles and ellipses", BIT 34 (1994) 558–578.
const PUBLISHED = Float64Array.of(1, 7, 2, 6, 5, 8, 7, 7, 9, 5, 3, 7)

const squares = (xy: Float64Array, c: Circle) => {
  let sum = 0
  for (let i = 0; i < xy.length; i += 2) sum += (Math.hypot(xy[i]! - c.x, xy[i + 1]! - c.y) - c.r) ** 2
  return sum
}

describe('circle', () => {
  it('M01: the geometric fit of the published points', () => {
    const c = fitCircle(PUBLISHED, 6)!
    expect(c.x).toBeCloseTo(4.73978241, 6)
    expect(c.y).toBeCloseTo(2.98353269, 6)
    expect(c.r).toBeCloseTo(4.71422604, 6)
    expect(squares(PUBLISHED, c)).toBeCloseTo(1.22759908, 6)
  })

  it('M02: the algebraic fit (Kåsa 1976) of the same points is another circle', () => {
    const c = startCircle(PUBLISHED, 6)!
    expect(c.x).toBeCloseTo(4.74233129, 6)
    expect(c.y).toBeCloseTo(3.8351227, 6)
    expect(c.r).toBeCloseTo(4.10876152, 6)
    expect(squares(PUBLISHED, c)).toBeGreaterThan(1.22759908)
  })

  it('M02: and so is the one with the coefficients as a unit vector (same paper)', () => {
    // Only to show that we do not use it: its circle is far from the points.
    const published: Circle = { x: 5.37941332, y: 7.25319848, r: 3.03704146 }
    expect(squares(PUBLISHED, published)).toBeGreaterThan(5 * squares(PUBLISHED, fitCircle(PUBLISHED, 6)!))
  })

  it('M03: on short noisy arcs the algebraic circle is too small, the geometric one is not', () => {
    const random = seededRandom(3)
    let algebraic = 0
    let geometric = 0
    const runs = 60
    for (let run = 0; run < runs; run++) {
      const xy = new Float64Array(2 * 80)
      for (let i = 0; i < 80; i++) {
        const a = (random() - 0.5) * 1.2
        const r = 20 + 1.2 * (random() - 0.5)
        xy[2 * i] = r * Math.cos(a)
        xy[2 * i + 1] = r * Math.sin(a)
      }
      algebraic += startCircle(xy, 80)!.r / runs
      geometric += fitCircle(xy, 80)!.r / runs
    }
    expect(algebraic).toBeLessThan(19.4)
    expect(Math.abs(geometric - 20)).toBeLessThan(0.5)
  })

  it('knows points on a line', () => {
    expect(startCircle(Float64Array.of(0, 0, 1, 1, 2, 2, 3, 3), 4)).toBeNull()
  })
})

/** Points on a bent tube (a piece of a torus about z, in the plane z = 0), evenly over the given share of its round. */
function bentTube(bend_mm: number, r: number, share: number, noise_mm: number, seed: number) {
  const random = seededRandom(seed)
  const points: number[] = []
  const normals: number[] = []
  for (let i = 0; i < 900; i++) {
    const a = ((random() - 0.5) * 120) / bend_mm
    const b = 2 * Math.PI * share * (random() - 0.5)
    // Out of the torus' middle, so that the outside of the bend is covered first.
    const n = [Math.cos(b) * Math.cos(a), Math.cos(b) * Math.sin(a), Math.sin(b)]
    const e = r + noise_mm * (random() + random() + random() + random() - 2) * Math.sqrt(3)
    points.push(bend_mm * Math.cos(a) + e * n[0]! - bend_mm, bend_mm * Math.sin(a) + e * n[1]!, e * n[2]!)
    normals.push(...n)
  }
  const p = Float32Array.from(points)
  return {
    points: p,
    normals: Float32Array.from(normals),
    weight: new Float32Array(p.length / 3).fill(1),
    grid: pointGrid(p, 12),
    spacing_mm: 5,
  }
}

const from = (cloud: ReturnType<typeof bentTube>, r: number, noise_mm: number): Station =>
  fitStation(cloud, [0.6, 0, -0.5], [0.03, 1, 0.02], [0, 0, 0], r, { noise_mm, held: false, wide: false })!

describe('station of a tube', () => {
  // M04: exact synthetic points, the parameters themselves are compared (Shakarji 1998).
  for (const bend of [150, 210, 900, 1e5])
    it(`M04: exact on exact points, bend of ${bend} mm`, () => {
      const s = from(bentTube(bend, 20, 1, 0, 1), 20.4, 0.1)
      // Float32 points: 2e-6 mm at these sizes. The bend is a parabola within the window: 0.02 mm at the tightest.
      const tight = bend < 300 ? 0.06 : 2e-3
      expect(Math.abs(s.radius_mm - 20)).toBeLessThan(tight)
      expect(Math.hypot(s.at[0] + s.at[1] ** 2 / (2 * bend), s.at[2])).toBeLessThan(tight)
      expect(s.coverage).toBe(1)
      expect(Math.abs(Math.hypot(...s.bend) - 1 / bend)).toBeLessThan(0.03 / bend + 1e-6)
      // Towards the middle of the bend.
      expect(s.bend[0] * bend).toBeLessThan(bend > 1e4 ? 2 : -0.9)
    })

  it('with noise: centre and radius within a few hundredths, sigma as injected', () => {
    const s = from(bentTube(210, 20, 1, 0.3, 2), 20.3, 0.3)
    expect(Math.abs(s.radius_mm - 20)).toBeLessThan(0.08)
    expect(Math.hypot(s.at[0], s.at[2])).toBeLessThan(0.1)
    expect(s.sigma_mm).toBeGreaterThan(0.25)
    expect(s.sigma_mm).toBeLessThan(0.36)
  })

  it('M03: the tube fit is the geometric one: no shrinking on a third of the round', () => {
    let mean = 0
    for (let seed = 1; seed <= 20; seed++) {
      const s = from(bentTube(1e5, 20, 0.36, 0.3, seed), 20, 0.3)
      mean += s.radius_mm / 20
    }
    expect(Math.abs(mean - 20)).toBeLessThan(0.15)
  })

  it('finds nothing where there is nothing, or too little', () => {
    const cloud = bentTube(210, 20, 1, 0, 1)
    const nothing = { noise_mm: 0.3, held: false, wide: false }
    expect(fitStation(cloud, [500, 0, 0], [0, 1, 0], [0, 0, 0], 20, nothing)).toBeNull()
  })

  it('is seeded from a patch, and not from a plate or a fillet', () => {
    const tube = bentTube(1e5, 20, 1, 0.2, 5)
    const seed = seedTube(tube, 17, 16)!
    expect(Math.abs(seed.radius_mm - 20)).toBeLessThan(3)
    expect(Math.abs(seed.along[1])).toBeGreaterThan(0.95)
    // The same metal seen from the other side is a fillet.
    const hollow = { ...tube, normals: tube.normals.map((n) => -n) }
    expect(seedTube(hollow, 17, 16)).toBeNull()
    const flat = { ...tube, normals: tube.normals.map((_, i) => (i % 3 === 2 ? 1 : 0)) }
    expect(seedTube(flat, 17, 16)).toBeNull()
  })
})
