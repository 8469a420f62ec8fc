import { describe, expect, it } from 'vitest'
import { edgeDistances, rimLine } from '../../../src/core/fitting/edge-distances'
import { checkFasteners, segmentsApart } from '../../../src/core/fitting/fasteners'
import { KEEP_OUT_DEFAULTS, type KeepOut, type KeepOutShape } from '../../../src/core/fitting/fastening-settings'
import { roomAxes, roomDistance, roomMesh } from '../../../src/core/fitting/keep-out-shape'
import { checkRooms, deepest } from '../../../src/core/fitting/keep-outs'
import { mirroredPose, mirrorTwin } from '../../../src/core/fitting/mirror-twin'
import type { FittingTube, PlacedFitting } from '../../../src/core/fitting/types'
import { drain } from '../../../src/core/geometry/kernel'
import { leastDistance } from '../../../src/core/geometry/least-distance'
import { type Mesh, makeMesh, transformMesh } from '../../../src/core/geometry/mesh'
import { random } from '../../support/random'
import { box, gridPlate, icosphere, lathe, plainVolume } from '../../support/solids'

/** A flat ring with a hole of 10 mm in its middle, standing at a place of a level topside. */
const ring = lathe(
  [
    [5, 0],
    [40, 0],
    [40, 8],
    [5, 8],
    [5, 0],
  ],
  64,
  { bottom: true, top: true },
)
function stands(mesh: Mesh<'job'>, at: readonly [number, number, number] = [0, 0, 0], name = 'ring'): PlacedFitting {
  const pose = [1, 0, 0, at[0], 0, 1, 0, at[1], 0, 0, 1, at[2], 0, 0, 0, 1]
  return {
    id: name,
    name,
    twin: false,
    on: 'topside',
    pose,
    mesh: transformMesh(mesh, pose, 'job'),
    base: { normal: [0, 0, -1], at: [0, 0, 0], area_mm2: 1 },
    seat: { at, normal: [0, 0, 1] },
    gapUnderBase_mm: 0,
    toFrame: { min_mm: 50, part: at, frame: at },
  }
}
const twinOf = (p: PlacedFitting): PlacedFitting => ({
  ...p,
  twin: true,
  pose: mirroredPose(p.pose),
  mesh: mirrorTwin(p.mesh),
  seat: { at: [p.seat.at[0], -p.seat.at[1], p.seat.at[2]], normal: p.seat.normal },
})
const room = (shape: KeepOutShape, more: Partial<KeepOut> = {}): KeepOut => ({
  ...KEEP_OUT_DEFAULTS,
  name: 'swing of the lid',
  shape,
  ...more,
})
const SHAPES = ['cylinder', 'cone', 'sphere', 'sector'] as const

