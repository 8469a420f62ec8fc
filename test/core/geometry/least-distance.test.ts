import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { leastDistance, loadFacet } from '../../../src/core/geometry/least-distance'
import { facetCount, type Mesh, makeMesh } from '../../../src/core/geometry/mesh'
import { surfaceIndex } from '../../../src/core/geometry/surface-index'
import { triangleDistance2 } from '../../../src/core/geometry/triangle-distance'
import { box, join, mesh, noisyTube, soup, torus } from '../../support/shapes'

function everyPair(a: Mesh, b: Mesh): number {
  const p = new Float64Array(9)
  const q = new Float64Array(9)
  const out = new Float64Array(6)
  let best = Infinity
  for (let f = 0; f < facetCount(a); f++) {
    loadFacet(a, f, ...(a.origin as [number, number, number]), p)
    for (let g = 0; g < facetCount(b); g++) {
      loadFacet(b, g, ...(b.origin as [number, number, number]), q)
      best = Math.min(best, triangleDistance2(p, q, out, best))
    }
  }
  return Math.sqrt(best)
}

const sheet = noisyTube(-400, 400, 0, 520, 480, 30, 60, 0, 1)

describe('least distance of two meshes', () => {
  it.each([
    ['two boxes side by side', box([0, 0, 0], [1, 1, 1]), box([4, 0.5, 0.5], [5, 1, 1]), 3],
    ['two boxes, corner to corner', box([0, 0, 0], [1, 1, 1]), box([2, 3, 3], [5, 9, 9]), 3],
    ['two boxes, edge across edge', box([0, 0, 0], [9, 1, 1]), box([4, -9, 3], [5, 9, 4]), 2],
    ['one inside the other', box([0, 0, 0], [10, 10, 10]), box([4, 4, 3], [6, 6, 6]), 3],
    ['piercing', box([0, 0, 0], [10, 10, 10]), box([4, 4, -3], [6, 6, 16]), 0],
    ['touching', box([0, 0, 0], [1, 1, 1]), box([1, 0, 0], [2, 1, 1]), 0],
  ] as const)('%s', (_, a, b, expected) => {
    const got = drain(leastDistance(a, b))
    expect(got.distance_mm).toBeCloseTo(expected, 12)
    const apart = Math.hypot(...[0, 1, 2].map((k) => got.pointA[k]! - got.pointB[k]!))
    expect(apart).toBeCloseTo(expected, 12)
  })

  // G35, check-values 1c (derived there): a tube r = 19 whose axis is 44 mm from the shell is 25 mm from it.
  it('G35 a tube under a sheet: axis distance minus radius', () => {
    const tube = noisyTube(-100, 100, 0, 0, 19, 40, 64, 0, 1)
    const plate = box([-200, -100, 44], [200, 100, 50])
    // A corner of the 64-gon lies at the top: no facet error.
    expect(drain(leastDistance(tube, plate)).distance_mm).toBeCloseTo(25, 5)
  })

  it.each([
    [
      'tubes',
      join(noisyTube(-300, 300, 0, 0, 19, 30, 10, 0.4, 2), noisyTube(-300, 300, 200, 9, 19, 30, 10, 0.4, 3)),
      noisyTube(-200, 200, 90, 70, 19, 30, 12, 0.4, 4),
    ],
    ['a sheet over a tube', sheet, noisyTube(-300, 300, 3, 0, 19, 40, 10, 0.4, 5)],
    ['loose triangles', soup('job', 300, 100, 6, 6), soup('job', 300, 100, 6, 7, [60, 70, 80])],
    ['a torus and a box through its middle', torus(300, 25, 50, 12), box([-20, -30, -400], [20, 30, 400])],
    [
      'with local origins',
      makeMesh('job', torus(30, 5, 20, 8).positions, torus(30, 5, 20, 8).indices, [500, 0, 3]),
      torus(300, 25, 50, 12),
    ],
  ] as const)('%s: as by every pair, and as by another library', (_, a, b) => {
    const got = drain(leastDistance(a, b))
    const expected = everyPair(a, b)
    expect(got.distance_mm).toBeCloseTo(expected, 9)
    expect(drain(leastDistance(b, a)).distance_mm).toBeCloseTo(expected, 9)
    // That library keeps its answer in single steps of Float32 when two trees meet.
    expect(Math.abs(surfaceIndex(a).leastDistance(surfaceIndex(b)).distance_mm - expected)).toBeLessThan(1e-4)
    // The witnesses lie on the facets that are named.
    const p = new Float64Array(9)
    const q = new Float64Array(9)
    loadFacet(a, got.facetA, ...(a.origin as [number, number, number]), p)
    loadFacet(b, got.facetB, ...(b.origin as [number, number, number]), q)
    expect(Math.sqrt(triangleDistance2(p, q, new Float64Array(6)))).toBeCloseTo(expected, 9)
  })

  it('finds nothing beyond its limit', () => {
    const [a, b] = [box([0, 0, 0], [1, 1, 1]), box([4, 0, 0], [5, 1, 1])]
    expect(drain(leastDistance(a, b, 2.99)).distance_mm).toBe(Infinity)
    expect(drain(leastDistance(a, b, 2.99)).facetA).toBe(-1)
    expect(drain(leastDistance(a, b, 3.01)).distance_mm).toBeCloseTo(3, 12)
    expect(drain(leastDistance(a, mesh([], []))).distance_mm).toBe(Infinity)
  })
})
