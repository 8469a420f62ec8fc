/** Zones of the ply schedule, the panel check and the cure clock on shells whose answers are known on paper. */
import { describe, expect, it } from 'vitest'
import { type BuildFitting, type BuildRequest, type BuildSettings, buildStep } from '../../../src/core/build-plan'
import { clockAt, cureClock, rateBand } from '../../../src/core/build-plan/cure-clock'
import { dropOffAreas_m2 } from '../../../src/core/build-plan/ply-zones'
import { ZONES } from '../../../src/core/clearance'
import { drain } from '../../../src/core/geometry/kernel'
import { makeMesh, turnedOver } from '../../../src/core/geometry/mesh'
import { Refused } from '../../../src/core/geometry/trouble'
import { jobSchema } from '../../../src/core/job'
import { bent, box, gridPlate } from '../../support/solids'

const defaults = jobSchema.parse({ format: 'mouldwright-job', version: 1, scan: { files: ['x'] } }).build
const crown = ZONES.indexOf('crown')

/** A flat underside of 1.0 × 0.6 m, all crown, raw face 4 mm above. */
function request(change: Partial<BuildSettings>, fittings: BuildFitting[] = []): BuildRequest {
  const face = bent(gridPlate(1000, 600, 50, 30), (x, y) => [x - 500, y - 300, 0])
  const raw = bent(face, (x, y) => [x, y, 4])
  const n = face.positions.length
  const positions = new Float32Array(2 * n)
  positions.set(face.positions)
  positions.set(raw.positions, n)
  const back = turnedOver(raw).indices.map((i) => i + n / 3)
  return {
    shells: [
      {
        name: 'underside',
        face,
        zone: new Uint8Array(face.indices.length / 3).fill(crown),
        solid: makeMesh('job', positions, Uint32Array.from([...face.indices, ...back])),
        drawn_mm: 4,
      },
    ],
    fittings,
    fasteners: [],
    fastenedTubes: [],
    supports: [],
    bond_mm: 2,
    flange_mm: 25,
    settings: { ...defaults, process: 'hand', ...change },
  }
}

const plan = (change: Partial<BuildSettings>, fittings: BuildFitting[] = []) =>
  drain(buildStep(request(change, fittings)))

const zone = {
  name: 'patch',
  shell: 'underside' as const,
  kind: 'box' as const,
  margin_mm: 0,
  min: [-100, -100, -1] as [number, number, number],
  max: [100, 100, 1] as [number, number, number],
  plies: [{ fabric: 'biaxial-800', layers: 3 }],
  insert: null,
}

describe('ply zones', () => {
  it('drops off in steps: each ply under the last reaches one step further', () => {
    expect(dropOffAreas_m2(0.04, 0.8, 3, 25)).toEqual([0.08, 0.06, 0.04])
  })

  it('a box of 200 × 200 mm: area, edge, plies, mass, thickness, centre', () => {
    const plain = plan({})
    const made = plan({ zones: [zone] })
    const [shell] = made.shells
    const [patch] = shell!.zones
    expect(patch!.area_m2).toBeCloseTo(0.04, 9)
    expect(patch!.edge_m).toBeCloseTo(0.8, 9)
    // Three plies with two steps of 25 mm round 0.8 m: 0.04 + 0.06 + 0.08; hand: w 0.48, kg = W / w.
    expect(patch!.mass_kg).toBeCloseTo((0.18 * 0.8) / 0.48, 9)
    expect(shell!.mass_kg - plain.shells[0]!.mass_kg).toBeCloseTo(patch!.mass_kg, 9)
    expect(shell!.resin_kg - plain.shells[0]!.resin_kg).toBeCloseTo(0.18 * 0.8 * (1 / 0.48 - 1), 9)
    // L04 for 3 × 800 g at w 0.48 with vinyl ester on top of what lies everywhere.
    const vf = 0.48 / 2.56 / (0.48 / 2.56 + 0.52 / 1.15)
    expect(patch!.thickness_mm - shell!.thickness_mm).toBeCloseTo((3 * 800) / (1000 * 2.56 * vf), 9)
    expect(shell!.centre[0]).toBeCloseTo(0, 6)
    expect(made.cost).toBeGreaterThan(plain.cost)
    const fabric = (m: typeof made) => m.order.find((o) => o.what.includes('0/90'))!.amount
    expect(fabric(made) - fabric(plain)).toBeCloseTo(0.18 * 1.15, 9)
  })

  it('inserts take the core’s place under the bases of fittings', () => {
    const lamp: BuildFitting = {
      name: 'lamp',
      twin: false,
      on: 'underside',
      mass_kg: 1,
      at: [0, 0, 0],
      normal: [0, 0, 1],
      mesh: box([-50, -50, 0], [50, 50, 40]),
      pose: [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1],
      base: { normal: [0, 0, -1], at: [0, 0, 0] },
      holes: [],
    }
    const under = { ...zone, kind: 'fittings' as const, margin_mm: 50, insert: 'board-600' }
    const made = plan({ undersideCore: { kind: 'foam-80', thickness_mm: 15 }, zones: [under] }, [lamp])
    const [foam, board] = made.shells[0]!.cores
    // A square of 100 mm grown by 50 with round corners: 0.04 − (4 − π) 0.05²; facets of 20 mm blur its edge.
    expect(Math.abs(board!.area_m2 / (0.04 - (4 - Math.PI) * 0.0025) - 1)).toBeLessThan(0.06)
    expect(foam!.area_m2 + board!.area_m2).toBeCloseTo(0.6, 9)
    expect(board!.mass_kg).toBeCloseTo(board!.area_m2 * 15 * 0.6, 9)
  })

  it('fills a zone of other plies as two strips in series by hand (I09)', () => {
    const half = {
      ...zone,
      min: [-500, -1000, -1] as [number, number, number],
      max: [500, 0, 1] as [number, number, number],
    }
    const side = {
      shell: 'underside' as const,
      kind: 'line' as const,
      radius_mm: 6,
      points: [
        [-500, 300, 0],
        [500, 300, 0],
      ] as [number, number, number][],
    }
    const vent = { shell: 'underside' as const, at: [0, -300, 0] as [number, number, number] }
    const made = plan({
      process: 'infusion',
      flowMedium: false,
      inlet: 'placed',
      feeds: [side],
      vents: [vent],
      zones: [half],
    })
    const resin = { rho: 1.15, mu: 0.25 }
    const stack = (mat: number, biax: number) => {
      const t = (W: number, w: number) => W / (1000 * 2.56 * (w / 2.56 / (w / 2.56 + (1 - w) / resin.rho)))
      const [tm, tb] = [t(300 * mat, 0.45), t(800 * biax, 0.65)]
      const h = (tm + tb) / 1000
      return { h, phi: 1 - (300 * mat + 800 * biax) / 2.56e6 / h, S: (tm * 6e-10 + tb * 1.5e-10) / 1000 }
    }
    const [a, b] = [stack(1, 5), stack(1, 8)]
    const [L, p] = [0.3, 100 * (1013.25 - 50)]
    // First strip: φ h μ L² / (2 S p). Second, behind a resistance μ L / S1: φ h μ (L x / S1 + x² / 2 S2) / p at x = L.
    const first = (a.phi * a.h * resin.mu * L * L) / (2 * a.S * p)
    const second = ((b.phi * b.h * resin.mu) / p) * ((L * L) / a.S + (L * L) / (2 * b.S))
    expect(Math.abs((60 * made.infusion[0]!.fill_min[1]) / (first + second) - 1)).toBeLessThan(0.02)
  })
})

