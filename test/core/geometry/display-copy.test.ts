import { describe, expect, it } from 'vitest'
import { displayCopy } from '../../../src/core/geometry/display-copy'
import { drain } from '../../../src/core/geometry/kernel'
import { facetCount, type Mesh, vertexCount } from '../../../src/core/geometry/mesh'
import { pointTriangleDistance2 } from '../../../src/core/geometry/point-triangle'
import { box, icosphere, torus } from '../../support/solids'

/** Distance of a point to the whole surface, every facet looked at. */
function distance({ positions: q, indices }: Mesh, x: number, y: number, z: number): number {
  let least = Infinity
  for (let f = 0; f < indices.length; f += 3) {
    const [a, b, c] = [3 * indices[f]!, 3 * indices[f + 1]!, 3 * indices[f + 2]!]
    const d = pointTriangleDistance2(
      x,
      y,
      z,
      q[a]!,
      q[a + 1]!,
      q[a + 2]!,
      q[b]!,
      q[b + 1]!,
      q[b + 2]!,
      q[c]!,
      q[c + 1]!,
      q[c + 2]!,
    )
    if (d < least) least = d
  }
  return Math.sqrt(least)
}

describe.each([
  ['a ball', icosphere(500, 4)],
  ['a ring', torus(400, 60, 150, 30)],
])('the copy of %s for drawing', (_, mesh) => {
  const keep = Math.floor(facetCount(mesh) / 6)
  const copy = drain(displayCopy({ mesh, keep }))

  it('has no more facets than asked, and not many fewer', () => {
    expect(facetCount(copy.mesh)).toBeLessThanOrEqual(keep)
    expect(facetCount(copy.mesh)).toBeGreaterThan(keep / 3)
    expect(copy.of).toBe(mesh.id)
  })

  it('states a deviation that no vertex exceeds, by the slow way, and that is not much too large', () => {
    const all = Array.from({ length: vertexCount(mesh) }, (__, v) =>
      distance(copy.mesh, mesh.positions[3 * v]!, mesh.positions[3 * v + 1]!, mesh.positions[3 * v + 2]!),
    ).sort((a, b) => a - b)
    expect(all.at(-1)!).toBeLessThanOrEqual(copy.deviation_mm * (1 + 1e-6))
    expect(copy.deviation_mm).toBeLessThan(all.at(-1)! * 1.5)
    const p95 = all[Math.ceil(0.95 * all.length) - 1]!
    expect(p95).toBeLessThanOrEqual(copy.p95_mm * (1 + 1e-6))
    expect(copy.p95_mm).toBeLessThanOrEqual(copy.deviation_mm)
  })

  it('leads every facet of the whole mesh back to one vertex of the copy', () => {
    expect([...copy.facetsAt].sort((a, b) => a - b)).toEqual(Array.from({ length: facetCount(mesh) }, (__, f) => f))
    for (let c = 0; c + 1 < copy.first.length; c++)
      for (let i = copy.first[c]!; i < copy.first[c + 1]!; i++)
        expect(copy.clusterOf[mesh.indices[3 * copy.facetsAt[i]!]!]).toBe(c)
  })
})

it('is the mesh itself, as good as, where there is room for it', () => {
  const mesh = box([0, 0, 0], [100, 200, 300])
  const copy = drain(displayCopy({ mesh, keep: 5000 }))
  expect(facetCount(copy.mesh)).toBe(12)
  expect(copy.deviation_mm).toBeLessThan(1e-4)
})
