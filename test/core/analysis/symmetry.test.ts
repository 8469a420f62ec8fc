import { describe, expect, it } from 'vitest'
import { fitMirrorPlane, symmetry } from '../../../src/core/analysis'
import { drain } from '../../../src/core/geometry/kernel'
import { type Mesh, vertexCount } from '../../../src/core/geometry/mesh'
import { surfaceIndex } from '../../../src/core/geometry/surface-index'
import { lump } from '../../support/analysis-solids'
import { random } from '../../support/random'
import { bent, box, gridPlate, joined, moved, mushroom, torus } from '../../support/solids'

const Y = { normal: [0, 1, 0] as const, offset_mm: 0 }
const MIRROR_Y = [1, 0, 0, 0, 0, -1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]

describe('mirror error about a given plane', () => {
  it('G63: a plane shifted by 0.5 shows as 1.0 on walls across it', () => {
    const walls = joined(
      moved(gridPlate(400, 300, 8, 6), [1, 0, 0, -200, 0, 0, -1, -600, 0, 1, 0, 0, 0, 0, 0, 1]),
      moved(gridPlate(400, 300, 8, 6), [1, 0, 0, -200, 0, 0, -1, 600, 0, 1, 0, 0, 0, 0, 0, 1]),
    )
    expect(drain(symmetry(walls, Y, null)).summary.max_mm).toBeLessThan(1e-4)
    const { summary, field } = drain(symmetry(walls, { normal: [0, 1, 0], offset_mm: 0.5 }, null))
    for (const key of ['rms_mm', 'p95_mm', 'max_mm'] as const) expect(summary[key]).toBeCloseTo(1, 4)
    for (const value of field.values) expect(Math.abs(value)).toBeCloseTo(1, 4)
    expect(summary.plane).toEqual({ normal: [0, 1, 0], offset_mm: 0.5 })
  })

  it('G64: a plane turned by 0.1 degree shows as 2 L sin α at L = 1500 from the turning axis: 5.236', () => {
    // Ends at x = ±1500, walls across y; the plane turned about z.
    const t = (0.1 * Math.PI) / 180
    const wall = moved(gridPlate(3000, 300, 60, 6), [1, 0, 0, -1500, 0, 0, -1, 0, 0, 1, 0, 0, 0, 0, 0, 1])
    const { summary } = drain(symmetry(wall, { normal: [-Math.sin(t), Math.cos(t), 0], offset_mm: 0 }, null))
    // The image moves 2 L sin α across the plane; the distance to the wall is that times cos α, 1.5e-6 less.
    expect(Math.abs(summary.max_mm - 5.235986)).toBeLessThan(1e-3)
  })

  it('mirroring the mesh changes nothing, twice moves nothing', () => {
    const part = joined(lump(1, 3), moved(box([0, 0, 0], [40, 30, 20]), random(2).motion(150)))
    const once = moved(part, MIRROR_Y)
    const twice = moved(once, MIRROR_Y)
    expect(twice.positions).toEqual(part.positions)
    const a = drain(symmetry(part, Y, null)).summary
    const b = drain(symmetry(once, Y, null)).summary
    // Statistics are of vertices against facets, so the image gives the same set of distances.
    for (const key of ['rms_mm', 'p95_mm', 'max_mm'] as const) expect(b[key]).toBeCloseTo(a[key], 3)
    expect(drain(symmetry(twice, Y, null)).summary).toEqual(a)
  })

  it('agrees with closest points asked one by one of another library (three-mesh-bvh) within 1e-3 mm', () => {
    for (const seed of [1, 2, 3]) {
      const mesh = moved(lump(seed, 3), random(seed).motion(20))
      const normal = random(seed + 7).direction()
      const plane = { normal, offset_mm: 3 }
      const { summary } = drain(symmetry(mesh, plane, null))
      const slow = byQueries(mesh, plane)
      expect(Math.abs(summary.rms_mm - slow.rms)).toBeLessThan(1e-3)
      expect(Math.abs(summary.max_mm - slow.max)).toBeLessThan(1e-3)
    }
  })

  it('images that fall on the rim of a hole are unseen and left out', () => {
    const plate = bent(gridPlate(400, 400, 20, 20), (x, y, z) => [x - 100, y - 200, z])
    const rim = new Uint8Array(vertexCount(plate))
    for (let v = 0; v < rim.length; v++) rim[v] = Math.abs(plate.positions[3 * v]! + 100) < 1 ? 1 : 0
    const { summary } = drain(symmetry(plate, { normal: [1, 0, 0], offset_mm: 0 }, rim))
    // x from 100 to 300 mirrors beyond the rim at −100.
    expect(Math.abs(summary.unseen_mm2 / (200 * 400) - 1)).toBeLessThan(0.12)
    expect(summary.max_mm).toBeLessThan(1e-3)
  })
})

