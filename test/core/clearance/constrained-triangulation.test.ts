import { describe, expect, it } from 'vitest'
import { triangulate } from '../../../src/core/clearance/constrained-triangulation'
import { rollingBall, signedArea } from '../../../src/core/clearance/rolling-ball'
import { random } from '../../support/random'

const area2 = (p: Float64Array, a: number, b: number, c: number) =>
  (p[2 * b]! - p[2 * a]!) * (p[2 * c + 1]! - p[2 * a + 1]!) - (p[2 * b + 1]! - p[2 * a + 1]!) * (p[2 * c]! - p[2 * a]!)

describe('triangulation with edges that must be there', () => {
  it.each([1, 2, 3, 4, 5])('forces a comb of long edges through scattered points (seed %i)', (seed) => {
    const chance = random(seed)
    const points: number[] = []
    // Corners of the square, then ends of long lines that no Delaunay mesh would hold, then points between the lines.
    points.push(-1, -1, 101, -1, 101, 101, -1, 101)
    const edges: number[] = []
    for (let k = 1; k < 10; k++) {
      const tilt = chance.between(-2, 2)
      edges.push(points.length / 2, points.length / 2 + 1)
      points.push(1, 10 * k + tilt, 99, 10 * k - tilt)
    }
    for (let n = 0; n < 300; n++) points.push(chance.between(0, 100), chance.between(0, 100))
    const coords = Float64Array.from(points)
    const triangles = triangulate(coords, Uint32Array.from(edges))

    let total = 0
    const there = new Set<string>()
    for (let t = 0; t < triangles.length; t += 3) {
      const [a, b, c] = [triangles[t]!, triangles[t + 1]!, triangles[t + 2]!]
      const area = area2(coords, a, b, c)
      expect(area).toBeGreaterThan(0)
      total += area / 2
      for (const [p, q] of [
        [a, b],
        [b, c],
        [c, a],
      ] as const) {
        expect(there.has(`${p} ${q}`)).toBe(false)
        there.add(`${p} ${q}`)
      }
    }
    // Tiles the whole square once: counter-clockwise, no half-edge twice, areas adding up.
    expect(total).toBeCloseTo(102 * 102, 6)
    for (let k = 0; k < edges.length; k += 2)
      expect(there.has(`${edges[k]} ${edges[k + 1]}`) && there.has(`${edges[k + 1]} ${edges[k]}`)).toBe(true)
  })
})

describe('the rolling ball', () => {
  const ring = (x: number, y: number, r: number, step: number) => {
    const n = Math.ceil((2 * Math.PI * r) / step)
    return Array.from({ length: n }, (_, k) => [
      x + r * Math.cos((2 * Math.PI * k) / n),
      y + r * Math.sin((2 * Math.PI * k) / n),
    ]).flat()
  }

  it('gives a circle back', () => {
    const [loop, ...more] = rollingBall(Float64Array.from(ring(10, -20, 300, 4)), 200, 3)
    expect(more).toEqual([])
    expect(signedArea(loop!) / (Math.PI * 300 * 300)).toBeCloseTo(1, 3)
  })

  it('closes two circles as the ball does that touches both', () => {
    // Radius 100, middles 300 apart, ball 200: the ball's middle stands sqrt(300² − 150²) above the line between them, and
    // its lowest point 200 below that. (Elementary geometry.)
    const points = Float64Array.from([...ring(-150, 0, 100, 2), ...ring(150, 0, 100, 2)])
    const [loop, ...more] = rollingBall(points, 200, 2)
    expect(more).toEqual([])
    let waist = Infinity
    for (let k = 0; k < loop!.length; k += 2)
      if (Math.abs(loop![k]!) < 2 && loop![k + 1]! > 0) waist = Math.min(waist, loop![k + 1]!)
    expect(waist).toBeCloseTo(Math.sqrt(300 * 300 - 150 * 150) - 200, 0)
  })

  it('keeps two circles apart that the ball passes between', () => {
    const points = Float64Array.from([...ring(-400, 0, 100, 4), ...ring(300, 0, 150, 4)])
    const loops = rollingBall(points, 200, 3)
    expect(loops.length).toBe(2)
    expect(signedArea(loops[0]!)).toBeGreaterThan(signedArea(loops[1]!))
  })
})
