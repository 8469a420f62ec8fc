import { describe, expect, it } from 'vitest'
import { buildObstacle, type Obstacle, type ObstacleOptions } from '../../../src/core/clearance/obstacle'
import { drain } from '../../../src/core/geometry/kernel'
import { bounds, facetCount, type Mesh, makeMesh } from '../../../src/core/geometry/mesh'
import { pointTriangleDistance2 } from '../../../src/core/geometry/point-triangle'
import { box, join, mesh, noisyTube, soup } from '../../support/shapes'

/**
 * The slow obvious way: a probe comes straight down over the node, each time by as much as its distance to the nearest
 * grown facet allows, until it touches. Every facet is asked every time; nothing is tiled, nothing is culled.
 */
function probe(triangles: readonly Corners[], c: Float64Array, x: number, y: number, from: number, to: number): number {
  let z = from
  for (let steps = 0; steps < 4000; steps++) {
    let room = Infinity
    for (let f = 0; f < triangles.length; f++) {
      const t = triangles[f]!
      const d2 = pointTriangleDistance2(x, y, z, t[0], t[1], t[2], t[3], t[4], t[5], t[6], t[7], t[8])
      room = Math.min(room, Math.sqrt(d2) - c[f]!)
    }
    if (room < 1e-9) return z
    z -= room
    if (z < to) return -Infinity
  }
  throw new Error('the probe grazes for ever: choose another node')
}

type Corners = readonly [number, number, number, number, number, number, number, number, number]

const cornersOf = (m: Mesh): Corners[] =>
  Array.from({ length: facetCount(m) }, (_, f) =>
    Array.from(
      { length: 9 },
      (_, k) => m.positions[3 * m.indices[3 * f + Math.floor(k / 3)]! + (k % 3)]! + m.origin[k % 3]!,
    ),
  ) as unknown as Corners[]

function check(m: Mesh<'job'>, h: number, gap: number | Float32Array, guard_mm: number, nodes: number) {
  const { min, max } = bounds(m)
  const largest = (typeof gap === 'number' ? gap : Math.max(...gap)) + guard_mm
  const nx = Math.ceil((max[0] - min[0] + 2 * largest) / h) + 2
  const ny = Math.ceil((max[1] - min[1] + 2 * largest) / h) + 2
  const options: ObstacleOptions = {
    nx,
    ny,
    x0: min[0] - largest - 0.37 * h,
    y0: min[1] - largest - 0.61 * h,
    h,
    gap,
    guard_mm,
    symmetric: false,
  }
  const o = drain(buildObstacle(m, options))
  const triangles = cornersOf(m)
  const c = Float64Array.from(triangles, (_, f) => (typeof gap === 'number' ? gap : gap[f]!) + guard_mm)
  let met = 0
  let worst = 0
  const stride = Math.max(1, Math.floor((nx * ny) / nodes))
  for (let at = 0; at < nx * ny; at += stride) {
    const x = o.x0 + (at % nx) * h
    const y = o.y0 + Math.floor(at / nx) * h
    const expected = probe(triangles, c, x, y, max[2] + largest + 1, min[2] - largest - 1)
    const got = o.height[at]!
    if (expected > -Infinity) met++
    if (expected === -Infinity && got === -Infinity) continue
    worst = Math.max(worst, Math.abs(expected - got))
  }
  return { o, met, worst }
}

const tube = (seed: number) => noisyTube(-60, 60, 3, 10, 19, 40, 30, 0.3, seed)

/** The facets that a ragged hole in the scan leaves. */
function pierced(m: Mesh<'job'>, at: readonly [number, number, number], radius: number): Mesh<'job'> {
  const keep: number[] = []
  for (let f = 0; f < m.indices.length; f += 3) {
    const inside = [0, 1, 2].every((k) => {
      const v = 3 * m.indices[f + k]!
      return Math.hypot(m.positions[v]! - at[0], m.positions[v + 1]! - at[1], m.positions[v + 2]! - at[2]) < radius
    })
    if (!inside) keep.push(m.indices[f]!, m.indices[f + 1]!, m.indices[f + 2]!)
  }
  return makeMesh('job', m.positions, Uint32Array.from(keep))
}

