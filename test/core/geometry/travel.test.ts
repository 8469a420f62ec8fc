import { describe, expect, it } from 'vitest'
import type { Direction } from '../../../src/core/geometry/axes'
import { drain } from '../../../src/core/geometry/kernel'
import { leastDistance } from '../../../src/core/geometry/least-distance'
import { type Mesh, makeMesh, transformMesh } from '../../../src/core/geometry/mesh'
import { travel } from '../../../src/core/geometry/travel'
import { random } from '../../support/random'
import { box, frustum, icosphere, joined, moved } from '../../support/solids'

const shifted = (mesh: Mesh, d: readonly number[], t: number): Mesh<'job'> =>
  transformMesh(mesh, [1, 0, 0, d[0]! * t, 0, 1, 0, d[1]! * t, 0, 0, 1, d[2]! * t, 0, 0, 0, 1], 'job')

const unit = (d: readonly number[]) => d.map((c) => c / Math.hypot(...d)) as unknown as Direction
const way = (a: Mesh, b: Mesh, d: Direction) => drain(travel(a, b, d))

describe('the way of one body on to another', () => {
  it('a lid over a box: the room left at the seat, and where', () => {
    const lid = box([-50, -50, 30], [50, 50, 34])
    const { before_mm, free, at, movingAt } = way(lid, box([-10, -20, 0], [10, 20, 25]), [0, 0, 1])
    expect(free).toBe(true)
    expect(before_mm).toBeCloseTo(-5, 12)
    expect(at![2]).toBeCloseTo(25, 12)
    expect(movingAt![2]).toBeCloseTo(30, 12)
  })

  it('a hook above the lid’s rim stops it at its own height, exactly', () => {
    const lid = box([-50, -50, 30], [50, 50, 34])
    const frame = joined(box([-10, -20, 0], [10, 20, 25]), box([45, -5, 60], [70, 5, 70]))
    const { before_mm, free, at } = way(lid, frame, [0, 0, 1])
    expect(free).toBe(false)
    // Its top is met first from above: 70 over the lid's underside at 30.
    expect(before_mm).toBeCloseTo(40, 12)
    expect(at![0]).toBeGreaterThanOrEqual(45)
    expect(at![2]).toBeCloseTo(70, 12)
    // Leaning away from it, the lid passes beside the hook.
    expect(way(lid, frame, unit([-1, 0, 0.5])).free).toBe(true)
  })

  it('a cone over its like rests on its tip: the whole base lies over it', () => {
    const n = 64
    const inner = frustum(60, 20, 100, n)
    const { before_mm } = way(moved(inner, [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 7, 0, 0, 0, 1]), inner, [0, 0, 1])
    // Solids, so what the lower one’s top meets is the upper one’s base, 7 mm up.
    expect(before_mm).toBeCloseTo(100 - 7, 4)
  })

  it('nothing over each other is free, with no number', () => {
    const { free, before_mm, at } = way(box([0, 0, 0], [1, 1, 1]), box([5, 5, -9], [6, 6, 9]), [0, 0, 1])
    expect([free, before_mm, at]).toEqual([true, -Infinity, null])
  })

  it.each([1, 2, 3, 4])('loose triangles, seed %i: they touch there and nowhere before', (seed) => {
    const rng = random(seed)
    const loose = (z: number): Mesh<'job'> => {
      const p = new Float32Array(9 * 25).map(() => rng.between(-30, 30))
      for (let i = 2; i < p.length; i += 3) p[i]! += z
      return makeMesh(
        'job',
        p,
        Uint32Array.from({ length: 75 }, (_, i) => i),
        [seed, -seed, 2 * seed],
      )
    }
    const [a, b] = [loose(20), loose(0)]
    const d = unit([rng.between(-1, 1), rng.between(-1, 1), 1.2])
    const { before_mm, at } = way(a, b, d)
    const distance = (t: number) => drain(leastDistance(shifted(a, d, t), b)).distance_mm
    expect(distance(before_mm)).toBeLessThan(2e-5)
    for (const more of [1e-3, 0.1, 1, 5, 40]) expect(distance(before_mm + more)).toBeGreaterThan(2e-5)
    const touched = drain(leastDistance(shifted(a, d, before_mm), b)).pointB
    expect(Math.hypot(...touched.map((c, k) => c - at![k]!))).toBeLessThan(1e-2)
  })

  it('turning all of it turns the answer', () => {
    const ball = icosphere(20, 2)
    const under = joined(box([-30, -30, -60], [30, 30, -50]), box([12, -4, -60], [40, 4, 3]))
    const turn = [0, 0, 1, 4, 1, 0, 0, -7, 0, 1, 0, 9, 0, 0, 0, 1]
    const one = way(ball, under, [0, 0, 1])
    const other = way(moved(ball, turn), moved(under, turn), [1, 0, 0])
    expect(other.before_mm).toBeCloseTo(one.before_mm, 5)
    expect(one.free).toBe(false)
  })
})
