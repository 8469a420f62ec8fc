import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { type Repair, scanStep } from '../../../src/core/scan'
import { random } from '../../support/random'
import { refusal } from '../../support/refusals'
import { box, frustum, gridPlate, icosphere, joined, openTube, torus, turned, without } from '../../support/solids'
import { binaryStl, file } from '../../support/write-mesh-files'

const step = (mesh: Mesh, ...repairs: Repair[]) =>
  scanStep({ files: [file('frame.stl', binaryStl(mesh))], unit: 'mm', repairs, noise_mm: null })
const scan = (mesh: Mesh, ...repairs: Repair[]) => drain(step(mesh, ...repairs))

describe('drop-islands', () => {
  const main = torus(900, 25, 80, 16)
  const dust = [0, 1, 2, 3].map((i) => icosphere(3, 1, [i * 50, 0, 200]))
  const drop: Repair = { kind: 'drop-islands', belowShare: 0.005 }

  it('drops pieces below a share of the largest, says how many, and leaves the count of before', () => {
    const { health, findings, mesh } = scan(joined(...dust.slice(0, 2), main, ...dust.slice(2)), drop)
    expect(health).toMatchObject({
      islands: 5,
      islandsDropped: 4,
      facetsDropped: 320,
      facets: 2560,
      vertices: 1280,
      closed: true,
    })
    const f = findings.find((x) => x.id === 'scan.islands-dropped.1')!
    expect(f.value).toBe(4)
    expect(Math.abs(f.where![2] - 200)).toBeLessThan(4)
    expect(findings.some((x) => x.id === 'scan.pieces')).toBe(false)
    // Undo is leaving the repair out; what remains is the same piece as alone.
    expect(scan(joined(...dust, main)).health.facets).toBe(2560 + 320)
    expect(health.volume_mm3).toBeCloseTo(scan(main).health.volume_mm3, 3)
    expect(mesh.indices.every((v) => v < 1280)).toBe(true)
  })

  it('keeps halves of like size, and does nothing to one piece', () => {
    const two = joined(main, torus(700, 25, 80, 16))
    expect(scan(two, drop).health).toMatchObject({ islands: 2, islandsDropped: 0 })
    expect(scan(main, drop).mesh.id).toBe(scan(main).mesh.id)
  })
})

describe('turn-facets', () => {
  const turn: Repair = { kind: 'turn-facets' }

  it('mends any set of turned facets of closed solids, and turns what is inside out', () => {
    const rng = random(12)
    for (const solid of [
      icosphere(500, 3),
      torus(900, 25, 40, 12),
      joined(box([0, 0, 0], [900, 900, 900]), icosphere(50, 2, [2000, 0, 0])),
    ]) {
      const right = scan(solid).health
      for (const share of [0.05, 0.3, 1]) {
        const { health, findings } = scan(
          turned(solid, () => rng.next() < share),
          turn,
        )
        expect(health.inconsistentEdges).toBe(0)
        expect(health.volume_mm3 / right.volume_mm3).toBeCloseTo(1, 9)
        expect(findings.some((f) => f.id === 'scan.turned.1')).toBe(true)
      }
      expect(scan(solid, turn).mesh.id).toBe(scan(solid).mesh.id)
    }
  })

  it('an open sheet goes with the side that most of its area shows', () => {
    const plate = gridPlate(1000, 1000, 20, 20)
    const { mesh, health } = scan(
      turned(plate, (f) => f % 5 === 0),
      turn,
    )
    expect(health.inconsistentEdges).toBe(0)
    expect(mesh.id).toBe(scan(plate).mesh.id)
  })

  it('says of a twisted band that it has one side only', () => {
    // A band of 40 quads, its end joined to its start upside down.
    const corners: number[] = []
    const n = 40
    const at = (i: number, side: number) => {
      const t = (2 * Math.PI * (i % n)) / n
      const s = i >= n ? 1 - side : side
      const w = (s - 0.5) * 200
      const r = 1000 + w * Math.cos(t / 2)
      return [r * Math.cos(t), r * Math.sin(t), w * Math.sin(t / 2)]
    }
    for (let i = 0; i < n; i++)
      for (const [a, b, c] of [
        [at(i, 0), at(i + 1, 0), at(i + 1, 1)],
        [at(i, 0), at(i + 1, 1), at(i, 1)],
      ] as number[][][])
        corners.push(...a!, ...b!, ...c!)
    const text = `solid\n${Array.from({ length: corners.length / 9 }, (_, f) => `facet\n${[0, 3, 6].map((k) => `vertex ${corners.slice(f * 9 + k, f * 9 + k + 3).join(' ')}`).join('\n')}\nendfacet`).join('\n')}\nendsolid`
    const { findings, health } = drain(
      scanStep({ files: [file('band.stl', text)], unit: 'mm', repairs: [turn], noise_mm: null }),
    )
    expect(health.boundaryLoops).toBe(1)
    expect(findings.some((f) => f.id === 'scan.one-sided.1')).toBe(true)
  })
})

