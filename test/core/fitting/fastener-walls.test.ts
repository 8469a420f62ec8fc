import { describe, expect, it } from 'vitest'
import { wallNear } from '../../../src/core/fitting/fastener-walls'
import { checkFasteners } from '../../../src/core/fitting/fasteners'
import type { PlacedFitting } from '../../../src/core/fitting/types'
import { drain } from '../../../src/core/geometry/kernel'
import { type Mesh, makeMesh } from '../../../src/core/geometry/mesh'
import { random } from '../../support/random'
import { box } from '../../support/solids'

/** Several boxes as one mesh. */
function together(...parts: readonly Mesh<'job'>[]): Mesh<'job'> {
  const positions: number[] = []
  const indices: number[] = []
  for (const { positions: p, indices: own, origin } of parts) {
    const first = positions.length / 3
    for (let i = 0; i < p.length; i++) positions.push(p[i]! + origin[i % 3]!)
    for (const v of own) indices.push(first + v)
  }
  return makeMesh('job', Float32Array.from(positions), Uint32Array.from(indices))
}

describe('a wall beside a fastener', () => {
  it('is as far as its nearest place between the two depths, against the slow way', () => {
    const { next } = random(23)
    for (let round = 0; round < 40; round++) {
      const facet = Float64Array.from({ length: 9 }, () => 60 * next() - 30)
      const found = wallNear(facet, 3, -2, -8, 11)
      let best = Infinity
      for (let i = 0; i <= 400; i++)
        for (let j = 0; i + j <= 400; j++) {
          const w = [i / 400, j / 400, 1 - (i + j) / 400]
          const at = (k: number) => w.reduce((sum, part, c) => sum + part * facet[3 * c + k]!, 0)
          if (at(0) >= -8 && at(0) <= 11) best = Math.min(best, Math.hypot(at(1) - 3, at(2) + 2))
        }
      // Flat ones are no walls; a facet across the axis line has its border as the nearest of it.
      if (found === null) continue
      expect(best).toBeLessThan(found + 0.3)
      if (best > 0.5) expect(found).toBeLessThan(best + 1e-9)
    }
  })

  it('of a wall square to the base is the plain distance; a floor is none', () => {
    const wall = Float64Array.of(-20, 12, -50, 5, 12, -50, -20, 12, 50)
    expect(wallNear(wall, 0, 0, -20, 0)).toBeCloseTo(12, 9)
    expect(wallNear(wall, 0, 0, 6, 20)).toBeNull()
    expect(wallNear(Float64Array.of(0, -50, -50, 0, 50, -50, 0, 0, 50), 0, 0, -20, 20)).toBeNull()
    // With 20° of draft it is nearest at its foot, where it is looked at first.
    const away = 40 * Math.tan(Math.PI / 9)
    const drafted = Float64Array.of(0, 10, -50, -40, 10 + away, -50, 0, 10, 50)
    expect(wallNear(drafted, 0, 0, -40, -2)).toBeCloseTo(10 + away / 20, 9)
  })
})

describe('fasteners in a recess and beside a chase', () => {
  const nowhere = box([0, 0, -9000], [1, 1, -8999])
  const slab = box([-500, -500, -8], [500, 500, -1])
  const placed = {
    id: 'plate',
    name: 'plate',
    twin: false,
    on: 'topside',
    pose: [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1],
    mesh: box([-5, -5, 0], [5, 5, 4]),
    base: { normal: [0, 0, -1], at: [0, 0, 0], area_mm2: 100 },
    seat: { at: [0, 0, 0], normal: [0, 0, 1] },
  } as unknown as PlacedFitting
  const settings = { holes: false, into: 'shell', added: [{ at_mm: [0, 0], diameter_mm: 8 }] } as const
  const check = (topside: Mesh<'job'>) =>
    drain(
      checkFasteners([{ placed, settings }], {
        solids: { topside, underside: nowhere },
        frame: nowhere,
        tubes: [],
      }),
    )
  // Hole of 8: washer and socket want 1.1 · 8 + 3 = 11.8 mm.
  const needed = 11.8

  it.each([
    [needed + 0.1, []],
    [needed - 0.1, ['warning']],
    [3.9, ['hold']],
  ] as const)('with a recess wall %f mm off over the base', (off, severities) => {
    const { fasteners, findings } = check(together(slab, box([off, -200, -2], [300, 200, 30])))
    expect(fasteners[0]!.wallOver_mm).toBeCloseTo(off, 4)
    expect(fasteners[0]!.wallBehind_mm).toBeNull()
    expect(fasteners[0]!.neededBeside_mm).toBeCloseTo(needed, 9)
    expect(findings.filter((f) => f.id.includes('wall-over')).map((f) => f.severity)).toEqual(severities)
  })

  it('with a chase that hangs down behind the laminate', () => {
    const { fasteners, findings } = check(together(slab, box([-300, -60, -30], [300, -9, -7])))
    expect(fasteners[0]!.wallBehind_mm).toBeCloseTo(9, 4)
    expect(findings.map((f) => f.id)).toEqual(['fitting.fastener.wall-behind.plate.hole-1'])
    const { findings: none } = check(slab)
    expect(none).toEqual([])
  })
})
