import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { massProperties } from '../../../src/core/geometry/measure'
import { bounds, facetCount, vertexCount } from '../../../src/core/geometry/mesh'
import { loadMesh, type MeshFile, recognise } from '../../../src/core/scan'
import { icosphere, moved, torus } from '../../support/solids'
import { asciiStl, binaryStl, file, glb, gltf, obj, ply, threeMf } from '../../support/write-mesh-files'

const solid = moved(torus(60, 20, 24, 12), [1, 0, 0, 30, 0, 1, 0, -40, 0, 0, 1, 500, 0, 0, 0, 1])

/** Names are wrong on purpose: content decides. */
const files: [string, MeshFile, string][] = [
  ['binary STL', file('a.obj', binaryStl(solid)), 'stl-binary'],
  ['binary STL that begins "solid"', file('a.txt', binaryStl(solid, 'solid of something')), 'stl-binary'],
  ['ASCII STL', file('a.bin', asciiStl(solid)), 'stl-ascii'],
  ['OBJ', file('a.stl', obj(solid)), 'obj'],
  ['OBJ with CRLF', file('a.stl', obj(solid, '\r\n')), 'obj'],
  ['ASCII PLY', file('a', ply(solid, 'ascii')), 'ply'],
  ['little-endian PLY', file('a', ply(solid, 'binary_little_endian')), 'ply'],
  ['big-endian PLY', file('a', ply(solid, 'binary_big_endian')), 'ply'],
  ['GLB', file('a.stl', glb(solid)), 'glb'],
  ['glTF', file('a.stl', gltf(solid)), 'gltf'],
  ['3MF', file('a.zip', threeMf(solid)), '3mf'],
]

describe('every format', () => {
  const expected = drain(massProperties(solid))
  const box = bounds(solid)

  it.each(files)('%s gives the same solid, recognised by content', (_, f, format) => {
    expect(recognise(f)).toBe(format)
    const { mesh, rejected, unit } = drain(loadMesh(f, { axes: 'part' }))
    expect(unit.from).toBe(['glb', 'gltf', '3mf'].includes(format) ? 'file' : 'size')
    expect(facetCount(mesh)).toBe(facetCount(solid))
    expect(vertexCount(mesh)).toBe(vertexCount(solid))
    expect(rejected.total).toBe(0)
    const got = drain(massProperties(mesh))
    expect(got.volume_mm3 / expected.volume_mm3).toBeCloseTo(1, 6)
    for (let k = 0; k < 3; k++) expect(Math.abs(got.centroid[k]! - expected.centroid[k]!)).toBeLessThan(1e-3)
    const b = bounds(mesh)
    for (let k = 0; k < 3; k++) {
      expect(Math.abs(b.min[k]! - box.min[k]!)).toBeLessThan(1e-3)
      expect(Math.abs(b.max[k]! - box.max[k]!)).toBeLessThan(1e-3)
    }
  })

  it.each(files)('%s is read from a view into a larger buffer at an odd place (F17)', (_, f, format) => {
    const pool = new Uint8Array(f.bytes.length + 7).fill(65)
    pool.set(f.bytes, 3)
    const view = { name: f.name, bytes: pool.subarray(3, 3 + f.bytes.length) }
    expect(recognise(view)).toBe(format)
    const { mesh } = drain(loadMesh(view, { axes: 'part' }))
    expect(mesh.id).toBe(drain(loadMesh(f, { axes: 'part' })).mesh.id)
  })

  it('a larger mesh survives every format bit for bit in its numbers (those that keep millimetres)', () => {
    const sphere = icosphere(97.3, 3)
    const ids = new Set(
      [
        binaryStl(sphere),
        asciiStl(sphere),
        obj(sphere),
        ply(sphere, 'ascii'),
        ply(sphere, 'binary_big_endian'),
        threeMf(sphere),
      ].map((content) => {
        const { mesh } = drain(loadMesh(file('x', content), { axes: 'part', unit: 'mm' }))
        return [...mesh.positions].sort().join()
      }),
    )
    expect(ids.size).toBe(1)
  })
})