describe('room around a fitting', () => {
  it.each(SHAPES)(
    'of a %s: the signed distance is that of its drawn surface, and changes no faster than one moves',
    (shape) => {
      const wanted = room(shape, { at_mm: [0, 0, 0], from_deg: -20, to_deg: 115 })
      const distance = roomDistance(wanted)
      const axes = roomAxes({ at: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] }, wanted)
      const surface = roomMesh(wanted, axes)
      const { next } = random(71)
      for (let k = 0; k < 60; k++) {
        const p = [0, 1, 2].map(() => 500 * next() - 250) as [number, number, number]
        const q = p.map((v) => v + 40 * (next() - 0.5)) as [number, number, number]
        const d = distance(...p)
        expect(Math.abs(d - distance(...q))).toBeLessThanOrEqual(Math.hypot(...p.map((v, i) => v - q[i]!)) + 1e-9)
        const speck = makeMesh('job', Float32Array.of(0, 0, 0, 1e-4, 0, 0, 0, 1e-4, 0), Uint32Array.of(0, 1, 2), p)
        // The mesh has 48 corners around: its flats lie up to R (1 − cos 3.75°) = 0.3 mm (sphere: 0.8) within the true surface.
        expect(Math.abs(Math.abs(d) - drain(leastDistance(speck, surface)).distance_mm)).toBeLessThan(1.2)
      }
    },
  )

  it.each([
    ['cylinder', Math.PI * 100 * 100 * 200],
    ['cone', (Math.PI * (200 * Math.tan(Math.PI / 6)) ** 2 * 200) / 3],
    ['sphere', (4 / 3) * Math.PI * 1e6],
    ['sector', (110 / 360) * Math.PI * 100 * 100 * 200],
  ] as const)('is drawn as a closed %s of the right volume, on a mirrored twin too', (shape, volume) => {
    const wanted = room(shape)
    for (const p of [stands(ring, [300, 200, 40]), twinOf(stands(ring, [300, 200, 40]))]) {
      const { rooms } = drain(checkRooms([{ placed: p, rooms: [wanted] }], []))
      expect(plainVolume(rooms[0]!.mesh) / volume).toBeGreaterThan(0.985)
      expect(plainVolume(rooms[0]!.mesh) / volume).toBeLessThan(1.0001)
    }
  })

  it('tells how deep a tube reaches into it, between the corners of its facets as well', () => {
    const wanted = room('sphere', { at_mm: [0, 0, 0], radius_mm: 100 })
    const axes = roomAxes({ at: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] }, wanted)
    // One long facet whose corners all lie outside and whose plane passes 60 mm from the middle.
    const sail = makeMesh('job', Float32Array.of(-900, -700, 60, 900, -700, 60, 0, 1400, 60), Uint32Array.of(0, 1, 2))
    expect(drain(deepest(sail, wanted, axes))!.distance_mm).toBeCloseTo(-40, 1)
    const far = box([300, 0, 0], [310, 10, 10])
    expect(drain(deepest(far, wanted, axes))!.distance_mm).toBeCloseTo(200, 1)
    expect(drain(deepest(box([700, 0, 0], [710, 10, 10]), wanted, axes))).toBeNull()
  })

  it('agrees with the slow way: a million places on the surfaces of balls, each asked', () => {
    const { next } = random(5)
    for (const shape of SHAPES) {
      const wanted = room(shape, { axis: [0.3, -0.2, 1] })
      const p = stands(ring, [10, 20, 30])
      const ball = icosphere(60, 2, [next() * 300 - 150, next() * 300 - 150, next() * 300])
      const { rooms } = drain(checkRooms([{ placed: p, rooms: [wanted] }], [{ name: 'ball', mesh: ball, of: null }]))
      const axes = roomAxes({ at: [10, 20, 30], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] }, wanted)
      const distance = roomDistance(wanted)
      let best = Infinity
      for (let f = 0; f < ball.indices.length; f += 3)
        for (let i = 0; i <= 24; i++)
          for (let j = 0; i + j <= 24; j++) {
            const w = [i / 24, j / 24, 1 - (i + j) / 24]
            const q = [0, 1, 2].map((k) =>
              w.reduce(
                (sum, part, c) => sum + part * (ball.positions[3 * ball.indices[f + c]! + k]! + ball.origin[k]!),
                0,
              ),
            )
            const d = q.map((v, k) => v - axes.at[k]!)
            const on = (a: readonly number[]) => d.reduce((sum, v, k) => sum + v * a[k]!, 0)
            best = Math.min(best, distance(on(axes.x), on(axes.y), on(axes.z)))
          }
      const found = -rooms[0]!.against[0]!.depth_mm
      expect(found).toBeLessThanOrEqual(best + 0.011)
      expect(found).toBeGreaterThan(best - 0.6)
    }
  })

  it('minds others and not its own fitting, and mirrors with its twin', () => {
    const lid = stands(ring, [0, 300, 0], 'locker')
    const post = stands(box([-5, -5, 0], [5, 5, 150]), [60, 300, 0], 'post')
    const items = [lid, twinOf(lid)].map((placed) => ({
      placed,
      rooms: [room('sector', { at_mm: [0, 0, 20], radius_mm: 100, length_mm: 60, from_deg: -30, to_deg: 30 })],
    }))
    const all = [lid, twinOf(lid), post, twinOf(post)]
    const { rooms, findings } = drain(
      checkRooms(
        items,
        all.map((p) => ({ name: p.twin ? `${p.name} (twin)` : p.name, mesh: p.mesh, of: p })),
      ),
    )
    // The far side of the post lies 65 sin 30 = 32.5 mm from the straight sides and 35 mm from the arc; half of the plate's
    // 60 mm is less than either, and so is the depth.
    expect(rooms[0]!.against[0]).toMatchObject({ what: 'post' })
    expect(rooms[0]!.against[0]!.depth_mm).toBeCloseTo(30, 1)
    expect(rooms[1]!.against[0]!.depth_mm).toBeCloseTo(rooms[0]!.against[0]!.depth_mm, 6)
    expect(rooms[1]!.against[0]!.what).toBe('post (twin)')
    expect(findings.map((f) => f.severity)).toEqual(['hold', 'hold'])
    expect(findings[0]!.message).toMatch(/swing of the lid of locker is not free: post reaches \d+\.\d mm into it/)
  })
})

