import { describe, expect, it } from 'vitest'
import { closestPoint, makeNearest } from '../../../src/core/geometry/closest-point'
import { drain } from '../../../src/core/geometry/kernel'
import { facetCount, type Mesh, makeMesh } from '../../../src/core/geometry/mesh'
import { pointTriangleDistance2 } from '../../../src/core/geometry/point-triangle'
import { seededRandom } from '../../../src/core/geometry/seeded-random'
import { surfaceIndex } from '../../../src/core/geometry/surface-index'
import { buildTriangleTree, leafCount, leafStart } from '../../../src/core/geometry/triangle-tree'
import { box, join, mesh, noisyTube, soup, torus } from '../../support/shapes'

const sameSpot = (n: number) =>
  mesh(
    Array.from({ length: n }, () => [5, 5, 5, 6, 5, 5, 5, 6, 5]).flat(),
    Array.from({ length: 3 * n }, (_, i) => i),
  )

const meshes: Record<string, Mesh<'job'>> = {
  'a torus': torus(300, 25, 60, 16),
  'a box': box([0, 0, 0], [10, 20, 30]),
  'one facet': mesh([0, 0, 0, 1, 0, 0, 0, 1, 0], [0, 1, 2]),
  'loose triangles': soup('job', 2000, 100, 8, 1),
  'loose, long triangles': soup('job', 500, 100, 150, 2),
  'noisy tubes': join(
    noisyTube(-500, 500, 0, 0, 19, 80, 20, 0.3, 3),
    noisyTube(-500, 500, 300, 20, 19, 80, 20, 0.3, 4),
  ),
  'facets all at one spot': sameSpot(50),
  'a flat sheet': mesh(
    Array.from({ length: 400 }, (_, i) => [i % 20, Math.floor(i / 20), 0]).flat(),
    Array.from({ length: 361 }, (_, i) => {
      const a = Math.floor(i / 19) * 20 + (i % 19)
      return [a, a + 1, a + 20]
    }).flat(),
  ),
}

function slow(m: Mesh, x: number, y: number, z: number): number {
  const { positions: p, indices } = m
  let best = Infinity
  for (let f = 0; f < indices.length; f += 3) {
    const [a, b, c] = [3 * indices[f]!, 3 * indices[f + 1]!, 3 * indices[f + 2]!]
    best = Math.min(
      best,
      pointTriangleDistance2(
        x - m.origin[0],
        y - m.origin[1],
        z - m.origin[2],
        p[a]!,
        p[a + 1]!,
        p[a + 2]!,
        p[b]!,
        p[b + 1]!,
        p[b + 2]!,
        p[c]!,
        p[c + 1]!,
        p[c + 2]!,
      ),
    )
  }
  return Math.sqrt(best)
}

