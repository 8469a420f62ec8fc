import DxfParser from 'dxf-parser'
import { describe, expect, it } from 'vitest'
import { CHORD_ERROR_MM, readOutline } from '../../../src/core/clearance'
import { drain } from '../../../src/core/geometry/kernel'
import { expectSentence, refusal } from '../../support/refusals'

const bytes = (text: string) => new TextEncoder().encode(text)
const request = (name: string, text: string, more: { unit?: 'auto' | 'mm' | 'in' } = {}) => ({
  file: { name, bytes: bytes(text) },
  unit: more.unit ?? ('auto' as const),
  middle_mm: null,
})
const read = (...of: Parameters<typeof request>) => drain(readOutline(request(...of)))

const pair = (code: number, value: string | number) => `${code}\n${value}\n`
const dxf = (entities: string, unit = 4) =>
  `${pair(0, 'SECTION')}${pair(2, 'HEADER')}${pair(9, '$INSUNITS')}${pair(70, unit)}${pair(0, 'ENDSEC')}${pair(0, 'SECTION')}${pair(2, 'ENTITIES')}${entities}${pair(0, 'ENDSEC')}${pair(0, 'EOF')}`
const light = (corners: readonly (readonly [number, number, number?])[], closed = 1) =>
  pair(0, 'LWPOLYLINE') +
  pair(90, corners.length) +
  pair(70, closed) +
  corners.map(([x, y, bulge]) => pair(10, x) + pair(20, y) + (bulge ? pair(42, bulge) : '')).join('')
const line = (a: readonly number[], b: readonly number[]) =>
  pair(0, 'LINE') + pair(10, a[0]!) + pair(20, a[1]!) + pair(11, b[0]!) + pair(21, b[1]!)

const at = (outline: ReturnType<typeof read>['outline']) => outline.points.map((p) => p.at_mm)
const area = (points: readonly (readonly [number, number])[]) =>
  Math.abs(
    points.reduce((sum, p, k) => {
      const q = points[(k + 1) % points.length]!
      return sum + p[0] * q[1] - p[1] * q[0]
    }, 0) / 2,
  )

describe('DXF', () => {
  it('a closed polyline, in the unit the file states, as another reader has it', () => {
    const text = dxf(
      light([
        [-50, -30],
        [50, -30],
        [50, 30],
        [-50, 30],
      ]),
      1,
    )
    const { outline, unit, unitFrom, size_mm } = read('deck.dxf', text)
    expect([unit, unitFrom]).toEqual(['in', 'file'])
    expect(size_mm).toEqual([2540, 1524])
    const other = new DxfParser().parseSync(text)!.entities[0] as unknown as { vertices: { x: number; y: number }[] }
    expect(at(outline)).toEqual(other.vertices.map((v) => [v.x * 25.4, v.y * 25.4]))
  })

  it('bulges: a lens of two arcs has its area to the chord error', () => {
    // Two half circles of radius 800: a bulge of 1 is half a turn.
    const { outline } = read(
      'round.dxf',
      dxf(
        light([
          [-800, 0, 1],
          [800, 0, 1],
        ]),
      ),
    )
    const points = at(outline)
    for (const [x, y] of points) expect(Math.abs(Math.hypot(x, y) - 800)).toBeLessThan(2e-3)
    const most = points.length * 1600 * CHORD_ERROR_MM
    expect(Math.PI * 800 * 800 - area(points)).toBeGreaterThan(0)
    expect(Math.PI * 800 * 800 - area(points)).toBeLessThan(Math.min(most, 2 * Math.PI * 800 * CHORD_ERROR_MM))
  })

  it('lines and arcs in any order and direction are one line', () => {
    const arc = pair(0, 'ARC') + pair(10, 600) + pair(20, 0) + pair(40, 400) + pair(50, 270) + pair(51, 90)
    const { outline, others } = read(
      'loose.dxf',
      dxf(line([-1000, 400], [-1000, -400]) + line([600, -400], [-1000, -400]) + arc + line([600, 400], [-1000, 400])),
    )
    expect(others).toBe(0)
    expect(area(at(outline))).toBeCloseTo(1600 * 800 + (Math.PI * 400 * 400) / 2, -3)
  })

  it('a spline of degree 2 with a weight is a quarter circle (rational Bezier)', () => {
    const r = 1000
    const spline =
      pair(0, 'SPLINE') +
      pair(71, 2) +
      [0, 0, 0, 1, 1, 1].map((k) => pair(40, k)).join('') +
      [1, Math.SQRT1_2, 1].map((w) => pair(41, w)).join('') +
      pair(10, r) +
      pair(20, 0) +
      pair(10, r) +
      pair(20, r) +
      pair(10, 0) +
      pair(20, r)
    const { outline } = read('quarter.dxf', dxf(spline + line([0, r], [0, 0.3]) + line([0, 0.3], [r, 0])))
    expect(outline.mirrored).toBe(true)
    const curve = at(outline).filter(([x, y]) => x > 1 && y > 1)
    expect(curve.length).toBeGreaterThan(20)
    for (const [x, y] of curve) expect(Math.abs(Math.hypot(x, y) - r)).toBeLessThan(2e-3)
  })

  it.each([
    ['empty', '', 'file-empty'],
    ['a letter', 'Dear yard, here is the outline.', 'file-unknown'],
    [
      'cut off',
      dxf(
        light([
          [0, 0],
          [1000, 0],
          [0, 1000],
        ]),
      ).slice(0, -8),
      'file-damaged',
    ],
    [
      'an unread unit',
      dxf(
        light([
          [0, 0],
          [1000, 0],
          [0, 1000],
        ]),
        18,
      ),
      'file-unsupported',
    ],
    [
      'not closed',
      dxf(
        light(
          [
            [0, 100],
            [1000, 100],
            [0, 1000],
          ],
          0,
        ),
      ),
      'file-unsupported',
    ],
  ])('%s is refused in a sentence', (_, text, code) => {
    const no = refusal(() => readOutline(request('outline.dxf', text)))
    expect(no.code).toBe(code)
    expectSentence(no.message)
  })
})

