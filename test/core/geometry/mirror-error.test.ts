import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { type Mesh, makeMesh } from '../../../src/core/geometry/mesh'
import { mirrorError } from '../../../src/core/geometry/mirror-error'
import { seededRandom } from '../../../src/core/geometry/seeded-random'
import { vertexSurface } from '../../../src/core/geometry/vertex-surface'
import { icosphere } from '../../support/solids'

type Triple = [number, number, number]

/** Flat squares of 40 mm with the given middles, all facing `normal` (or away from it). */
function squares(middles: { at: Triple; normal: Triple }[]): Mesh<'job'> {
  const positions: number[] = []
  const indices: number[] = []
  for (const { at, normal } of middles) {
    const u: Triple = [normal[1], -normal[0], 0]
    const v: Triple = [0, 0, 1]
    const base = positions.length / 3
    for (const [a, b] of [
      [-20, -20],
      [20, -20],
      [20, 20],
      [-20, 20],
    ] as const)
      positions.push(at[0] + a * u[0] + b * v[0], at[1] + a * u[1] + b * v[1], at[2] + a * u[2] + b * v[2])
    // Counter-clockwise seen from where the normal points.
    indices.push(base, base + 2, base + 1, base, base + 3, base + 2)
  }
  return makeMesh('job', Float32Array.from(positions), Uint32Array.from(indices))
}

const CENTRE = { normal: [0, 1, 0] as Triple, offset_mm: 0 }
const SEEN = { rimVertex: null }

