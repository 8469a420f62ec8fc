import { expect, it } from 'vitest'
import type { FittingResult, WireRun } from '../../../../src/core/fitting'
import { wiresCsv } from '../../../../src/core/release/writers/csv'

const run: WireRun = {
  id: 'w',
  name: 'feed, "port"',
  twin: false,
  from: 'lamp',
  to: 'out through a leg',
  section_mm2: 2.5,
  through: ['first', 'second'],
  points: [],
  length_mm: 2000,
  cut_mm: 2200,
  drop_V: 0.125,
  drop: 0.125 / 12,
  allowed: 0.03,
  needed_mm2: 0.868,
}

it('tells each wire with its conductor and its chases, and under them the caution; every row has as many cells (RFC 4180)', () => {
  const lines = wiresCsv({ wires: [run] } as unknown as FittingResult)
    .split('\r\n')
    .filter((line) => line !== '')
  expect(lines).toHaveLength(3)
  const cells = (line: string) => line.match(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/g)!.slice(0, lines[0]!.split(',').length)
  const [head, row, caution] = lines.map((line) => cells(line).map((c) => c.replace(/,$/, '')))
  expect(row![head!.indexOf('section_mm2')]).toBe('2.50')
  expect(row![head!.indexOf('through')]).toBe('first; second')
  expect(row![1]).toBe('"feed, ""port"""')
  expect(caution![0]).toContain('qualified people')
  expect(caution!.slice(1).every((c) => c === '')).toBe(true)
  expect(caution).toHaveLength(head!.length)
})

it('says nothing where there is no wire', () => {
  expect(
    wiresCsv({ wires: [] } as unknown as FittingResult)
      .trim()
      .split('\r\n'),
  ).toHaveLength(1)
})
