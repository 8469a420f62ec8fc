import { describe, expect, it } from 'vitest'
import { type CertificateRequest, certify, judge } from '../../../src/core/clearance/certificate'
import { facetGaps } from '../../../src/core/clearance/facet-gaps'
import { buildObstacle } from '../../../src/core/clearance/obstacle'
import { VERDICTS } from '../../../src/core/clearance/types'
import { drain } from '../../../src/core/geometry/kernel'
import { leastDistance, loadFacet } from '../../../src/core/geometry/least-distance'
import { facetCount, type Mesh, makeMesh } from '../../../src/core/geometry/mesh'
import { seededRandom } from '../../../src/core/geometry/seeded-random'
import { surfaceIndex } from '../../../src/core/geometry/surface-index'
import { triangleDistance2 } from '../../../src/core/geometry/triangle-distance'
import { buildTriangleTree } from '../../../src/core/geometry/triangle-tree'
import { box, join, noisyTube, sheet, soup } from '../../support/shapes'

/** A gently arched sheet at height z, facing down, cells of about `cell` mm. */
function roof(x: number, y: number, z: number, nx: number, ny: number, arch = 8): Mesh<'job'> {
  return sheet(nx, ny, { u: false, v: false }, (u, v) => {
    const [a, b] = [2 * u - 1, 2 * v - 1]
    return [a * x, -b * y, z + arch * (1 - a * a - b * b)]
  })
}

const tubes = join(noisyTube(-200, 200, 0, 0, 19, 60, 16, 0.3, 1), noisyTube(-200, 200, 90, 4, 19, 60, 16, 0.3, 2))

function request(face: Mesh<'job'>, frame: Mesh<'job'>, more: Partial<CertificateRequest> = {}): CertificateRequest {
  return {
    face,
    frame,
    rimVertex: new Uint8Array(frame.positions.length / 3),
    unseenFacet: null,
    gap: 12,
    guard_mm: 0.6,
    limit_mm: 16,
    map_mm: 0,
    lift: null,
    ...more,
  }
}

/** Every facet against every facet: least distance and least margin. */
function everyPair(face: Mesh, frame: Mesh, gap: (g: number) => number) {
  const [p, q, out] = [new Float64Array(9), new Float64Array(9), new Float64Array(6)]
  return Array.from({ length: facetCount(face) }, (_, f) => {
    loadFacet(face, f, ...(face.origin as [number, number, number]), p)
    let distance = Infinity
    let margin = Infinity
    for (let g = 0; g < facetCount(frame); g++) {
      loadFacet(frame, g, ...(frame.origin as [number, number, number]), q)
      const d = Math.sqrt(triangleDistance2(p, q, out))
      distance = Math.min(distance, d)
      margin = Math.min(margin, d - gap(g))
    }
    return { distance, margin }
  })
}

describe('distance of every facet', () => {
  const gapsOf = (frame: Mesh, seed: number) => {
    const random = seededRandom(seed)
    return Float32Array.from({ length: facetCount(frame) }, () => (random() < 0.4 ? 3 : 12))
  }
  it.each([
    ['a sheet over tubes', roof(220, 120, 34, 12, 9), tubes],
    ['a sheet that cuts tubes', roof(220, 120, 20, 10, 7), tubes],
    ['loose triangles', soup('job', 60, 80, 9, 3), soup('job', 400, 80, 7, 4)],
    [
      'local origins',
      makeMesh('job', roof(90, 50, 0, 6, 6).positions, roof(90, 50, 0, 6, 6).indices, [3, 9, 31]),
      makeMesh('job', tubes.positions, tubes.indices, [5, -7, 1]),
    ],
    ['few facets', box([0, 0, 0], [10, 10, 10]), box([5, 5, 13], [9, 9, 20])],
  ] as const)('%s: as by every pair, up to the limit, for one gap and for many', (_, face, frame) => {
    const shellTree = drain(buildTriangleTree(face))
    const frameTree = drain(buildTriangleTree(frame))
    for (const gap of [12, gapsOf(frame, 9)] as const) {
      const expected = everyPair(face, frame, (g) => (typeof gap === 'number' ? gap : gap[g]!))
      const got = drain(facetGaps(shellTree, frameTree, gap, 16))
      let within = 0
      expected.forEach(({ distance, margin }, f) => {
        if (distance < 16) {
          within++
          expect(got.distance[f]).toBeCloseTo(distance, 9)
        } else expect(got.distance[f]).toBe(Infinity)
        if (margin < 4) expect(got.margin[f]).toBeCloseTo(margin, 9)
        else expect(got.margin[f]).toBe(Infinity)
        if (got.frameFacet[f]! >= 0) {
          const w = got.witness.subarray(6 * f, 6 * f + 6)
          const d = Math.hypot(w[0]! - w[3]!, w[1]! - w[4]!, w[2]! - w[5]!)
          const own = typeof gap === 'number' ? gap : gap[got.frameFacet[f]!]!
          expect(d - own).toBeCloseTo(got.margin[f]!, 9)
        }
      })
      expect(within).toBeGreaterThan(3)
      const overall = Math.min(...expected.map((e) => e.distance))
      expect(got.distance[got.nearest]).toBeCloseTo(overall, 9)
    }
  })
})

