import { describe, expect, it } from 'vitest'
import { analysisStep } from '../../../src/core/analysis'
import {
  type Chase,
  SEAT_DEFAULTS,
  type SeatItem,
  type SeatSettings,
  type SeatsResult,
  seatsStep,
} from '../../../src/core/fitting'
import { CHASE_DEFAULTS } from '../../../src/core/fitting/seat-settings'
import { drain } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { box, frustum, inAxes } from '../../support/solids'
import { drafts, expectClosed, expectExactlySymmetric, expectValidSolid, plan } from '../clearance/shells'
import { ringFrame } from '../clearance/tube-frame'

const frame = ringFrame({ noise: 0.2, low: 6, seed: 3 })
const shells = plan(frame, { cavity_mm: 40 }, { noise_mm: 0.2 })
const round = inAxes(frustum(44, 30, 60, 72), 'part')
const block = inAxes(box([-70, -45, 0], [70, 45, 20]), 'part')

const item = (
  id: string,
  mesh: Mesh<'part'>,
  at_mm: readonly [number, number],
  seat: Partial<SeatSettings>,
  more: Partial<SeatItem> = {},
): SeatItem => ({
  id,
  name: id,
  mesh,
  on: 'topside',
  at_mm,
  turn_deg: 0,
  upright: false,
  mirror: false,
  baseNormal: null,
  seat: { ...SEAT_DEFAULTS, kind: 'pad', ...seat },
  ...more,
})

const chase = (id: string, path_mm: Chase['path_mm'], more: Partial<Chase> = {}): Chase => ({
  ...CHASE_DEFAULTS,
  id,
  name: id,
  path_mm,
  ...more,
})

const seats = (items: readonly SeatItem[], chases: readonly Chase[] = []): SeatsResult =>
  drain(
    seatsStep({
      items,
      chases,
      underside: shells.underside,
      topside: shells.topside,
      imported: { underside: false, topside: false },
      draft_deg: 3,
      minRadius_mm: 12,
      bond_mm: 2,
      certificate: shells.certificate,
      frame,
      rimVertex: new Uint8Array(frame.positions.length / 3),
      unseenFacet: null,
      gap: 12,
    }),
  )

/** Five on one shell's centreline and in pairs, a recess under it, two chases: twelve features, twins counted. */
const TWELVE: readonly SeatItem[] = [
  item('lamp', round, [420, 0], { height_mm: 30 }),
  item('mast', round, [-430, 0], {}, { upright: true }),
  item(
    'floods',
    round,
    [330, 220],
    { height_mm: 14, edgeRadius_mm: 7, footRadius_mm: 6 },
    { mirror: 'geometry', turn_deg: 20 },
  ),
  item('lids', block, [-120, 215], { kind: 'recess', height_mm: 8 }, { mirror: 'position', turn_deg: 10 }),
  item('compass', round, [130, 0], { kind: 'sunk', height_mm: 12, margin_mm: 6 }),
  item('box', block, [-250, 0], { kind: 'recess', height_mm: 20 }, { on: 'underside' }),
  item('spots', round, [240, 200], { height_mm: 2 }, { on: 'underside', mirror: 'geometry' }),
]
const CHASES: readonly Chase[] = [
  chase(
    'run',
    [
      [-310, 74],
      [-150, 66],
      [10, 74],
    ],
    { mirror: true },
  ),
]