describe('fasteners', () => {
  const slab = (z0: number, z1: number) => box([-500, -500, z0], [500, 500, z1])
  const nowhere = box([0, 0, -9000], [1, 1, -8999])
  const tube = (y: number, z: number, radius_mm = 19): FittingTube => ({
    name: 'ring',
    axis: [
      [-500, y, z],
      [500, y, z],
    ],
    radius_mm,
  })
  const usual = { holes: true, into: 'shell', added: [] } as const
  const check = (
    settings: Parameters<typeof checkFasteners>[0][number]['settings'],
    scene: Partial<Parameters<typeof checkFasteners>[1]> = {},
    placed = stands(ring),
  ) =>
    drain(
      checkFasteners([{ placed, settings }], {
        solids: { topside: slab(-7, -1), underside: slab(-60, -54) },
        frame: nowhere,
        tubes: [],
        ...scene,
      }),
    )

  it('are found as round holes of the base: grip, laminate, and the room behind it', () => {
    const { fasteners, findings } = check(usual)
    expect(fasteners).toHaveLength(1)
    const [f] = fasteners
    expect(f).toMatchObject({ name: 'hole 1', into: 'shell', tube: null, along: [-0, -0, -1], freeToFrame_mm: null })
    expect(f!.diameter_mm).toBeCloseTo(10, 3)
    expect(f!.onFace![2]).toBeCloseTo(-1, 5)
    expect(f!.grip_mm).toBeCloseTo(7, 5)
    expect(f!.laminate_mm).toBeCloseTo(6, 5)
    // The other shell begins 47 mm behind; 1.5 · 10 + 20 = 35 mm are wanted.
    expect(f!.freeToShell_mm).toBeCloseTo(47, 0)
    expect(f!.neededBehind_mm).toBeCloseTo(35, 6)
    expect(findings).toEqual([])
  })

  it('are the user’s as well, at places that turn and mirror with the part, or only his', () => {
    const added = [{ at_mm: [30, 12], diameter_mm: 6 }] as const
    expect(check({ ...usual, added }).fasteners.map((f) => f.at.slice(0, 2))).toEqual([
      [expect.closeTo(0, 6), expect.closeTo(0, 6)],
      [30, 12],
    ])
    const twin = twinOf(stands(ring, [0, 100, 0]))
    const only = check({ ...usual, holes: false, added }, {}, twin).fasteners
    expect(only.map((f) => [...f.at])).toEqual([[30, -112, 0]])
  })

  it('hold when they would go into a tube that they should miss, and not a hair beside it', () => {
    expect(check(usual, { tubes: [tube(23.9, -25)] }).findings.map((f) => [f.severity, f.value?.toFixed(2)])).toEqual([
      ['hold', '-0.10'],
    ])
    expect(check(usual, { tubes: [tube(24.1, -25)] }).findings).toEqual([])
    // Deep below nut and thread it does not matter.
    expect(check(usual, { tubes: [tube(0, -80)] }).findings).toEqual([])
  })

  it('into a tube on purpose: squarely, beside its middle, or missed', () => {
    const into = { ...usual, into: 'tube' } as const
    expect(check(into, { tubes: [tube(2, -120)] }).findings).toEqual([])
    const kinds = (y: number) =>
      check(into, { tubes: [tube(y, -120)] }).findings.map((f) => [f.id.split('.')[2], f.severity])
    expect(kinds(8)).toEqual([['aside', 'warning']])
    expect(kinds(13.9)).toEqual([['aside', 'warning']])
    expect(kinds(14.1)).toEqual([['miss', 'hold']])
    expect(check(into).findings[0]!.message).toContain('no tube lies below it')
  })

  it('say what stands in the way of the tool behind the laminate', () => {
    // A bar of the frame 8 mm beside the hole, 12 mm behind the laminate: within the 14 mm that the tool takes.
    const { fasteners, findings } = check(usual, { frame: box([8, -300, -40], [30, 300, -19]) })
    expect(fasteners[0]!.freeToFrame_mm).toBeCloseTo(12, 0)
    expect(findings[0]).toMatchObject({ severity: 'warning' })
    expect(findings[0]!.message).toMatch(/12\.\d mm to the frame/)
    expect(check(usual, { frame: box([15, -300, -40], [30, 300, -19]) }).fasteners[0]!.freeToFrame_mm).toBeNull()
    const low = check(usual, { solids: { topside: slab(-7, -1), underside: slab(-30, -24) } })
    expect(low.findings.map((f) => f.severity)).toEqual(['note'])
  })

  it('hold where there is no shell below', () => {
    const { fasteners, findings } = check(usual, {}, stands(ring, [800, 0, 0]))
    expect(fasteners[0]).toMatchObject({ onFace: null, grip_mm: null })
    expect(findings[0]!.id).toBe('fitting.fastener.off.ring.hole-1')
  })

  it('measure two segments as a fine walk along both does', () => {
    const { next } = random(13)
    for (let k = 0; k < 40; k++) {
      const p = Array.from({ length: 4 }, () => [next(), next(), next()] as const)
      let best = Infinity
      for (let i = 0; i <= 200; i++)
        for (let j = 0; j <= 200; j++)
          best = Math.min(
            best,
            Math.hypot(
              ...[0, 1, 2].map(
                (c) =>
                  p[0]![c]! + (i / 200) * (p[1]![c]! - p[0]![c]!) - p[2]![c]! - (j / 200) * (p[3]![c]! - p[2]![c]!),
              ),
            ),
          )
      const d = segmentsApart(p[0]!, p[1]!, p[2]!, p[3]!)
      expect(d).toBeLessThanOrEqual(best + 1e-12)
      expect(best - d).toBeLessThan(0.01)
    }
  })
})

