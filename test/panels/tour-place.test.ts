import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { placeNote } from '../../src/panels/tour-place'

const box = (left: number, top: number, width: number, height: number) => ({ left, top, width, height })
const NOTE = box(0, 0, 292, 130)

describe('a note on the page', () => {
  test('stands beside the column, over the batten, under what is on top', () => {
    const page = { width: 1440, height: 900 }
    const column = placeNote(page, box(28, 120, 288, 80), NOTE)
    expect(column.left).toBeGreaterThan(316)
    expect(column.line.slice(2)).toEqual([316, column.top + 65])
    const batten = placeNote(page, box(640, 780, 150, 120), NOTE)
    expect(batten.top + NOTE.height).toBeLessThan(780)
    expect(batten.line.slice(2)).toEqual([715, 780])
    expect(placeNote({ width: 400, height: 800 }, box(20, 30, 360, 40), NOTE).top).toBeGreaterThan(70)
  })

  test('is whole on any page that holds it, and its line ends at what it is about', () => {
    fc.assert(
      fc.property(
        fc.record({ width: fc.integer({ min: 360, max: 3840 }), height: fc.integer({ min: 400, max: 2160 }) }),
        fc.tuple(...[0, 1, 2, 3].map(() => fc.double({ min: 0, max: 1, noNaN: true }))),
        (page, [x, y, w, h]) => {
          const about = box(x! * page.width, y! * page.height, w! * (1 - x!) * page.width, h! * (1 - y!) * page.height)
          const { left, top, line } = placeNote(page, about, NOTE)
          expect(left >= 0 && top >= 0).toBe(true)
          expect(left + NOTE.width <= page.width && top + NOTE.height <= page.height).toBe(true)
          expect(line[2] >= about.left - 1e-9 && line[2] <= about.left + about.width + 1e-9).toBe(true)
          expect(line[3] >= about.top - 1e-9 && line[3] <= about.top + about.height + 1e-9).toBe(true)
        },
      ),
      { seed: 5 },
    )
  })
})
