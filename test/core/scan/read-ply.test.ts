import { strToU8 } from 'fflate'
import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { loadMesh, readMeshFile } from '../../../src/core/scan'
import { refusal } from '../../support/refusals'
import { box } from '../../support/solids'
import { concat, file, ply } from '../../support/write-mesh-files'

const cube = box([0, 0, 0], [2, 2, 2])
const refused = (content: string | Uint8Array) => refusal(() => loadMesh(file('a.ply', content), { axes: 'part' }))

describe('PLY', () => {
  it('counts its header in bytes: a comment in another script moves nothing (F22)', () => {
    for (const kind of ['ascii', 'binary_little_endian', 'binary_big_endian'] as const) {
      const raw = drain(readMeshFile(file('a', ply(cube, kind, '扫描件 — тест'))))
      expect([...raw.points]).toEqual([...cube.positions])
      expect([...raw.indices!]).toEqual([...cube.indices])
    }
  })

  it('reads polygons, lists before and behind, other elements, doubles, and properties in any order (F23)', () => {
    const text = `ply\r\nformat ascii 1.0\r\nelement camera 1\r\nproperty list uchar float view\r\nelement vertex 5\r\nproperty double z\r\nproperty list uchar int around\r\nproperty double x\r\nproperty double y\r\nelement face 2\r\nproperty list uchar uint vertex_index\r\nproperty list uchar float texcoord\r\nend_header\r\n3 1 2 3\r\n0 0 0 0\r\n0 2 5 5 1 0\r\n0 1 9 1 1\r\n0 0 0 1\r\n1 0 0.1 0\r\n4 0 1 2 3 2 0 0\r\n3 0 1 4 0\r\n`
    const raw = drain(readMeshFile(file('a', text)))
    expect([...raw.points]).toEqual([0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 0.1, 0, 1])
    expect([...raw.indices!]).toEqual([0, 1, 2, 0, 2, 3, 0, 1, 4])
  })

  it('reads strips, every second facet turned', () => {
    const text =
      'ply\nformat ascii 1.0\nelement vertex 5\nproperty float x\nproperty float y\nproperty float z\nelement tristrips 1\nproperty list int int vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n1 1 0\n0 2 0\n9 0 1 2 3 -1 2 3 4 -1\n'
    expect([...drain(readMeshFile(file('a', text))).indices!]).toEqual([0, 1, 2, 2, 1, 3, 2, 3, 4])
  })

  it('says of a cloud of points that it is one', () => {
    const r = refused(
      'ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nproperty float z\nend_header\n0 0 0\n',
    )
    expect(r.code).toBe('mesh-empty')
    expect(r.message).toContain('cloud of 1 points')
  })

  it('refuses counts beyond the file with both numbers, before it allocates', () => {
    const header = (vertices: number, faces: number, kind = 'binary_little_endian') =>
      strToU8(
        `ply\nformat ${kind} 1.0\nelement vertex ${vertices}\nproperty float x\nproperty float y\nproperty float z\nelement face ${faces}\nproperty list uchar int vertex_indices\nend_header\n`,
      )
    const body = new Uint8Array(200)
    expect(refused(concat(header(4_000_000_000, 1), body)).message).toMatch(/4,000,000,000 .* 200 bytes/)
    expect(refused(concat(header(3, 900_000_000_000), body)).message).toMatch(/900,000,000,000 .* 164 bytes/)
    expect(refused(concat(header(1000, 1, 'ascii'), body)).code).toBe('file-damaged')
    for (const kind of ['ascii', 'binary_little_endian', 'binary_big_endian'] as const) {
      const whole = ply(cube, kind)
      const cut = refused(whole.slice(0, whole.length - 40))
      expect(cut.code).toBe('file-damaged')
    }
  })

  it('refuses broken headers with the line', () => {
    const good =
      'ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n'
    expect([...drain(readMeshFile(file('a', good))).indices!]).toEqual([0, 1, 2])
    // A comment that lost its word, before the first element (met in a public file).
    expect([...drain(readMeshFile(file('a', good.replace('element v', 'Made by hand\nelement v')))).indices!]).toEqual([
      0, 1, 2,
    ])
    for (const [from, to, word] of [
      ['ascii', 'octal', 'line 2'],
      ['property float y', 'property float16 y', 'line 5'],
      ['property float y', 'proporty float y', 'line 5'],
      ['property float z', 'property float w', 'without x, y and z'],
      ['element vertex 3', 'element vertex -3', 'line 3'],
      ['element vertex 3', 'element vertex 3.5', 'line 3'],
      ['uchar int vertex', 'float int vertex', 'fractions'],
      ['vertex_indices', 'colours', 'without a list of vertices'],
      ['end_header\n', '', 'line 9'],
      ['1 0 0', '1,5 0 0', 'decimal comma'],
      ['3 0 1 2', '-3 0 1 2', 'list of -3'],
      ['3 0 1 2', '2.5 0 1 2', 'list of 2.5'],
      ['3 0 1 2', 'nan 0 1 2', 'no known number'], // found by the fuzz test
    ] as const) {
      const r = refused(good.replace(from, to))
      expect(r.code).toBe('file-damaged')
      expect(r.message).toContain(word)
    }
  })
})
