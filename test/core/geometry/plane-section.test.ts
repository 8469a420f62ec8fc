import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { vertexCount } from '../../../src/core/geometry/mesh'
import { planeSection } from '../../../src/core/geometry/plane-section'
import { rimLoops } from '../../../src/core/geometry/rim-loops'
import { box, icosphere, openTube } from '../../support/solids'

function length(points: Float64Array, closed: boolean): number {
  let sum = 0
  for (let i = closed ? 0 : 2; i < points.length; i += 2) {
    const j = (i + points.length - 2) % points.length
    sum += Math.hypot(points[i]! - points[j]!, points[i + 1]! - points[j + 1]!)
  }
  return sum
}

describe('section by a plane', () => {
  it.each([
    ['x', 5, 2 * (20 + 40)],
    ['y', 5, 2 * (10 + 40)],
    ['z', 5, 2 * (10 + 20)],
  ] as const)('of a brick across %s is its rectangle', (across, at_mm, around) => {
    const chains = drain(planeSection(box([0, 0, 0], [10, 20, 40]), { across, at_mm }))
    expect(chains).toHaveLength(1)
    expect(chains[0]!.closed).toBe(true)
    expect(length(chains[0]!.points, true)).toBeCloseTo(around, 9)
  })

  it('of a ball is a circle at every height, and nothing outside', () => {
    const ball = icosphere(50, 4)
    for (const at_mm of [-30, 0, 30]) {
      const [chain, ...more] = drain(planeSection(ball, { across: 'z', at_mm }))
      expect(more).toHaveLength(0)
      expect(length(chain!.points, true) / (2 * Math.PI * Math.sqrt(2500 - at_mm * at_mm))).toBeCloseTo(1, 2)
    }
    expect(drain(planeSection(ball, { across: 'z', at_mm: 51 }))).toEqual([])
  })

  it('through vertices of the mesh still gives closed chains', () => {
    const chains = drain(planeSection(box([-10, -10, 0], [10, 10, 10]), { across: 'z', at_mm: 10 }))
    for (const chain of chains) expect(chain.closed).toBe(true)
  })
})

describe('rim loops', () => {
  it('of an open tube are its two ends', () => {
    const tube = openTube(20, 100, 24)
    const loops = drain(rimLoops(tube.indices, vertexCount(tube)))
    expect(loops.map((l) => l.length)).toEqual([24, 24])
  })

  it('of a closed brick: none', () => {
    const brick = box([0, 0, 0], [1, 1, 1])
    expect(drain(rimLoops(brick.indices, vertexCount(brick)))).toEqual([])
  })
})