describe('twelve features on two shells', () => {
  const result = seats(TWELVE, CHASES)
  const topside = result.topside!
  const underside = result.underside!

  it('are all made, and nothing is wrong with them', () => {
    expect(result.features).toHaveLength(12)
    expect(result.findings).toEqual([])
    expect(result.features.every((f) => f.built)).toBe(true)
    expect(result.features.filter((f) => f.twin).map((f) => f.id)).toEqual(['floods', 'lids', 'spots', 'run'])
  })

  it('leave no gap over 0.05 mm under a flat base, where there was one', () => {
    for (const f of result.features) {
      if (f.kind === 'chase') continue
      expect(f.before!.gap_mm).toBeGreaterThan(0.2)
      expect(f.after!.gap_mm).toBeLessThan(1e-3)
      expect(f.after!.rock_mm).toBeLessThan(1e-3)
    }
  })

  it('have walls at the asked draft where they are high enough, and no facet below it', () => {
    for (const id of ['lamp', 'floods'])
      expect(Math.abs(result.features.find((f) => f.id === id)!.draft_deg - 3)).toBeLessThan(0.01)
    for (const shell of [topside, underside]) expect(drafts(shell).least).toBeGreaterThan(2.99)
  })

  it('leave both shells symmetric to the last bit, closed, and valid to the solid library', async () => {
    for (const shell of [topside, underside]) {
      expectExactlySymmetric(shell.face)
      expectExactlySymmetric(shell.solid)
      expectClosed(shell.solid)
      await expectValidSolid(shell.solid)
    }
  })

  it('leave the certificate proven, and the shells free of undercut, with the least radius kept', () => {
    expect(result.certificate!.verdict).toBe('proven')
    expect(result.certificate!.margin_mm).toBeGreaterThanOrEqual(0.4)
    const { parts, findings } = drain(
      analysisStep({
        parts: (['underside', 'topside'] as const).map((name) => ({
          name,
          mesh: result[name]!.face,
          pull: [0, 0, 1] as const,
          minDraft_deg: 3,
          mirror: { normal: [0, 1, 0] as const, offset_mm: 0 },
          radiusLimit_mm: 50,
          minRadius_mm: 12,
          noise_mm: 0,
          cutter: name === 'underside' ? ('in-front' as const) : ('behind' as const),
        })),
      }),
    )
    expect(findings).toEqual([])
    for (const { check } of parts) {
      expect(check.undercut.area_mm2).toBe(0)
      expect(check.symmetry!.max_mm).toBe(0)
      expect(check.radius.p01_mm).toBeGreaterThan(11.9)
    }
  })

  it('leave the room in the cavity that the two raw faces have between them', () => {
    const box = result.features.find((f) => f.id === 'box')!
    // Of 40 mm of cavity 20 mm are taken from below and 6 mm by the chase above, measured between the raw faces.
    expect(box.room_mm!).toBeGreaterThan(14)
    expect(box.room_mm!).toBeLessThan(16)
  })
})

describe('features that cannot be', () => {
  const said = (items: readonly SeatItem[], chases: readonly Chase[] = []) => {
    const { findings, features, topside } = seats(items, chases)
    return { ids: findings.map((f) => `${f.severity} ${f.id}`), text: findings[0]?.message ?? '', features, topside }
  }

  it('collide: the later one is left out', () => {
    const { ids, text, features } = said([item('a', round, [300, 0], {}), item('b', round, [410, 0], {})])
    expect(ids).toEqual(['hold fitting.seat.b'])
    expect(text).toContain('that of a run into each other')
    expect(features.map((f) => f.built)).toEqual([true, false])
  })

  it('run into the edge, their own twin, or nowhere', () => {
    expect(said([item('a', round, [560, 0], {})]).text).toContain('edge radius')
    expect(said([item('a', round, [0, 60], {}, { mirror: 'geometry' })]).text).toContain('its own mirror image')
    expect(said([item('a', round, [2000, 0], {})]).text).toContain('does not lie wholly')
    expect(said([item('a', round, [560, 0], {})]).topside).toBeNull()
  })

  it('go through the cavity on to the other shell', () => {
    const { ids } = said([item('deep', block, [0, 0], { kind: 'recess', height_mm: 55 })])
    expect(ids).toContain('hold fitting.seat.room.deep')
  })

  it('hang down into the gap to the frame: the certificate says so', () => {
    const { ids } = said([item('low', round, [0, 200], { height_mm: 40 }, { on: 'underside', mirror: 'geometry' })])
    expect(ids).toContain('hold fitting.seat.clearance')
  })

  it('stand on one side only: a note, and everything else stays as it was', () => {
    const { ids, topside } = said([item('one', round, [200, 180], {})])
    expect(ids).toEqual(['note fitting.seat.one-side.one'])
    expectClosed(topside!.solid)
    const blank = said([item('one', round, [200, 180], { bothSides: true })])
    expect(blank.ids).toEqual([])
    expectExactlySymmetric(blank.topside!.face)
  })

  it('chases that bend too sharply or cross themselves', () => {
    const path: Chase['path_mm'] = [
      [-200, 100],
      [100, 100],
      [0, 200],
      [-50, 20],
    ]
    expect(said([], [chase('c', path)]).ids).toEqual(['hold fitting.seat.c'])
  })
})
