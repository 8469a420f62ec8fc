import { describe, expect, it } from 'vitest'
import { leastRadius, meshNoise, thickness } from '../../../src/core/analysis'
import { makeTouchingBall, touchingBall } from '../../../src/core/analysis/touching-ball'
import { adjacency } from '../../../src/core/geometry/adjacency'
import { drain } from '../../../src/core/geometry/kernel'
import { facetShape } from '../../../src/core/geometry/measure'
import { facetCount, type Mesh, vertexCount } from '../../../src/core/geometry/mesh'
import { closestOnTriangle } from '../../../src/core/geometry/point-triangle'
import { buildTriangleTree } from '../../../src/core/geometry/triangle-tree'
import { weightedQuantile } from '../../../src/core/geometry/weighted-quantile'
import { fillet, lump } from '../../support/analysis-solids'
import { random } from '../../support/random'
import { bent, box, icosphere, moved, openTube, prism, torus, turned, wedge } from '../../support/solids'

function radius(mesh: Mesh, limit_mm: number, noise_mm = 0) {
  const shape = drain(facetShape(mesh))
  const neighbours = drain(adjacency(mesh.indices, vertexCount(mesh)))
  return { ...drain(leastRadius(mesh, shape, neighbours, { limit_mm, noise_mm })), areas: shape.areas_mm2 }
}

describe('least radius on the tool side', () => {
  it('the inside of a tube of 25 reads 25 within 1 %, at 10 and at 5 degrees a facet, with long and short facets', () => {
    for (const [n, pieces] of [
      [36, 12],
      [72, 12],
      [72, 3],
    ] as const) {
      const { field, summary } = radius(turned(openTube(25, 200, n, pieces)), 50)
      for (const r of field.values) expect(Math.abs(r / 25 - 1)).toBeLessThan(0.01)
      expect(summary.sharpInside.edges).toBe(0)
    }
  })

  it('G60: the inside of a torus R 300 r 25 has a smallest radius of 25, within 2 % at 5 degree steps', () => {
    const { summary, field, areas } = radius(turned(torus(300, 25, 90, 72)), 60)
    expect(Math.abs(summary.min_mm / 25 - 1)).toBeLessThan(0.02)
    expect(Math.abs(summary.p01_mm / 25 - 1)).toBeLessThan(0.02)
    expect(Math.abs(weightedQuantile(field.values, areas, 0.5) / 25 - 1)).toBeLessThan(0.02)
  })

  it('a fillet of 12 reads 12 within 1 % without noise, and the flats beside it do not alarm', () => {
    const { summary, field, areas } = radius(fillet(12, 1.5, 0, 1), 50)
    expect(Math.abs(summary.p01_mm / 12 - 1)).toBeLessThan(0.01)
    expect(Math.abs(summary.min_mm / 12 - 1)).toBeLessThan(0.01)
    expect(summary.minDoubt_mm).toBeLessThan(0.5)
    // A flat place 30 from the corner of two faces holds a ball of 30 and no larger.
    expect(weightedQuantile(field.values, areas, 0.5)).toBeGreaterThan(28)
  })

  it('a fillet of 12 on facets of 1.5 with 0.05 of noise: the 1st percentile by area is within 5 %', () => {
    for (const seed of [1, 2, 3]) {
      const mesh = moved(fillet(12, 1.5, 0.05, seed), random(seed).motion(500))
      const noise = drain(meshNoise(mesh))
      expect(Math.abs(noise / 0.05 - 1)).toBeLessThan(0.15)
      expect(Math.abs(radius(mesh, 50, noise).summary.p01_mm / 12 - 1)).toBeLessThan(0.05)
    }
  })

  it('without allowing for it, the same noise reads far too small: the allowance does the work', () => {
    expect(radius(fillet(12, 1.5, 0.05, 1), 50, 0).summary.p01_mm).toBeLessThan(10)
  })

  it('a sharp inside corner is listed apart: length, turn, and no radius there', () => {
    const gutter = prism(
      [
        [0, 0],
        [100, 0],
        [100, 50],
        [40, 50],
        [40, 20],
        [0, 20],
      ],
      [
        [0, 1, 4],
        [1, 2, 3],
        [1, 3, 4],
        [0, 4, 5],
      ],
      0,
      300,
    )
    const { summary } = radius(gutter, 50)
    expect(summary.sharpInside.edges).toBe(1)
    expect(summary.sharpInside.length_mm).toBeCloseTo(300, 3)
    expect(summary.sharpInside.worst_deg).toBeCloseTo(90, 3)
    expect(summary.sharpInside.at![1]).toBeCloseTo(40, 3)
    expect(summary.sharpInside.at![2]).toBeCloseTo(20, 3)
    // Right-angled corner: a ball that touches at distance s from it has radius s; the middle of a facet lies at a third.
    expect(summary.min_mm).toBeCloseTo(10, 3)
  })

  it('noise makes no sharp corners, and does not hide one', () => {
    // 0.3 of noise on facets of 1.5 turns neighbours by more than 30 degrees in many places.
    const noisy = fillet(12, 1.5, 0.3, 4)
    expect(radius(noisy, 50, 0).summary.sharpInside.edges).toBeGreaterThan(200)
    expect(radius(noisy, 50, 0.3).summary.sharpInside.length_mm).toBeLessThan(40)
    // A fillet of nothing: one inside edge of 80, noise 0.05.
    const corner = radius(fillet(0, 1.5, 0.05, 4), 50, 0.05).summary.sharpInside
    expect(corner.length_mm).toBeGreaterThan(60)
    expect(corner.length_mm).toBeLessThan(90)
  })

  it('outside of convex bodies nothing stops the ball', () => {
    for (const mesh of [box([0, 0, 0], [80, 60, 40]), icosphere(50, 3)]) {
      const { summary, field } = radius(mesh, 200)
      expect(summary.min_mm).toBe(200)
      expect(summary.p01_mm).toBe(200)
      expect(field.values.every((r) => r === 200)).toBe(true)
    }
  })
})

