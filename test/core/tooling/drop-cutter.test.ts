/**
 * Drop of ball, flat and bull-nose on triangles.
 *
 * Paper solids (G62: ball in a 90 degree corner, R(√2 − 1) = 4.142136; three-face corner R(√3 − 1) = 7.320508; derived from
 * geometry in the check values), then a slow obvious maximiser, then the two fast kernels against each other.
 */
import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { contactMesh } from '../../../src/core/tooling/contact'
import { type CutterShape, cutterRadii, lineContact } from '../../../src/core/tooling/cutter'
import { dropAt, facetBins } from '../../../src/core/tooling/drop-at'
import { type DropGrid, dropCutter } from '../../../src/core/tooling/drop-cutter'
import { random } from '../../support/random'
import { icosphere } from '../../support/solids'
import { cubeCorner, groove, heightFace, looseTriangles, plugFace } from './faces'
import { slowDrop } from './slow-drop'

const BALL: CutterShape = { diameter_mm: 20, cornerRadius_mm: 10 }
const FLAT: CutterShape = { diameter_mm: 20, cornerRadius_mm: 0 }
const BULL: CutterShape = { diameter_mm: 20, cornerRadius_mm: 2 }
const ALL = [
  ['ball', BALL],
  ['flat', FLAT],
  ['bull-nose', BULL],
] as const

const onGrid = (face: Mesh, cutter: CutterShape, grid: DropGrid) =>
  drain(dropCutter(drain(contactMesh(face)), cutter, grid))
const single = (face: Mesh, cutter: CutterShape) => {
  const bins = drain(facetBins(face))
  const lean = drain(facetBins(face, drain(contactMesh(face))))
  const radii = cutterRadii(cutter)
  return (x: number, y: number) => {
    const whole = dropAt(bins, radii, x, y)
    const own = dropAt(lean, radii, x, y)
    expect(own === whole || Math.abs(own - whole) < 1e-9).toBe(true)
    return whole
  }
}

describe('a cutter on paper solids', () => {
  it('G62: a ball in a 90 degree corner stands 4.142136 off along the bisector, in a cube corner 7.320508', () => {
    const grid = { x0: 0, y0: 0, h: 1, nx: 1, ny: 1 }
    expect(onGrid(groove(90), BALL, grid)[0]! + 0).toBeCloseTo(10 * (Math.SQRT2 - 1), 6)
    expect(onGrid(cubeCorner(), BALL, grid)[0]!).toBeCloseTo(10 * (Math.sqrt(3) - 1), 5)
  })

  it('rests on a plane, a slope and a rim as the drawing says', () => {
    const level = heightFace(100, 100, 10, () => 7)
    const slope = heightFace(100, 100, 10, (x) => x)
    for (const [, cutter] of ALL) {
      expect(single(level, cutter)(3, 4)).toBeCloseTo(7, 12)
      const { R, r } = cutterRadii(cutter)
      // At 45 degrees: tip = x + (R − r) + r(√2 − 1)
      expect(single(slope, cutter)(3, 4)).toBeCloseTo(3 + (R - r) + r * (Math.SQRT2 - 1), 5)
      // Beyond the rim by 6: the profile at 6.
      expect(single(level, cutter)(56, 0)).toBeCloseTo(
        7 - (6 <= R - r ? 0 : r - Math.sqrt(r * r - (6 - R + r) ** 2)),
        9,
      )
      expect(single(level, cutter)(61, 0)).toBe(-Infinity)
    }
  })

  it('solves the touch of a sloping line', () => {
    const rand = random(4)
    for (let k = 0; k < 2000; k++) {
      const r = rand.between(0, 10)
      const s2 = rand.next() ** 2
      const w = rand.between(-1, 1)
      const q = Math.sqrt(s2 + (1 - s2) * w * w)
      const d = w * (r + (q > 0 ? (10 - r) / q : 0))
      const found = lineContact(10, r, d, s2)
      const back = found * (r + (10 - r) / Math.sqrt(s2 + (1 - s2) * found * found))
      expect(Math.abs(back - d)).toBeLessThan(1e-9)
    }
  })
})

