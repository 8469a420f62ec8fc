import { describe, expect, it } from 'vitest'
import { planHeights } from '../../../src/core/fitting/plan-heights'
import { CHASE_DEFAULTS } from '../../../src/core/fitting/seat-settings'
import type { PlacedFitting } from '../../../src/core/fitting/types'
import { WIRE_DEFAULTS, type Wire } from '../../../src/core/fitting/wire-settings'
import { neededSection_mm2, type WireOptions, wirePlan } from '../../../src/core/fitting/wires'
import { drain } from '../../../src/core/geometry/kernel'
import { makeMesh } from '../../../src/core/geometry/mesh'

/** A roof of 30 degrees on both sides of y = 0, 2 m square: a wire across it is longer than its plan by 1/cos 30. */
const SLOPE = Math.tan(Math.PI / 6)
const roof = makeMesh(
  'job',
  Float32Array.of(
    ...[-1000, -1000, 0, 1000, -1000, 0, 1000, 0, 1000 * SLOPE, -1000, 0, 1000 * SLOPE],
    ...[1000, 1000, 0, -1000, 1000, 0],
  ),
  Uint32Array.of(0, 1, 2, 0, 2, 3, 3, 2, 4, 3, 4, 5),
)
const plan = drain(planHeights(roof))
const heightAt = (y: number) => (1000 - Math.abs(y)) * SLOPE
const part = (id: string, x: number, y: number, twin = false) =>
  ({
    id,
    name: id,
    twin,
    on: 'topside',
    seat: { at: [x, y, heightAt(y)], normal: [0, 0, 1] },
  }) as unknown as PlacedFitting
const options = (change: Partial<WireOptions> = {}): WireOptions => ({
  placed: [part('lamp', 0, 500), part('lamp', 0, -500, true), part('box', 0, -500)],
  chases: [],
  plans: { topside: plan, underside: plan },
  tanDraft: 0,
  ...change,
})
const wire = (change: Partial<Wire> = {}): Wire => ({
  ...WIRE_DEFAULTS,
  id: 'w',
  name: 'feed',
  from: 'lamp',
  to: 'box',
  ...change,
})