describe('certificate', () => {
  it('agrees with the walk over both trees and with another library, and its pair realises the distance', () => {
    const face = roof(220, 120, 33, 20, 14)
    const c = drain(certify(request(face, tubes)))
    expect(c.min_mm).toBeCloseTo(drain(leastDistance(face, tubes)).distance_mm, 9)
    expect(c.min_mm).toBeCloseTo(surfaceIndex(face).leastDistance(surfaceIndex(tubes)).distance_mm, 4)
    expect(Math.hypot(...[0, 1, 2].map((k) => c.at.shell[k]! - c.at.frame[k]!))).toBeCloseTo(c.min_mm, 9)
    expect(c.margin_mm).toBeCloseTo(c.min_mm - 12, 9)
    const area = c.proven_mm2 + c.notProven_mm2 + c.fails_mm2 + c.unseen_mm2
    const total = Array.from({ length: facetCount(face) }, (_, f) => areaOf(face, f)).reduce((a, b) => a + b)
    expect(Math.abs(area / total - 1)).toBeLessThan(1e-12)
  })

  // M17, check-values 2 (ISO 14253-1): accept only inside the zone shrunk by U; in between neither can be said.
  it('M17 judges with the guard band', () => {
    expect(judge(0.6, 0.6, false)).toBe('proven')
    expect(judge(0.6 - 1e-12, 0.6, false)).toBe('not-proven')
    expect(judge(0, 0.6, false)).toBe('not-proven')
    expect(judge(-1e-12, 0.6, false)).toBe('fails')
    expect(judge(5, 0.6, true)).toBe('unseen')
    expect(judge(-1e-12, 0.6, true)).toBe('fails')
  })

  it.each([
    [13, 'proven'],
    [12.3, 'not-proven'],
    [11.9, 'fails'],
    [0, 'fails'],
    [400, 'proven'],
  ] as const)('a plate %f mm over a box: %s, with the right areas', (d, verdict) => {
    const frame = box([-50, -50, -20], [50, 50, 0])
    const face = roof(100, 100, d, 10, 10, 0)
    const c = drain(certify(request(face, frame)))
    expect(c.verdict).toBe(verdict)
    expect(c.min_mm).toBeCloseTo(d, 6)
    expect(c.margin_mm).toBeCloseTo(d - 12, 6)
    expect(c.required_mm).toBe(12)
    // Cells of 20 mm that come within the zone of a box of 100: 6 by 6 of them over it or touching it, if any.
    const near = verdict === 'proven' ? 0 : c.notProven_mm2 + c.fails_mm2
    if (verdict !== 'proven') {
      expect(near).toBeGreaterThan(100 * 100)
      expect(near).toBeLessThanOrEqual(160 * 160)
    }
    expect(c.proven_mm2 + near).toBeCloseTo(200 * 200, 6)
    if (d === 400) expect(c.gap.values.every((v) => v === Infinity)).toBe(true)
  })

  it('least distance may lie where the gap is small, least margin elsewhere', () => {
    const bearing = box([-100, -10, -20], [-80, 10, 0])
    const clear = box([80, -10, -20], [100, 10, -5])
    const frame = join(bearing, clear)
    const gap = Float32Array.from({ length: 24 }, (_, f) => (f < 12 ? 2 : 12))
    const c = drain(certify(request(roof(120, 50, 4, 30, 12, 0), frame, { gap, guard_mm: 0.5 })))
    expect(c.min_mm).toBeCloseTo(4, 9)
    expect(c.at.frame[0]).toBeLessThan(-79)
    expect(c.margin_mm).toBeCloseTo(-3, 9)
    expect(c.marginAt.frame[0]).toBeGreaterThan(79)
    expect(c.required_mm).toBe(12)
    expect(c.verdict).toBe('fails')
    const raised = drain(certify(request(roof(120, 50, 8, 30, 12, 0), frame, { gap, guard_mm: 0.5 })))
    expect(raised.margin_mm).toBeCloseTo(1, 9)
    expect(raised.verdict).toBe('proven')
  })

  it('loosening the gap never shrinks the margin, moving the sheet up never either', () => {
    let before = -Infinity
    for (const z of [24, 27, 30, 33, 36]) {
      const c = drain(certify(request(roof(220, 120, z, 14, 10), tubes, { limit_mm: 60 })))
      expect(c.margin_mm).toBeGreaterThan(before)
      const loose = drain(certify(request(roof(220, 120, z, 14, 10), tubes, { limit_mm: 60, gap: 11 })))
      expect(loose.margin_mm).toBeCloseTo(c.margin_mm + 1, 9)
      before = c.margin_mm
    }
  })

  it('a limit that hides what is to be proven, or nothing to measure, is a defect', () => {
    expect(() => drain(certify(request(roof(9, 9, 9, 2, 2), tubes, { limit_mm: 12.5 })))).toThrow(/limit/)
    expect(() => drain(certify(request(roof(9, 9, 9, 2, 2), soup('job', 0, 1, 1, 1))))).toThrow(/nothing/)
  })
})

