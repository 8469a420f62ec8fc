/** The build step on shells whose answers are known on paper. */
import { describe, expect, it } from 'vitest'
import type { BuildFitting, BuildRequest, BuildSettings, FastenedTube, FeedEntry } from '../../../src/core/build-plan'
import { buildStep, FABRICS } from '../../../src/core/build-plan'
import { faceGap, fillBetween } from '../../../src/core/build-plan/gap-between'
import { pipeDrop_Pa } from '../../../src/core/build-plan/infusion-plan'
import { trimLine } from '../../../src/core/build-plan/trim-line'
import { tubeHoles } from '../../../src/core/build-plan/tube-fasteners'
import { drain } from '../../../src/core/geometry/kernel'
import { massProperties } from '../../../src/core/geometry/measure'
import { type Mesh, makeMesh, turnedOver } from '../../../src/core/geometry/mesh'
import { jobSchema } from '../../../src/core/job'
import { bent, box, gridPlate } from '../../support/solids'

const between = (a: Mesh, b: Mesh) => fillBetween(drain(faceGap(a, b, 50)), drain(faceGap(b, a, 50)))

describe('volume between two faces', () => {
  it('parallel plates: area × gap, in the zone of its gap', () => {
    const low = gridPlate(600, 400, 30, 20)
    const f = between(low, gridPlate(600, 400, 30, 20, 3))
    expect(Math.abs(f.paste_mm3 / (600 * 400 * 3) - 1)).toBeLessThan(1e-6)
    expect(f.putty_mm3).toBe(0)
    expect(f.zones_mm2[1]).toBeCloseTo(600 * 400, 3)
    expect(f.mean_mm).toBeCloseTo(3, 6)
  })

  it('a shallow wedge from 1 to 9 mm: half paste, half putty, the sum exact to a thousandth', () => {
    const f = between(
      gridPlate(600, 400, 120, 40),
      gridPlate(600, 400, 120, 40, (x) => 1 + (8 * x) / 600),
    )
    expect(Math.abs((f.paste_mm3 + f.putty_mm3) / (600 * 400 * 5) - 1)).toBeLessThan(1e-3)
    expect(f.zones_mm2[1] / (f.zones_mm2[1] + f.zones_mm2[2])).toBeCloseTo(0.5, 2)
  })

  it('concentric caps', () => {
    const cap = (R: number) =>
      bent(gridPlate(2, 2, 60, 60), (x, y) => {
        // Equal solid angle for both: the same directions, other radii.
        const d = [0.2 * (x - 1), 0.2 * (y - 1), 1] as const
        const l = Math.hypot(...d)
        return [(R * d[0]) / l, (R * d[1]) / l, (R * d[2]) / l]
      })
    const [a, b] = [cap(1000), cap(1004)]
    const cone = (m: Mesh) => drain(massProperties(m, [0, 0, 0])).volume_mm3
    const f = between(a, b)
    expect(Math.abs(f.paste_mm3 / (cone(b) - cone(a)) - 1)).toBeLessThan(1e-3)
  })
})

