import { describe, expect, it } from 'vitest'
import { overlapOf } from '../../../src/cli/overlap'
import { sharedVolume } from '../../../src/core/fitting/shared-volume'
import { drain } from '../../../src/core/geometry/kernel'
import { makeMesh, transformMesh } from '../../../src/core/geometry/mesh'
import { box, icosphere, openHemisphere } from '../../support/solids'

const shifted = (mesh: ReturnType<typeof box>, [x, y, z]: readonly [number, number, number]) =>
  transformMesh(mesh, [1, 0, 0, x, 0, 1, 0, y, 0, 0, 1, z, 0, 0, 0, 1], 'job')

describe('what two bodies share', () => {
  it('two boxes: the product of their overlaps', () => {
    const made = drain(sharedVolume(box([0, 0, 0], [100, 50, 40]), box([80, -10, 15], [200, 20, 90])))!
    expect(made.volume_mm3).toBeCloseTo(20 * 20 * 25, 3)
    expect(made.doubt_mm3).toBeLessThan(1e-3)
  })

  it('two spheres: the lens π(2r + d)(2r − d)²/12 (two caps, solid geometry), less what their facets lack', () => {
    const [r, d] = [50, 60]
    const ball = icosphere(r, 5)
    const made = drain(sharedVolume(ball, shifted(ball, [0, 0, d])))!
    const lens = (Math.PI * (4 * r + d) * (2 * r - d) ** 2) / 12
    expect(Math.abs(made.volume_mm3 / lens - 1)).toBeLessThan(0.004)
  })

  it('agrees with the general solid library on bodies in any pose', async () => {
    const ball = icosphere(40, 3)
    const brick = box([-10, -60, -70], [70, 30, 25])
    const turned = transformMesh(brick, [0.36, 0.48, -0.8, 5, -0.8, 0.6, 0, -7, 0.48, 0.64, 0.6, 11, 0, 0, 0, 1], 'job')
    const made = drain(sharedVolume(ball, turned))!
    const { volume_mm3 } = await overlapOf(ball, turned)
    expect(Math.abs(made.volume_mm3 / volume_mm3! - 1)).toBeLessThan(0.002)
    expect(Math.abs(made.volume_mm3 - volume_mm3!)).toBeLessThan(3 * made.doubt_mm3 + 1)
  })

  it('nothing where they are apart, and no answer for an open one', () => {
    const brick = box([0, 0, 0], [10, 10, 10])
    expect(drain(sharedVolume(brick, shifted(brick, [0, 0, 20])))).toEqual({ volume_mm3: 0, doubt_mm3: 0 })
    expect(drain(sharedVolume(brick, shifted(brick, [20, 0, 0])))!.volume_mm3).toBe(0)
    const bowl = openHemisphere(30, 24)
    expect(drain(sharedVolume(brick, makeMesh('job', bowl.positions, bowl.indices)))).toBeNull()
  })
})
