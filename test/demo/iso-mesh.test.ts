import { describe, expect, it } from 'vitest'
import { drain } from '../../src/core/geometry/kernel'
import { isoMesh, type RawMesh } from '../../src/demo/iso-mesh'
import { type Primitive, plate } from '../../src/demo/primitives'
import { seeded } from '../../src/demo/random'
import { thinOut } from '../../src/demo/thin-out'

const ball = (radius: number): Primitive => ({
  name: 'ball',
  distance: (x, y, z) => Math.sqrt(x * x + y * y + z * z) - radius,
})

const sheet = plate('sheet', {
  at: [3, -2, 1],
  u: [0.6, 0.8, 0],
  v: [-0.8, 0.6, 0],
  outline: [
    [60, 45],
    [-60, 45],
    [-60, -45],
    [60, -45],
  ],
  thickness_mm: 8,
  edge_mm: 0.8,
})

const grid = (seed: number) => ({ rotation: seeded(seed).rotation(), shift: [0.4, -1.7, 2.2] as const })

describe('iso-surface', () => {
  it('is closed, outward and as large as a ball of radius 50', () => {
    const mesh = drain(isoMesh({ primitives: [ball(50)], weld_mm: 5 }, 2, 70, grid(1)))
    expect(edgeUses(mesh)).toEqual([2])
    expect(euler(mesh)).toBe(2)
    expect(volume(mesh) / ((4 / 3) * Math.PI * 50 ** 3)).toBeCloseTo(1, 2)
    expect(area(mesh) / (4 * Math.PI * 50 ** 2)).toBeCloseTo(1, 2)
  })

  it.each([1, 2, 3, 4])('keeps a plate of 8 mm whole at the largest voxel, in any pose (%i)', (seed) => {
    const mesh = drain(isoMesh({ primitives: [sheet], weld_mm: 5 }, 4.2, 100, grid(seed)))
    expect(edgeUses(mesh)).toEqual([2])
    expect(euler(mesh)).toBe(2)
    // Its rims are rounded by the voxel: at most a fifteenth of the volume goes.
    expect(volume(mesh) / (120 * 90 * 8)).toBeGreaterThan(0.93)
  })
})

describe('thinning out', () => {
  it('leaves the wanted count, one closed skin and even edges', () => {
    const raw = drain(isoMesh({ primitives: [ball(50)], weld_mm: 5 }, 2, 70, grid(2)))
    const before = volume(raw)
    const thin = drain(thinOut(raw, 4000))
    expect(Math.abs(thin.indices.length / 3 - 4000)).toBeLessThanOrEqual(2)
    expect(edgeUses(thin)).toEqual([2])
    expect(euler(thin)).toBe(2)
    expect(volume(thin) / before).toBeGreaterThan(0.985)
    const edges = lengths(thin).sort((a, b) => a - b)
    const at = (share: number) => edges[Math.floor(share * (edges.length - 1))]!
    expect(at(0.95) / at(0.05)).toBeLessThan(3)
  })

  it('keeps a thin plate thin and whole when facets grow larger than its thickness', () => {
    const raw = drain(isoMesh({ primitives: [sheet], weld_mm: 5 }, 3, 100, grid(5)))
    const thin = drain(thinOut(raw, 500))
    expect(edgeUses(thin)).toEqual([2])
    expect(euler(thin)).toBe(2)
    expect(volume(thin) / (120 * 90 * 8)).toBeGreaterThan(0.75)
  })
})

/** The different numbers of times that an edge is used. */
function edgeUses(mesh: RawMesh): number[] {
  const uses = new Map<number, number>()
  const n = mesh.positions.length / 3
  for (let c = 0; c < mesh.indices.length; c++) {
    const [u, v] = [mesh.indices[c]!, mesh.indices[c % 3 === 2 ? c - 2 : c + 1]!]
    const key = Math.min(u, v) * n + Math.max(u, v)
    uses.set(key, (uses.get(key) ?? 0) + 1)
  }
  return [...new Set(uses.values())]
}

function euler(mesh: RawMesh): number {
  return mesh.positions.length / 3 - mesh.indices.length / 2 + mesh.indices.length / 3
}

const corner = (mesh: RawMesh, c: number) =>
  [0, 1, 2].map((k) => mesh.positions[mesh.indices[c]! * 3 + k]!) as [number, number, number]

function volume(mesh: RawMesh): number {
  let sum = 0
  for (let f = 0; f < mesh.indices.length; f += 3) {
    const [a, b, c] = [corner(mesh, f), corner(mesh, f + 1), corner(mesh, f + 2)]
    sum += a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0])
  }
  return sum / 6
}

function area(mesh: RawMesh): number {
  let sum = 0
  for (let f = 0; f < mesh.indices.length; f += 3) {
    const [a, b, c] = [corner(mesh, f), corner(mesh, f + 1), corner(mesh, f + 2)]
    const [u, v] = [b.map((x, k) => x - a[k]!), c.map((x, k) => x - a[k]!)] as [number[], number[]]
    const n = [u[1]! * v[2]! - u[2]! * v[1]!, u[2]! * v[0]! - u[0]! * v[2]!, u[0]! * v[1]! - u[1]! * v[0]!]
    sum += Math.sqrt(n[0]! ** 2 + n[1]! ** 2 + n[2]! ** 2) / 2
  }
  return sum
}

function lengths(mesh: RawMesh): number[] {
  const out: number[] = []
  for (let c = 0; c < mesh.indices.length; c++) {
    const [a, b] = [corner(mesh, c), corner(mesh, c % 3 === 2 ? c - 2 : c + 1)]
    out.push(Math.sqrt((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 + (a[2] - b[2]) ** 2))
  }
  return out
}