describe.each(Object.entries(meshes))('search tree of %s', (_, m) => {
  const tree = drain(buildTriangleTree(m))

  it('holds every facet once, in leaves of one to four, inside every box above it', () => {
    const seen = new Uint8Array(facetCount(m))
    const visit = (child: number, box: Float32Array | null) => {
      if (child >= 0) {
        for (const side of [0, 1]) {
          const own = tree.box.subarray(12 * child + 6 * side, 12 * child + 6 * side + 6)
          if (own[0]! > own[3]!) continue
          if (box) for (let k = 0; k < 3; k++) expect(own[k]! >= box[k]! && own[k + 3]! <= box[k + 3]!).toBe(true)
          expect(tree.child[2 * child + side]).not.toBe(child)
          visit(tree.child[2 * child + side]!, own)
        }
        return
      }
      expect(leafCount(child)).toBeLessThanOrEqual(4)
      for (let i = leafStart(child); i < leafStart(child) + leafCount(child); i++) {
        const f = tree.order[i]!
        seen[f]!++
        for (let k = 0; k < 9; k++) {
          const v = m.positions[3 * m.indices[3 * f + Math.floor(k / 3)]! + (k % 3)]!
          expect(v >= box![k % 3]! && v <= box![(k % 3) + 3]!).toBe(true)
        }
      }
    }
    visit(0, null)
    expect(seen.every((count) => count === 1)).toBe(true)
  })

  it('finds the same distance as asking every facet, and as another library', () => {
    const random = seededRandom(5)
    const near = makeNearest()
    const other = surfaceIndex(m)
    for (let i = 0; i < 200; i++) {
      const p = [0, 1, 2].map(() => (random() - 0.4) * 400) as [number, number, number]
      const expected = slow(m, ...p)
      closestPoint(tree, ...p, Infinity, near, i % 2 ? -1 : Math.floor(random() * facetCount(m)))
      expect(near.distance).toBeCloseTo(expected, 9)
      expect(Math.hypot(near.x - p[0], near.y - p[1], near.z - p[2])).toBeCloseTo(expected, 9)
      const theirs = other.closestPoint(p)
      expect(Math.abs(theirs!.distance_mm - expected)).toBeLessThan(1e-6 * (1 + expected))
      // The weights give the point again.
      const [a, b, c] = [0, 1, 2].map((k) => 3 * m.indices[3 * near.facet + k]!) as [number, number, number]
      const x = (1 - near.v - near.w) * m.positions[a]! + near.v * m.positions[b]! + near.w * m.positions[c]!
      expect(x).toBeCloseTo(near.x, 6)
    }
  })

  it('finds nothing beyond the limit and everything within', () => {
    const random = seededRandom(6)
    const near = makeNearest()
    for (let i = 0; i < 100; i++) {
      const p = [0, 1, 2].map(() => (random() - 0.4) * 300) as [number, number, number]
      const expected = slow(m, ...p)
      const limit = expected * (i % 2 ? 0.999 : 1.001)
      closestPoint(tree, ...p, limit, near)
      expect(near.facet >= 0).toBe(expected < limit)
      if (near.facet < 0) expect(near.distance).toBe(Infinity)
    }
  })
})

describe('search tree', () => {
  it('of a mesh of no facets finds nothing', () => {
    const near = makeNearest()
    closestPoint(drain(buildTriangleTree(mesh([], []))), 0, 0, 0, Infinity, near)
    expect(near.facet).toBe(-1)
    expect(near.distance).toBe(Infinity)
  })

  it('is built once per mesh, and the same every time', () => {
    const m = soup('job', 3000, 100, 4, 9)
    const tree = drain(buildTriangleTree(m))
    expect(drain(buildTriangleTree(m))).toBe(tree)
    const again = drain(buildTriangleTree({ ...m }))
    expect(again).not.toBe(tree)
    expect(again).toEqual({ ...tree, mesh: again.mesh })
  })

  it('asks about the place, not about the local origin', () => {
    const m = torus(300, 25, 40, 12)
    const far = makeMesh('job', m.positions.slice(), m.indices.slice(), [10000, -2000, 50])
    const near = makeNearest()
    const shifted = makeNearest()
    closestPoint(drain(buildTriangleTree(m)), 100, 20, 90, Infinity, near)
    closestPoint(drain(buildTriangleTree(far)), 10100, -1980, 140, Infinity, shifted)
    expect(shifted.distance).toBeCloseTo(near.distance, 9)
    expect(shifted.x - 10000).toBeCloseTo(near.x, 9)
  })

  it('gives the feature: a corner seen from outside a corner, an edge from outside an edge', () => {
    const near = makeNearest()
    const tree = drain(buildTriangleTree(box([0, 0, 0], [10, 10, 10])))
    closestPoint(tree, 12, 12, 12, Infinity, near)
    expect([1, 2, 3]).toContain(near.feature)
    closestPoint(tree, 12, 12, 5.3, Infinity, near)
    expect([4, 5, 6]).toContain(near.feature)
    closestPoint(tree, 12, 3, 6, Infinity, near)
    expect(near.feature).toBe(0)
  })
})
