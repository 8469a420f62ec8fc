import { describe, expect, it } from 'vitest'
import { clipped, horizon, widest } from '../../../src/core/fitting/horizon'
import type { Point } from '../../../src/core/geometry/axes'
import { drain } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { random } from '../../support/random'
import { box, frustum, joined, moved } from '../../support/solids'

const DEG = Math.PI / 180
const shift = (x: number, y: number, z: number) => [1, 0, 0, x, 0, 1, 0, y, 0, 0, 1, z, 0, 0, 0, 1]
const bodies = (...meshes: Mesh<'job'>[]) => meshes.map((mesh, i) => ({ name: `body ${i}`, mesh }))
const seen = (at: Point<'job'>, meshes: Mesh<'job'>[], elevation = 0) =>
  drain(horizon(at, bodies(...meshes), [elevation]))[0]!.sectors
/** An upright tube of diameter d with its axis at x, 0, through z = 0. */
const tube = (d: number, x: number, y = 0, n = 256) => moved(frustum(d / 2, d / 2, 400, n), shift(x, y, -200))

/** Does the ray from the origin meet the infinite cylinder? By the distance of two lines: another way altogether. */
function meetsCylinder(p: number[], foot: number[], axis: number[], r: number): boolean {
  const c = [
    p[1]! * axis[2]! - p[2]! * axis[1]!,
    p[2]! * axis[0]! - p[0]! * axis[2]!,
    p[0]! * axis[1]! - p[1]! * axis[0]!,
  ]
  const dot = c.reduce((sum, v, k) => sum + v * foot[k]!, 0)
  return Math.abs(dot) <= r * Math.hypot(...c) && p.reduce((sum, v, k) => sum + v * foot[k]!, 0) > 0
}

/** Does the ray from the origin meet the box? Slabs. */
function meetsBox(p: number[], min: number[], max: number[]): boolean {
  let near = 0
  let far = Infinity
  for (let k = 0; k < 3; k++) {
    const a = min[k]! / p[k]!
    const b = max[k]! / p[k]!
    near = Math.max(near, Math.min(a, b))
    far = Math.min(far, Math.max(a, b))
  }
  return near <= far
}

/** First and last hidden bearing by stepping and halving. */
function byRays(hit: (p: number[]) => boolean, elevation: number, from: number, to: number): [number, number] {
  const at = (bearing: number) => hit([Math.cos(bearing * DEG), -Math.sin(bearing * DEG), Math.tan(elevation * DEG)])
  let first = Number.NaN
  let last = Number.NaN
  const halve = (a: number, b: number) => {
    for (let i = 0; i < 40; i++) {
      const m = (a + b) / 2
      if (at(m) === at(a)) a = m
      else b = m
    }
    return a
  }
  for (let b = from; b < to; b += 0.05) {
    if (!at(b) && at(b + 0.05)) first = halve(b, b + 0.05)
    if (at(b) && !at(b + 0.05)) last = halve(b, b + 0.05)
  }
  return [first, last]
}

