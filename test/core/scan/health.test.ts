import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { type Mesh, makeMesh } from '../../../src/core/geometry/mesh'
import { type ScanRequest, scanStep } from '../../../src/core/scan'
import { random } from '../../support/random'
import { refusal } from '../../support/refusals'
import { bent, box, gridPlate, icosphere, joined, moved, openTube, torus, turned, without } from '../../support/solids'
import { binaryStl, concat, file, obj } from '../../support/write-mesh-files'

const request = (mesh: Mesh, rest: Partial<ScanRequest> = {}): ScanRequest => ({
  files: [file('frame.stl', binaryStl(mesh))],
  unit: 'mm',
  repairs: [],
  noise_mm: null,
  ...rest,
})
const scan = (mesh: Mesh, rest: Partial<ScanRequest> = {}) => drain(scanStep(request(mesh, rest)))

describe('health', () => {
  it('of a closed box: every number known', () => {
    const { health, rimVertex, unseenFacet, findings } = scan(box([0, 0, 0], [2000, 1200, 300]))
    expect(health).toMatchObject({
      facets: 12,
      vertices: 8,
      welded: 28,
      rejected: { total: 0 },
      boundaryEdges: 0,
      nonManifoldEdges: 0,
      inconsistentEdges: 0,
      boundaryLoops: 0,
      holeCount: 0,
      holes: [],
      islands: 1,
      area_mm2: 6_720_000,
      volume_mm3: 720_000_000,
      closed: true,
    })
    expect([...rimVertex]).toEqual(new Array(8).fill(0))
    expect([...unseenFacet]).toEqual(new Array(12).fill(0))
    expect(findings.map((f) => f.id)).toEqual(['scan.closed'])
  })

  it('of an open tube: two rims at their places, rim vertices marked', () => {
    const { health, rimVertex, mesh } = scan(
      moved(openTube(20, 1000, 32, 20), [1, 0, 0, 300, 0, 1, 0, 0, 0, 0, 1, 50, 0, 0, 0, 1]),
    )
    expect(health).toMatchObject({ boundaryEdges: 64, boundaryLoops: 2, holeCount: 2, closed: false })
    const side = 2 * 20 * Math.sin(Math.PI / 32)
    for (const hole of health.holes) {
      expect(hole.loops).toBe(1)
      expect(hole.rim_mm).toBeCloseTo(32 * side, 3)
      expect(hole.at[0]).toBeCloseTo(300, 3)
    }
    expect(health.holes.map((h) => Math.round(h.at[2])).sort((a, b) => a - b)).toEqual([50, 1050])
    let wrong = 0
    for (let v = 0; v < rimVertex.length; v++) {
      const z = mesh.positions[v * 3 + 2]!
      if (rimVertex[v] !== (Math.abs(z - 50) < 1e-3 || Math.abs(z - 1050) < 1e-3 ? 1 : 0)) wrong++
    }
    expect(wrong).toBe(0)
  })

  it('a gap torn through both walls of a plate is one hole with two rims', () => {
    const up = gridPlate(400, 300, 80, 60, 6)
    const down = turned(gridPlate(400, 300, 80, 60, 0))
    const missing = (mesh: Mesh) => {
      const at = (f: number, k: number) => mesh.positions[mesh.indices[f * 3]! * 3 + k]!
      return without(mesh, (f) => Math.hypot(at(f, 0) - 200, at(f, 1) - 150) < 30)
    }
    const { health } = scan(joined(missing(up), missing(down)))
    expect(health.boundaryLoops).toBe(4)
    expect(health.holes.map((h) => h.loops)).toEqual([2, 2])
    expect(
      health.holes[1]!.at.map(Math.round)
        .slice(0, 2)
        .every((v, k) => Math.abs(v - [200, 150][k]!) < 5),
    ).toBe(true)
  })

  it('each defect has a finding with a place', () => {
    const body = joined(torus(900, 25, 60, 12), box([2000, 0, 0], [2010, 10, 10]))
    const one = scan(turned(body, (f) => f === 100))
    const inconsistent = one.findings.find((f) => f.id === 'scan.inconsistent')!
    expect(inconsistent.value).toBe(3)
    expect(Math.abs(Math.hypot(inconsistent.where![0], inconsistent.where![1]) - 900)).toBeLessThan(60)
    expect(one.findings.find((f) => f.id === 'scan.pieces')!.value).toBe(2)
    const fin = joined(body)
    const { positions, indices } = fin
    const extra = Uint32Array.from([...indices, indices[0]!, indices[1]!, positions.length / 3])
    const tangled = scan(makeMesh('job', Float32Array.from([...positions, 900, 0, 400]), extra))
    expect(tangled.health.nonManifoldEdges).toBe(1)
    expect(tangled.findings.find((f) => f.id === 'scan.non-manifold')!.where).toBeDefined()
    const inside = scan(turned(torus(900, 25, 60, 12)))
    expect(inside.health.volume_mm3).toBeLessThan(0)
    expect(inside.findings.some((f) => f.id === 'scan.inside-out')).toBe(true)
    for (const r of [one, tangled, inside]) {
      const ids = r.findings.map((f) => f.id)
      expect(new Set(ids).size).toBe(ids.length)
    }
  })

  it('finding ids and results are the same for the same file, twice', () => {
    const mesh = torus(900, 25, 90, 24)
    const a = scan(mesh)
    const b = scan(mesh)
    expect(a.mesh.id).toBe(b.mesh.id)
    expect(JSON.stringify(a.findings)).toBe(JSON.stringify(b.findings))
  })

  it('progress grows and never takes a step that ends before it began', () => {
    const steps = scanStep(request(icosphere(800, 5), { repairs: [{ kind: 'drop-islands', belowShare: 0.005 }] }))
    let last = 0
    for (let s = steps.next(); !s.done; s = steps.next()) {
      const at = typeof s.value === 'number' ? s.value : s.value.fraction
      expect(at).toBeGreaterThanOrEqual(last - 1e-9)
      expect(at).toBeLessThanOrEqual(1 + 1e-9)
      last = at
    }
    expect(last).toBeGreaterThan(0.9)
  })

  it('several files are joined as they stand, and the finding says so', () => {
    const left = file('left.stl', binaryStl(box([0, 0, 0], [1000, 500, 300])))
    const right = file('right.obj', obj(box([1000, 0, 0], [2000, 500, 300])))
    const { health, findings, mesh } = drain(
      scanStep({ files: [left, right], unit: 'mm', repairs: [], noise_mm: null }),
    )
    expect(health.facets).toBe(24)
    expect(health.vertices).toBe(12) // the four shared corners weld across files
    expect(findings.find((f) => f.id === 'scan.several-files')!.message).toContain('left.stl, right.obj')
    expect(Math.max(...mesh.positions)).toBe(2000)
    const bad = refusal(() =>
      scanStep({ files: [left, file('right.stl', 'hello')], unit: 'mm', repairs: [], noise_mm: null }),
    )
    expect(bad.message).toContain('right.stl')
    expect(refusal(() => scanStep({ files: [], unit: 'mm', repairs: [], noise_mm: null })).code).toBe('asset-missing')
  })

  it('rejected facets and odd bytes are findings, not silence', () => {
    const bytes = binaryStl(torus(900, 25, 30, 8))
    new DataView(bytes.buffer).setFloat32(84 + 50 * 9 + 12, Number.NaN, true)
    const { health, findings } = drain(
      scanStep({
        files: [file('frame.stl', concat(bytes, new Uint8Array(3)))],
        unit: 'mm',
        repairs: [],
        noise_mm: null,
      }),
    )
    expect(health.rejected.notFinite).toBe(1)
    expect(findings.find((f) => f.id === 'scan.rejected')!.message).toContain('1 with places that are no numbers')
    expect(findings.find((f) => f.id === 'scan.file.1')!.message).toContain('3 bytes')
  })

  it('keeps a far scan about a local origin, and tells places in scan axes', () => {
    const far = makeMesh(
      'job',
      openTube(20, 1000, 32, 20).positions,
      openTube(20, 1000, 32, 20).indices,
      [4_500_000, 0, 0],
    )
    const { mesh, health } = scan(far)
    expect(mesh.origin).toEqual([4_500_000, 0, 500])
    for (const h of health.holes) expect(Math.abs(h.at[0] - 4_500_000)).toBeLessThan(1)
  })
})