describe('fill-holes', () => {
  it('closes a hole exactly where its rim is flat, and marks what it made', () => {
    const ball = frustum(200, 100, 300, 24)
    // Without its top: a flat rim of 24 corners.
    const open = without(ball, (f) => [0, 1, 2].every((k) => ball.positions[ball.indices[f * 3 + k]! * 3 + 2]! === 300))
    const before = scan(open).health
    expect(before).toMatchObject({ boundaryLoops: 1, closed: false })
    const { health, unseenFacet, mesh, findings, rimVertex } = scan(open, { kind: 'fill-holes', longestRim_mm: 700 })
    const whole = scan(ball).health
    expect(health).toMatchObject({ boundaryEdges: 0, inconsistentEdges: 0, nonManifoldEdges: 0, closed: true })
    expect(health.volume_mm3 / whole.volume_mm3).toBeCloseTo(1, 6)
    expect(unseenFacet.length).toBe(mesh.indices.length / 3)
    expect(unseenFacet.reduce((a, b) => a + b, 0)).toBe(22)
    expect(findings.find((f) => f.id === 'scan.filled.1')!.value).toBe(1)
    // The rim of the fill is still the edge of what was seen.
    expect(rimVertex.reduce((a, b) => a + b, 0)).toBe(24)
  })

  it('fills only rims up to the length asked', () => {
    const tube = openTube(20, 600, 24, 12)
    expect(scan(tube, { kind: 'fill-holes', longestRim_mm: 100 }).health.boundaryLoops).toBe(2)
    expect(scan(tube, { kind: 'fill-holes', longestRim_mm: 130 }).health.closed).toBe(true)
  })

  it('spans a dented rim with the least area (Barequet and Sharir 1995), against all triangulations', () => {
    const rng = random(21)
    for (let round = 0; round < 10; round++) {
      const n = 7
      const rim = Array.from({ length: n }, (_, i) => {
        const r = rng.between(40, 100)
        return [r * Math.cos((2 * Math.PI * i) / n), r * Math.sin((2 * Math.PI * i) / n), rng.between(-30, 30)].map(
          Math.fround,
        )
      })
      const below = [0, 0, -500]
      // A cone below the rim makes it the only hole.
      const facets = rim.map((p, i) => [below, rim[(i + 1) % n]!, p])
      const text = `solid\n${facets.map((f) => `facet\n${f.map((v) => `vertex ${v!.join(' ')}`).join('\n')}\nendfacet`).join('\n')}\nendsolid`
      const open = drain(scanStep({ files: [file('a', text)], unit: 'mm', repairs: [], noise_mm: null }))
      const filled = drain(
        scanStep({
          files: [file('a', text)],
          unit: 'mm',
          repairs: [{ kind: 'fill-holes', longestRim_mm: 1e4 }],
          noise_mm: null,
        }),
      )
      expect(filled.health.closed).toBe(true)
      const area = (a: number[], b: number[], c: number[]) => {
        const u = b.map((v, k) => v - a[k]!)
        const v = c.map((w, k) => w - a[k]!)
        return (
          Math.hypot(u[1]! * v[2]! - u[2]! * v[1]!, u[2]! * v[0]! - u[0]! * v[2]!, u[0]! * v[1]! - u[1]! * v[0]!) / 2
        )
      }
      const least = (points: number[][]): number => {
        if (points.length < 3) return 0
        let best = Infinity
        for (let k = 1; k + 1 < points.length; k++)
          best = Math.min(
            best,
            area(points[0]!, points[k]!, points.at(-1)!) + least(points.slice(0, k + 1)) + least(points.slice(k)),
          )
        return best
      }
      expect(filled.health.area_mm2 - open.health.area_mm2).toBeCloseTo(least(rim), 2)
    }
  })

  it('leaves a rim alone that meets itself, and says so', () => {
    const plate = gridPlate(600, 600, 12, 12)
    const cell = (f: number) => Math.floor(f / 2)
    const { findings, health } = scan(
      without(plate, (f) => [40, 53].includes(cell(f))),
      { kind: 'fill-holes', longestRim_mm: 500 },
    )
    expect(findings.find((f) => f.id === 'scan.not-filled.1')!.value).toBe(1)
    expect(health.boundaryLoops).toBe(2)
  })
})

describe('crops', () => {
  const long = box([0, 0, 0], [2000, 100, 100])
  const row = joined(long, box([0, 500, 0], [100, 600, 100]))

  it('by box keeps what lies inside, by plane what the normal points away from', () => {
    expect(scan(row, { kind: 'crop-box', min: [-1, 400, -1], max: [101, 601, 101] }).health).toMatchObject({
      facets: 12,
      facetsDropped: 12,
      closed: true,
    })
    const kept = scan(row, { kind: 'crop-plane', normal: [0, 2, 0], offset_mm: 300 })
    expect(kept.health.facets).toBe(12)
    expect(Math.max(...kept.mesh.positions)).toBe(2000)
    expect(kept.findings.find((f) => f.id === 'scan.cropped.1')!.value).toBe(12)
  })

  it('refuses a crop that leaves nothing, and a plane without a direction', () => {
    expect(refusal(() => step(row, { kind: 'crop-box', min: [9, 9, 9], max: [10, 10, 10] })).code).toBe(
      'setting-impossible',
    )
    expect(refusal(() => step(row, { kind: 'crop-plane', normal: [0, 0, 0], offset_mm: 0 })).code).toBe(
      'setting-impossible',
    )
  })

  it('cuts count as rims: metal goes on beyond', () => {
    const { rimVertex, health } = scan(openTube(20, 1000, 16, 20), {
      kind: 'crop-plane',
      normal: [0, 0, 1],
      offset_mm: 500,
    })
    expect(health.boundaryLoops).toBe(2)
    expect(rimVertex.reduce((a, b) => a + b, 0)).toBeGreaterThanOrEqual(32)
  })

  it('repairs run in the order given', () => {
    const dusty = joined(long, icosphere(3, 1, [0, 300, 0]))
    const a = scan(
      dusty,
      { kind: 'drop-islands', belowShare: 0.005 },
      { kind: 'crop-plane', normal: [0, -1, 0], offset_mm: 0 },
    )
    expect(a.health).toMatchObject({ islandsDropped: 1, facetsDropped: 80 + 0 })
    expect(a.findings.map((f) => f.id)).toContain('scan.islands-dropped.1')
  })
})