describe('panel check', () => {
  it('a solid strip between two bearing tubes 500 mm apart (L15, L17 with D of a plate)', () => {
    const axis = (x: number) => ({
      name: 't',
      axis: [
        [x, -400, -30],
        [x, 400, -30],
      ] as [number, number, number][],
    })
    const wide = request({})
    // The trim carries as well: the farthest place from ends, sides and tubes at ±250.
    const made = drain(buildStep({ ...wide, supports: [axis(-250), axis(250)] }))
    const [panel] = made.panels
    expect(Math.abs(panel!.span_mm / 500 - 1)).toBeLessThan(0.05)
    const D = (panel!.modulus_GPa * 1e9 * (made.shells[0]!.thickness_mm / 1000) ** 3) / (12 * 0.91)
    expect(panel!.bending_Nm).toBeCloseTo(D, 6)
    expect(panel!.deflection_mm).toBeCloseTo((5000 * 2000 * (panel!.span_mm / 1000) ** 4) / (384 * D), 9)
    expect(panel!.shear_mm).toBe(0)
    // Without them the span is the beam's.
    expect(Math.abs(drain(buildStep(wide)).panels[0]!.span_mm / 600 - 1)).toBeLessThan(0.05)
  })
})

describe('cure clock', () => {
  it('B11: rates by temperature, the band of 1.5 to 2.5 per 10 °C', () => {
    expect(rateBand(20)).toEqual([1, 1])
    expect(rateBand(10)[0]).toBeCloseTo(1.5, 12)
    expect(rateBand(10)[1]).toBeCloseTo(2.5, 12)
    expect(rateBand(30)[0]).toBeCloseTo(0.4, 12)
  })

  it('orders what happens, later in a cold shop, and on the wall clock of the start', () => {
    const settings = { shop_C: 20, resin: 'polyester', start: '2026-12-31T20:00' }
    const warm = cureClock(settings, [20, 60], 50, true)
    const cold = cureClock({ ...settings, shop_C: 10 }, [20, 60], 100, true)
    for (const [i, event] of warm.entries()) {
      expect(event.from_h).toBeLessThanOrEqual(event.to_h)
      if (!event.name.includes('resin through')) expect(cold[i]!.to_h).toBeGreaterThan(event.to_h)
    }
    expect(warm.find((e) => e.name === 'gelcoat ready to lay on')!.clock).toEqual([
      '2026-12-31 22:00',
      '2027-01-01 00:00',
    ])
    expect(warm.find((e) => e.name === 'demould')!.from_h).toBeCloseTo(2 + 50 / 60 + 12, 9)
    expect(cureClock({ ...settings, start: '' }, null, 50, false).every((e) => e.clock === null)).toBe(true)
  })

  it('refuses a start that is no date', () => {
    expect(() => clockAt('2026-13-45T99:00', 1)).toThrow(Refused)
  })
})
