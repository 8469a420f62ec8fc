import DxfParser from 'dxf-parser'
import { describe, expect, it } from 'vitest'
import type { BuildResult } from '../../../src/core/build-plan'
import type { Fastener, PlacedFitting } from '../../../src/core/fitting'
import { area_mm2, baseOutline } from '../../../src/core/fitting/base-outline'
import { IDENTITY } from '../../../src/core/geometry/axes'
import { drain } from '../../../src/core/geometry/kernel'
import { templates } from '../../../src/core/release/writers/templates'
import { noFittings } from '../../support/fitting-result'
import { box, lathe } from '../../support/solids'
import { smallClearance } from '../tooling/shells'

/** A flat ring, 80 mm across with a hole of 10 mm, on its seat at the origin. */
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
const placed = (mesh: PlacedFitting['mesh'], gapUnderBase_mm = 0): PlacedFitting =>
  ({
    id: 'ring',
    name: 'ring',
    twin: false,
    on: 'topside',
    pose: IDENTITY,
    mesh,
    base: { normal: [0, 0, -1], at: [0, 0, 0], area_mm2: 1 },
    seat: { at: [0, 0, 0], normal: [0, 0, 1] },
    gapUnderBase_mm,
    toFrame: { min_mm: 50, part: [0, 0, 0], frame: [0, 0, 0] },
  }) as PlacedFitting

describe('the base of a fitting', () => {
  it('is its border and the bolt hole in it, true to size', () => {
    const { borders, bolts, openings } = baseOutline(placed(ring))
    expect(borders).toHaveLength(1)
    expect(openings).toHaveLength(0)
    // A regular polygon of 64 corners on a circle of radius 40 mm.
    expect(area_mm2(borders[0]!)).toBeCloseTo(0.5 * 64 * 40 * 40 * Math.sin((2 * Math.PI) / 64), 3)
    expect(bolts).toHaveLength(1)
    expect(bolts[0]!.diameter_mm).toBeCloseTo(10, 4)
    expect(bolts[0]!.at[0]).toBeCloseTo(0, 6)
  })

  it('of a block is a rectangle without holes', () => {
    const { borders, bolts } = baseOutline(placed(box([-30, -20, 0], [30, 20, 15])))
    expect(borders.map(area_mm2)).toEqual([2400])
    expect(bolts).toEqual([])
  })
})

const bolt: Fastener = {
  fitting: 'ring',
  twin: false,
  name: 'hole 1',
  diameter_mm: 10,
  at: [12, -7, 0],
  along: [0, 0, -1],
  onFace: [12, -7, -3],
  into: 'shell',
  grip_mm: 8,
  laminate_mm: 5,
  neededBehind_mm: 35,
  freeToShell_mm: null,
  freeToFrame_mm: null,
  neededBeside_mm: 14,
  wallOver_mm: null,
  wallBehind_mm: null,
  tube: null,
}

describe('the templates', () => {
  const clearance = smallClearance()
  const results = {
    clearance,
    fitting: {
      ...noFittings,
      placed: [placed(ring, 3)],
      distances_mm: new Float64Array(1),
      fasteners: [bolt],
    },
    build: {
      flats: [],
      templates: { tubes: [{ name: 'cross tube, hole 2', diameter_mm: 6.5, at: [100, 50, 7] }] },
    } as unknown as BuildResult,
  }
  const files = drain(templates(results, { title: 'Trial', revision: 'A', hash: 'ab'.repeat(32) }))
  const read = (path: string) =>
    new DxfParser().parseSync(new TextDecoder().decode(files.find((f) => f.path === path)!.bytes))!

  it('carry the trim line as long as the rim of each face', () => {
    const trims = read('trim-template.dxf').entities.filter((e) => e.layer.startsWith('TRIM_'))
    expect(new Set(trims.map((t) => t.layer))).toEqual(new Set(['TRIM_UNDERSIDE', 'TRIM_TOPSIDE']))
    const outline = clearance.outline
    let reach = 0
    for (let i = 0; i < outline.length; i += 2) reach = Math.max(reach, outline[i]!)
    for (const trim of trims as unknown as { vertices: { x: number }[] }[])
      expect(Math.max(...trim.vertices.map((v) => v.x))).toBeGreaterThan(reach - 1)
  })

  it('carry fasteners into tubes in plan, true to size and named', () => {
    const { entities } = read('trim-template.dxf')
    const holes = entities.filter((e) => e.type === 'CIRCLE' && e.layer === 'DRILL')
    expect(holes).toMatchObject([{ radius: 3.25, center: { x: 100, y: 50 } }])
    expect(entities).toContainEqual(expect.objectContaining({ type: 'TEXT', text: 'cross tube, hole 2' }))
  })

  it('carry the drill at the true diameter, the pad 10 mm beyond the base, and a line to measure a print by', () => {
    const { entities } = read('drill-template.dxf')
    const drill = entities.find((e) => e.type === 'CIRCLE' && e.layer === 'DRILL') as unknown as {
      radius: number
      center: { x: number; y: number }
    }
    expect(drill.radius).toBeCloseTo(5, 3)
    const seat = entities.find((e) => e.type === 'POINT' && e.layer === 'SEAT') as unknown as {
      position: { x: number }
    }
    expect(drill.center.x - seat.position.x).toBeCloseTo(12, 3)
    expect(drill.center.y).toBeCloseTo(-7, 3)
    const across = (layer: string) => {
      const { vertices } = entities.find((e) => e.layer === layer) as unknown as { vertices: { x: number }[] }
      return Math.max(...vertices.map((v) => v.x)) - Math.min(...vertices.map((v) => v.x))
    }
    expect(across('FOOTPRINT')).toBeCloseTo(80, 2)
    expect(across('PAD')).toBeCloseTo(100, 1)
    const check = entities.find((e) => e.layer === 'CHECK') as unknown as { vertices: { x: number }[] }
    expect(check.vertices[1]!.x - check.vertices[0]!.x).toBeCloseTo(100, 9)
  })
})
