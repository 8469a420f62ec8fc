/** A plan after a drag finds much of its answers again: they have to be those of a plan that knows nothing yet. */
import { expect, it } from 'vitest'
import { fittingStep } from '../../../src/core/fitting'
import { FASTENER_DEFAULTS } from '../../../src/core/fitting/fastening-settings'
import { PEOPLE_DEFAULTS, VESSEL_DEFAULTS } from '../../../src/core/fitting/settings'
import type { FittingItem, FittingRequest } from '../../../src/core/fitting/types'
import { drain } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { Remembered } from '../../../src/core/geometry/remembered'
import { box, frustum, gridPlate, inAxes } from '../../support/solids'

const lamp = inAxes(frustum(40, 20, 90, 48), 'part')
const chest = inAxes(box([0, 0, 0], [120, 80, 60]), 'part')
const item = (id: string, mesh: Mesh<'part'>, x: number, y: number, more: Partial<FittingItem> = {}): FittingItem => ({
  id,
  name: id,
  mesh,
  on: 'topside',
  at_mm: [x, y],
  turn_deg: 0,
  upright: false,
  mirror: false,
  baseNormal: null,
  mass_kg: null,
  light: null,
  faces: null,
  fasteners: FASTENER_DEFAULTS,
  keepOuts: [],
  handle: false,
  ...more,
})
const plate = gridPlate(1000, 800, 4, 4, 50)
const solid = box([0, 0, 20], [1000, 800, 50])
const request: FittingRequest = {
  items: [],
  frame: box([0, 300, -60], [1000, 340, -20]),
  topside: plate,
  underside: gridPlate(1000, 800, 4, 4, 20),
  shells: {
    topside: { solid, joint: new Uint8Array(32).fill(1, 0, 4) },
    underside: { solid, joint: new Uint8Array(32).fill(1, 0, 4) },
  },
  tubes: [],
  gap_mm: 12,
  vessel: VESSEL_DEFAULTS,
  people: PEOPLE_DEFAULTS,
  wires: [],
  chases: [],
  draft_deg: 3,
}

it('fittings dragged one after the other, there and back: every answer is that of a plan from nothing', () => {
  const items = [
    item('lamp', lamp, 300, 300),
    item('second lamp', lamp, 500, 300, { mirror: 'position' }),
    item('chest', chest, 700, 500, { mirror: 'geometry' }),
  ]
  const moves: readonly (readonly [number, number, Partial<FittingItem>])[] = [
    [0, 320, {}],
    [1, 480, { turn_deg: 30 }],
    [2, 340, { baseNormal: [0, 0, 1] }],
    [0, 300, {}],
    [2, 700, { on: 'underside' }],
  ]
  for (const [which, x, more] of [[0, 300, {}], ...moves] as typeof moves) {
    items[which] = { ...items[which]!, ...more, at_mm: [x, items[which]!.at_mm[1]] }
    const warm = drain(fittingStep({ ...request, items: [...items] }))
    // Copies of all meshes: nothing hangs on them yet.
    const cold = drain(fittingStep(structuredClone({ ...request, items })))
    expect(warm).toEqual(cold)
  }
})

it('keeps the answers that were used last, and for each mesh its own', () => {
  const known = new Remembered<number>()
  for (const key of ['a', 'b', 'c']) known.set(lamp, key, key.charCodeAt(0), 2)
  expect(['a', 'b', 'c'].map((key) => known.get(lamp, key))).toEqual([undefined, 98, 99])
  expect(known.get(lamp, 'b')).toBe(98)
  known.set(lamp, 'd', 100, 2)
  expect(['b', 'c', 'd'].map((key) => known.get(lamp, key))).toEqual([98, undefined, 100])
  expect(known.get(chest, 'b')).toBeUndefined()
})
