import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { weld, weldInOrder } from '../../../src/core/geometry/weld'
import { random } from '../../support/random'
import { box, icosphere, soup, torus } from '../../support/solids'

const rotate = (t: number[]) => {
  const k = t.indexOf(Math.min(...t))
  return [t[k]!, t[(k + 1) % 3]!, t[(k + 2) % 3]!]
}

describe('weld', () => {
  it('welds the 36 corners of a cube to 8 vertices (F31, derived: exact Float32 equality)', () => {
    const { positions, indices, welded } = drain(weld(soup(box([0, 0, 0], [2, 2, 2]))))
    expect(positions.length / 3).toBe(8)
    expect(indices.length).toBe(36)
    expect(welded).toBe(28)
  })

  it('takes −0 for 0 and nothing else for equal', () => {
    const next = Math.fround(1 + 2 ** -23)
    const { positions, welded } = drain(
      weld(Float32Array.of(0, 0, 0, 1, 0, 0, 0, 1, 0, -0, 0, -0, 0, 1, 0, next, 0, 0)),
    )
    expect(welded).toBe(2)
    expect(positions.length / 3).toBe(4)
    expect([...positions].some((v) => Object.is(v, -0))).toBe(false)
  })

  it('gives each corner its own place back, for closed meshes and for loose soups that outgrow the first table', () => {
    const rng = random(7)
    const loose = Float32Array.from({ length: 9 * 30_000 }, () => Math.fround(rng.between(-1e3, 1e3)))
    for (const corners of [soup(icosphere(100, 5)), soup(torus(300, 25, 120, 40)), loose]) {
      const { positions, indices } = drain(weld(corners))
      let wrong = 0
      for (let i = 0; i < indices.length; i++)
        for (let k = 0; k < 3; k++) if (positions[indices[i]! * 3 + k] !== corners[i * 3 + k]) wrong++
      expect(wrong).toBe(0)
      // The slow obvious method: a set of strings.
      const names = new Set<string>()
      for (let i = 0; i < corners.length; i += 3)
        names.add(`${corners[i]! + 0},${corners[i + 1]! + 0},${corners[i + 2]! + 0}`)
      expect(positions.length / 3).toBe(names.size)
    }
  })

  it('in spatial order keeps every facet, its turn, and the way back to the input', () => {
    const mesh = icosphere(50, 4)
    const shuffled: number[][] = []
    const rng = random(11)
    const corners = soup(mesh)
    for (let f = 0; f < corners.length / 9; f++)
      shuffled.splice(rng.below(f + 1), 0, [...corners.slice(f * 9, f * 9 + 9)])
    const mixed = Float32Array.from(shuffled.flat())
    const { positions, indices, facetFrom } = drain(weldInOrder(mixed))
    expect([...facetFrom].sort((a, b) => a - b)).toEqual(Array.from({ length: facetFrom.length }, (_, i) => i))
    let wrong = 0
    for (let f = 0; f < facetFrom.length; f++)
      for (let k = 0; k < 9; k++)
        if (positions[indices[f * 3 + Math.floor(k / 3)]! * 3 + (k % 3)] !== mixed[facetFrom[f]! * 9 + k]) wrong++
    expect(wrong).toBe(0)
    // Neighbours in memory are neighbours in space: the mean jump between facets is far shorter than in the mixed input.
    const jump = (at: (f: number) => number[]) => {
      let sum = 0
      for (let f = 1; f < facetFrom.length; f++) {
        const [a, b] = [at(f - 1), at(f)]
        sum += Math.hypot(a[0]! - b[0]!, a[1]! - b[1]!, a[2]! - b[2]!)
      }
      return sum / facetFrom.length
    }
    const before = jump((f) => [...mixed.slice(f * 9, f * 9 + 3)])
    const after = jump((f) => [...positions.slice(indices[f * 3]! * 3, indices[f * 3]! * 3 + 3)])
    expect(after).toBeLessThan(before / 5)
  })

  it('does not depend on the order of facets beyond the numbering: same set of facets', () => {
    const corners = soup(box([-1, -2, -3], [4, 5, 6]))
    const backwards = Float32Array.from({ length: corners.length }, (_, i) => {
      const f = corners.length / 9 - 1 - Math.floor(i / 9)
      return corners[f * 9 + (i % 9)]!
    })
    const facets = (c: Float32Array) => {
      const { positions, indices } = drain(weldInOrder(c))
      const out: string[] = []
      for (let f = 0; f < indices.length; f += 3)
        out.push(
          rotate([...indices.slice(f, f + 3)])
            .map((v) => [...positions.slice(v * 3, v * 3 + 3)].join(' '))
            .join('|'),
        )
      return out.sort()
    }
    expect(facets(corners)).toEqual(facets(backwards))
  })
})
