/** Passes: along every straight move the cutter's body stays at least −0.005 mm from the face, by the slow search. */
import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { bounds } from '../../../src/core/geometry/mesh'
import { contactMesh } from '../../../src/core/tooling/contact'
import { contourPasses } from '../../../src/core/tooling/contour-pass'
import { type CutterShape, cutterRadii } from '../../../src/core/tooling/cutter'
import { facetBins } from '../../../src/core/tooling/drop-at'
import { dropCutter } from '../../../src/core/tooling/drop-cutter'
import { type Passes, rasterPasses } from '../../../src/core/tooling/raster-pass'
import { random } from '../../support/random'
import { heightFace, plugFace } from './faces'
import { slowDrop } from './slow-drop'

const CUTTERS: readonly (readonly [string, CutterShape])[] = [
  ['ball', { diameter_mm: 20, cornerRadius_mm: 10 }],
  ['bull-nose', { diameter_mm: 16, cornerRadius_mm: 3 }],
  ['flat', { diameter_mm: 12, cornerRadius_mm: 0 }],
]

/**
 * How far a cutter that is smaller by 0.005 mm all round stands in the face at random places of moves, mm: above 0 the cutter's
 * body is more than 0.005 mm in. Long moves are as likely as short ones by length.
 */
function deepestCut(face: Mesh, cutter: CutterShape, passes: Passes, places: number, seed: number): number {
  const { R, r } = cutterRadii(cutter)
  const { points, start } = passes
  const within = 0.005
  const rand = random(seed)
  const upTo: number[] = []
  const moves: number[] = []
  let total = 0
  for (let s = 0; s + 1 < start.length; s++)
    for (let k = start[s]!; k + 1 < start[s + 1]!; k++) {
      total += 0.2 + Math.hypot(...[0, 1, 2].map((a) => points[3 * k + 3 + a]! - points[3 * k + a]!))
      upTo.push(total)
      moves.push(k)
    }
  let worst = -Infinity
  for (let n = 0; n < places; n++) {
    const want = rand.between(0, total)
    let [low, high] = [0, upTo.length - 1]
    while (low < high) {
      const middle = (low + high) >> 1
      if (upTo[middle]! < want) low = middle + 1
      else high = middle
    }
    const k = 3 * moves[low]!
    const t = rand.next()
    const [x, y, z] = [0, 1, 2].map((a) => points[k + a]! + t * (points[k + 3 + a]! - points[k + a]!)) as [
      number,
      number,
      number,
    ]
    // The body shrunk by `within` all round, standing where the cutter stands, must touch nothing.
    const small = slowDrop(face, R - within, Math.max(0, r - within), x, y, 15, z - 0.02)
    worst = Math.max(worst, small - z - within)
  }
  return worst
}

function cut(face: Mesh, cutter: CutterShape, along: 'x' | 'y', stepOver_mm: number) {
  const box = bounds(face)
  const contact = drain(contactMesh(face))
  const bins = drain(facetBins(face, contact))
  const raster = drain(
    rasterPasses({
      contact,
      bins,
      cutter,
      min: [box.min[0], box.min[1]],
      max: [box.max[0], box.max[1]],
      along,
      stepOver_mm,
    }),
  )
  const h = 3
  const grid = {
    x0: box.min[0] - 30,
    y0: box.min[1] - 30,
    h,
    nx: Math.ceil((box.max[0] - box.min[0] + 60) / h),
    ny: Math.ceil((box.max[1] - box.min[1] + 60) / h),
  }
  const tip = drain(dropCutter(contact, cutter, grid))
  const contour = drain(
    contourPasses({ bins, cutter, grid, tip, levels_mm: [6, 13.3, 24, 31.7], leastSlope: Math.tan(0.7) }),
  )
  return { raster, contour }
}

const face = plugFace(4, 0.03, 7, [300, 240])
const stepped = heightFace(120, 80, 4, (x, y) => (x > 0 ? 20 : x > -0.5 ? 40 * (x + 0.5) : 0) + (y > 10 ? 5 : 0))

describe.each(CUTTERS)('moves of a %s', (name, cutter) => {
  it('raster moves never gouge: 10,000 random places', () => {
    const { raster } = cut(face, cutter, 'x', 5)
    expect(raster.start.length).toBeGreaterThan(40)
    const deepest = deepestCut(face, cutter, raster, name === 'ball' ? 10_000 : 2500, 1)
    expect(deepest).toBeLessThanOrEqual(0)
  })

  it('contour moves never gouge, and lie level on the wall', () => {
    const { contour } = cut(face, cutter, 'y', 50)
    expect(contour.start.length).toBeGreaterThan(4)
    expect(deepestCut(face, cutter, contour, 2500, 2)).toBeLessThanOrEqual(0)
    const levels = new Set<number>()
    for (let k = 2; k < contour.points.length; k += 3) levels.add(Math.round(contour.points[k]! * 10) / 10)
    expect([...levels].sort((a, b) => a - b)).toEqual([6, 13.3, 24, 31.7])
  })

  it('goes over a step by lifting first', () => {
    const { raster } = cut(stepped, cutter, 'x', 7)
    expect(deepestCut(stepped, cutter, raster, 1500, 3)).toBeLessThanOrEqual(0)
    const { raster: across } = cut(stepped, cutter, 'y', 7)
    expect(deepestCut(stepped, cutter, across, 1500, 4)).toBeLessThanOrEqual(0)
  })
})

describe('points left out', () => {
  it('a plane needs two points a pass, and off the walls every pass stays within 0.025 mm above the tips', () => {
    const plane = heightFace(200, 100, 10, (x, y) => 0.1 * x + 0.05 * y)
    const cutter = { diameter_mm: 20, cornerRadius_mm: 10 }
    const { raster } = cut(plane, cutter, 'x', 10)
    const inner = [...raster.start].slice(1, -2)
    for (let s = 1; s < inner.length; s++) expect(inner[s]! - inner[s - 1]!).toBeLessThan(40) // the rims are round
    const { raster: fine } = cut(face, cutter, 'x', 20)
    const { points, start } = fine
    const rand = random(12)
    for (let n = 0; n < 400; n++) {
      const s = rand.below(start.length - 1)
      const k = 3 * (start[s]! + rand.below(start[s + 1]! - start[s]! - 1))
      const t = rand.next()
      const [x, y, z] = [0, 1, 2].map((a) => points[k + a]! + t * (points[k + 3 + a]! - points[k + a]!)) as [
        number,
        number,
        number,
      ]
      const run = Math.hypot(points[k + 3]! - points[k]!, points[k + 4]! - points[k + 1]!)
      if (Math.abs(points[k + 5]! - points[k + 2]!) < run)
        expect(z - slowDrop(face, 10, 10, x, y, 30)).toBeLessThan(0.025)
    }
  })
})
