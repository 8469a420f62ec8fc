import { describe, expect, it } from 'vitest'
import { type FrameOptions, frameSolid, STRAIGHT_FRAME } from '../../src/demo/frame-solid'
import { plate, welded } from '../../src/demo/primitives'
import { seeded } from '../../src/demo/random'
import { distanceTo, fieldProbe } from '../../src/demo/solid'

const SEEDS = [1, 2, 3, 5, 8]
const frame = (seed: number, more: Partial<FrameOptions> = {}) => frameSolid({ seed, ...STRAIGHT_FRAME, ...more })

describe('bodies', () => {
  it('measures a plate as its corners say: a box of 40 x 20 x 8 with edges broken by 1 mm', () => {
    const box = plate('box', {
      at: [0, 0, 0],
      u: [1, 0, 0],
      v: [0, 1, 0],
      outline: [
        [20, 10],
        [-20, 10],
        [-20, -10],
        [20, -10],
      ],
      thickness_mm: 8,
      edge_mm: 1,
    })
    expect(box.distance(0, 0, 9)).toBeCloseTo(5, 12)
    expect(box.distance(25, 0, 0)).toBeCloseTo(5, 12)
    expect(box.distance(0, 0, 0)).toBeCloseTo(-4, 12)
    // The broken corner: from (19, 9, 3) it is a ball of radius 1.
    expect(box.distance(20, 10, 4)).toBeCloseTo(Math.sqrt(3) - 1, 12)
  })

  it('welds two walls at right angles by an arc of the asked radius', () => {
    // Walls x = 0 and y = 0, weld 5: the arc is centred at (5, 5).
    for (const [x, y] of [
      [1.5, 1.2],
      [3, 0.5],
      [4.9, 0.2],
    ] as const)
      expect(welded(x, y, 5)).toBeCloseTo(5 - Math.sqrt((5 - x) ** 2 + (5 - y) ** 2), 12)
    expect(welded(7, 2, 5)).toBe(2)
  })
})

describe('frame solid', () => {
  it.each(SEEDS)('seed %i: the metal is one radius from every tube axis, away from joints and plates', (seed) => {
    const { solid, truth } = frame(seed, { asymmetry_mm: 6, twist_mm: 3, bentLeg_mm: 10, wider_mm: 4 })
    const chance = seeded(seed)
    for (const tube of truth.tubes) {
      const body = solid.primitives.find((one) => one.name === tube.name)!
      let checked = 0
      for (let i = 2; i + 2 < tube.axis.length; i += 3) {
        const at = tube.axis[i]!
        const [before, after] = [tube.axis[i - 1]!, tube.axis[i + 1]!]
        const along = [after[0] - before[0], after[1] - before[1], after[2] - before[2]]
        const square = along[0]! ** 2 + along[1]! ** 2 + along[2]! ** 2
        // On the axis, the body's own distance is minus its radius (unless an end cap is nearer).
        expect(body.distance(...at)).toBeCloseTo(-tube.diameter_mm / 2, 3)
        const way = chance.direction()
        const share = (way[0] * along[0]! + way[1] * along[1]! + way[2] * along[2]!) / square
        const out = way.map((w, k) => w - share * along[k]!)
        const length = Math.sqrt(out[0]! ** 2 + out[1]! ** 2 + out[2]! ** 2)
        const far = tube.diameter_mm / 2 + 9
        const place = at.map((a, k) => a + (out[k]! / length) * far) as [number, number, number]
        const others = solid.primitives.filter((one) => one !== body)
        if (others.some((one) => one.distance(...place) < 40 || one.distance(...at) < 60)) continue
        // The chord's direction is good to the square of the step over the bend: a hundredth of a millimetre here.
        expect(distanceTo(solid, ...place)).toBeCloseTo(9, 1)
        checked++
      }
      expect(checked, tube.name).toBeGreaterThan(2)
    }
  })

  it.each(SEEDS)('seed %i: the ring lies about z = 0 and x = 0, and a straight frame is symmetric', (seed) => {
    const { solid, truth } = frame(seed)
    const ring = truth.tubes[0]!
    let mean = 0
    for (const p of ring.axis) mean += p[2] / ring.axis.length
    expect(Math.abs(mean)).toBeLessThan(0.3)
    const steps = ring.axis.map((p, i) => {
      const q = ring.axis[(i + 1) % ring.axis.length]!
      return Math.sqrt((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 + (p[2] - q[2]) ** 2)
    })
    expect(Math.max(...steps)).toBeLessThan(25)
    const chance = seeded(seed)
    for (let i = 0; i < 400; i++) {
      const [x, y, z] = [chance.between(-1400, 1400), chance.between(0, 1100), chance.between(-1100, 90)]
      expect(distanceTo(solid, x, -y, z)).toBeCloseTo(distanceTo(solid, x, y, z), 9)
    }
    // Not symmetric fore and aft: nothing may lean on that.
    const feet = truth.joints.filter((joint) => joint.name.endsWith('port foot')).map((joint) => joint.at[0])
    expect(Math.abs(feet[0]! + feet[1]!)).toBeGreaterThan(5)
  })

  it('hangs the port side low in proportion to the distance from the centreline', () => {
    const { truth } = frame(4, { asymmetry_mm: 8 })
    const level = frame(4).truth
    const port = truth.loweredPort.at_mm
    for (const [t, tube] of truth.tubes.entries())
      for (const [i, p] of tube.axis.entries()) {
        const q = level.tubes[t]!.axis[i]!
        const asked = p[1] > 60 ? (8 * p[1]) / port : p[1] < -60 ? 0 : (8 * (p[1] + 60) ** 2) / (240 * port)
        expect(q[2] - p[2]).toBeCloseTo(asked, 1)
      }
    expect(truth.loweredPort.mm).toBe(8)
  })

  it('gives other sizes for other seeds and the same for the same', () => {
    expect(frame(6).truth).toEqual(frame(6).truth)
    const lengths = SEEDS.map((seed) => frame(seed).truth.ring.length_mm)
    expect(new Set(lengths).size).toBeGreaterThan(2)
    for (const length of lengths) {
      expect(length).toBeGreaterThanOrEqual(2400)
      expect(length).toBeLessThanOrEqual(2800)
    }
  })

  it('settles points on the metal with outward normals', () => {
    const { solid, truth } = frame(3)
    const probe = fieldProbe(solid)
    const chance = seeded(9)
    const point = new Float64Array(3)
    const normal = new Float64Array(3)
    let checked = 0
    for (let i = 0; i < 300; i++) {
      const tube = chance.pick(truth.tubes)
      const at = chance.pick(tube.axis)
      const way = chance.direction()
      for (let k = 0; k < 3; k++) point[k] = at[k]! + way[k]! * (tube.diameter_mm / 2 + 1)
      const before = distanceTo(solid, point[0]!, point[1]!, point[2]!)
      // Places that another body covers are inside the metal, where the nearest surface is not defined.
      if (before < 0.05 || before > 2) continue
      checked++
      probe.settle(point, 0, normal)
      expect(Math.abs(distanceTo(solid, point[0]!, point[1]!, point[2]!))).toBeLessThan(0.02)
      const out = distanceTo(solid, point[0]! + normal[0]!, point[1]! + normal[1]!, point[2]! + normal[2]!)
      expect(out).toBeGreaterThan(0.3)
    }
    expect(checked).toBeGreaterThan(60)
  })
})