describe('SVG', () => {
  const svg = (inside: string, head = 'width="2600mm" height="1900mm" viewBox="0 0 260 190"') =>
    `<?xml version="1.0"?><!DOCTYPE svg PUBLIC "x" "y"><svg xmlns="http://www.w3.org/2000/svg" ${head}>${inside}</svg>`

  it('a rounded rectangle under a transform, its size by the page', () => {
    const { outline, unit, size_mm, passedOver } = read(
      'deck.svg',
      svg('<g transform="translate(10 20)"><rect x="0" y="0" width="200" height="150" rx="20"/></g><text>port</text>'),
    )
    expect(unit).toBe('mm')
    expect(size_mm[0]).toBeCloseTo(2000, 2)
    expect(size_mm[1]).toBeCloseTo(1500, 2)
    expect(passedOver).toEqual([['text', 1]])
    const exact = 2000 * 1500 - (4 - Math.PI) * 200 * 200
    expect(Math.abs(area(at(outline)) - exact)).toBeLessThan(2 * Math.PI * 200 * CHORD_ERROR_MM)
    // y is up: the drawing's top edge is the greatest y.
    expect(Math.max(...at(outline).map((p) => p[1]))).toBeCloseTo(-200, 2)
  })

  it('a turned ellipse keeps its area, and cubic and quadratic pieces meet', () => {
    const ellipse = read('e.svg', svg('<ellipse cx="0" cy="0" rx="100" ry="60" transform="rotate(30)"/>'))
    expect(area(at(ellipse.outline))).toBeCloseTo(Math.PI * 1000 * 600, -4)
    const mixed = read('m.svg', svg('<path d="M0 10 C 40 10 60 30 100 30 Q 150 30 150 80 T 100 130 L 0 130 Z"/>'))
    expect(area(at(mixed.outline))).toBeGreaterThan(1_000_000)
    expect(mixed.others).toBe(0)
  })

  it('without a unit it is guessed from the size and said so', () => {
    const { unit, unitFrom } = read('px.svg', svg('<rect width="2600" height="1900"/>', 'viewBox="0 0 3000 2000"'))
    expect([unit, unitFrom]).toEqual(['mm', 'size'])
  })

  it.each([
    ['a path that breaks off', svg('<path d="M0 0 L 10"/>'), 'file-damaged'],
    ['nothing drawn', svg('<text>port</text>'), 'file-unsupported'],
    ['cut off', '<svg viewBox="0 0 1 1"><rect', 'file-damaged'],
  ])('%s is refused', (_, text, code) => {
    const no = refusal(() => readOutline(request('outline.svg', text)))
    expect(no.code).toBe(code)
    expectSentence(no.message)
  })
})
