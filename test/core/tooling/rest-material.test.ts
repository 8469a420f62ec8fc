/** Left-over material: paper corners (G62), then an independent exact search over all places of the cutter. */
import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { contactMesh } from '../../../src/core/tooling/contact'
import { type CutterShape, cutterRadii } from '../../../src/core/tooling/cutter'
import { facetBins } from '../../../src/core/tooling/drop-at'
import { type DropGrid, dropCutter } from '../../../src/core/tooling/drop-cutter'
import { restMaterial } from '../../../src/core/tooling/rest-material'
import { type SurfaceSamples, surfaceSamples } from '../../../src/core/tooling/surface-samples'
import { random } from '../../support/random'
import { groove, heightFace } from './faces'
import { slowDrop, slowProfile } from './slow-drop'

const BALL: CutterShape = { diameter_mm: 20, cornerRadius_mm: 10 }

const GRID: DropGrid = { x0: -80, y0: -60, h: 2, nx: 81, ny: 61 }

function rest(face: Mesh, cutter: CutterShape, samples: SurfaceSamples, grid = GRID) {
  const tip = drain(dropCutter(drain(contactMesh(face)), cutter, grid))
  const bins = drain(facetBins(face))
  return drain(restMaterial({ bins, radii: cutterRadii(cutter), grid, tip, samples, clean_mm: 0.001 }))
}

/** One place of a face as samples of their own. */
const places = (list: readonly (readonly [number, number, number, number, number, number])[]): SurfaceSamples => ({
  count: list.length,
  place: Float64Array.from(list.flatMap((p) => p.slice(0, 3))),
  normal: Float64Array.from(list.flatMap((p) => p.slice(3))),
  facet: Uint32Array.from(list.map((_, i) => i)),
  area_mm2: new Float64Array(list.length).fill(1),
})

/** Least way from p along n into the cutter, over all places of its axis: a grid of them, then finer ones about the best. */
function slowRest(face: Mesh, cutter: CutterShape, p: readonly number[], n: readonly number[]): number {
  const { R, r } = cutterRadii(cutter)
  const way = (x: number, y: number): number => {
    const tip = slowDrop(face, R, r, x, y, 17)
    // Marched in small steps, then halved: slow, without any thought of convexity.
    const inside = (t: number) =>
      tip + slowProfile(R, r, Math.hypot(p[0]! + t * n[0]! - x, p[1]! + t * n[1]! - y)) <= p[2]! + t * n[2]! + 1e-9
    for (let t = 0; t <= 12; t += 0.1) {
      if (!inside(t)) continue
      let [a, b] = [Math.max(0, t - 0.1), t]
      for (let k = 0; k < 20; k++) {
        const middle = (a + b) / 2
        if (inside(middle)) b = middle
        else a = middle
      }
      return b
    }
    return 99
  }
  let best = { v: 99, x: p[0]!, y: p[1]! }
  let step = 2
  let reach = 12
  let seeds = [best]
  for (let round = 0; round < 8; round++) {
    const next: (typeof best)[] = []
    for (const seed of seeds)
      for (let x = -reach; x <= reach + 1e-9; x += step)
        for (let y = -reach; y <= reach + 1e-9; y += step) {
          const v = way(seed.x + x, seed.y + y)
          next.push({ v, x: seed.x + x, y: seed.y + y })
        }
    next.sort((a, b) => a.v - b.v)
    best = next[0]!.v < best.v ? next[0]! : best
    // Two seeds, so that a crease between them is not lost.
    seeds = [best, next.find((c) => Math.hypot(c.x - best.x, c.y - best.y) > step) ?? best]
    reach = step
    step /= 2
  }
  return best.v
}