describe('unseen', () => {
  /** A plate with a square hole of `hole` mm about the origin, cells of 4 mm; rim vertices marked. */
  function plate(hole: number): { frame: Mesh<'job'>; rimVertex: Uint8Array } {
    const whole = sheet(60, 60, { u: false, v: false }, (u, v) => [240 * u - 120, 240 * v - 120, 0])
    const keep: number[] = []
    const inHole = (v: number) =>
      Math.max(Math.abs(whole.positions[3 * v]!), Math.abs(whole.positions[3 * v + 1]!)) <= hole / 2 + 1e-6
    for (let f = 0; f < whole.indices.length; f += 3) {
      const corners = [0, 1, 2].map((k) => whole.indices[f + k]!)
      if (!corners.every(inHole)) keep.push(...corners)
    }
    const rimVertex = new Uint8Array(whole.positions.length / 3)
    for (let v = 0; v < rimVertex.length; v++) {
      const side = Math.max(Math.abs(whole.positions[3 * v]!), Math.abs(whole.positions[3 * v + 1]!))
      if (Math.abs(side - hole / 2) < 1e-6) rimVertex[v] = 1
    }
    return { frame: makeMesh('job', whole.positions, Uint32Array.from(keep)), rimVertex }
  }
  const over = (z: number, frame: Mesh<'job'>, rimVertex: Uint8Array, unseenFacet: Uint8Array | null = null) => {
    const face = sheet(51, 51, { u: false, v: false }, (u, v) => [200 * u - 100, 200 * v - 100, z])
    return { face, c: drain(certify(request(face, frame, { rimVertex, unseenFacet }))) }
  }
  const verdictAt = (face: Mesh, of: Uint8Array, x: number, y: number) => {
    const f = surfaceIndex(face).closestPoint([x, y, 0])!.facet
    return VERDICTS[of[f]!]
  }

  it('over a hole nothing is proven, beside it all is', () => {
    const { frame, rimVertex } = plate(40)
    const { face, c } = over(13, frame, rimVertex)
    expect(verdictAt(face, c.verdictOfFacet, 0.5, 0.5)).toBe('unseen')
    expect(verdictAt(face, c.verdictOfFacet, 15, 3)).toBe('unseen')
    expect(verdictAt(face, c.verdictOfFacet, 60, 60)).toBe('proven')
    // The hole is 40 by 40; facets of 4 mm straddle its border.
    expect(c.unseen_mm2).toBeGreaterThan(34 * 34)
    expect(c.unseen_mm2).toBeLessThan(48 * 48)
    expect(c.fails_mm2).toBe(0)
  })

  it('the middle of a wide hole, further from any rim than the limit, is unseen too', () => {
    const { frame, rimVertex } = plate(120)
    const { face, c } = over(13, frame, rimVertex)
    expect(c.gap.values.some((v) => v === Infinity)).toBe(true)
    expect(verdictAt(face, c.verdictOfFacet, 0.5, 0.5)).toBe('unseen')
  })

  it('a surface so high that metal as wide as the hole could not reach it is proven', () => {
    const { frame, rimVertex } = plate(40)
    const { c } = over(12.7 + 3 + 40 * Math.SQRT2, frame, rimVertex)
    expect(c.unseen_mm2).toBe(0)
    expect(c.verdict).toBe('proven')
  })

  it('what already fails at a rim fails', () => {
    const { frame, rimVertex } = plate(40)
    const { face, c } = over(11, frame, rimVertex)
    expect(verdictAt(face, c.verdictOfFacet, 18, 3)).toBe('fails')
    expect(verdictAt(face, c.verdictOfFacet, 0.5, 0.5)).toBe('unseen')
    expect(c.verdict).toBe('fails')
  })

  it('marks that stand on no open edge are taken for what they are: corners', () => {
    const { frame } = plate(0)
    const rimVertex = new Uint8Array(frame.positions.length / 3).fill(1)
    const { c } = over(13, frame, rimVertex)
    expect(c.verdict).toBe('proven')
  })

  it('a hole that was filled is as unseen as it was open', () => {
    const { frame: whole } = plate(0)
    for (const hole of [40, 120]) {
      const { frame: open, rimVertex } = plate(hole)
      const before = over(13, open, rimVertex).c
      // Filled with the very facets that were taken out, all of them marked, their corners too (as the scan step does).
      const filling: number[] = []
      const seen = new Set<string>()
      for (let f = 0; f < open.indices.length; f += 3) seen.add(open.indices.subarray(f, f + 3).join())
      for (let f = 0; f < whole.indices.length; f += 3) {
        const corners = whole.indices.subarray(f, f + 3)
        if (!seen.has(corners.join())) filling.push(...corners)
      }
      const frame = makeMesh('job', open.positions, Uint32Array.from([...open.indices, ...filling]))
      const unseenFacet = new Uint8Array(frame.indices.length / 3).fill(1, open.indices.length / 3)
      const marks = rimVertex.slice()
      for (const v of filling) marks[v] = 1
      const { face, c } = over(13, frame, marks, unseenFacet)
      expect(verdictAt(face, c.verdictOfFacet, 0.5, 0.5)).toBe('unseen')
      expect(verdictAt(face, c.verdictOfFacet, 90, 90)).toBe('proven')
      expect(c.unseen_mm2).toBeGreaterThanOrEqual(before.unseen_mm2)
      // Facets of 4 mm straddle the border of the filling.
      expect(c.unseen_mm2).toBeLessThan((hole + 8) ** 2)
    }
  })

  it('a hole at the place of least gap makes the whole unseen', () => {
    // The rim stands proud: the metal rises towards the hole.
    const { frame, rimVertex } = plate(40)
    const p = frame.positions.slice()
    for (let v = 0; v < rimVertex.length; v++) if (rimVertex[v]) p[3 * v + 2] = 1
    const { c } = over(14, makeMesh('job', p, frame.indices), rimVertex)
    expect(c.min_mm).toBeCloseTo(13, 6)
    expect(c.verdict).toBe('unseen')
  })
})

