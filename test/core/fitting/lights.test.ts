import { describe, expect, it } from 'vitest'
import { fittingStep } from '../../../src/core/fitting'
import { FASTENER_DEFAULTS } from '../../../src/core/fitting/fastening-settings'
import { arcOf, fullArcOf, range_nm } from '../../../src/core/fitting/light-rules'
import { tiltAbout } from '../../../src/core/fitting/lights'
import { type LightKind, PEOPLE_DEFAULTS, VESSEL_DEFAULTS } from '../../../src/core/fitting/settings'
import type { FittingItem, FittingRequest } from '../../../src/core/fitting/types'
import { transformPoint } from '../../../src/core/geometry/axes'
import { drain } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { box, frustum, gridPlate, inAxes } from '../../support/solids'

const part = (mesh: Mesh) => inAxes(mesh, 'part')
const item = (
  id: string,
  mesh: Mesh,
  at_mm: readonly [number, number],
  more: Partial<FittingItem> = {},
): FittingItem => ({
  id,
  name: id,
  mesh: part(mesh),
  on: 'topside',
  at_mm,
  turn_deg: 0,
  upright: true,
  mirror: false,
  baseNormal: null,
  mass_kg: null,
  light: null,
  faces: null,
  handle: false,
  fasteners: FASTENER_DEFAULTS,
  keepOuts: [],
  ...more,
})
const light = (kind: LightKind, source_mm: number | null = 100) => ({ kind, forward_deg: 0, source_mm })
const lamp = frustum(20, 20, 120, 24)
/** A plate 1 m by 0.8 m: nothing on it rises into the horizontal of a lamp at 100 mm but what is put there. */
const plate = gridPlate(1000, 800, 4, 4, 50)
const solid = { solid: plate, joint: new Uint8Array(plate.indices.length / 3) }
const request = (items: readonly FittingItem[], vessel = {}): FittingRequest => ({
  items,
  frame: box([0, 0, -900], [10, 10, -890]),
  topside: plate,
  underside: plate,
  shells: { topside: solid, underside: solid },
  tubes: [],
  gap_mm: 12,
  vessel: { ...VESSEL_DEFAULTS, ...vessel },
  people: PEOPLE_DEFAULTS,
  wires: [],
  chases: [],
  draft_deg: 3,
})
const plan = (items: readonly FittingItem[], vessel = {}) => drain(fittingStep(request(items, vessel)))
const post = (d: number) => frustum(d / 2, d / 2, 300, 256)

