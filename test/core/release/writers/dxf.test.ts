import DxfParser from 'dxf-parser'
import { describe, expect, it } from 'vitest'
import { type DxfShape, writeDxf } from '../../../../src/core/release/writers/dxf'

const LAYERS = [
  { name: 'TRIM', colour: 5 },
  { name: 'DRILL', colour: 1 },
] as const
const SHAPES: DxfShape[] = [
  {
    kind: 'polyline',
    layer: 'TRIM',
    closed: true,
    points: [
      [0, 0],
      [1200.12345, 0],
      [0, -600.5],
    ],
  },
  { kind: 'line', layer: 'TRIM', from: [1, 2], to: [3, 4] },
  { kind: 'circle', layer: 'DRILL', at: [100, -200], radius_mm: 4.25 },
  { kind: 'point', layer: 'DRILL', at: [100, -200] },
  { kind: 'text', layer: 'TRIM', at: [5, 6], height_mm: 8, text: 'Ø8,5\nnext' },
]
const text = () => new TextDecoder().decode(writeDxf(LAYERS, SHAPES))

describe('DXF R12, read back by a foreign reader', () => {
  it('states millimetres, its release, layers with colours, and the extents', () => {
    const read = new DxfParser().parseSync(text())!
    expect(read.header['$ACADVER']).toBe('AC1009')
    expect(read.header['$INSUNITS']).toBe(4)
    expect(read.header['$EXTMIN']).toMatchObject({ x: 0, y: -600.5 })
    expect(read.header['$EXTMAX']).toMatchObject({ x: 1200.1235, y: 6 })
    const { layers } = read.tables.layer
    expect(Object.keys(layers)).toEqual(['TRIM', 'DRILL'])
    expect(layers['DRILL']!.colorIndex).toBe(1)
  })

  it('gives every shape back on its layer with its numbers', () => {
    const { entities } = new DxfParser().parseSync(text())!
    expect(entities.map((e) => `${e.type} ${e.layer}`)).toEqual([
      'POLYLINE TRIM',
      'LINE TRIM',
      'CIRCLE DRILL',
      'POINT DRILL',
      'TEXT TRIM',
    ])
    const [outline, , circle] = entities as unknown as [
      { shape: boolean; vertices: { x: number; y: number }[] },
      unknown,
      { center: { x: number; y: number }; radius: number },
    ]
    expect(outline.shape).toBe(true)
    expect(outline.vertices.map((v) => [v.x, v.y])).toEqual([
      [0, 0],
      [1200.1235, 0],
      [0, -600.5],
    ])
    expect(circle.center).toMatchObject({ x: 100, y: -200 })
    expect(circle.radius).toBe(4.25)
  })

  it('holds ASCII alone, one line per text, and refuses a layer that is not in its table', () => {
    expect(text()).toMatch(/^[\x20-\x7e\r\n]*$/)
    expect(text()).toContain('\\U+00D88,5 next')
    expect(() => writeDxf([], SHAPES)).toThrow(/no DXF layer/)
  })
})
