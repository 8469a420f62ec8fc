import { describe, expect, it } from 'vitest'
import type { Point } from '../../../src/core/geometry/axes'
import { drain } from '../../../src/core/geometry/kernel'
import { facetShape, massProperties, meanEdge_mm } from '../../../src/core/geometry/measure'
import { type Mesh, makeMesh } from '../../../src/core/geometry/mesh'
import { random } from '../../support/random'
import { box, capsule, frustum, icosphere, moved, plainVolume, tetrahedron, torus, turned } from '../../support/solids'

const mass = (mesh: Mesh, apex?: Point) => drain(massProperties(mesh, apex))
const near = (actual: number, expected: number, relative: number) =>
  expect(Math.abs(actual - expected)).toBeLessThanOrEqual(relative * Math.abs(expected))

// Source of the method: B. Mirtich, "Fast and accurate computation of polyhedral mass properties", 1996.
describe('massProperties', () => {
  it('box (G01, any mechanics text)', () => {
    const m = mass(box([-1000, -600, 0], [1000, 600, 300]))
    near(m.volume_mm3, 720_000_000, 1e-12)
    near(m.area_mm2, 6_720_000, 1e-12)
    near(m.inertia[0] / m.volume_mm3, 127_500, 1e-12)
    near(m.inertia[1] / m.volume_mm3, 4_090_000 / 12, 1e-12)
    near(m.inertia[2] / m.volume_mm3, 5_440_000 / 12, 1e-12)
    expect(m.openArea_mm2).toBe(0)
  })

  it('corner tetrahedron (G02, Mirtich 1996)', () => {
    const m = mass(tetrahedron())
    near(m.volume_mm3, 1 / 6, 1e-12)
    near(m.area_mm2, 1.5 + Math.sqrt(3) / 2, 1e-12)
    for (const c of m.centroid) near(c, 0.25, 1e-12)
    for (const i of m.inertia.slice(0, 3)) near(i, 1 / 80, 1e-12)
    for (const i of m.inertia.slice(3)) near(i, 1 / 480, 1e-12)
  })

  it('cube from 0 to 2 (G03)', () => {
    const m = mass(box([0, 0, 0], [2, 2, 2]))
    near(m.volume_mm3, 8, 1e-12)
    near(m.area_mm2, 24, 1e-12)
    for (const c of m.centroid) near(c, 1, 1e-12)
    near(m.inertia[0], 16 / 3, 1e-12)
  })

  it('one turned facet makes the volume depend on the origin, and openArea says so (G04, derived)', () => {
    const m = turned(box([0, 0, 0], [2, 2, 2]), (f) => f === 2)
    near(mass(m, [0, 0, 0]).volume_mm3, 8 - 8 / 3, 1e-12)
    near(mass(m, [1, 1, 1]).volume_mm3, 8 - 4 / 3, 1e-12)
    near(mass(m).openArea_mm2, 4, 1e-12) // twice the turned facet
  })

  it('spheres converge as midpoint subdivision does (G07, computed with double vertices; ours are Float32: 1e-6)', () => {
    const volume = [0.6054613829, 0.8734532, 0.9661607486, 0.9913938426, 0.9978391716, 0.9994592101]
    const area = [0.7619177945, 0.9283453234, 0.9811781758, 0.9952350697, 0.9988050063, 0.9997010158]
    for (let n = 0; n <= 5; n++) {
      const m = mass(icosphere(1, n))
      near(m.volume_mm3 / ((4 / 3) * Math.PI), volume[n]!, 1e-6)
      near(m.area_mm2 / (4 * Math.PI), area[n]!, 1e-6)
    }
  })

  it('sphere, torus, capsule, frustum tend to their closed forms (G06, G09, G10, G11), by extrapolation over two sizes', () => {
    // Errors of inscribed meshes fall with the square of the step: one Richardson step over doubled counts.
    const limit = (at: (n: number) => number, n: number) => (4 * at(2 * n) - at(n)) / 3
    near(mass(icosphere(100, 6)).volume_mm3, 4_188_790.205, 2e-4)
    near(
      limit((n) => mass(torus(300, 25, 4 * n, n)).volume_mm3, 64),
      3_701_101.65,
      3e-6,
    )
    near(
      limit((n) => mass(torus(300, 25, 4 * n, n)).area_mm2, 64),
      296_088.132,
      3e-6,
    )
    near(
      limit((n) => mass(torus(300, 25, 4 * n, n)).inertia[2] / mass(torus(300, 25, 4 * n, n)).volume_mm3, 32),
      90_468.75,
      1e-5,
    )
    near(
      limit((n) => mass(capsule(19, 1000, n)).volume_mm3, 64),
      1_162_845.86,
      3e-6,
    )
    near(
      limit((n) => mass(capsule(19, 1000, n)).area_mm2, 64),
      123_916.981,
      3e-6,
    )
    near(
      limit((n) => mass(frustum(100, 80, 200, n)).volume_mm3, 64),
      5_110_324.05,
      3e-6,
    )
    near(
      limit((n) => mass(frustum(100, 80, 200, n)).centroid[2], 64),
      92.62295,
      1e-6,
    )
  })

  it('an n-gon tube has (n/2π) sin(2π/n) of the true cross-section (G08)', () => {
    for (const [n, ratio] of [
      [16, 0.9744953584],
      [32, 0.9935868511],
      [64, 0.998394393],
    ] as const)
      near(mass(frustum(50, 50, 200, n)).volume_mm3 / (Math.PI * 50 * 50 * 200), ratio, 1e-6)
  })

  it('law: motion moves nothing but the centroid; a mirror keeps the volume; scale s gives s², s³', () => {
    const rng = random(3)
    const solid = torus(60, 20, 24, 12)
    const m = mass(solid)
    near(m.volume_mm3, plainVolume(solid), 1e-9)
    for (let i = 0; i < 5; i++) {
      const t = mass(moved(solid, rng.motion(500)))
      near(t.volume_mm3, m.volume_mm3, 2e-6)
      near(t.area_mm2, m.area_mm2, 2e-6)
      // The trace of the tensor does not turn.
      near(t.inertia[0] + t.inertia[1] + t.inertia[2], m.inertia[0] + m.inertia[1] + m.inertia[2], 2e-6)
    }
    near(mass(moved(solid, [1, 0, 0, 0, 0, -1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1])).volume_mm3, m.volume_mm3, 1e-9)
  })

  it('keeps its digits far from zero, where the origin carries the distance', () => {
    const b = box([-1, -1, -1], [1, 1, 1])
    const far = makeMesh('job', b.positions, b.indices, [4.5e6, -3e6, 1e5])
    const m = mass(far)
    near(m.volume_mm3, 8, 1e-12)
    expect(m.centroid).toEqual([4.5e6, -3e6, 1e5])
  })
})

describe('facetShape and meanEdge_mm', () => {
  it('gives unit normals outwards and areas that add up', () => {
    const mesh = box([0, 0, 0], [2, 3, 4])
    const { normals, areas_mm2 } = drain(facetShape(mesh))
    expect([...normals.slice(0, 3)]).toEqual([0, 0, -1])
    expect([...normals.slice(6, 9)]).toEqual([0, 0, 1])
    expect(areas_mm2.reduce((a, b) => a + b)).toBe(52)
    const flat = makeMesh('job', Float32Array.of(0, 0, 0, 1, 0, 0, 2, 0, 0), Uint32Array.of(0, 1, 2))
    expect([...drain(facetShape(flat)).normals]).toEqual([0, 0, 0])
  })

  it('mean edge of a cube: 12 sides and 6 diagonals', () => {
    near(drain(meanEdge_mm(box([0, 0, 0], [1, 1, 1]))), (12 + 6 * Math.SQRT2) / 18, 1e-12)
  })
})