describe('obstacle against a probe that asks every facet', () => {
  it.each([
    ['a box', box([0, 0, 0], [40, 30, 20]), 3, 12],
    ['a noisy tube, gap 3', tube(1), 4, 3],
    ['a noisy tube, gap 12', tube(2), 4, 12],
    ['a noisy tube, gap 40', tube(3), 6, 40],
    ['a noisy tube, bearing gap 0 and guard alone', tube(4), 1.3, 0],
    ['a tube with a hole on top: the back of its far wall is seen', pierced(tube(5), [0, 3, 29], 14), 2, 3],
    ['a tube with a hole on top, gap 12', pierced(tube(5), [0, 3, 29], 18), 2, 12],
    ['two crossing tubes', join(tube(6), sideways(tube(7))), 4, 12],
    ['loose triangles, no neighbours at all', soup('job', 60, 60, 40, 8), 3, 7],
    ['a cone of needles', needles(), 3, 9],
    ['a turned neighbour and a facet without area', odd(), 3, 8],
  ] as const)('%s', (_, m, h, gap) => {
    const { met, worst } = check(m, h, gap, 0.05, 150)
    expect(met).toBeGreaterThan(20)
    expect(worst).toBeLessThan(1e-5)
  })

  it('two gaps, facet by facet', () => {
    const m = tube(9)
    const gaps = Float32Array.from({ length: facetCount(m) }, (_, f) => (f % 1200 < 500 ? 3 : 12))
    const { met, worst } = check(m, 3, gaps, 0.1, 200)
    expect(met).toBeGreaterThan(100)
    expect(worst).toBeLessThan(1e-5)
  })

  it('a mesh far from its local origin', () => {
    const m = tube(10)
    const { worst } = check(makeMesh('job', m.positions, m.indices, [4000, -300, 800]), 4, 12, 0.05, 60)
    expect(worst).toBeLessThan(1e-5)
  })
})

describe('obstacle', () => {
  const grid = { nx: 61, ny: 41, x0: -90, y0: -60, h: 3, guard_mm: 0.5 }

  it('symmetric: both halves equal bit for bit, never below the frame as it is', () => {
    const plain = drain(buildObstacle(tube(11), { ...grid, gap: 12, symmetric: false }))
    const both = drain(buildObstacle(tube(11), { ...grid, gap: 12, symmetric: true }))
    for (let j = 0; j < grid.ny; j++)
      for (let i = 0; i < grid.nx; i++) {
        const z = both.height[j * grid.nx + i]!
        expect(z).toBe(both.height[(grid.ny - 1 - j) * grid.nx + i]!)
        expect(z).toBe(Math.max(plain.height[j * grid.nx + i]!, plain.height[(grid.ny - 1 - j) * grid.nx + i]!))
      }
  })

  it('a wider gap never lowers it', () => {
    let before: Obstacle | null = null
    for (const gap of [0, 1, 5, 12, 40]) {
      const now = drain(buildObstacle(tube(12), { ...grid, gap, symmetric: false }))
      if (before) expect(now.height.every((z, i) => z >= before!.height[i]!)).toBe(true)
      before = now
    }
  })

  it('over the middle of a plate it stands exactly gap and guard above it', () => {
    const o = drain(buildObstacle(box([-50, -50, -5], [50, 50, 7]), { ...grid, gap: 12, symmetric: true }))
    expect(o.height[20 * 61 + 30]).toBeCloseTo(19.5, 12)
    expect(o.height[0]).toBe(-Infinity)
  })

  it('refuses, as a defect, what makes no obstacle', () => {
    const m = tube(13)
    expect(() => drain(buildObstacle(m, { ...grid, gap: 0, guard_mm: 0, symmetric: false }))).toThrow(/above 0/)
    expect(() => drain(buildObstacle(m, { ...grid, gap: new Float32Array(3), symmetric: false }))).toThrow(/per facet/)
    expect(() => drain(buildObstacle(m, { ...grid, y0: -59, gap: 3, symmetric: true }))).toThrow(/symmetric/)
  })
})

function sideways(m: Mesh<'job'>): Mesh<'job'> {
  const p = m.positions.slice()
  for (let i = 0; i < p.length; i += 3) {
    p[i] = m.positions[i + 1]!
    p[i + 1] = -m.positions[i]!
    p[i + 2] = m.positions[i + 2]! + 11
  }
  return makeMesh('job', p, m.indices)
}

/** Sharp convex and concave edges about one tip: saddles, folds of more than 90 degrees, upright facets. */
function needles(): Mesh<'job'> {
  const p = [0, 0, 40]
  const t: number[] = []
  for (let i = 0; i < 12; i++) {
    const a = (2 * Math.PI * i) / 12
    const r = i % 2 ? 5 : 30
    p.push(r * Math.cos(a), r * Math.sin(a), i % 3 ? 0 : 15)
  }
  for (let i = 0; i < 12; i++) t.push(0, 1 + i, 1 + ((i + 1) % 12))
  return mesh(p, t)
}

function odd(): Mesh<'job'> {
  // Four facets in a row over a ridge; the second is turned, the third has no area.
  return mesh(
    [0, 0, 0, 20, 0, 0, 0, 20, 12, 20, 20, 12, 10, 20, 12, 0, 40, 0, 20, 40, 0],
    [0, 1, 2, 1, 2, 3, 2, 3, 4, 2, 3, 5, 3, 6, 5],
  )
}