describe('mirror error', () => {
  it('G63: a plane off by 0.5 mm moves every image by 1.0 mm (own derivation: 2 e)', () => {
    const pair = squares([
      { at: [0, 100, 0], normal: [0, 1, 0] },
      { at: [0, -100, 0], normal: [0, -1, 0] },
    ])
    const { error } = drain(mirrorError(pair, { normal: [0, 1, 0], offset_mm: 0.5 }, SEEN))
    expect(error.rms_mm).toBeCloseTo(1, 6)
    expect(error.max_mm).toBeCloseTo(1, 6)
    expect(error.p95_mm).toBeCloseTo(1, 5)
  })

  it('G64: a plane turned by 0.1° moves metal at 1500 mm by 2 L sin α = 5.235986 mm (own derivation)', () => {
    const alpha = (0.1 * Math.PI) / 180
    const n: Triple = [-Math.sin(alpha), Math.cos(alpha), 0]
    // Faces square to the movement: the nearest point of the metal is then the point it came from.
    const ends = squares([
      { at: [1500, 0, 0], normal: n },
      { at: [-1500, 0, 0], normal: n },
    ])
    const { error } = drain(mirrorError(ends, { normal: n, offset_mm: 0 }, SEEN))
    // Float32 positions at 1.5 m are known to 6e-5 mm.
    expect(error.max_mm).toBeCloseTo(5.235986, 3)
    expect(error.rms_mm).toBeCloseTo(5.235986, 3)
  })

  it('is nothing for a symmetric solid, wherever its origin lies', () => {
    const ball = icosphere(300, 3)
    expect(drain(mirrorError(ball, CENTRE, SEEN)).error.max_mm).toBeLessThan(1e-4)
    const far = makeMesh('job', ball.positions, ball.indices, [1e6, 2e6, 3e6])
    const moved = drain(mirrorError(far, { normal: [0, 1, 0], offset_mm: 2e6 }, SEEN))
    expect(moved.error.max_mm).toBeLessThan(1e-4)
  })

  it('gives the sign: metal that stands outside its mirror image is positive', () => {
    // Port wall 3 mm further out than starboard.
    const crooked = squares([
      { at: [0, 103, 0], normal: [0, 1, 0] },
      { at: [0, -100, 0], normal: [0, -1, 0] },
    ])
    const { vertex_mm, field, error } = drain(mirrorError(crooked, CENTRE, SEEN))
    for (let v = 0; v < vertex_mm.length; v++) {
      const port = crooked.positions[3 * v + 1]! > 0
      expect(vertex_mm[v]).toBeCloseTo(port ? 3 : -3, 5)
    }
    expect([...field.values].map(Math.round)).toEqual([3, 3, -3, -3])
    expect(error.max_mm).toBeCloseTo(3, 5)
  })

  it('tells which side hangs lower, and by how much', () => {
    // Two level decks facing up; the port one 4 mm lower.
    const sheets = squares([
      { at: [150, 0, -4], normal: [1, 0, 0] },
      { at: [-150, 0, 0], normal: [1, 0, 0] },
    ])
    // Drawn upright, then laid down.
    const laid = sheets.positions.slice()
    for (let i = 0; i < laid.length; i += 3) {
      const [x, y, z] = [sheets.positions[i]!, sheets.positions[i + 1]!, sheets.positions[i + 2]!]
      const middle = x > 0 ? -4 : 0
      laid[i] = y
      laid[i + 1] = x
      laid[i + 2] = middle
      laid[i + 1]! += z - middle
    }
    const both = makeMesh('job', laid, sheets.indices)
    const { error } = drain(mirrorError(both, CENTRE, SEEN))
    expect(error.rms_mm).toBeCloseTo(4, 5)
    expect(error.portMinusStarboard_mm).toBeCloseTo(-4, 4)
  })

  it('leaves out metal whose image falls into a hole, with its area', () => {
    const ball = icosphere(100, 4)
    // Everything within 40 mm of (0, 100, 0) was not seen.
    const inHole = (v: number) =>
      Math.hypot(ball.positions[3 * v]!, ball.positions[3 * v + 1]! - 100, ball.positions[3 * v + 2]!) < 40
    const kept: number[] = []
    const rimVertex = new Uint8Array(ball.positions.length / 3)
    for (let f = 0; f < ball.indices.length; f += 3) {
      const corners = [0, 1, 2].map((k) => ball.indices[f + k]!)
      if (!corners.some(inHole)) kept.push(...corners)
      else for (const c of corners) if (!inHole(c)) rimVertex[c] = 1
    }
    const holed = makeMesh('job', ball.positions, Uint32Array.from(kept))
    const whole = drain(vertexSurface(ball)).area_mm2
    const missing = whole - drain(vertexSurface(holed)).area_mm2
    const { error } = drain(mirrorError(holed, CENTRE, { rimVertex }))
    expect(error.unseen_mm2).toBeGreaterThan(0.7 * missing)
    expect(error.unseen_mm2).toBeLessThan(1.3 * missing)
    expect(error.max_mm).toBeLessThan(1e-3)
    // Not knowing of the hole, the same metal counts as wrong by tens of millimetres.
    expect(drain(mirrorError(holed, CENTRE, SEEN)).error.max_mm).toBeGreaterThan(10)
  })

  it('agrees with the slow obvious method on a lump', () => {
    const random = seededRandom(4)
    const ball = icosphere(100, 2)
    const lump = makeMesh(
      'job',
      ball.positions.map((x) => x * (0.8 + 0.4 * random())),
      ball.indices,
    )
    const { vertex_mm } = drain(mirrorError(lump, CENTRE, SEEN))
    for (let v = 0; v < vertex_mm.length; v += 7) {
      const image: Triple = [lump.positions[3 * v]!, -lump.positions[3 * v + 1]!, lump.positions[3 * v + 2]!]
      expect(Math.abs(vertex_mm[v]!)).toBeCloseTo(slowDistance(lump, image), 3)
    }
  })
})

/** Nearest of many points spread over each triangle, closed in on twice. */
function slowDistance(mesh: Mesh, p: Triple): number {
  let best = Infinity
  const corner = (i: number) => [0, 1, 2].map((k) => mesh.positions[3 * mesh.indices[i]! + k]!)
  for (let f = 0; f < mesh.indices.length; f += 3) {
    const [a, b, c] = [corner(f), corner(f + 1), corner(f + 2)]
    let [u0, v0, size] = [0, 0, 1]
    for (let round = 0; round < 7; round++) {
      let near: [number, number, number] = [Infinity, u0, v0]
      for (let i = 0; i <= 8; i++)
        for (let j = 0; j <= 8; j++) {
          const u = u0 + (size * i) / 8
          const v = v0 + (size * j) / 8
          if (u < 0 || v < 0 || u + v > 1) continue
          const d = Math.hypot(...[0, 1, 2].map((k) => a![k]! + u * (b![k]! - a![k]!) + v * (c![k]! - a![k]!) - p[k]!))
          if (d < near[0]) near = [d, u, v]
        }
      best = Math.min(best, near[0])
      size /= 3
      u0 = near[1] - size / 2
      v0 = near[2] - size / 2
    }
  }
  return best
}
