import { describe, expect, it } from 'vitest'
import { CLEARANCE_DEFAULTS, drawnOutline } from '../../../src/core/clearance'
import { insideCurve } from '../../../src/core/clearance/plan-curve'
import { polygonCurve } from '../../../src/core/clearance/polygon-outline'
import { plan } from './shells'
import { ringFrame } from './tube-frame'

const LEAST_MM = CLEARANCE_DEFAULTS.minRadius_mm

/** How far the corners of a closed polygon reach along x and along y. */
const reach = (outline: Float64Array) =>
  [0, 1].map((axis) => outline.reduce((most, v, i) => (i % 2 === axis ? Math.max(most, Math.abs(v)) : most), 0))

describe('a drawing that begins with the outline by the frame', () => {
  const frame = ringFrame({ length: 900, width: 700, legs: true })
  const settings = { sample_mm: 8 }
  const found = plan(frame, settings)

  it('is of few points, takes no corner off, and is planned as it is', () => {
    const drawn = drawnOutline(found.outline, true, LEAST_MM)
    expect(drawn.mirrored).toBe(true)
    expect(drawn.points.length).toBeLessThan(16)
    expect(drawn.points.every((p) => p.at_mm.every(Number.isInteger) && p.at_mm[1] >= 0)).toBe(true)
    const again = plan(frame, { ...settings, outline: drawn })
    expect(again.certificate.verdict).toBe('proven')
    reach(again.outline).forEach((most, axis) => {
      expect(most - reach(found.outline)[axis]!).toBeGreaterThan(-0.5)
      expect(most - reach(found.outline)[axis]!).toBeLessThan(30)
    })
  })

  it('holds every corner of the one that was found, whole or by halves, also round a deep notch', () => {
    // An L of quarter circles: convex and hollow corners.
    const turn = (cx: number, cy: number, r: number, from: number, to: number) =>
      Array.from({ length: 31 }, (_, k) => {
        const t = ((from + ((to - from) * k) / 30) * Math.PI) / 180
        return [cx + r * Math.cos(t), cy + r * Math.sin(t)]
      }).flat()
    const notched = Float64Array.from([
      ...turn(700, -300, 150, -90, 0),
      ...turn(700, 0, 150, 0, 90),
      ...turn(200, 250, 100, -90, -180),
      ...turn(0, 500, 100, 0, 90),
      ...turn(-600, 500, 100, 90, 180),
      ...turn(-600, -350, 100, 180, 270),
    ])
    for (const [outline, symmetric] of [
      [notched, false],
      [found.outline, true],
    ] as const) {
      const curve = polygonCurve(drawnOutline(outline, symmetric, LEAST_MM), symmetric, LEAST_MM)
      for (let k = 0; k < outline.length; k += 2)
        expect(insideCurve(curve, 0.9995 * outline[k]!, 0.9995 * outline[k + 1]!)).toBe(true)
    }
  })
})