describe('the one-walk ball against the slow obvious method', () => {
  it('radius by trying all facets, again and again until nothing enters', () => {
    const mesh = lump(3, 3)
    const tree = drain(buildTriangleTree(mesh))
    const chance = random(9)
    const ball = makeTouchingBall()
    for (let i = 0; i < 60; i++) {
      const f = chance.below(facetCount(mesh))
      const { p, n } = middle(mesh, f)
      const side = chance.next() < 0.5 ? 1 : -1
      const entry = chance.between(0, 0.2)
      touchingBall(tree, ...p, side * n[0], side * n[1], side * n[2], 80, entry, f, ball)
      const slow = slowBall(mesh, p, [side * n[0], side * n[1], side * n[2]], 80, entry, f)
      expect(Math.abs(ball.radius - slow)).toBeLessThan(1e-5 * (1 + slow))
    }
  })
})

describe('thickness by the inscribed ball', () => {
  it('G34: a wedge of 20 degrees is 17.6327 thick at 50 mm from its edge (a ray would say 18.1985)', () => {
    // The middle of the facet 0 of each face lies at a known distance from the edge; asked of one facet each.
    const mesh = wedge(20, 90, 400)
    const { field } = drain(thickness(mesh, 60))
    let asked = 0
    for (let f = 0; f < facetCount(mesh); f++) {
      const { p, n } = middle(mesh, f)
      if (Math.abs(n[0]) > 0.5 || n[1] > 0.5) continue // ends and back
      const s = Math.hypot(p[1], p[2])
      expect(field.values[f]).toBeCloseTo(2 * s * Math.tan((10 * Math.PI) / 180), 2)
      asked++
    }
    expect(asked).toBe(4)
    const tree = drain(buildTriangleTree(mesh))
    const ball = makeTouchingBall()
    const t = (10 * Math.PI) / 180
    // 50 mm along the upper face, inwards.
    touchingBall(tree, 3, 50 * Math.cos(t), 50 * Math.sin(t), 0, Math.sin(t), -Math.cos(t), 30, 1e-5, -1, ball)
    expect(2 * ball.radius).toBeCloseTo(17.6327, 3)
  })

  it('G33: parallel plates give t, whichever way they lie', () => {
    for (const seed of [1, 2, 3]) {
      const { p50_mm } = drain(thickness(moved(box([0, 0, 0], [300, 200, 6]), random(seed).motion(400)), 40))
      expect(p50_mm).toBeCloseTo(6, 3)
    }
  })

  it('a ball of radius 50 is 100 thick', () => {
    const { p50_mm } = drain(thickness(icosphere(50, 3), 150))
    expect(Math.abs(p50_mm / 100 - 1)).toBeLessThan(0.01)
  })
})

