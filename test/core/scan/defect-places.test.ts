import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { type Mesh, makeMesh } from '../../../src/core/geometry/mesh'
import { type Repair, scanStep } from '../../../src/core/scan'
import { box, joined } from '../../support/solids'
import { binaryStl, file } from '../../support/write-mesh-files'

const scan = (mesh: Mesh, repairs: readonly Repair[] = []) =>
  drain(scanStep({ files: [file('frame.stl', binaryStl(mesh))], unit: 'mm', repairs, noise_mm: null }))

const main = box([0, 0, 0], [2000, 1200, 300])

describe('places of defects', () => {
  it('of stray pieces: all but the largest, largest first, exactly in their middles, dropped or not', () => {
    const mesh = joined(box([3000, 0, 0], [3010, 10, 10]), main, box([0, 3000, 100], [20, 3020, 120]))
    for (const repairs of [[], [{ kind: 'drop-islands', belowShare: 0.01 } as const]]) {
      const { strays } = scan(mesh, repairs).places
      expect(strays.map((s) => [s.area_mm2, s.facets])).toEqual([
        [2400, 12],
        [600, 12],
      ])
      ;[10, 3010, 110, 3005, 5, 5].forEach((v, i) => {
        expect(strays[Math.floor(i / 3)]!.at[i % 3]).toBeCloseTo(v, 3)
      })
    }
  })

  it('of facets that are turned, apart from each other; none when they agree', () => {
    expect(scan(main).places).toEqual({ strays: [], crossing: [], turned: [] })
    const indices = main.indices.slice()
    ;[indices[1], indices[2]] = [indices[2]!, indices[1]!]
    const { places, health, findings } = scan(makeMesh('scan', main.positions.slice(), indices))
    expect(health.inconsistentEdges).toBe(3)
    expect(places.turned.length).toBeGreaterThan(0)
    expect(findings.find((f) => f.id === 'scan.inconsistent')?.where).toEqual(places.turned[0])
    expect(places.crossing).toEqual([])
  })

  it('of edges where three facets meet', () => {
    // A fin on one edge of the box: its third facet.
    const p = [...main.positions]
    const [a, b] = [main.indices[0]!, main.indices[1]!]
    const fin = p.length / 3
    p.push(p[3 * a]! + 500, p[3 * a + 1]! + 500, p[3 * a + 2]! + 900)
    const { places, health } = scan(
      makeMesh('scan', Float32Array.from(p), Uint32Array.from([...main.indices, a, b, fin])),
    )
    expect(health.nonManifoldEdges).toBe(1)
    expect(places.crossing.length).toBeGreaterThan(0)
    expect(places.turned).toEqual([])
  })
})
