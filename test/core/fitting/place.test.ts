import { describe, expect, it } from 'vitest'
import { basePlane } from '../../../src/core/fitting/base-plane'
import { convexHull, footprintOf } from '../../../src/core/fitting/footprint'
import { mirroredPose, mirrorTwin } from '../../../src/core/fitting/mirror-twin'
import { findSeat, poseOn } from '../../../src/core/fitting/place'
import { highestAt, planHeights } from '../../../src/core/fitting/plan-heights'
import { handedness, transformDirection, transformPoint } from '../../../src/core/geometry/axes'
import { drain } from '../../../src/core/geometry/kernel'
import { bounds, type Mesh, makeMesh, transformMesh } from '../../../src/core/geometry/mesh'
import { random } from '../../support/random'
import { bent, box, frustum, gridPlate, icosphere, inAxes, plainVolume } from '../../support/solids'

const gapBetween = (a: readonly number[], b: readonly number[]) => Math.hypot(...a.map((v, k) => v - b[k]!))
const part = (mesh: Mesh): Mesh<'part'> => inAxes(mesh, 'part')

describe('base plane', () => {
  it('of a lamp is its round foot, with the middle on the axis', () => {
    const base = drain(basePlane(part(frustum(40, 20, 90, 64)), null))
    expect(base.normal[2]).toBeCloseTo(-1, 6)
    expect(base.at[0]).toBeCloseTo(0, 3)
    expect(base.at[2]).toBeCloseTo(0, 5)
    // Area of the 64-gon inscribed in the circle: n/2 r² sin(2π/n).
    expect(base.area_mm2).toBeCloseTo(32 * 1600 * Math.sin(Math.PI / 32), 0)
  })

  it('of a box with equal lid and bottom is the bottom', () => {
    expect(drain(basePlane(part(box([0, 0, 0], [300, 200, 120])), null)).normal).toEqual([0, 0, -1])
  })

  it('follows the part when it is drawn with y up', () => {
    const yUp = [1, 0, 0, 0, 0, 0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 1]
    const base = drain(basePlane(part(transformMesh(frustum(40, 20, 90, 48), yUp, 'part')), null))
    expect(base.normal[1]).toBeCloseTo(-1, 6)
  })

  it('is the side the user picked', () => {
    const base = drain(basePlane(part(box([0, 0, 0], [300, 200, 120])), [0.02, 1, 0]))
    expect(base.normal[1]).toBeCloseTo(1, 6)
    expect(base.at).toEqual([150, 200, 60])
  })

  it('of a ball is a small flat facet, not a fault', () => {
    expect(drain(basePlane(part(icosphere(30, 3)), null)).area_mm2).toBeGreaterThan(0)
  })
})

describe('seat', () => {
  const flat = gridPlate(2000, 1000, 100, 50, 100)

  it('finds the height of a plate, and nothing beside it', () => {
    const plan = drain(planHeights(flat))
    const { min, max } = bounds(flat)
    expect(highestAt(plan, (min[0] + max[0]) / 2, (min[1] + max[1]) / 2)).toBeCloseTo(max[2], 4)
    expect(highestAt(plan, max[0] + 200, 0)).toBeNaN()
  })

  /** A shallow dome z = −x²/2R − y²/2R over the plate. */
  const dome = (R: number) => {
    const b = bounds(flat)
    const cx = (b.min[0] + b.max[0]) / 2
    const cy = (b.min[1] + b.max[1]) / 2
    return bent(flat, (x, y) => [x - cx, y - cy, -((x - cx) ** 2 + (y - cy) ** 2) / (2 * R)])
  }

  it('leans with the surface, and the base never stands in it', () => {
    const plan = drain(planHeights(dome(4000)))
    const base = drain(basePlane(part(box([-60, -40, 0], [60, 40, 50])), null))
    const footprint = footprintOf(part(box([-60, -40, 0], [60, 40, 50])), base)
    const seat = findSeat(plan, footprint, { at_mm: [400, 100], turn_deg: 30, upright: false, on: 'topside' })
    expect(seat.onShell).toBe(true)
    // Slope of the dome at (400, 100) is (0.1, 0.025).
    expect(seat.normal[0] / seat.normal[2]).toBeCloseTo(0.1, 2)
    expect(seat.normal[1] / seat.normal[2]).toBeCloseTo(0.025, 2)
    for (const [u, v] of footprint) {
      const c = Math.cos(Math.PI / 6)
      const s = Math.sin(Math.PI / 6)
      const x = c * u - s * v
      const y = s * u + c * v
      const z = highestAt(plan, 400 + x, 100 + y)
      const onPlane = seat.at[2] - (seat.normal[0] * x + seat.normal[1] * y) / seat.normal[2]
      expect(z).toBeLessThanOrEqual(onPlane + 1e-9)
    }
    // Sagitta over the half diagonal of the base: d²/2R (G67 of the check values, c²/8R with c = 2d).
    expect(seat.gap_mm).toBeGreaterThan(0.3 * (72.1 ** 2 / 8000))
    expect(seat.gap_mm).toBeLessThan(1.5 * (72.1 ** 2 / 8000) + 0.2)
  })

  it('stands plumb when asked, with the whole slope as gap', () => {
    const plan = drain(planHeights(dome(4000)))
    const mesh = part(box([-60, -40, 0], [60, 40, 50]))
    const seat = findSeat(plan, footprintOf(mesh, drain(basePlane(mesh, null))), {
      at_mm: [400, 0],
      turn_deg: 0,
      upright: true,
      on: 'topside',
    })
    expect(seat.normal).toEqual([0, 0, 1])
    expect(seat.gap_mm).toBeCloseTo(12, 0)
  })

  it('says when the base hangs over the edge', () => {
    const plan = drain(planHeights(dome(4000)))
    const mesh = part(box([-60, -40, 0], [60, 40, 50]))
    const footprint = footprintOf(mesh, drain(basePlane(mesh, null)))
    expect(findSeat(plan, footprint, { at_mm: [970, 0], turn_deg: 0, upright: false, on: 'topside' }).onShell).toBe(
      false,
    )
  })
})

