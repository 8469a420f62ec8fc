import { describe, expect, it } from 'vitest'
import { makeMesh } from '../../../src/core/geometry/mesh'
import { chainPath, cutMesh } from '../../../src/view/section/cut-mesh'
import { sectionThrough } from '../../../src/view/section/default-section'
import { box, capsule, icosphere, joined, without } from '../../support/solids'

/** Area by the shoelace formula. */
function area(points: Float64Array): number {
  let twice = 0
  for (let i = 0; i < points.length; i += 2) {
    const j = (i + 2) % points.length
    twice += points[i]! * points[j + 1]! - points[j]! * points[i + 1]!
  }
  return Math.abs(twice) / 2
}

describe('section of a mesh', () => {
  it('cuts a box in its rectangle, also through its vertices and along an edge', () => {
    const mesh = box([0, 0, 0], [40, 30, 20])
    for (const at_mm of [11, 15, 29.5, 0.001, 30]) {
      const chains = cutMesh(mesh, { across: 'y', at_mm })
      expect(chains).toHaveLength(1)
      expect(chains[0]!.closed).toBe(true)
      expect(area(chains[0]!.points)).toBeCloseTo(800, 6)
    }
    expect(cutMesh(mesh, { across: 'y', at_mm: 30.01 })).toHaveLength(0)
    expect(area(cutMesh(mesh, { across: 'x', at_mm: 7 })[0]!.points)).toBeCloseTo(600, 6)
  })

  it('puts every point of a sphere’s section at its distance from the axis', () => {
    const mesh = icosphere(100, 4)
    const [chain, ...more] = cutMesh(mesh, { across: 'x', at_mm: 60 })
    expect(more).toEqual([])
    expect(chain!.closed).toBe(true)
    for (let i = 0; i < chain!.points.length; i += 2) {
      const r = Math.hypot(chain!.points[i]!, chain!.points[i + 1]!)
      // Inside the sphere by no more than the facets' own depth.
      expect(r).toBeLessThanOrEqual(80.0001)
      expect(r).toBeGreaterThan(79.5)
    }
  })

  it('keeps the origin of the mesh, and bodies apart', () => {
    const one = box([0, 0, 0], [10, 10, 10])
    const far = makeMesh('job', one.positions, one.indices, [1000, -500, 7])
    const [chain] = cutMesh(far, { across: 'y', at_mm: -495 })
    const us = [...chain!.points].filter((_, i) => i % 2 === 0)
    expect([Math.min(...us), Math.max(...us)]).toEqual([1000, 1010])
    expect(cutMesh(joined(one, box([20, 0, 0], [30, 10, 10])), { across: 'y', at_mm: 5 })).toHaveLength(2)
  })

  it('leaves the section open where the mesh has a hole', () => {
    const open = without(box([0, 0, 0], [10, 10, 10]), (f) => f === 2 || f === 3)
    const chains = cutMesh(open, { across: 'y', at_mm: 5 })
    expect(chains).toHaveLength(1)
    expect(chains[0]!.closed).toBe(false)
    expect(chainPath(chains, (u, v) => [u, v])).not.toContain('Z')
  })
})

describe('the plane through a spot', () => {
  const outline = Float64Array.of(1000, -600, 1000, 600, -1000, 600, -1000, -600)
  const alongX = capsule(25, 900, 24)

  it('cuts a tube across, where either cut would leave enough standing', () => {
    const { positions } = alongX
    const length = [0, 1, 2].map((k) => {
      const all = [...positions].filter((_, i) => i % 3 === k)
      return Math.max(...all) - Math.min(...all)
    })
    // The solid lies along its longest side; brought along x, then along y.
    const long = length.indexOf(Math.max(...length))
    const along = (axis: 0 | 1) => {
      const moved = positions.slice()
      for (let i = 0; i < moved.length; i += 3) {
        const [u, v, w] = [positions[i + long]!, positions[i + ((long + 1) % 3)]!, positions[i + ((long + 2) % 3)]!]
        moved.set(axis === 0 ? [u, v, w] : [-v, u, w], i)
      }
      return makeMesh('job', moved, alongX.indices)
    }
    expect(sectionThrough([0, 0, 30], outline, along(0)).across).toBe('x')
    expect(sectionThrough([0, 0, 30], outline, along(1)).across).toBe('y')
  })

  it('does not take the whole shell away', () => {
    expect(sectionThrough([200, 590, 0], outline, alongX).across).toBe('x')
    expect(sectionThrough([-990, -100, 0], outline, alongX).across).toBe('y')
  })
})
