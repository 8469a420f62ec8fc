import { expect, test } from 'vitest'
import { movedSurface } from '../../../src/core/analysis'
import { drain } from '../../../src/core/geometry/kernel'
import { facetMiddle, type Mesh, makeMesh } from '../../../src/core/geometry/mesh'

/** A square sheet of side 200 mm, looking up or down, its height by a rule. */
function sheet(height: (x: number, y: number) => number, looks: 'up' | 'down' = 'up'): Mesh<'job'> {
  const n = 40
  const positions = new Float32Array(3 * (n + 1) ** 2)
  const indices: number[] = []
  for (let j = 0; j <= n; j++)
    for (let i = 0; i <= n; i++) {
      const [x, y] = [5 * i - 100, 5 * j - 100]
      positions.set([x, y, height(x, y)], 3 * (j * (n + 1) + i))
      if (i === n || j === n) continue
      const [a, b, c, d] = [0, 1, n + 2, n + 1].map((k) => j * (n + 1) + i + k) as [number, number, number, number]
      indices.push(...(looks === 'up' ? [a, b, c, a, c, d] : [a, c, b, a, d, c]))
    }
  return makeMesh('job', positions, Uint32Array.from(indices))
}
const flat = (z: number) => () => z

test.each(['up', 'down'] as const)('a sheet that was lifted by 3 mm went up by 3 mm, looking %s', (looks) => {
  const made = drain(movedSurface({ now: sheet(flat(13), looks), before: sheet(flat(10), looks) }))
  expect(made.most_mm).toBeCloseTo(3, 6)
  expect(made.mean_mm).toBeCloseTo(3, 6)
  expect(made.p95_mm).toBeCloseTo(3, 6)
  expect(made.new_mm2).toBe(0)
})

test('a sheet that was tilted moved most at its edge, down there', () => {
  const tilted = sheet((x) => (x < 0 ? 0 : -0.05 * x))
  const made = drain(movedSurface({ now: tilted, before: sheet(flat(0)) }))
  expect(made.most_mm).toBeLessThan(-4.8)
  expect(made.mostAt![0]).toBeGreaterThan(95)
  for (let f = 0; f < made.moved.values.length; f += 97) {
    const [x, , z] = facetMiddle(tilted, f)
    // Nearest distance, not height: a little less than the height where the sheet leans.
    expect(made.moved.values[f]).toBeCloseTo(x < 0 ? 0 : z, 2)
  }
})

test('what was not there before is told apart, and the same sheet has not moved', () => {
  const before = sheet(flat(0))
  const wide = sheet((x) => (x > 50 ? 500 : 0))
  const same = drain(movedSurface({ now: before, before }))
  expect(Math.abs(same.most_mm)).toBeLessThan(1e-9)
  expect(same.new_mm2).toBe(0)
  const made = drain(movedSurface({ now: wide, before }))
  expect(made.new_mm2).toBeGreaterThan(45 * 200)
  expect(Number.isNaN(made.moved.values.at(-1)!)).toBe(true)
})
