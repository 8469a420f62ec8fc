import { beforeAll, describe, expect, it } from 'vitest'
import { basePlane } from '../../src/core/fitting/base-plane'
import { drain } from '../../src/core/geometry/kernel'
import { bounds } from '../../src/core/geometry/mesh'
import { type Accessory, accessories } from '../../src/demo/accessories'
import { bar, roundedBox, turned, united } from '../../src/demo/part-bodies'

const KEYS = ['lamp', 'antenna-mount', 'hatch', 'equipment-box', 'grab-rail', 'floodlight'] as const

describe('bodies of accessories', () => {
  it('gives a turned cylinder and a box the volumes they have on paper', async () => {
    const n = 72
    const cylinder = await united([
      turned(
        [
          [10, 0],
          [10, 30],
        ],
        n,
      ),
    ])
    // A prism over a regular polygon.
    expect(volume(cylinder)).toBeCloseTo((n / 2) * 100 * Math.sin((2 * Math.PI) / n) * 30, 1)
    const box = await united([
      roundedBox(20, 10, 0.5, [
        [0, 0],
        [0, 5],
      ]),
    ])
    expect(volume(box) / (40 * 20 * 5)).toBeCloseTo(1, 3)
  })

  it('turns a bent bar outwards, and a union counts what two bodies share once', async () => {
    const straight = bar(
      [
        [0, 0],
        [0, 100],
      ],
      10,
      64,
    )
    const alone = volume(await united([straight]))
    expect(alone / (Math.PI * 100 * 100)).toBeCloseTo(1, 2)
    expect(volume(await united([straight, straight]))).toBeCloseTo(alone, 1)
  })
})

describe('accessories', () => {
  let parts: Accessory[]
  beforeAll(async () => {
    parts = await accessories()
  })
  const part = (key: string) => parts.find((one) => one.key === key)!

  it('has all six', () => {
    expect(parts.map((one) => one.key).sort()).toEqual([...KEYS].sort())
  })

  it.each(KEYS)('%s: closed, in one piece of skin, with positive volume', (key) => {
    const { mesh, unit } = part(key)
    const uses = new Map<string, number>()
    for (let c = 0; c < mesh.indices.length; c++) {
      const [u, v] = [mesh.indices[c]!, mesh.indices[c % 3 === 2 ? c - 2 : c + 1]!]
      uses.set(`${u},${v}`, (uses.get(`${u},${v}`) ?? 0) + 1)
    }
    // Every edge once each way: closed, manifold, all facets turned alike.
    for (const [edge, count] of uses) {
      expect(count).toBe(1)
      expect(uses.has(edge.split(',').reverse().join())).toBe(true)
    }
    const mm3 = volume(mesh) * (unit === 'in' ? 25.4 ** 3 : 1)
    expect(mm3).toBeGreaterThan(1e5)
    expect(mm3).toBeLessThan(3e7)
  })

  it.each(KEYS)('%s: stands on a truly flat base, and the fitting step finds it', (key) => {
    const one = part(key)
    const { positions } = one.mesh
    const [nx, ny, nz] = one.baseNormal
    let lowest = -Infinity
    for (let v = 0; v < positions.length; v += 3)
      lowest = Math.max(lowest, nx * positions[v]! + ny * positions[v + 1]! + nz * positions[v + 2]!)
    expect(lowest).toBe(0)
    const found = drain(basePlane(one.mesh, null))
    expect(found.normal.map((n) => Math.round(n * 1e6) / 1e6 + 0)).toEqual([...one.baseNormal].map((n) => n + 0))
    expect(Math.abs(found.at[0] * nx + found.at[1] * ny + found.at[2] * nz)).toBeLessThan(1e-6)
    expect(found.area_mm2 * (one.unit === 'in' ? 645.16 : 1)).toBeGreaterThan(3000)
  })

  it('comes in the axes and units of different suppliers', () => {
    const span = (key: string) => {
      const { min, max } = bounds(part(key).mesh)
      return max.map((v, k) => v - min[k]!)
    }
    expect(span('antenna-mount')[1]).toBeGreaterThan(300) // y up
    expect(span('lamp')[2]).toBeGreaterThan(150)
    expect(span('hatch')[1]).toBeCloseTo(18.5, 3) // inches
    expect(part('hatch').unit).toBe('in')
    expect(new TextDecoder().decode(part('hatch').bytes.subarray(0, 40))).toContain('inches')
    expect(parts.filter((one) => one.fileName.endsWith('.obj')).length).toBe(2)
  })

  it('has a lamp of at least 64 facets round', () => {
    const { mesh } = part('lamp')
    const rim = new Set<string>()
    for (let v = 0; v < mesh.positions.length; v += 3)
      if (mesh.positions[v + 2] === 0)
        rim.add([mesh.positions[v]!, mesh.positions[v + 1]!].map((x) => x.toFixed(3)).join())
    expect(rim.size).toBeGreaterThanOrEqual(64)
  })

  it('comes out the same twice', async () => {
    for (const [i, one] of (await accessories()).entries()) expect(one.mesh.id).toBe(parts[i]!.mesh.id)
  })
})

function volume({ positions: p, indices: x }: { positions: ArrayLike<number>; indices: ArrayLike<number> }): number {
  let sum = 0
  for (let f = 0; f < x.length; f += 3) {
    const [a, b, c] = [x[f]! * 3, x[f + 1]! * 3, x[f + 2]! * 3]
    sum += p[a]! * (p[b + 1]! * p[c + 2]! - p[b + 2]! * p[c + 1]!)
    sum -= p[a + 1]! * (p[b]! * p[c + 2]! - p[b + 2]! * p[c]!)
    sum += p[a + 2]! * (p[b]! * p[c + 1]! - p[b + 1]! * p[c]!)
  }
  return sum / 6
}