describe('lights on fittings', () => {
  it('S01: arcs make a circle, and the boundary bears 112.5 from ahead', () => {
    expect(arcOf('masthead').width_deg + arcOf('stern').width_deg).toBe(360)
    expect(arcOf('port').width_deg + arcOf('starboard').width_deg + arcOf('stern').width_deg).toBe(360)
    expect(arcOf('starboard').from_deg + arcOf('starboard').width_deg).toBe(112.5)
    expect(arcOf('stern').from_deg).toBe(112.5)
    expect(fullArcOf('starboard')).toEqual({ from_deg: 0, width_deg: 107.5 })
    expect([9, 15, 30].map((l) => range_nm('masthead', l))).toEqual([2, 3, 5])
    expect(range_nm('port', 9)).toBe(1)
  })

  it('S07: a coaming that is hidden from 5° down is looked at to 7.5°, where 60 % is asked, and as she runs bow up', () => {
    // Ahead of the lamp a coaming; the far edge of its top lies 6° below the source: 300 mm off, 31.5 mm lower.
    const away = 300
    const height = 100 - away * Math.tan((6 * Math.PI) / 180)
    const coaming = box([0, -60, 0], [20, 60, height])
    const items = [
      item('lamp', lamp, [500, 400], { light: light('masthead') }),
      item('coaming', coaming, [500 + away - 10, 400], { baseNormal: [0, 0, -1] }),
    ]
    const level = plan(items)
    expect(level.lights[0]!.verdict).toBe('clear')
    expect(level.lights[0]!.running).toBeNull()
    expect(level.lights[0]!.weaker.elevation_deg).toBeLessThanOrEqual(-6)
    expect(level.findings.map((f) => f.id)).toContain('fitting.light-weaker.lamp')
    // 5.9° bow up it still looks over the coaming at the horizontal, 6.1° bow up not any more.
    const running = (trim_deg: number) => plan(items, { trim_deg })
    expect(running(5.9).lights[0]!.running!.widest_deg).toBe(0)
    const up = running(6.1)
    expect(up.lights[0]!.running!.widest_deg).toBeGreaterThan(5)
    expect(up.findings.find((f) => f.id === 'fitting.light-running.lamp')?.message).toContain('coaming')
    // Bow down the coaming sinks further below the horizon.
    expect(running(-6.1).lights[0]!.running!.widest_deg).toBe(0)
  })

  it('tilts about the light: bow up lifts what is ahead, leaning to port lowers what is to port', () => {
    const at = [10, 20, 30] as const
    const moved = (p: readonly [number, number, number], trim_deg: number, heel_deg: number) =>
      transformPoint(tiltAbout(at, { trim_deg, heel_deg }), p)
    expect(
      moved(at, 7, 11)
        .map((v, k) => v - at[k]!)
        .every((d) => Math.abs(d) < 1e-12),
    ).toBe(true)
    expect(moved([110, 20, 30], 6, 0)[2] - 30).toBeCloseTo(100 * Math.sin((6 * Math.PI) / 180), 9)
    expect(moved([10, 120, 30], 0, 9)[2] - 30).toBeCloseTo(-100 * Math.sin((9 * Math.PI) / 180), 9)
    const [x, y, z] = moved([60, -40, 90], 5, -8)
    expect(Math.hypot(x - 10, y - 20, z - 30)).toBeCloseTo(Math.hypot(50, 60, 60), 9)
  })

  it('holds an all-round light behind a post at 250 mm, names it, and says by how much to move', () => {
    const { lights, findings } = plan([
      item('lamp', lamp, [500, 400], { light: light('all-round') }),
      item('post', post(38), [250, 400]),
    ])
    expect(lights[0]!.horizontal.widest_deg).toBeCloseTo(8.717, 2)
    expect(lights[0]!.verdict).toBe('hidden')
    // 363.04 − 250 by tangents.
    expect(lights[0]!.moveAway_mm).toBeCloseTo(113.04, 0)
    const hold = findings.find((f) => f.id === 'fitting.light.lamp')!
    expect(hold.severity).toBe('hold')
    expect(hold.message).toMatch(/8\.8° astern by post; 6° is allowed/)
    expect(hold.advice).toMatch(/forward.*flag state/)
  })

  it('lets it pass once it stands far enough off, and an anchor light anyhow', () => {
    const at = (x: number, kind: LightKind) =>
      plan([item('lamp', lamp, [x, 400], { light: light(kind) }), item('post', post(38), [250, 400])]).lights[0]!
    expect(at(615, 'all-round').verdict).not.toBe('hidden')
    expect(at(610, 'all-round').verdict).toBe('hidden')
    expect(at(500, 'anchor').verdict).toBe('excepted')
  })

  it('asks of a sternlight only what lies abaft, and there nothing may be hidden', () => {
    const behind = (kind: LightKind) =>
      plan([item('lamp', lamp, [500, 400], { light: light(kind) }), item('post', post(8), [250, 400])]).lights[0]!
    expect(behind('stern').verdict).toBe('hidden')
    expect(behind('masthead').worst.widest_deg).toBe(0)
  })

  it('turns the twin of a sidelight to the other side', () => {
    const { lights } = drain(
      fittingStep({
        ...request([item('side', lamp, [100, 200], { light: light('port', null), mirror: 'geometry' })]),
        topside: gridPlate(1000, 800, 4, 4, 50),
      }),
    )
    expect(lights.map((l) => l.kind)).toEqual(['port', 'starboard'])
    expect(lights[1]!.source[1]).toBeCloseTo(-lights[0]!.source[1], 9)
    // Nobody said where the source is: three quarters of 120 mm, with a note.
    expect(lights[0]!.source[2] - 50).toBeCloseTo(90, 1)
  })

  it('looks the other way on the twin of a light that is turned', () => {
    const turned = { ...light('port'), forward_deg: 30 }
    const { lights } = plan([item('side', lamp, [100, 200], { light: turned, mirror: 'geometry' })])
    expect(lights.map((l) => l.forward_deg)).toEqual([30, -30])
  })

  it('asks nothing of a lamp that is there to see by', () => {
    const lit = (kind: LightKind) =>
      plan([item('lamp', lamp, [500, 400], { light: light(kind) }), item('post', post(38), [250, 400])])
    expect(lit('all-round').lights).toHaveLength(1)
    expect(lit('deck').lights).toEqual([])
    expect(lit('deck').findings.filter((f) => f.id.startsWith('fitting.light'))).toEqual([])
  })

  it('S06: a masthead light 0.95 m above the sidelights fails below 12 m', () => {
    const ids = (source_mm: number) =>
      plan(
        [
          item('mast', post(30), [800, 400], { light: light('masthead', source_mm) }),
          item('side', lamp, [100, 100], { light: light('starboard', 100) }),
        ],
        { length_m: 9 },
      ).findings.map((f) => f.id)
    expect(ids(1050)).toContain('fitting.light-height.mast')
    expect(ids(1101)).not.toContain('fitting.light-height.mast')
  })
})

describe('the part itself', () => {
  it('is told when its size is that of a wrong unit, either way, and when its STEP file lost faces', () => {
    const said = (scale: number, more: Partial<FittingItem> = {}) =>
      plan([item('lamp', frustum(20 * scale, 20 * scale, 120 * scale, 24), [0, 0], more)]).findings.filter(
        (f) => f.id.startsWith('fitting.size') || f.id.startsWith('fitting.faces'),
      )
    expect(said(1)).toEqual([])
    expect(said(1 / 25.4)[0]!.message).toBe('lamp is 4.7 mm long; read as inches it would be 120 mm.')
    expect(said(25.4)[0]!.message).toBe('lamp is 3048 mm long; were its inches taken twice it would be 120 mm.')
    expect(said(1, { faces: { stated: 9, read: 9 } })).toEqual([])
    expect(said(1, { faces: { stated: 9, read: 7 } })[0]).toMatchObject({ severity: 'warning', value: 7, limit: 9 })
  })

  it('has its base drawn where it stands', () => {
    const { bodies } = plan([item('box', box([0, 0, 0], [60, 40, 30]), [100, 50])])
    expect(bodies[0]!.size_mm).toEqual([60, 40, 30])
    const xs = bodies[0]!.borders[0]!.map((p) => p[0])
    expect([Math.min(...xs), Math.max(...xs)]).toEqual([expect.closeTo(70, 3), expect.closeTo(130, 3)])
  })
})