describe.each(ALL)('%s against the slow search on every triangle', (_, cutter) => {
  const { R, r } = cutterRadii(cutter)
  // The slow search is itself good to this: a flat's profile is a step that it can only approach.
  const reference_mm = r === 0 ? 2e-4 : 2e-6
  const rough = (seed: number, noise: number) => {
    const rand = random(seed)
    return heightFace(60, 60, 4, (x, y) => x / 10 - (y * y) / 300 + noise * rand.gaussian())
  }
  const cases: readonly (readonly [string, Mesh])[] = [
    ['noisy face', rough(3, 0.3)],
    ['very rough face', rough(5, 3)],
    ['loose triangles', looseTriangles(60, 25, 8, 6)],
    ['ball from above', icosphere(25, 2)],
    ['groove', groove(70)],
  ]
  it.each(cases)('%s', (_name, face) => {
    const rand = random(11)
    const at = single(face, cutter)
    const grid = { x0: -24.3, y0: -23.1, h: 6.7, nx: 8, ny: 8 }
    const tip = onGrid(face, cutter, grid)
    for (let j = 0; j < grid.ny; j++)
      for (let i = 0; i < grid.nx; i++) {
        if ((i + j) % 2) continue
        const [x, y] = [grid.x0 + i * grid.h, grid.y0 + j * grid.h]
        const slow = slowDrop(face, R, r, x, y)
        const fast = tip[j * grid.nx + i]!
        if (slow < -1e5) expect(fast).toBeLessThan(-1e5)
        else expect(Math.abs(fast - slow)).toBeLessThan(reference_mm)
        expect(Math.abs(at(x, y) - fast) < 1e-9 || at(x, y) === fast).toBe(true)
      }
    // Many more places, the two fast ones against each other.
    for (let k = 0; k < 40; k++) {
      const one = { x0: rand.between(-30, 30), y0: rand.between(-30, 30), h: 1, nx: 1, ny: 1 }
      const a = onGrid(face, cutter, one)[0]!
      const b = at(one.x0, one.y0)
      expect(a === b || Math.abs(a - b) < 1e-9).toBe(true)
    }
  })
})

describe('laws of the drop', () => {
  const face = plugFace(4, 0.05, 2)
  const grid = { x0: -250, y0: -180, h: 3, nx: 167, ny: 121 }
  it('grid and single drops agree everywhere on a noisy plug', () => {
    for (const [, cutter] of ALL) {
      const tip = onGrid(face, cutter, grid)
      const at = single(face, cutter)
      let worst = 0
      for (let k = 0; k < tip.length; k += 3) {
        const z = at(grid.x0 + (k % grid.nx) * grid.h, grid.y0 + Math.floor(k / grid.nx) * grid.h)
        worst = Math.max(worst, Math.abs(z - tip[k]!))
      }
      expect(worst).toBeLessThan(1e-7)
    }
  })

  it('a larger cutter never stands lower, and turned facets change nothing', () => {
    const small = onGrid(face, { diameter_mm: 12, cornerRadius_mm: 6 }, grid)
    const large = onGrid(face, { diameter_mm: 20, cornerRadius_mm: 6 }, grid)
    for (let k = 0; k < small.length; k++) expect(large[k]!).toBeGreaterThanOrEqual(small[k]! - 1e-9)
    const turned = { ...face, indices: face.indices.slice() }
    for (let f = 0; f < turned.indices.length; f += 6) {
      const keep = turned.indices[f]!
      turned.indices[f] = turned.indices[f + 1]!
      turned.indices[f + 1] = keep
    }
    const again = onGrid(turned, { diameter_mm: 12, cornerRadius_mm: 6 }, grid)
    for (let k = 0; k < small.length; k++) expect(Math.abs(again[k]! - small[k]!)).toBeLessThan(1e-9)
  })

  it('refuses cutters that cannot be', () => {
    expect(() => cutterRadii({ diameter_mm: 0, cornerRadius_mm: 0 })).toThrow(/diameter/)
    expect(() => cutterRadii({ diameter_mm: 10, cornerRadius_mm: 6 })).toThrow(/corner radius/)
  })
})
