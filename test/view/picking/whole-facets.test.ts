import { Ray, Vector3 } from 'three'
import { describe, expect, it } from 'vitest'
import { displayCopy } from '../../../src/core/geometry/display-copy'
import { drain } from '../../../src/core/geometry/kernel'
import { facetCount } from '../../../src/core/geometry/mesh'
import { facetNormals, vertexMeans } from '../../../src/view/geometry/facets'
import { wholeFacets, wholeHit } from '../../../src/view/picking/whole-facets'
import { random } from '../../support/random'
import { icosphere } from '../../support/solids'

const ball = icosphere(500, 5)
const copy = drain(displayCopy({ mesh: ball, keep: 3000 }))

describe('a place on the copy of a large scan', () => {
  it('is led back to the facet and the place of the scan itself', () => {
    const chance = random(3)
    for (let n = 0; n < 300; n++) {
      const f = chance.below(facetCount(copy.mesh))
      const corner = (k: number) => new Vector3().fromArray(copy.mesh.positions, 3 * copy.mesh.indices[3 * f + k]!)
      const near = corner(0).add(corner(1)).add(corner(2)).divideScalar(3)
      const ray = new Ray(near.clone().multiplyScalar(2), near.clone().normalize().negate())
      const place = wholeHit(ball, wholeFacets(copy, [f], Infinity), ray, near)!
      // On the ball, which the copy is not: its facets lie some millimetres inside.
      expect(place.point.length()).toBeGreaterThan(499)
      expect(place.point.distanceTo(near)).toBeLessThan(2 * copy.deviation_mm)
      const mine = [0, 1, 2].map((k) => new Vector3().fromArray(ball.positions, 3 * ball.indices[3 * place.facet + k]!))
      expect(Math.min(...mine.map((v) => v.distanceTo(place.point)))).toBeLessThan(20)
    }
  })

  it('keeps to the count that was asked', () => {
    expect(wholeFacets(copy, [0, 1, 2, 3], 5)).toHaveLength(5)
    const all = wholeFacets(
      copy,
      Array.from({ length: facetCount(copy.mesh) }, (_, f) => f),
      Infinity,
    )
    expect(new Set(all).size).toBe(facetCount(ball))
  })
})

it('a map over the copy is made of every facet of the scan, drawn or not', () => {
  const { area_mm2 } = facetNormals(ball)
  const even = vertexMeans(ball, new Float32Array(facetCount(ball)).fill(7), area_mm2, 100, copy)
  expect(even.length * 3).toBe(copy.mesh.positions.length)
  for (const value of even) expect(value).toBeCloseTo(7, 5)
  // Height of the facet's middle: over the copy it is the height of the place.
  const height = Float32Array.from(
    { length: facetCount(ball) },
    (_, f) => [0, 1, 2].reduce((sum, k) => sum + ball.positions[3 * ball.indices[3 * f + k]! + 2]!, 0) / 3,
  )
  const means = vertexMeans(ball, height, area_mm2, 1000, copy)
  for (let v = 0; v < means.length; v++) expect(Math.abs(means[v]! - copy.mesh.positions[3 * v + 2]!)).toBeLessThan(8)
})
