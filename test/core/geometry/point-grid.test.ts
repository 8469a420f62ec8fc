import { describe, expect, it } from 'vitest'
import { nearestPoint, pointGrid, pointsWithin } from '../../../src/core/geometry/point-grid'
import { sampleSurface } from '../../../src/core/geometry/sample-surface'
import { seededRandom } from '../../../src/core/geometry/seeded-random'
import { correlationOf, solveNormal } from '../../../src/core/geometry/solve-normal'
import { symmetricEigen } from '../../../src/core/geometry/symmetric-eigen'
import { weightedQuantile } from '../../../src/core/geometry/weighted-quantile'

const cloud = (count: number, seed: number) => {
  const random = seededRandom(seed)
  const points = Float32Array.from({ length: 3 * count }, () => 400 * random() - 200)
  const normals = new Float32Array(3 * count)
  for (let i = 0; i < count; i++) {
    const n = [0, 1, 2].map(() => random() - 0.5)
    const l = Math.hypot(...n)
    for (let k = 0; k < 3; k++) normals[3 * i + k] = n[k]! / l
  }
  return { points, normals, random }
}

describe('point grid against trying every point', () => {
  for (const cell of [7, 23, 90])
    it(`nearest point with a normal gate, cells of ${cell} mm`, () => {
      const { points, normals, random } = cloud(3000, cell)
      const grid = pointGrid(points, cell)
      const gate = { normals, cosine: 0.3 }
      for (let q = 0; q < 150; q++) {
        const p = [0, 1, 2].map(() => 500 * random() - 250) as [number, number, number]
        const reach = 80 * random()
        const dir = [0, 1, 2].map(() => random() - 0.5) as [number, number, number]
        const l = Math.hypot(...dir)
        const n = dir.map((d) => d / l) as [number, number, number]
        let best = -1
        let least = reach * reach
        for (let i = 0; i < 3000; i++) {
          const d = [0, 1, 2].reduce((s, k) => s + (points[3 * i + k]! - p[k]!) ** 2, 0)
          const agree = [0, 1, 2].reduce((s, k) => s + normals[3 * i + k]! * n[k]!, 0)
          if (agree >= 0.3 && d < least) {
            least = d
            best = i
          }
        }
        expect(nearestPoint(grid, ...p, reach, gate, ...n)).toBe(best)
      }
    })

  it('lists every point of a ball once, and says when the list was too short', () => {
    const { points, random } = cloud(2000, 5)
    // Few buckets for many cells: collisions must not give a point twice.
    const grid = pointGrid(points, 12)
    const out = new Uint32Array(2000)
    for (let q = 0; q < 60; q++) {
      const p = [0, 1, 2].map(() => 400 * random() - 200) as [number, number, number]
      const found = pointsWithin(grid, ...p, 60, out)
      const want: number[] = []
      for (let i = 0; i < 2000; i++)
        if ([0, 1, 2].reduce((s, k) => s + (points[3 * i + k]! - p[k]!) ** 2, 0) <= 3600) want.push(i)
      expect([...out.subarray(0, found)].sort((a, b) => a - b)).toEqual(want)
    }
    expect(pointsWithin(grid, 0, 0, 0, 1000, new Uint32Array(10))).toBe(2000)
  })

  it('keeps to the subset it was given', () => {
    const { points } = cloud(100, 6)
    const grid = pointGrid(points, 30, Uint32Array.of(4, 9))
    expect([4, 9]).toContain(nearestPoint(grid, 0, 0, 0, 1000, null, 0, 0, 0))
  })
})

describe('small dense algebra', () => {
  it('eigenvectors satisfy A v = λ v, are orthonormal and ascending', () => {
    const random = seededRandom(11)
    for (const n of [2, 3, 4, 7]) {
      const a = new Float64Array(n * n)
      for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) a[i * n + j] = a[j * n + i] = 10 * random() - 5
      const { values, vectors } = symmetricEigen(a, n)
      for (let e = 0; e < n; e++) {
        if (e > 0) expect(values[e]!).toBeGreaterThanOrEqual(values[e - 1]!)
        for (let i = 0; i < n; i++) {
          let s = 0
          for (let j = 0; j < n; j++) s += a[i * n + j]! * vectors[e * n + j]!
          expect(s).toBeCloseTo(values[e]! * vectors[e * n + i]!, 10)
        }
        for (let other = 0; other < n; other++) {
          let s = 0
          for (let i = 0; i < n; i++) s += vectors[e * n + i]! * vectors[other * n + i]!
          expect(s).toBeCloseTo(e === other ? 1 : 0, 12)
        }
      }
    }
  })

  it('solves normal equations and refuses a singular matrix', () => {
    const a = Float64Array.of(4, 2, 0.4, 2, 5, 1, 0.4, 1, 3)
    const x = [1, -2, 3]
    const b = Float64Array.from([0, 1, 2], (i) => [0, 1, 2].reduce((s, j) => s + a[3 * i + j]! * x[j]!, 0))
    expect(solveNormal(a.slice(), b, 3)).toBe(true)
    for (let i = 0; i < 3; i++) expect(b[i]).toBeCloseTo(x[i]!, 12)
    expect(solveNormal(Float64Array.of(1, 2, 2, 4), Float64Array.of(1, 1), 2)).toBe(false)
    expect(correlationOf([4, 3, 3, 9], 2)).toEqual(Float64Array.of(1, 0.5, 0.5, 1))
  })
})

describe('weighted quantile', () => {
  it('agrees with sorting', () => {
    const random = seededRandom(3)
    const values = Float32Array.from({ length: 4001 }, () => (random() < 0.02 ? 1000 * random() : random() * random()))
    const weight = Float32Array.from(values, () => random())
    const order = [...values.keys()].sort((a, b) => values[a]! - values[b]!)
    const total = weight.reduce((s, w) => s + w, 0)
    for (const p of [0.005, 0.05, 0.5, 0.95, 0.995]) {
      let sum = 0
      const at = order.find((i) => {
        sum += weight[i]!
        return sum >= p * total
      })!
      expect(weightedQuantile(values, weight, p)).toBeCloseTo(values[at]!, 4)
    }
  })

  it('takes no notice of NaN, and knows the empty case', () => {
    expect(weightedQuantile(Float32Array.of(Number.NaN, 2, 2), null, 0.5)).toBe(2)
    expect(weightedQuantile(new Float32Array(0), null, 0.5)).toBeNaN()
  })
})

describe('sample of a surface', () => {
  it('is even by area, seeded, and without repeats', () => {
    const random = seededRandom(9)
    const area = Float32Array.from({ length: 50_000 }, (_, i) => (i < 25_000 ? 3 : 1) * (0.5 + random()))
    const sample = sampleSurface(area, 4000, 1)
    expect(sample.vertex.length).toBeGreaterThan(3900)
    expect(new Set(sample.vertex).size).toBe(sample.vertex.length)
    const heavy = sample.vertex.filter((v) => v < 25_000).length
    expect(heavy / sample.vertex.length).toBeCloseTo(0.75, 2)
    expect(sampleSurface(area, 4000, 1).vertex).toEqual(sample.vertex)
    expect(sampleSurface(area, 4000, 2).vertex).not.toEqual(sample.vertex)
  })

  it('takes all vertices, weighted by area, when hardly more are there than asked for', () => {
    const sample = sampleSurface(Float32Array.of(1, 0, 3), 4, 1)
    expect([...sample.vertex]).toEqual([0, 2])
    expect([...sample.weight]).toEqual([0.5, 1.5])
  })
})
