import { describe, expect, it } from 'vitest'
import { type Trim, waterAtTrims } from '../../../src/core/clearance'
import { plan } from './shells'
import { ringFrame } from './tube-frame'

const TAN = Math.tan(Math.PI / 60)

/** A dished sheet of 400 × 400 mm on a half grid: z = r²/2R up to a rim of 150 mm, then falling away. */
function dish(): { grid: Parameters<typeof waterAtTrims>[0]; height: Float64Array; inside: Uint8Array } {
  const grid = { nx: 101, ny: 51, x0: -200, y0: 0, h: 4, mirrored: true }
  const height = new Float64Array(grid.nx * grid.ny)
  for (let j = 0; j < grid.ny; j++)
    for (let i = 0; i < grid.nx; i++) {
      const r2 = (grid.x0 + i * 4) ** 2 + (j * 4) ** 2
      height[j * grid.nx + i] = r2 < 150 * 150 ? r2 / 2250 : 20 - r2 / 2250
    }
  return { grid, height, inside: new Uint8Array(height.length).fill(1) }
}
const heel = (heel_deg: number, pitch_deg = 0): Trim => ({ name: 'blow', heel_deg, pitch_deg })

describe('water on a dished sheet', () => {
  const { grid, height, inside } = dish()

  it('at level trim: depth of the dish and area of its rim, to the spacing', () => {
    const [level] = waterAtTrims(grid, height, inside, [])
    expect(level!.trim).toBeNull()
    expect(level!.ponds).toHaveLength(1)
    expect(level!.depth_mm).toBeGreaterThan(9.4)
    expect(level!.depth_mm).toBeLessThanOrEqual(10)
    expect(Math.abs(level!.area_mm2 / (Math.PI * 2250 * 9.5) - 1)).toBeLessThan(0.04)
  })

  it.each([
    ['to starboard', heel(3), 1],
    ['to port', heel(-3), 1],
    ['bow up', heel(0, 3), 0],
  ])(
    'heeled %s it spills over the low side: a dish of 1/1125 mm keeps (R − s)²/2250, lowest where it is steep',
    (_, trim, axis) => {
      const [, leaning] = waterAtTrims(grid, height, inside, [trim])
      // z + x tan t: the bowl's middle moves by s = 1125 tan t, the water stands up to the lower rim.
      const s = 1125 * TAN
      expect(leaning!.ponds).toHaveLength(1)
      expect(Math.abs(leaning!.depth_mm - (150 - s) ** 2 / 2250)).toBeLessThan(0.7)
      expect(Math.abs(Math.abs(leaning!.ponds[0]!.at[axis]!) - s)).toBeLessThan(8)
      // Bow up: it stands aft; starboard down: to starboard, y < 0.
      const side = trim.pitch_deg > 0 || trim.heel_deg > 0 ? -1 : 1
      expect(Math.sign(leaning!.ponds[0]!.at[axis]!)).toBe(side)
    },
  )

  it('heeled steeply enough nothing stands', () => {
    expect(waterAtTrims(grid, height, inside, [heel(12)])[1]!.ponds).toHaveLength(0)
  })
})

describe('the camber that drains a top', () => {
  it('is offered where water stands, and drains it at every trim asked about', () => {
    const frame = ringFrame({ camber: -15, cross: [], legs: false })
    const trims = [{ name: 'loaded aft', pitch_deg: 1, heel_deg: 0 }]
    const wet = plan(frame, { sample_mm: 8, trims })
    const finding = wet.findings.find((f) => f.id === 'clearance.standing-water')!
    expect(wet.water![0]!.depth_mm).toBeGreaterThan(0.5)
    expect(finding.remedy).toBeDefined()
    const dry = plan(frame, { sample_mm: 8, trims, ...finding.remedy!.clearance })
    expect(dry.water!.map((w) => w.ponds.length)).toEqual([0, 0])
    expect(dry.findings.some((f) => f.id.startsWith('clearance.standing-water'))).toBe(false)
  })
})