describe('noise', () => {
  /** Moves every vertex across the surface of a torus by Gaussian noise. */
  const noisy = (sigma: number, n: number, m: number, seed: number) => {
    const rng = random(seed)
    return bent(torus(900, 25, n, m), (x, y, z) => {
      const d = Math.hypot(x, y)
      const [cx, cy] = [(x / d) * 900, (y / d) * 900]
      const [nx, ny, nz] = [(x - cx) / 25, (y - cy) / 25, z / 25]
      const e = sigma * rng.gaussian()
      return [x + e * nx, y + e * ny, z + e * nz]
    })
  }

  it('reads independent noise within 10 % on a fine mesh, and within a facet’s roughness never too low', () => {
    for (const [sigma, seed] of [
      [0.1, 1],
      [0.3, 2],
      [0.5, 3],
    ] as const) {
      const { health } = scan(noisy(sigma, 1600, 44, seed)) // edges about 3.5 mm
      expect(health.noise_mm / sigma).toBeGreaterThan(0.95)
      expect(health.noise_mm / sigma).toBeLessThan(1.1)
      expect(health.noiseFrom).toBe('patches')
    }
  })

  it('reads the same in any pose, and scales with the part', () => {
    const mesh = noisy(0.3, 800, 24, 4)
    const plain = scan(mesh).health.noise_mm
    const pose = random(9).motion(400)
    expect(scan(moved(mesh, pose)).health.noise_mm / plain).toBeCloseTo(1, 1)
    expect(scan(moved(mesh, [2, 0, 0, 0, 0, 2, 0, 0, 0, 0, 2, 0, 0, 0, 0, 1])).health.noise_mm / plain).toBeCloseTo(
      2,
      4,
    )
  })

  it('is 0 for a flat plate and for a box that has no patches, and the user’s word for the scanner’s certificate', () => {
    expect(scan(gridPlate(900, 600, 60, 40)).health.noise_mm).toBeLessThan(1e-4)
    expect(scan(box([0, 0, 0], [1000, 1000, 1000])).health.noise_mm).toBe(0)
    expect(scan(noisy(0.3, 200, 16, 5), { noise_mm: 0.05 }).health).toMatchObject({ noise_mm: 0.05, noiseFrom: 'user' })
  })

  it('is not misled by edges: a box of fine facets with 0.2 mm noise', () => {
    const rng = random(6)
    const side = (turn: number[]) =>
      moved(
        gridPlate(400, 400, 50, 50, () => 0.2 * rng.gaussian()),
        turn,
      )
    const fine = joined(
      side([1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 400, 0, 0, 0, 1]),
      side([0, 0, 1, 400, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 1]),
      side([0, 1, 0, 0, 0, 0, 1, 400, 1, 0, 0, 0, 0, 0, 0, 1]),
    )
    expect(scan(fine).health.noise_mm / 0.2).toBeGreaterThan(0.93)
    expect(scan(fine).health.noise_mm / 0.2).toBeLessThan(1.07)
  })
})
