/** Thinning. The largest deviation is measured again by an independent comparison of the two meshes. */
import { beforeAll, describe, expect, it } from 'vitest'
import { compareMeshes } from '../../../src/core/geometry/compare-meshes'
import { drain } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { type Repair, scanStep, thinReady } from '../../../src/core/scan'
import { random } from '../../support/random'
import { bent, openTube, torus, without } from '../../support/solids'
import { binaryStl, file } from '../../support/write-mesh-files'

beforeAll(() => thinReady)

const scan = (mesh: Mesh, repairs: readonly Repair[], noise_mm: number | null = null) =>
  drain(scanStep({ files: [file('frame.stl', binaryStl(mesh))], unit: 'mm', repairs, noise_mm }))

/** A ring of tube with scanner noise on every vertex. */
function noisy(sigma_mm: number): Mesh {
  const rng = random(5)
  const by = new Map<string, number>()
  return bent(torus(240, 25, 300, 30), (x, y, z) => {
    const key = `${x} ${y} ${z}`
    const push = by.get(key) ?? rng.between(-1, 1) * sigma_mm * Math.sqrt(3)
    by.set(key, push)
    const r = Math.hypot(x, y)
    const out = [x * (1 - 240 / r), y * (1 - 240 / r), z] as const
    const length = Math.hypot(...out)
    return [x + (out[0] / length) * push, y + (out[1] / length) * push, z + (out[2] / length) * push]
  })
}

const holed = (mesh: Mesh) => without(mesh, (f) => f % 3000 < 8)

describe('thin', () => {
  it.each([
    [0, 10, 1.3],
    [0.2, 12, 2.2],
    // What was asked for would be too far off: more facets are kept.
    [0, 20, 1],
  ])('noise %f mm: edges near %f mm, never further than %f mm from the full scan', (sigma, edge_mm, deviation_mm) => {
    const full = scan(holed(noisy(sigma)), [])
    const made = scan(holed(noisy(sigma)), [{ kind: 'thin', edge_mm, deviation_mm }])
    expect(made.health.facets).toBeLessThan(0.6 * full.health.facets)
    expect(made.health.meanEdge_mm).toBeGreaterThan(1.3 * full.health.meanEdge_mm)
    const ways = [drain(compareMeshes(full.mesh, made.mesh)), drain(compareMeshes(made.mesh, full.mesh))]
    const largest = Math.max(...ways.map((w) => w.aToB.max_mm))
    const said = made.findings.find((f) => f.id === 'scan.thinned.1')!
    expect(said).toMatchObject({ severity: 'note', limit: deviation_mm })
    expect(largest).toBeLessThan(deviation_mm * 1.02)
    expect(Math.abs(largest - said.value!)).toBeLessThan(0.1 * deviation_mm)
    // The guard band of twice the noise covers what was moved.
    expect(2 * made.health.noise_mm).toBeGreaterThanOrEqual(said.value!)
    expect(made.health.noise_mm).toBeGreaterThanOrEqual(full.health.noise_mm)
  })

  it('rims stay where they were, and no hole comes or goes', () => {
    const full = scan(holed(noisy(0)), [])
    const made = scan(holed(noisy(0)), [{ kind: 'thin', edge_mm: 12, deviation_mm: 0.8 }])
    const rims = (r: typeof full) => r.health.holes.map((h) => Math.round(h.rim_mm * 1000)).sort()
    expect(full.health.holeCount).toBeGreaterThan(5)
    expect(rims(made)).toEqual(rims(full))
    expect(made.health.nonManifoldEdges).toBe(0)
    expect(made.rimVertex.reduce((a, b) => a + b, 0)).toBe(full.rimVertex.reduce((a, b) => a + b, 0))
  })

  it('what was filled in stays unseen, facet by facet', () => {
    const fill: Repair = { kind: 'fill-holes', longestRim_mm: 200 }
    const unseen = (r: ReturnType<typeof scan>) => r.unseenFacet.reduce((a, b) => a + b, 0)
    const filled = scan(holed(noisy(0)), [fill])
    const made = scan(holed(noisy(0)), [fill, { kind: 'thin', edge_mm: 12, deviation_mm: 0.8 }])
    expect(unseen(filled)).toBeGreaterThan(0)
    expect(made.health.facets).toBeLessThan(0.6 * filled.health.facets)
    expect(unseen(made)).toBe(unseen(filled))
    expect(made.unseenFacet).toHaveLength(made.health.facets)
  })

  it('adds half of the deviation to the word of a scanner’s certificate', () => {
    const made = scan(noisy(0.2), [{ kind: 'thin', edge_mm: 12, deviation_mm: 1.5 }], 0.2)
    const moved = made.findings.find((f) => f.id === 'scan.thinned.1')!.value!
    expect(made.health.noiseFrom).toBe('user')
    expect(made.health.noise_mm).toBeCloseTo(Math.hypot(0.2, moved / 2), 9)
  })

  it.each<[string, Mesh, number, number]>([
    ['no room for the noise', noisy(0.2), 12, 0.001],
    ['as coarse already', openTube(20, 600, 24, 12), 2, 1],
  ])('%s: nothing is touched, and it says so', (_, mesh, edge_mm, deviation_mm) => {
    const made = scan(mesh, [{ kind: 'thin', edge_mm, deviation_mm }])
    const full = scan(mesh, [])
    expect(made.findings.find((f) => f.id === 'scan.thinned.1')).toMatchObject({ severity: 'warning' })
    expect(made.mesh.id).toBe(full.mesh.id)
    expect(made.health.noise_mm).toBe(full.health.noise_mm)
  })

  it('the same scan gives the same bytes', () => {
    const ask: Repair = { kind: 'thin', edge_mm: 12, deviation_mm: 1.5 }
    expect(scan(noisy(0.2), [ask]).mesh.id).toBe(scan(noisy(0.2), [ask]).mesh.id)
  })
})
