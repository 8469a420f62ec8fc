import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { guessUnit, type LengthUnit, MM_PER, scanStep } from '../../../src/core/scan'
import { random } from '../../support/random'
import { box } from '../../support/solids'
import { binaryStl, file, threeMf } from '../../support/write-mesh-files'

// Believable sizes of a hardtop frame (common practice, no source): mm 1000-7000, cm 100-700, inch 40-280, m 1-7 (F18).
describe('guessUnit', () => {
  it('is right for frames of 1.3 to 4.1 m in every unit that files come in', () => {
    const rng = random(18)
    for (let i = 0; i < 400; i++) {
      const size_mm = rng.between(1300, 4100)
      for (const unit of ['mm', 'cm', 'm', 'in'] as const) {
        const reading = guessUnit(size_mm / MM_PER[unit], 'frame')
        // Centimetres and inches overlap: the other one must then at least be offered.
        expect([reading.unit, ...reading.alternatives]).toContain(unit)
        if (unit === 'mm' || unit === 'm') expect(reading.unit).toBe(unit)
      }
    }
    // Common lengths, all right at the first guess.
    for (const size_mm of [1800, 2200, 2600, 3000])
      for (const unit of ['mm', 'cm', 'm', 'in'] as const)
        expect(guessUnit(size_mm / MM_PER[unit], 'frame').unit).toBe(unit)
  })

  it('never hides that centimetres and inches overlap (F18)', () => {
    for (let longest = 100; longest <= 275; longest += 5) {
      const { unit, alternatives } = guessUnit(longest, 'frame')
      expect([unit, ...alternatives].sort()).toEqual(['cm', 'in'])
    }
  })

  it('offers everything where no unit gives a believable size', () => {
    for (const longest of [8, 20, 33, 8000, 40_000]) {
      const { alternatives, unit } = guessUnit(longest, 'frame')
      const inside = (u: LengthUnit) => longest * MM_PER[u] >= 1000 && longest * MM_PER[u] <= 7000
      if (!inside(unit)) expect(alternatives).toHaveLength(5)
    }
  })

  it('a fitting is smaller: a lamp of 120 mm, 4.7 in or 0.12 m', () => {
    expect(guessUnit(120, 'part').unit).toBe('mm')
    expect(guessUnit(4.7, 'part').unit).toBe('in')
    expect(guessUnit(0.12, 'part').unit).toBe('m')
  })
})

describe('units of a scan', () => {
  const frame = box([0, 0, 0], [2400, 1800, 900])
  const scaled = (by: number) => box([0, 0, 0], [2400 * by, 1800 * by, 900 * by])
  const scan = (bytes: Uint8Array, unit: 'auto' | LengthUnit = 'auto') =>
    drain(scanStep({ files: [file('frame', bytes)], unit, repairs: [], noise_mm: null }))

  it('a guess stands as a warning with the sizes in the other units, and gives millimetres', () => {
    const { unit, findings, health } = scan(binaryStl(scaled(1 / 25.4)))
    expect(unit).toMatchObject({ unit: 'in', from: 'size' })
    expect(health.volume_mm3 / (2400 * 1800 * 900)).toBeCloseTo(1, 5)
    const guessed = findings.find((f) => f.id === 'scan.unit-guessed')!
    expect(guessed.severity).toBe('warning')
    expect(guessed.message).toContain('inches')
    const overlap = scan(binaryStl(scaled(1 / 10))).findings.find((f) => f.id === 'scan.unit-guessed')!
    expect(overlap.message).toMatch(/centimetres.*2,400 mm.*6,096 mm long in inches/)
  })

  it('a unit that was said or stated is not questioned; one that contradicts the file is', () => {
    expect(scan(binaryStl(frame), 'mm').findings.filter((f) => f.id.startsWith('scan.unit'))).toEqual([])
    expect(scan(threeMf(frame)).findings.filter((f) => f.id.startsWith('scan.unit'))).toEqual([])
    const overruled = scan(threeMf(frame), 'cm')
    expect(overruled.unit).toMatchObject({ unit: 'cm', from: 'job', longest_mm: 24_000 })
    expect(overruled.findings.some((f) => f.id === 'scan.unit-overruled')).toBe(true)
  })

  it('a wrong unit shows in the volume with its third power (G13: inch read as mm 16,387.064 times too small)', () => {
    const asMm = scan(binaryStl(scaled(1 / 25.4)), 'mm').health.volume_mm3
    const asInch = scan(binaryStl(scaled(1 / 25.4)), 'in').health.volume_mm3
    expect(asInch / asMm / 16_387.064).toBeCloseTo(1, 5)
  })
})