describe('horizon of a light', () => {
  it('S02: a 38 mm tube at 250 mm hides 8.717° by tangents, dead astern', () => {
    const [sector, ...rest] = seen([250, 0, 0], [tube(38, 0)])
    expect(rest).toEqual([])
    expect(sector!.width_deg).toBeCloseTo(8.717, 3)
    expect((sector!.from_deg + sector!.to_deg) / 2).toBeCloseTo(180, 6)
    expect(sector!.distance_mm).toBeCloseTo(231, 0)
  })

  it('S02: the tube passes 6° from 363.04 mm on and not at 363.00', () => {
    const width = (d: number) => widest(seen([0, 0, 0], [tube(38, d, 0, 2048)]))!.width_deg
    expect(width(363.05)).toBeLessThan(6)
    expect(width(363)).toBeGreaterThan(6)
    // 50 mm tube: 25 / sin 3°.
    expect(width(38 / 2 / Math.sin(3 * DEG))).toBeCloseTo(6, 4)
  })

  it('runs past the bow as one sector', () => {
    const sectors = seen([0, 0, 0], [tube(38, 250)])
    expect(sectors).toHaveLength(1)
    expect(sectors[0]!.from_deg).toBeCloseTo(360 - 8.717 / 2, 2)
    expect(sectors[0]!.width_deg).toBeCloseTo(8.717, 3)
  })

  it('joins what overlaps, keeps apart what does not, and names what hides most', () => {
    const sectors = drain(horizon([0, 0, 0], bodies(tube(38, 250), tube(60, 255, 30), tube(38, 0, 250)), [0]))[0]!
      .sectors
    expect(sectors.map((s) => s.by)).toEqual(['body 2', 'body 1'])
    expect(sectors[0]!.width_deg).toBeCloseTo(8.717, 3)
    // Port is bearing 270.
    expect((sectors[0]!.from_deg + sectors[0]!.to_deg) / 2).toBeCloseTo(270, 6)
  })

  it('does not care how the surface is cut into facets', () => {
    const one = seen([0, 0, 0], [box([200, -50, -10], [300, 50, 10])])
    const two = seen([0, 0, 0], [joined(box([200, -50, -10], [300, 0, 10]), box([200, 0, -10], [300, 50, 10]))])
    expect(one[0]!.width_deg).toBeCloseTo(2 * (Math.atan(50 / 200) / DEG), 9)
    expect(two.map((s) => s.width_deg)).toEqual([expect.closeTo(one[0]!.width_deg, 6)])
  })

  it('is right to 0.05° for leaning cylinders of 64 facets, at any elevation', () => {
    const chance = random(21)
    let worst = 0
    for (let i = 0; i < 30; i++) {
      const r = chance.between(10, 30)
      const lean = chance.between(0, 45) * DEG
      const towards = chance.between(0, 360) * DEG
      const axis = [Math.sin(lean) * Math.cos(towards), Math.sin(lean) * Math.sin(towards), Math.cos(lean)]
      const d = chance.between(150, 800)
      const e1 = [Math.cos(lean) * Math.cos(towards), Math.cos(lean) * Math.sin(towards), -Math.sin(lean)]
      const e2 = [-Math.sin(towards), Math.cos(towards), 0]
      const long = frustum(r, r, 8000, 64)
      const pose = [0, 1, 2].flatMap((k) => [e1[k]!, e2[k]!, axis[k]!, (k === 0 ? -d : 0) - 4000 * axis[k]!])
      const mesh = moved(long, [...pose, 0, 0, 0, 1])
      const elevation = chance.between(-5, 5)
      const [sector] = seen([0, 0, 0], [mesh], elevation)
      const [first, last] = byRays((p) => meetsCylinder(p, [-d, 0, 0], axis, r), elevation, 90, 270)
      worst = Math.max(worst, Math.abs(sector!.from_deg - first), Math.abs(sector!.to_deg - last))
    }
    expect(worst).toBeLessThan(0.05)
  })

  it('is exact for boxes in any place, also with a face at the height of the light', () => {
    const chance = random(22)
    for (let i = 0; i < 30; i++) {
      const min = [-chance.between(400, 900), chance.between(-200, 100), chance.between(-80, -5)]
      const max = [min[0]! + chance.between(50, 250), min[1]! + chance.between(30, 150), i % 5 === 0 ? 0 : 60]
      const elevation = i % 5 === 0 ? -1e-4 : chance.between(-3, 3)
      const solid = box(min as [number, number, number], max as [number, number, number])
      const sectors = seen([0, 0, 0], [solid], elevation)
      const [first, last] = byRays((p) => meetsBox(p, min, max), elevation, 90, 270)
      if (sectors.length === 0) expect(first).toBeNaN()
      else {
        expect(Math.abs(sectors[0]!.from_deg - first)).toBeLessThan(1e-3)
        expect(Math.abs(sectors[0]!.to_deg - last)).toBeLessThan(1e-3)
      }
    }
  })

  it('is hidden all round inside a closed ring', () => {
    expect(seen([0, 0, 50], [frustum(100, 100, 100, 24)])[0]!.width_deg).toBeCloseTo(360, 6)
  })

  it('clips to the arc that is asked, across the bow too', () => {
    const sectors = seen([0, 0, 0], [tube(38, 250)])
    expect(clipped(sectors, 0, 112.5).map((s) => s.width_deg)).toEqual([expect.closeTo(8.717 / 2, 2)])
    expect(clipped(sectors, 247.5, 225).map((s) => s.width_deg)).toEqual([expect.closeTo(8.717, 2)])
    expect(clipped(sectors, 112.5, 135)).toEqual([])
  })
})
