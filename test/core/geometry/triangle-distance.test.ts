import { describe, expect, it } from 'vitest'
import { pointTriangleDistance2 } from '../../../src/core/geometry/point-triangle'
import { seededRandom } from '../../../src/core/geometry/seeded-random'
import { triangleDistance2 } from '../../../src/core/geometry/triangle-distance'

const tri = (...n: number[]) => Float64Array.from(n)
const distance = (p: Float64Array, q: Float64Array, out = new Float64Array(6)) =>
  Math.sqrt(triangleDistance2(p, q, out))
const at = (t: Float64Array, v: number, w: number, k: number) => (1 - v - w) * t[k]! + v * t[3 + k]! + w * t[6 + k]!

describe('two triangles', () => {
  const base = tri(0, 0, 0, 4, 0, 0, 0, 4, 0)
  it.each([
    ['parallel, above each other', tri(0, 0, 3, 4, 0, 3, 0, 4, 3), 3],
    ['a corner over the face', tri(1, 1, 2, 1, 1, 5, 2, 1, 5), 2],
    ['crossed edges', tri(2, -1, 1, 2, -1, 5, 2, 9, 1), 1],
    ['side by side in one plane', tri(5, 0, 0, 9, 0, 0, 9, 4, 0), 1],
    ['piercing the face, no corner in the plane', tri(1, 1, -1, 1, 1, 1, 1.2, 1.3, 1), 0],
    [
      'pierced by an edge of the other',
      tri(-9, -9, 0.5, 9, -9, 0.5, 0, 9, 0.5).map((v, i) => (i % 3 === 2 ? v - 0.5 : v)),
      0,
    ],
    ['sharing a corner', tri(0, 0, 0, -1, -1, 1, -1, 0, 1), 0],
  ] as const)('%s', (_, other, expected) => {
    expect(distance(base, other)).toBeCloseTo(expected, 12)
    expect(distance(other, base)).toBeCloseTo(expected, 12)
  })

  it('witnesses lie on both triangles, at that distance, and no sampled pair is nearer', () => {
    const random = seededRandom(7)
    const out = new Float64Array(6)
    let pierced = 0
    for (let round = 0; round < 2000; round++) {
      const p = Float64Array.from({ length: 9 }, () => random() * 2 - 1)
      const q = Float64Array.from({ length: 9 }, (_, i) => random() * 2 - 1 + (i % 3 === 2 ? (round % 3) * 0.7 : 0))
      const d2 = triangleDistance2(p, q, out)
      if (d2 === 0) pierced++
      const [x, y, z, u, v, w] = out as unknown as [number, number, number, number, number, number]
      expect(Math.abs((x - u) ** 2 + (y - v) ** 2 + (z - w) ** 2 - d2)).toBeLessThan(1e-12)
      const onP = pointTriangleDistance2(x, y, z, ...(p as unknown as Nine))
      const onQ = pointTriangleDistance2(u, v, w, ...(q as unknown as Nine))
      expect(Math.max(onP, onQ)).toBeLessThan(1e-20)
      for (let s = 0; s < 30; s++) {
        const a = random()
        const b = random() * (1 - a)
        const d = pointTriangleDistance2(at(p, a, b, 0), at(p, a, b, 1), at(p, a, b, 2), ...(q as unknown as Nine))
        expect(d).toBeGreaterThan(d2 - 1e-12)
      }
    }
    expect(pierced).toBeGreaterThan(100)
  })

  it('distance is never 0 for triangles whose sampled corners stay apart, and is symmetric', () => {
    const random = seededRandom(11)
    for (let round = 0; round < 1000; round++) {
      const p = Float64Array.from({ length: 9 }, () => random() * 3)
      const q = Float64Array.from({ length: 9 }, () => random() * 3)
      expect(distance(p, q)).toBeCloseTo(distance(q, p), 12)
    }
  })

  it('a limit only ever hides answers beyond it', () => {
    const random = seededRandom(3)
    const out = new Float64Array(6)
    for (let round = 0; round < 1000; round++) {
      const p = Float64Array.from({ length: 9 }, () => random() * 3)
      const q = Float64Array.from({ length: 9 }, (_, i) => random() * 3 + (i % 3 === 0 ? 2 : 0))
      const full = triangleDistance2(p, q, out)
      const cut = triangleDistance2(p, q, out, 1)
      if (full < 1) expect(cut).toBe(full)
      else expect(cut).toBeGreaterThanOrEqual(1)
    }
  })
})

type Nine = [number, number, number, number, number, number, number, number, number]
