import { describe, expect, it } from 'vitest'
import { drain } from '../../../../src/core/geometry/kernel'
import { makeMesh } from '../../../../src/core/geometry/mesh'
import { writeObj } from '../../../../src/core/release/writers/obj'
import { writeStl } from '../../../../src/core/release/writers/stl'
import { readObj } from '../../../../src/core/scan/read-obj'
import { readBinaryStl } from '../../../../src/core/scan/read-stl'
import { recognise } from '../../../../src/core/scan/recognise'

/** A tetrahedron of volume 1/6, away from the origin. */
const tetrahedron = makeMesh(
  'job',
  Float32Array.of(0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1),
  Uint32Array.of(0, 2, 1, 0, 1, 3, 0, 3, 2, 1, 2, 3),
  [1000, -20, 0.5],
)

describe('STL writer', () => {
  const bytes = writeStl(tetrahedron, 'four facets')

  it('lays out 84 bytes and 50 a facet, little-endian, as the format asks', () => {
    expect(bytes.length).toBe(84 + 4 * 50)
    expect(new TextDecoder().decode(bytes.subarray(0, 11))).toBe('four facets')
    const view = new DataView(bytes.buffer)
    expect(view.getUint32(80, true)).toBe(4)
    // Second facet (0, 1, 3) lies in y = -20 and faces -y.
    expect([0, 4, 8].map((o) => view.getFloat32(84 + 50 + o, true))).toEqual([0, -1, 0])
    expect([12, 16, 20].map((o) => view.getFloat32(84 + 50 + o, true))).toEqual([1000, -20, 0.5])
    expect(view.getUint16(84 + 48, true)).toBe(0)
  })

  it('is read back by our own reader with the same corners, origin included', () => {
    const file = { name: 'x', bytes }
    expect(recognise(file)).toBe('stl-binary')
    const raw = drain(readBinaryStl(file))
    const corner = (c: number) => Array.from(raw.points.subarray(c * 3, c * 3 + 3))
    const { positions, indices, origin } = tetrahedron
    for (let c = 0; c < indices.length; c++)
      expect(corner(c)).toEqual([0, 1, 2].map((k) => origin[k]! + positions[indices[c]! * 3 + k]!))
  })

  it('writes no header that looks like ASCII STL, and a zero normal for a facet without area', () => {
    expect(() => writeStl(tetrahedron, 'solid frame')).toThrow('release')
    const sliver = makeMesh('job', Float32Array.of(0, 0, 0, 1, 0, 0, 2, 0, 0), Uint32Array.of(0, 1, 2))
    const view = new DataView(writeStl(sliver).buffer)
    expect([0, 4, 8].map((o) => view.getFloat32(84 + o, true))).toEqual([0, 0, 0])
  })
})

describe('OBJ writer', () => {
  it('is read back with the same vertices and facets', () => {
    const bytes = writeObj(tetrahedron, { name: 'four facets', words: 'mm, z up' })
    const text = new TextDecoder().decode(bytes)
    expect(text.split('\n').slice(0, 3)).toEqual(['# mm, z up', 'o four_facets', 'v 1000 -20 0.5'])
    const file = { name: 'x.obj', bytes }
    expect(recognise(file)).toBe('obj')
    const raw = drain(readObj(file))
    expect(Array.from(raw.indices!)).toEqual(Array.from(tetrahedron.indices))
    expect(raw.points.length).toBe(12)
    expect(raw.points[3]).toBe(1001)
  })

  it('writes small numbers without an exponent and no minus zero', () => {
    const mesh = makeMesh('job', Float32Array.of(-1e-9, 1e-3, 100, 0, 0, 1, 1, 0, 0), Uint32Array.of(0, 1, 2))
    const line = new TextDecoder().decode(writeObj(mesh, { name: 'a' })).split('\n')[2]
    expect(line).toBe('v 0 0.001 100')
  })
})