describe('build step', () => {
  const settings = jobSchema.parse({ format: 'mouldwright-job', version: 1, scan: { files: ['x'] } }).build
  const plate = gridPlate(1000, 600, 50, 30)
  /** A flat shell: face up, raw face `t` below or above it. */
  const shell = (name: 'underside' | 'topside', z: number, t: number) => {
    const face = bent(plate, (x, y) => [x - 500, y - 300, z])
    const raw = bent(plate, (x, y) => [x - 500, y - 300, z + t])
    const n = face.positions.length
    const positions = new Float32Array(2 * n)
    positions.set(face.positions)
    positions.set(raw.positions, n)
    const back = turnedOver(raw).indices.map((i) => i + n / 3)
    return {
      name,
      face,
      zone: new Uint8Array(face.indices.length / 3).fill(2),
      solid: makeMesh('job', positions, Uint32Array.from([...face.indices, ...back])),
      drawn_mm: Math.abs(t),
    }
  }
  /** A box of 60 × 40 × 20 that stands on its underside, with two holes in its base. */
  const fitting = (name: string, mass_kg: number | null, at: [number, number, number]): BuildFitting => ({
    name,
    twin: false,
    on: 'topside',
    mass_kg,
    at,
    normal: [0, 0, 1],
    mesh: box([at[0] - 30, at[1] - 20, at[2]], [at[0] + 30, at[1] + 20, at[2] + 20]),
    pose: [1, 0, 0, at[0], 0, 1, 0, at[1], 0, 0, 1, at[2], 0, 0, 0, 1],
    base: { normal: [0, 0, -1], at: [0, 0, 0] },
    holes: [-20, 20].map((u) => ({ name: 'bolt', diameter_mm: 6, at: [at[0] + u, at[1], at[2] + 1] as const })),
  })
  const request: BuildRequest = {
    shells: [shell('underside', 0, 4), shell('topside', 11, -5)],
    fittings: [fitting('lamp', 2, [100, 50, 11]), fitting('box', null, [0, 0, 11])],
    fasteners: [],
    fastenedTubes: [],
    supports: [],
    bond_mm: 2,
    flange_mm: 25,
    settings: { ...settings, flowMedium: false },
  }
  const made = drain(buildStep(request))

  const fedFrom = (change: Partial<BuildSettings>) =>
    drain(buildStep({ ...request, shells: [request.shells[0]!], settings: { ...request.settings, ...change } }))
      .infusion[0]!

  it('weighs what the area and the plies say', () => {
    const [under] = made.shells
    // 0.6 m²: 300 g mat at w 0.45 and 5 × 800 g at 0.65, resin W (1/w − 1); gelcoat 0.6 mm × 1.25.
    const glass = 0.6 * (0.3 + 4)
    const resin = 0.6 * (0.3 * (1 / 0.45 - 1) + 4 * (1 / 0.65 - 1))
    expect(under!.mass_kg).toBeCloseTo(glass + resin + 0.6 * 0.6 * 1.25, 6)
    expect(under!.area_m2[2]).toBeCloseTo(0.6, 6)
  })

  it('fills the joint between the raw faces: 2 mm over 0.6 m², 10 % over', () => {
    expect(made.bond!.gap_mm.mean).toBeCloseTo(2, 5)
    expect(made.bond!.paste_l).toBeCloseTo(1.2 * 1.1, 3)
    expect(made.bond!.length_m).toBeCloseTo(3.2, 6)
  })

  it('leaves out and names what has no mass, and balances the rest', () => {
    expect(made.unweighed).toEqual(['box'])
    const shells = made.shells.reduce((s, p) => s + p.mass_kg, 0)
    expect(made.mass_kg).toBeCloseTo(shells + 2 + made.bond!.paste_kg, 9)
    expect(made.centre[0]).toBeCloseTo((2 * 100) / made.mass_kg, 3)
    expect(made.centre[1]).toBeCloseTo((2 * 50) / made.mass_kg, 3)
    // A fitting weighs at the middle of its body, 10 mm over its seat at 11, not at the seat.
    const bare = drain(buildStep({ ...request, fittings: [] }))
    expect(made.centre[2] * made.mass_kg - bare.centre[2] * bare.mass_kg).toBeCloseTo(2 * 21, 3)
  })

  it('fills the plate from the centreline in the time of a strip half its width (I01)', () => {
    const plan = fedFrom({ inlet: 'centreline' })
    const { vf } = made.shells[0]!
    const t = [
      { t: 300 / (1000 * 2.56 * (0.45 / 2.56 / (0.45 / 2.56 + 0.55 / 1.15))), k: 6e-10 },
      { t: 4000 / (1000 * 2.56 * (0.65 / 2.56 / (0.65 / 2.56 + 0.35 / 1.15))), k: 1.5e-10 },
    ]
    const across = t.reduce((s, p) => s + p.t * p.k, 0) / t.reduce((s, p) => s + p.t, 0)
    const seconds = ((1 - vf) * 0.25 * 0.3 * 0.3) / (2 * across * 100 * (1013.25 - 50))
    expect(Math.abs(plan.fill_min[1] / (seconds / 60) - 1)).toBeLessThan(0.06)
    // Two lines leave a quarter of the beam to each front: a quarter of the time, or a little more by the line's own width.
    const two = plan.compared.find((c) => c.inlet === 'quarters')!
    expect(two.fill_min / plan.fill_min[1]).toBeGreaterThan(0.2)
    expect(two.fill_min / plan.fill_min[1]).toBeLessThan(0.3)
    expect(two.pocket_m2).toBe(0)
    expect(made.infusion[0]!.inlet).toBe(
      [...made.infusion[0]!.compared].filter((c) => c.pocket_m2 < 0.001).sort((a, b) => a.fill_min - b.fill_min)[0]!
        .inlet,
    )
  })

  it('fills from what was placed: a line on the centreline like the layout, a point slower, nothing said where nothing is', () => {
    const line: FeedEntry = {
      shell: 'underside',
      kind: 'line',
      points: [
        [-480, 0, 0],
        [480, 0, 0],
      ],
      radius_mm: 6,
    }
    const layout = fedFrom({ inlet: 'centreline' })
    const placed = fedFrom({ inlet: 'placed', feeds: [line] })
    expect(placed.inlet).toBe('placed')
    expect(Math.abs(placed.fill_min[1] / layout.fill_min[1] - 1)).toBeLessThan(0.03)
    expect(placed.feed_m).toBeCloseTo(0.96, 1)
    const point = fedFrom({ inlet: 'placed', feeds: [{ ...line, kind: 'point', points: [[0, 0, 0]] }], vents: [] })
    expect(point.fill_min[1]).toBeGreaterThan(3 * layout.fill_min[1])
    // Four corners, alike by symmetry, fill last.
    expect(Math.abs(point.lastAt[0])).toBeGreaterThan(480)
    expect(Math.abs(point.lastAt[1])).toBeGreaterThan(280)
    expect(point.lastAreas.length).toBeGreaterThanOrEqual(2)
    const none = fedFrom({ inlet: 'placed' })
    expect(none.nothingPlaced).toBe(true)
    expect(none.inlet).not.toBe('placed')
  })

  it('a vent behind the front leaves a pocket; a ring closed round the vent leaves none', () => {
    const ring: FeedEntry = {
      shell: 'underside',
      kind: 'ring',
      points: [
        [-490, -290, 0],
        [490, -290, 0],
        [490, 290, 0],
        [-490, 290, 0],
      ],
      radius_mm: 6,
    }
    const inside = fedFrom({ inlet: 'placed', feeds: [ring], vents: [{ shell: 'underside', at: [0, 0, 0] }] })
    const aside = fedFrom({ inlet: 'placed', feeds: [ring], vents: [{ shell: 'underside', at: [440, 240, 0] }] })
    const pocket = (plan: typeof inside) => plan.pockets.reduce((sum, p) => sum + p.area_m2, 0)
    expect(pocket(aside)).toBeGreaterThan(0.2)
    expect(pocket(inside)).toBeLessThan(0.2 * pocket(aside))
  })

  it('I17, I19: static head and what a feed pipe takes', () => {
    expect(pipeDrop_Pa(0.2, 2, 5e-5 / 60, 0.01)).toBeCloseTo(1358.1, 0)
    expect(pipeDrop_Pa(0.2, 2, 5e-5 / 60, 0.005) / pipeDrop_Pa(0.2, 2, 5e-5 / 60, 0.01)).toBeCloseTo(16, 9)
    expect(made.infusion[0]!.head_Pa).toBe(0)
  })

  it('prints a checklist in which every line says where its numbers are from', () => {
    expect(made.traveller.length).toBeGreaterThan(10)
    // Digits outside of traced figures are those of a fabric's name and of the limit between paste and putty.
    const named = [...FABRICS.map((f) => f.name), 'over 5 mm']
    for (const line of made.traveller) {
      expect(line.from.length).toBeGreaterThan(10)
      for (const part of line.parts)
        if (typeof part === 'string') expect(named.reduce((t, n) => t.replace(n, ''), part)).not.toMatch(/[0-9]/)
        else expect(part.formula.length * part.inputs.length).toBeGreaterThan(0)
    }
    expect(made.traveller.some((l) => l.caution?.includes('peroxide'))).toBe(true)
  })

  it('marks hole centres on the moulded face, with measures a tape can check', () => {
    const { trims, drills } = made.templates
    expect(trims.map((t) => t.shell)).toEqual(['underside', 'topside'])
    expect(trims[1]!.length_mm).toBeCloseTo(3200, 6)
    expect(trims[1]!.points[0]).toEqual([500, 0, 11])
    const [lamp] = drills
    expect(lamp!.outline.map(([u, v]) => Math.abs(u) === 30 && Math.abs(v) === 20)).toEqual([true, true, true, true])
    const [, bolt] = lamp!.marks
    expect(bolt).toMatchObject({ name: 'bolt', diameter_mm: 6, at: [80, 50, 11], u_mm: -20, v_mm: 0 })
    expect(bolt!.toCentreline_mm).toBe(50)
    expect(bolt!.toTrim_mm).toBeCloseTo(250, 6)
    // From the bow up the half beam, then aft: 300 + 500 − 80.
    expect(bolt!.alongTrim_mm).toBeCloseTo(720, 6)
  })

  describe('fasteners into a tube at a pitch', () => {
    // The underside's face lies at z 0, 1000 × 600; a tube of 40 runs athwart under it, crest 2 below.
    const tube = {
      id: 'tube-1',
      name: 'cross tube',
      axis: [
        [100, -400, -22],
        [100, 400, -22],
      ] as const,
      closed: false,
      radius_mm: 20,
      fasteners: { pitch_mm: 100, from_mm: 50, diameter_mm: 6 },
    }
    it('are marked on the inner surface, numbered from the port end, with what lies outside left out and said', () => {
      const { templates, findings } = drain(buildStep({ ...request, fastenedTubes: [tube] }))
      // Asked at y 350, 250 … −350; the shell ends at ±300.
      expect(templates.tubes.map((m) => m.at)).toEqual([250, 150, 50, -50, -150, -250].map((y) => [100, y, 0]))
      expect(templates.tubes[0]).toMatchObject({ name: 'cross tube hole 2', diameter_mm: 6, toCentreline_mm: 250 })
      expect(templates.tubes[0]!.toTrim_mm).toBeCloseTo(50, 6)
      const told = findings.filter((f) => f.id.startsWith('build.tube-hole'))
      expect(told.map((f) => [f.id, f.value])).toEqual([['build.tube-hole.missed.tube-1', 2]])
    })

    it.each<[string, Partial<FastenedTube>, string, number | undefined]>([
      [
        'a gap that would be drawn shut',
        {
          axis: [
            [100, -200, -32],
            [100, 200, -32],
          ],
        },
        'gap',
        12,
      ],
      [
        'an edge too near',
        {
          axis: [
            [490, -200, -22],
            [490, 200, -22],
          ],
        },
        'edge',
        10,
      ],
      [
        'a hole too wide for its tube',
        {
          axis: [
            [100, -200, -22],
            [100, 200, -22],
          ],
          fasteners: { pitch_mm: 100, from_mm: null, diameter_mm: 14 },
        },
        'wide',
        14,
      ],
      [
        'a tube too short',
        {
          axis: [
            [100, 0, -22],
            [100, 20, -22],
          ],
          fasteners: { ...tube.fasteners, from_mm: null },
        },
        'short',
        undefined,
      ],
    ])('tell of %s', (_, change, kind, value) => {
      const { face } = request.shells[0]!
      const told = drain(tubeHoles([{ ...tube, ...change }], face, drain(trimLine(face)), 2)).findings
      expect(told.map((f) => f.id)).toEqual([`build.tube-hole.${kind}.tube-1`])
      if (value !== undefined) expect(told[0]!.value).toBeCloseTo(value, 6)
    })
  })

  it('refuses a material that is in no table', () => {
    expect(() => drain(buildStep({ ...request, settings: { ...settings, resin: 'honey' } }))).toThrow(
      /no resin "honey"/,
    )
  })
})