describe('wires', () => {
  it('lie on the shell: over a roof of 30 degrees a metre in plan is 1/cos 30 of it', () => {
    const { wires, findings } = wirePlan([wire()], options())
    expect(wires[0]!.length_mm).toBeCloseTo(1000 / Math.cos(Math.PI / 6), 3)
    expect(wires[0]!.cut_mm).toBeCloseTo((1.1 * 1000) / Math.cos(Math.PI / 6), 3)
    expect(findings).toEqual([])
  })

  it('go by their corners, and out through a leg straight down from the shell', () => {
    const way = wire({ to: null, exit_mm: [0, 0, -800], via_mm: [[300, 500]] })
    const [made] = wirePlan([way], options()).wires
    const back = Math.sqrt(300 ** 2 + (500 / Math.cos(Math.PI / 6)) ** 2)
    expect(made!.length_mm).toBeCloseTo(300 + back + 1000 * SLOPE + 800, 3)
    expect(made!.to).toBe('out through a leg')
  })

  it('the mirror image runs from the twin, as long to a hair', () => {
    const { wires } = wirePlan([wire({ to: null, exit_mm: [100, 40, -500], mirror: true })], options())
    expect(wires.map((w) => w.twin)).toEqual([false, true])
    expect(wires[1]!.points[0]![1]).toBe(-500)
    expect(wires[1]!.points.at(-1)).toEqual([100, -40, -500])
    expect(wires[1]!.length_mm).toBeCloseTo(wires[0]!.length_mm, 9)
  })

  it('S16: 10 A over 21 ft out and back at 12 V: 3 % wants 6270.8 circular mils, 10 % wants 1881.3', () => {
    const feet = 21 * 0.3048
    const mils = (mm2: number) => mm2 / 5.067074790974977e-4
    expect(mils(neededSection_mm2(10, feet, 0.03 * 12))).toBeCloseTo(6270.8, 1)
    expect(mils(neededSection_mm2(10, feet, 0.1 * 12))).toBeCloseTo(1881.25, 2)
  })

  it('a wire that is too thin is said, with the section that keeps to the drop', () => {
    const thin = wire({ current_A: 20, section_mm2: 0.5 })
    const { wires, findings } = wirePlan([thin], options())
    expect(findings[0]!.id).toBe('fitting.wire.drop.w')
    const again = wirePlan([{ ...thin, section_mm2: wires[0]!.needed_mm2! }], options())
    expect(again.wires[0]!.drop).toBeCloseTo(0.03, 12)
    expect(again.findings).toEqual([])
  })

  it('a chase takes them the way it goes, from its nearer end, and says how full it is', () => {
    const chase = {
      ...CHASE_DEFAULTS,
      id: 'c',
      name: 'channel',
      width_mm: 10,
      depth_mm: 5,
      path_mm: [
        [200, -500],
        [200, 500],
      ] as const,
    }
    const { wires, fills, findings } = wirePlan(
      [wire({ chases: ['c'], outside_mm: 4 }), wire({ id: 'v', chases: ['c'], outside_mm: 4 })],
      options({ chases: [chase] }),
    )
    expect(wires[0]!.points.findIndex((p) => p[0] === 200 && p[1] === 500)).toBeGreaterThan(0)
    expect(wires[0]!.length_mm).toBeCloseTo(1000 / Math.cos(Math.PI / 6) + 400, 3)
    expect(fills).toHaveLength(1)
    expect(fills[0]!.fill).toBeCloseTo((2 * Math.PI * 4) / 50, 12)
    expect(findings.map((f) => f.id)).toEqual(['fitting.wire.full.c.channel'])
  })

  it('the twin runs in the mirror image of the chase, and in none where it has none', () => {
    const chase = {
      ...CHASE_DEFAULTS,
      id: 'c',
      name: 'channel',
      path_mm: [
        [200, 500],
        [200, 300],
      ] as const,
    }
    const both = wire({ chases: ['c'], mirror: true, to: null, exit_mm: [0, 100, -500] })
    const without = wirePlan([both], options({ chases: [chase] }))
    expect(without.fills.map((f) => [f.name, f.wires])).toEqual([['channel', 1]])
    expect(without.wires[1]!.points.some((p) => p[0] === 200)).toBe(false)
    const mirrored = wirePlan([both], options({ chases: [{ ...chase, mirror: true }] }))
    expect(mirrored.fills.map((f) => [f.name, f.wires])).toEqual([
      ['channel', 1],
      ['channel, mirror image', 1],
    ])
    expect(mirrored.wires[1]!.points.some((p) => p[0] === 200 && p[1] === -500)).toBe(true)
  })

  it('runs through its chases one after the other, each from the end it comes to, and fills them all', () => {
    const one = { ...CHASE_DEFAULTS, id: 'c', name: 'first', width_mm: 10, depth_mm: 5 }
    const first = {
      ...one,
      path_mm: [
        [200, -300],
        [200, 500],
      ] as const,
    }
    const second = {
      ...one,
      id: 'd',
      name: 'second',
      path_mm: [
        [-200, -500],
        [-200, -300],
      ] as const,
    }
    const both = options({ chases: [second, first] })
    const { wires, fills } = wirePlan([wire({ chases: ['c', 'd'] })], both)
    const corner = (x: number, y: number) => wires[0]!.points.findIndex((p) => p[0] === x && p[1] === y)
    const order = [corner(200, 500), corner(200, -300), corner(-200, -300), corner(-200, -500)]
    expect(order.every((at, i) => at > (order[i - 1] ?? 0))).toBe(true)
    expect(wires[0]!.through).toEqual(['first', 'second'])
    expect(fills.map((f) => f.chase).sort()).toEqual(['c', 'd'])
    // The other way round it is another way, and a longer one.
    const other = wirePlan([wire({ chases: ['d', 'c'] })], both).wires[0]!
    expect(other.through).toEqual(['second', 'first'])
    expect(other.length_mm).toBeGreaterThan(wires[0]!.length_mm)
  })

  it('says so where a chase is not there any more', () => {
    const { wires, findings } = wirePlan([wire({ chases: ['gone'] })], options())
    expect(findings.map((f) => f.id)).toEqual(['fitting.wire.chase.w.gone'])
    expect(wires[0]!.through).toEqual([])
  })

  it('a chase with a draft of its own holds what its own walls leave room for', () => {
    const chase = { ...CHASE_DEFAULTS, id: 'c', name: 'channel', width_mm: 10, depth_mm: 10, draft_deg: 45 }
    const path_mm = [
      [0, 300],
      [0, -300],
    ] as const
    const { fills } = wirePlan([wire({ chases: ['c'] })], options({ chases: [{ ...chase, path_mm }] }))
    // 10 mm of floor, walls that open by 10 mm each: 200 mm2.
    expect(fills[0]!.fill).toBeCloseTo((Math.PI * 9) / 4 / 200, 12)
  })

  it('an end that is not there is said, and nothing is made up', () => {
    const { wires, findings } = wirePlan([wire({ to: 'gone' }), wire({ to: null })], options())
    expect(wires).toEqual([])
    expect(findings).toHaveLength(2)
  })
})