describe('excess lift', () => {
  it('is the height of the sheet above the obstacle at the nodes of contact', () => {
    const grid = { nx: 41, ny: 21, x0: -80, y0: -40, h: 4 }
    const obstacle = drain(buildObstacle(tubes, { ...grid, gap: 12, guard_mm: 0.6, symmetric: false }))
    const contact = Uint32Array.from({ length: 20 }, (_, i) => 10 * 41 + 5 + i)
    const sheetHeight = obstacle.height.map((z, i) => z + (i - (10 * 41 + 5)) / 100)
    const c = drain(
      certify(request(roof(80, 40, 60, 4, 4), tubes, { lift: { obstacle, sheet: sheetHeight, contact } })),
    )
    expect(c.excessLift.p50_mm).toBeCloseTo(0.09, 9)
    expect(c.excessLift.p95_mm).toBeCloseTo(0.18, 9)
  })
})

function areaOf(mesh: Mesh, f: number): number {
  const c = new Float64Array(9)
  loadFacet(mesh, f, 0, 0, 0, c)
  const [ux, uy, uz] = [c[3]! - c[0]!, c[4]! - c[1]!, c[5]! - c[2]!]
  const [vx, vy, vz] = [c[6]! - c[0]!, c[7]! - c[1]!, c[8]! - c[2]!]
  return Math.hypot(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx) / 2
}