describe('pose', () => {
  it('is a rigid motion that puts the base on the seat, whatever the part’s axes', () => {
    const chance = random(3)
    for (let i = 0; i < 50; i++) {
      const seat = { at: [10, 20, 30] as const, normal: chance.direction(), gap_mm: 0, onShell: true }
      const base = { normal: chance.direction(), at: [1, 2, 3] as const, area_mm2: 1 }
      const pose = poseOn(seat, base, chance.between(-180, 180))
      expect(handedness(pose)).toBeCloseTo(1, 12)
      expect(gapBetween(transformPoint(pose, base.at), seat.at)).toBeLessThan(1e-9)
      expect(
        gapBetween(
          transformDirection(pose, base.normal),
          seat.normal.map((v) => -v),
        ),
      ).toBeLessThan(1e-12)
    }
  })

  it('turns counter-clockwise seen from above on both sides of the top', () => {
    for (const nz of [1, -1]) {
      const seat = { at: [0, 0, 0] as const, normal: [0, 0, nz] as const, gap_mm: 0, onShell: true }
      const base = { normal: [0, 0, -1] as const, at: [0, 0, 0] as const, area_mm2: 1 }
      expect(transformDirection(poseOn(seat, base, 0), [1, 0, 0])[0]).toBeCloseTo(1, 12)
      expect(transformDirection(poseOn(seat, base, 90), [1, 0, 0])[1]).toBeCloseTo(1, 12)
    }
  })
})

describe('mirrored twin', () => {
  it('is exact about y = 0 to the last bit, with its volume positive', () => {
    const chance = random(8)
    const own = inAxes(transformMesh(frustum(40, 20, 90, 32), chance.motion(900), 'job'), 'job')
    const twin = mirrorTwin(own)
    for (let i = 0; i < own.positions.length; i += 3) {
      expect(twin.positions[i]).toBe(own.positions[i])
      expect(twin.positions[i + 1]).toBe(-own.positions[i + 1]!)
      expect(twin.positions[i + 2]).toBe(own.positions[i + 2])
    }
    expect(plainVolume(twin)).toBeCloseTo(plainVolume(own), 3)
    expect(plainVolume(twin)).toBeGreaterThan(0)
    expect(mirrorTwin(twin).id).toBe(own.id)
  })

  it('is what the mirrored pose makes of the part', () => {
    const chance = random(9)
    const mesh = part(frustum(40, 20, 90, 32))
    const pose = chance.motion(900)
    const own = transformMesh(mesh, pose, 'job')
    expect(handedness(mirroredPose(pose))).toBeCloseTo(-1, 12)
    expect(transformMesh(mesh, mirroredPose(pose), 'job').id).toBe(mirrorTwin(own).id)
  })
})

describe('convex hull in plan', () => {
  it('keeps corners only, and everything lies inside it', () => {
    const chance = random(4)
    const points = Array.from({ length: 300 }, () => [chance.between(-5, 5), chance.between(-2, 9)] as const)
    const hull = convexHull(points)
    for (const [x, y] of points)
      for (let i = 0; i < hull.length; i++) {
        const [ax, ay] = hull[i]!
        const [bx, by] = hull[(i + 1) % hull.length]!
        expect((bx - ax) * (y - ay) - (by - ay) * (x - ax)).toBeGreaterThan(-1e-9)
      }
    expect(
      convexHull([
        [0, 0],
        [1, 0],
        [2, 0],
        [2, 2],
        [0, 2],
        [1, 1],
      ]),
    ).toHaveLength(4)
  })

  it('handles an empty mesh of points', () => {
    expect(convexHull([])).toEqual([])
    expect(makeMesh('part', new Float32Array(), new Uint32Array()).indices).toHaveLength(0)
  })
})
