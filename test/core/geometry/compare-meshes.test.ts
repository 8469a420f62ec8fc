import { describe, expect, it } from 'vitest'
import { compareMeshes } from '../../../src/core/geometry/compare-meshes'
import { drain } from '../../../src/core/geometry/kernel'
import { type Mesh, makeMesh } from '../../../src/core/geometry/mesh'
import { box, mesh, sheet } from '../../support/shapes'

const plate = (z: number, nx = 4, tilt = 0): Mesh<'job'> =>
  sheet(nx, nx, { u: false, v: false }, (u, v) => [200 * u - 100, 200 * v - 100, z + tilt * (200 * u - 100)])

const sphere = (r: number, n: number): Mesh<'job'> =>
  sheet(2 * n, n, { u: true, v: false }, (u, v) => {
    const [a, b] = [2 * Math.PI * u, Math.PI * (v - 0.5)]
    return [r * Math.cos(a) * Math.cos(b), r * Math.sin(a) * Math.cos(b), r * Math.sin(b)]
  })

describe('comparing two meshes', () => {
  // G33, check-values 1c (derived there): parallel plates, all methods give t.
  it('G33 parallel plates: one number throughout', () => {
    const c = drain(compareMeshes(plate(5), plate(0, 7)))
    for (const v of [c.min_mm, c.aToB.rms_mm, c.aToB.p95_mm, c.aToB.max_mm, c.aToB.mean_mm]) expect(v).toBeCloseTo(5, 9)
  })

  it('a tilted plate over a large one: mean, rms and 95th percentile of an even spread, from two facets or from many', () => {
    const floor = sheet(2, 2, { u: false, v: false }, (u, v) => [2000 * u - 1000, 2000 * v - 1000, 0])
    for (const cells of [1, 40]) {
      // Heights run evenly from 5 to 15 mm.
      const { aToB, min_mm } = drain(compareMeshes(plate(10, cells, 0.05), floor))
      expect(min_mm).toBeCloseTo(5, 6)
      expect(aToB.max_mm).toBeCloseTo(15, 6)
      expect(aToB.mean_mm).toBeCloseTo(10, 3)
      expect(aToB.rms_mm).toBeCloseTo(Math.sqrt(100 + 100 / 12), 3)
      expect(aToB.p95_mm).toBeCloseTo(14.5, 1)
    }
  })

  // G31, check-values 1c (text): concentric spheres 100 and 97 are 3 apart, both ways.
  it('G31 concentric spheres', () => {
    for (const [a, b] of [
      [sphere(100, 48), sphere(97, 48)],
      [sphere(97, 48), sphere(100, 48)],
    ] as const) {
      const c = drain(compareMeshes(a, b))
      // Sag of facets of 2π·100/96 mm on 100 mm: e²/8r = 0.054.
      expect(Math.abs(c.aToB.max_mm - 3)).toBeLessThan(0.12)
      expect(Math.abs(c.aToB.mean_mm - 3)).toBeLessThan(0.06)
      expect(Math.abs(c.min_mm - 3)).toBeLessThan(0.12)
    }
  })

  // G32, check-values 1c: h(A, B) is not h(B, A): a strip of length 1 within one of length 2.
  it('G32 one-sided: a strip that is part of another, and the other way round', () => {
    const strip = (length: number) => mesh([0, 0, 0, length, 0, 0, length, 0.01, 0, 0, 0.01, 0], [0, 1, 2, 0, 2, 3])
    expect(drain(compareMeshes(strip(1), strip(2))).aToB.max_mm).toBeCloseTo(0, 9)
    expect(drain(compareMeshes(strip(2), strip(1))).aToB.max_mm).toBeCloseTo(1, 9)
  })

  it('weighs by area, not by facets: a finely cut corner counts no more', () => {
    const floor = sheet(2, 2, { u: false, v: false }, (u, v) => [2000 * u - 1000, 2000 * v - 1000, 0])
    // Half of the area at 2 mm in two facets, half at 6 mm in 5,000.
    const low = sheet(1, 1, { u: false, v: false }, (u, v) => [100 * u, 100 * v, 2])
    const high = sheet(50, 50, { u: false, v: false }, (u, v) => [100 * u + 200, 100 * v, 6])
    const both = makeMesh(
      'job',
      Float32Array.from([...low.positions, ...high.positions]),
      Uint32Array.from([...low.indices, ...high.indices.map((i) => i + 4)]),
    )
    expect(drain(compareMeshes(both, floor)).aToB.mean_mm).toBeCloseTo(4, 6)
  })

  it('a mesh and itself', () => {
    const b = box([0, 0, 0], [10, 20, 30])
    const c = drain(compareMeshes(b, makeMesh('job', b.positions.slice(), b.indices.slice())))
    expect(c.min_mm).toBe(0)
    expect(c.aToB.max_mm).toBeLessThan(1e-6)
  })

  it('nothing to compare is a defect', () => {
    expect(() => drain(compareMeshes(mesh([], []), plate(0)))).toThrow(/without facets/)
  })
})