describe('the best mirror plane of a part', () => {
  it('is found in any pose, to a thousandth of a millimetre', () => {
    // Mirrors only about y: a bent plate with a boss to one side.
    const half = lump(4, 3)
    const part = joined(
      moved(half, [1, 0, 0, 0, 0, 1, 0, 160, 0, 0, 1, 0, 0, 0, 0, 1]),
      moved(moved(half, [1, 0, 0, 0, 0, 1, 0, 160, 0, 0, 1, 0, 0, 0, 0, 1]), MIRROR_Y),
    )
    for (let seed = 1; seed <= 4; seed++) {
      const motion = random(seed).motion(600)
      const { plane, rms_mm, runnerUp_mm } = drain(fitMirrorPlane(moved(part, motion)))
      const truth = [motion[1]!, motion[5]!, motion[9]!]
      const cosine = truth.reduce((s, c, k) => s + c * plane.normal[k]!, 0)
      expect(1 - Math.abs(cosine)).toBeLessThan(1e-9)
      const offset = truth.reduce((s, c, k) => s + c * motion[4 * k + 3]!, 0)
      expect(Math.abs(Math.sign(cosine) * offset - plane.offset_mm)).toBeLessThan(1e-3)
      expect(rms_mm).toBeLessThan(1e-3)
      expect(runnerUp_mm).toBeGreaterThan(0.5)
    }
  })

  it('where several are as good, the centreline across y is taken', () => {
    for (const part of [box([-50, -30, 0], [50, 30, 20]), torus(100, 20, 48, 24), mushroom(48)]) {
      const { plane } = drain(fitMirrorPlane(part))
      expect(plane.normal[1]).toBeCloseTo(1, 6)
      expect(plane.offset_mm).toBeCloseTo(0, 4)
    }
  })
})

/** The slow obvious method: one query per vertex, area-weighted rms. */
function byQueries(mesh: Mesh, plane: { normal: readonly [number, number, number]; offset_mm: number }) {
  const index = surfaceIndex(mesh)
  const area = new Float64Array(vertexCount(mesh))
  const at = (v: number) => [0, 1, 2].map((k) => mesh.positions[3 * v + k]! + mesh.origin[k]!)
  for (let f = 0; f < mesh.indices.length; f += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => at(mesh.indices[f + k]!)) as [number[], number[], number[]]
    const u = b.map((x, k) => x - a[k]!)
    const v = c.map((x, k) => x - a[k]!)
    const twice = Math.hypot(
      u[1]! * v[2]! - u[2]! * v[1]!,
      u[2]! * v[0]! - u[0]! * v[2]!,
      u[0]! * v[1]! - u[1]! * v[0]!,
    )
    for (let k = 0; k < 3; k++) area[mesh.indices[f + k]!]! += twice / 6
  }
  let sum = 0
  let total = 0
  let max = 0
  for (let v = 0; v < area.length; v++) {
    const p = at(v)
    const h = p.reduce((s, c, k) => s + c * plane.normal[k]!, 0) - plane.offset_mm
    const d = index.closestPoint(p.map((c, k) => c - 2 * h * plane.normal[k]!) as [number, number, number])!.distance_mm
    sum += area[v]! * d * d
    total += area[v]!
    max = Math.max(max, d)
  }
  return { rms: Math.sqrt(sum / total), max }
}
