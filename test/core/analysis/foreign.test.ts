/**
 * Meshes that nobody made for us: the Stanford bunny (package `bunny`, public domain), the teapot and the knots that three
 * ships, and a made-up scan of the demo. Undercut against cast rays, mirror error against single closest-point queries.
 */
import bunny from 'bunny'
import { type BufferGeometry, TorusKnotGeometry } from 'three'
import { TeapotGeometry } from 'three/examples/jsm/geometries/TeapotGeometry.js'
import { describe, expect, it } from 'vitest'
import { symmetry, undercut } from '../../../src/core/analysis'
import { facetSides, planView } from '../../../src/core/analysis/plan-view'
import type { Direction } from '../../../src/core/geometry/axes'
import { drain } from '../../../src/core/geometry/kernel'
import { facetCount, type Mesh, makeMesh, vertexCount } from '../../../src/core/geometry/mesh'
import { surfaceIndex } from '../../../src/core/geometry/surface-index'
import { frameSolid, STRAIGHT_FRAME } from '../../../src/demo/frame-solid'
import { scanSolid } from '../../../src/demo/scan-solid'
import { byRays } from '../../support/cast-rays'

function ofThree(geometry: BufferGeometry): Mesh<'job'> {
  const positions = Float32Array.from(geometry.getAttribute('position').array)
  const index = geometry.getIndex()!
  return makeMesh('job', positions, Uint32Array.from(index.array))
}

function ofBunny(): Mesh<'job'> {
  return makeMesh(
    'job',
    Float32Array.from(bunny.positions.flat(), (c) => 20 * c),
    Uint32Array.from(bunny.cells.flat()),
  )
}

function ofDemo(): Mesh<'job'> {
  const { solid, truth } = frameSolid({ ...STRAIGHT_FRAME, seed: 5, asymmetry_mm: 4 })
  const { mesh } = drain(
    scanSolid(solid, truth, { seed: 5, facets: 20_000, noise_mm: 0.3, holes: 5, islands: 3, pose: 'random' }),
  )
  return makeMesh('job', mesh.positions, mesh.indices)
}

const meshes: [string, () => Mesh<'job'>, Direction][] = [
  ['bunny', ofBunny, [0, 1, 0]],
  ['bunny, askew', ofBunny, [0.6, 0, 0.8]],
  ['teapot', () => ofThree(new TeapotGeometry(100, 12)), [0, 1, 0]],
  ['knot', () => ofThree(new TorusKnotGeometry(100, 25, 200, 24)), [0, 0, 1]],
  ['another knot', () => ofThree(new TorusKnotGeometry(100, 12, 400, 16, 3, 7)), [0.48, 0.6, 0.64]],
  ['scan of the demo', ofDemo, [0, 0, 1]],
]

describe('undercut on foreign meshes, against cast rays within 0.2 %', () => {
  it.each(meshes)('%s', (_, make, pull) => {
    const mesh = make()
    const { summary } = drain(undercut(mesh, pull))
    const { away, blocked } = byRays(mesh, pull, 50_000)
    expect(blocked).toBeGreaterThan(0)
    expect(Math.abs(summary.area_mm2 / (away + blocked) - 1)).toBeLessThan(0.002)
    // Facets of no side at all (parallel to the pull to the last bit) are the only difference allowed in what faces away.
    const side = drain(facetSides(drain(planView(mesh, pull))))
    expect(side.length).toBe(facetCount(mesh))
    expect(Math.abs(summary.facingAway_mm2 / away - 1)).toBeLessThan(1e-3)
  })
})

describe('mirror error on foreign meshes, against single queries within 1e-3 mm', () => {
  it.each([meshes[0]!, meshes[2]!, meshes[3]!])('%s', (_, make) => {
    const mesh = make()
    const { summary } = drain(symmetry(mesh, { normal: [1, 0, 0], offset_mm: 0 }, null))
    const index = surfaceIndex(mesh)
    let max = 0
    const used = new Uint8Array(vertexCount(mesh))
    for (const v of mesh.indices) used[v] = 1
    for (let v = 0; v < used.length; v++) {
      if (!used[v]) continue
      const [x, y, z] = [mesh.positions[3 * v]!, mesh.positions[3 * v + 1]!, mesh.positions[3 * v + 2]!]
      max = Math.max(max, index.closestPoint([-x, y, z])!.distance_mm)
    }
    expect(Math.abs(summary.max_mm - max)).toBeLessThan(1e-3)
  })
})