describe('distances to edge and joint', () => {
  it('are those on paper, to 1e-3 mm, with the pair of places', () => {
    // 1 m by 0.8 m, about the origin; the joint is the strip of facets along its port side.
    const plate = gridPlate(1000, 800, 10, 8, 0)
    const low = plate.positions.reduce(
      (least, v, i) => (i % 3 === 1 ? Math.min(least, v + plate.origin[1]) : least),
      1e9,
    )
    const high = low + 800
    const joint = Uint8Array.from({ length: plate.indices.length / 3 }, (_, f) =>
      [0, 1, 2].every((c) => plate.positions[3 * plate.indices[3 * f + c]! + 1]! + plate.origin[1] > high - 101)
        ? 1
        : 0,
    )
    const shell = { face: plate, joint }
    const at = plate.positions[2]! + plate.origin[2]
    const middle = [0, 1].map((k) => {
      const all = [...plate.positions].filter((_, i) => i % 3 === k).map((v) => v + plate.origin[k]!)
      return (Math.min(...all) + Math.max(...all)) / 2
    })
    const cube = stands(box([-20, -20, 30], [20, 20, 70]), [middle[0]!, high - 250, at])
    const [found] = drain(edgeDistances([cube], { topside: shell, underside: shell }))
    expect(found!.toEdge!.min_mm).toBeCloseTo(Math.hypot(230, 30), 3)
    expect(found!.toEdge!.there[1]).toBeCloseTo(high, 3)
    expect(found!.toJoint!.min_mm).toBeCloseTo(Math.hypot(130, 30), 3)
  })

  it('agree with an independent method on random parts to 1e-3 mm: every side of the part against every piece of the edge', () => {
    const { next } = random(29)
    const disc = gridPlate(600, 600, 12, 12, 0)
    const rim = drain(rimLine(disc))!
    for (let k = 0; k < 6; k++) {
      const ball = icosphere(30 + 20 * next(), 1, [400 * next() - 200, 400 * next() - 200, 20 + 100 * next()])
      const { distance_mm } = drain(leastDistance(ball, rim))
      const corner = (m: Mesh, v: number) =>
        [0, 1, 2].map((c) => m.positions[3 * v + c]! + m.origin[c]!) as [number, number, number]
      let best = Infinity
      for (let e = 0; e < rim.indices.length; e += 3)
        for (let f = 0; f < ball.indices.length; f++) {
          const g = f % 3 === 2 ? f - 2 : f + 1
          best = Math.min(
            best,
            segmentsApart(
              corner(rim, rim.indices[e]!),
              corner(rim, rim.indices[e + 1]!),
              corner(ball, ball.indices[f]!),
              corner(ball, ball.indices[g]!),
            ),
          )
        }
      // A convex ball meets a straight edge in a corner or side of its facets, unless the edge looks straight at a facet.
      expect(distance_mm).toBeLessThanOrEqual(best + 1e-3)
      expect(distance_mm).toBeGreaterThan(best - 0.6)
    }
  })
})