describe('left-over material', () => {
  it('G62: 4.142136 mm along the bisector of a 90 degree corner for R 10, 0 where the ball touches', () => {
    const half = Math.SQRT1_2
    const samples = places([
      [0, 0, 0, 0, 0, 1], // the corner itself, along the bisector
      [0, 20, 20, 0, -half, half], // on a side, beyond the touch at 7.07
      [0, 7.2, 7.2, 0, -half, half],
    ])
    const { normal_mm, z_mm } = rest(groove(90), BALL, samples)
    expect(Math.abs(normal_mm[0]! - 10 * (Math.SQRT2 - 1))).toBeLessThan(0.005)
    expect(Math.abs(z_mm[0]! - 10 * (Math.SQRT2 - 1))).toBeLessThan(0.005)
    expect(normal_mm[1]).toBe(0)
    expect(normal_mm[2]).toBe(0)
  })

  it('G62: area left in the corner (1 − π/4) R², by normal depths along both sides', () => {
    // Along a side at s < R from the corner the left-over is what lies below the circle: y = R − √(R² − (R − s)²).
    const half = Math.SQRT1_2
    const list = Array.from({ length: 25 }, (_, k) => {
      const s = (k + 0.5) * 0.4
      return [0, s * half, s * half, 0, -half, half] as const
    })
    const { normal_mm } = rest(groove(90), BALL, places(list))
    let area = 0
    list.forEach((_, k) => {
      const s = (k + 0.5) * 0.4
      const exact = 10 - Math.sqrt(100 - (10 - s) ** 2)
      // A normal from one side meets the other side's material first near the corner; depth is up to the circle.
      expect(Math.abs(normal_mm[k]! - exact)).toBeLessThan(0.01)
      area += normal_mm[k]! * 0.4
    })
    expect(Math.abs(area / 21.460184 - 1)).toBeLessThan(0.02)
  })

  it('agrees within 0.02 mm with an independent exact search on rough faces', () => {
    const rand = random(8)
    const rough = heightFace(48, 48, 6, (x, y) => (x * y) / 60 + 4 * rand.gaussian())
    let compared = 0
    for (const cutter of [BALL, { diameter_mm: 16, cornerRadius_mm: 3 }]) {
      const all = drain(surfaceSamples(rough, 1e9))
      const chosen: number[] = []
      for (let k = 0; k < 200 && chosen.length < 4; k++) {
        const s = rand.below(all.count)
        if (Math.abs(all.place[3 * s]!) < 14 && Math.abs(all.place[3 * s + 1]!) < 14) chosen.push(s)
      }
      const { normal_mm, z_mm } = rest(rough, cutter, all)
      for (const s of chosen) {
        const f = 3 * all.facet[s]!
        const at = [...all.place.slice(3 * s, 3 * s + 3)]
        const along = slowRest(rough, cutter, at, [...all.normal.slice(f, f + 3)])
        if (along < 90) expect(Math.abs(normal_mm[s]! - along)).toBeLessThan(0.02)
        else expect(normal_mm[s]!).toBeGreaterThan(0)
        if (along < 90) compared++
        if (compared % 2 === 0) expect(Math.abs(z_mm[s]! - slowRest(rough, cutter, at, [0, 0, 1]))).toBeLessThan(0.02)
      }
    }
    expect(compared).toBeGreaterThan(5)
  })

  it('nothing is left on a dome, nor in a bowl wider than the cutter but for the chords of its facets', () => {
    for (const sign of [-1, 1]) {
      const face = heightFace(40, 40, 1, (x, y) => (sign * (x * x + y * y)) / 80)
      const samples = drain(surfaceSamples(face, 1e9))
      const { normal_mm, searched } = rest(face, BALL, samples)
      let deepest = 0
      for (let s = 0; s < samples.count; s++)
        if (Math.hypot(samples.place[3 * s]!, samples.place[3 * s + 1]!) < 10)
          deepest = Math.max(deepest, normal_mm[s]!)
      if (sign < 0) expect(searched).toBe(0)
      expect(deepest).toBeLessThan(0.02) // chord of 1.4 mm in radius 40: 0.006, seen by a ball of 10
    }
  })

  it('a holder that touches the wall keeps the cutter off the floor beside it', () => {
    const step = heightFace(160, 100, 4, (x) => (x > 0 ? 60 : x > -4 ? 15 * (x + 4) : 0))
    const bins = drain(facetBins(step))
    const radii = cutterRadii(BALL)
    const samples = places([
      [-16, 0, 0, 0, 0, 1],
      [-60, 0, 0, 0, 0, 1],
    ])
    const tip = drain(dropCutter(drain(contactMesh(step)), BALL, GRID))
    const holder = { radius_mm: 30, stickOut_mm: 45 }
    const { normal_mm } = drain(restMaterial({ bins, radii, grid: GRID, tip, samples, clean_mm: 0.001, holder }))
    // Over x = −16 the holder stands on the wall at 60: the tip stays 15 above the floor wherever it helps.
    expect(normal_mm[0]!).toBeGreaterThan(10)
    expect(normal_mm[1]).toBe(0)
  })
})