describe('noise of a mesh, apart from its coarseness', () => {
  it('exact meshes have none, however coarse', () => {
    for (const mesh of [
      torus(300, 25, 48, 18),
      torus(300, 25, 180, 72),
      icosphere(100, 4),
      lump(1),
      fillet(12, 3, 0, 1),
      box([0, 0, 0], [9, 9, 9]),
    ])
      expect(drain(meshNoise(mesh))).toBe(0)
  })

  it('noise that was put on is read within 15 %', () => {
    const chance = random(5)
    const jog = (c: number) => c + 0.1 * chance.gaussian()
    const mesh = bent(torus(300, 25, 180, 72), (x, y, z) => [jog(x), jog(y), jog(z)])
    expect(Math.abs(drain(meshNoise(mesh)) / 0.1 - 1)).toBeLessThan(0.15)
  })
})

type Triple = [number, number, number]

function middle(mesh: Mesh, f: number): { p: Triple; n: Triple } {
  const [a, b, c] = [0, 1, 2].map((k) => {
    const v = 3 * mesh.indices[3 * f + k]!
    return [mesh.positions[v]!, mesh.positions[v + 1]!, mesh.positions[v + 2]!]
  }) as [Triple, Triple, Triple]
  const u = b.map((x, k) => x - a[k]!)
  const v = c.map((x, k) => x - a[k]!)
  const n = [u[1]! * v[2]! - u[2]! * v[1]!, u[2]! * v[0]! - u[0]! * v[2]!, u[0]! * v[1]! - u[1]! * v[0]!]
  const length = Math.hypot(...n)
  return { p: a.map((x, k) => (x + b[k]! + c[k]!) / 3) as Triple, n: n.map((x) => x / length) as Triple }
}

function slowBall(mesh: Mesh, p: Triple, n: Triple, limit: number, entry: number, skip: number): number {
  const out = new Float64Array(5)
  let r = limit
  for (let round = 0; round < 200; round++) {
    const c = p.map((x, k) => x + r * n[k]!) as Triple
    let nearest = Infinity
    let next = r
    for (let f = 0; f < facetCount(mesh); f++) {
      if (f === skip) continue
      const corner = [0, 1, 2].flatMap((k) => {
        const v = 3 * mesh.indices[3 * f + k]!
        return [mesh.positions[v]!, mesh.positions[v + 1]!, mesh.positions[v + 2]!]
      }) as [number, number, number, number, number, number, number, number, number]
      closestOnTriangle(...c, ...corner, out)
      const d = Math.hypot(out[0]! - c[0], out[1]! - c[1], out[2]! - c[2])
      if (d >= r - entry - 1e-9 || d >= nearest) continue
      nearest = d
      const x = [out[0]! - p[0], out[1]! - p[1], out[2]! - p[2]]
      const ahead = n[0] * x[0]! + n[1] * x[1]! + n[2] * x[2]! - entry
      next = (x[0]! ** 2 + x[1]! ** 2 + x[2]! ** 2 - entry ** 2) / (2 * ahead)
    }
    if (nearest === Infinity || !(next < r)) return r
    r = next
    if (r <= entry) return r
  }
  return r
}
