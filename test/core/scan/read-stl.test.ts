import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { facetCount } from '../../../src/core/geometry/mesh'
import { loadMesh, type MeshFile, readMeshFile } from '../../../src/core/scan'
import { refusal } from '../../support/refusals'
import { box, icosphere, joined, tetrahedron } from '../../support/solids'
import { asciiStl, binaryStl, concat, file } from '../../support/write-mesh-files'

const cube = box([0, 0, 0], [2, 2, 2])
const facets = (f: MeshFile) => drain(readMeshFile(f)).points.length / 9
const refused = (f: MeshFile) => refusal(() => loadMesh(f, { axes: 'part' }))

describe('binary STL', () => {
  it('is 84 + 50 n bytes long (F01, format note) and reads n facets', () => {
    const bytes = binaryStl(cube)
    expect(bytes.length).toBe(684)
    expect(facets(file('cube.stl', bytes))).toBe(12)
  })

  it('tolerates a byte behind the last facet, with a note (F02: a published fixture has one)', () => {
    const raw = drain(readMeshFile(file('cube.stl', concat(binaryStl(cube), new Uint8Array(1)))))
    expect(raw.points.length / 9).toBe(12)
    expect(raw.notes).toHaveLength(1)
    expect(raw.notes[0]).toContain('1 bytes')
  })

  it('is told from ASCII by its size even if it begins "solid" (F03: 1360 facets, 4080 corners)', () => {
    const sphere = icosphere(10, 3)
    expect(facets(file('a.stl', binaryStl(sphere, 'solid sphere'))) * 3).toBe(3840)
    expect(facets(file('a.stl', binaryStl(sphere, 'solid sphere\nfacet normal 0 0 1\n')))).toBe(1280)
  })

  it('bounds the count by the size before it allocates, and names both numbers (F05, F07)', () => {
    const cut = refused(file('cube.stl', binaryStl(cube).slice(0, 600)))
    expect(cut.code).toBe('file-damaged')
    expect(cut.message).toContain('declares 12 facets')
    expect(cut.message).toContain('hold 10 whole ones')
    const absurd = refused(file('cube.stl', binaryStl(cube, 'x', 171_520_558)))
    expect(absurd.message).toContain('171,520,558')
    // Unsigned: the highest bit does not make it negative.
    expect(refused(file('cube.stl', binaryStl(cube, 'x', 4_294_967_295))).message).toContain('4,294,967,295')
    expect(refused(file('cube.stl', binaryStl(cube, 'x', 5))).message).toContain('declares 5 facets')
  })

  it('a file cut within its first facet is damaged, a count of zero is a mesh without facets', () => {
    expect(refused(file('cube.stl', binaryStl(cube).slice(0, 100))).code).toBe('file-damaged')
    expect(refused(file('none.stl', new Uint8Array(84))).code).toBe('mesh-empty')
  })

  it('facet bytes past 2^32 are counted with plain numbers (F06)', () => {
    expect(84 + 50 * 85_899_345).toBeGreaterThan(2 ** 32)
    expect((84 + 50 * 85_899_346 - 84) / 50).toBe(85_899_346)
  })

  it('ignores normals and attribute bytes, whatever they hold (F13, F16)', () => {
    const bytes = binaryStl(cube)
    const view = new DataView(bytes.buffer)
    for (let f = 0; f < 12; f++) {
      view.setFloat32(84 + f * 50, Number.NaN, true)
      view.setUint16(84 + f * 50 + 48, 0xffff, true)
    }
    expect(drain(loadMesh(file('cube.stl', bytes), { axes: 'part' })).rejected.total).toBe(0)
  })

  it('counts facets with NaN or infinite vertices and leaves them out (F14)', () => {
    const bytes = binaryStl(cube)
    const view = new DataView(bytes.buffer)
    view.setFloat32(84 + 3 * 50 + 12, Number.NaN, true)
    view.setFloat32(84 + 7 * 50 + 20, Number.NEGATIVE_INFINITY, true)
    const { mesh, rejected } = drain(loadMesh(file('cube.stl', bytes), { axes: 'part', unit: 'mm' }))
    expect(rejected).toEqual({ total: 2, notFinite: 2, zeroArea: 0, duplicate: 0, badIndex: 0 })
    expect(facetCount(mesh)).toBe(10)
    expect([...mesh.positions].every((v) => v >= 0 && v <= 2)).toBe(true)
    for (let f = 0; f < 12; f++) view.setFloat32(84 + f * 50 + 12, Number.NaN, true)
    const none = refused(file('cube.stl', bytes))
    expect(none.code).toBe('mesh-empty')
    expect(none.message).toContain('12 facets')
  })
})

describe('ASCII STL', () => {
  it('a legal empty solid of 15 bytes has no facets, and nothing crashes (F04)', () => {
    expect('solid\nendsolid\n').toHaveLength(15)
    expect(refused(file('a.stl', 'solid\nendsolid\n')).code).toBe('mesh-empty')
    expect(refused(file('a.stl', 'solid')).code).toBe('mesh-empty')
  })

  it('stays ASCII with a name in another script, white space or a mark before it, any line end (F08, F11, F12)', () => {
    for (const text of [
      asciiStl(cube, '月亮 лодка'),
      ` \n\t ${asciiStl(cube)}`,
      `\ufeff${asciiStl(cube)}`,
      asciiStl(cube, 'part', '\r\n'),
      asciiStl(cube, 'part', '\r'),
      asciiStl(cube).toUpperCase(),
      asciiStl(cube).replaceAll('  ', '\t'),
    ])
      expect(facets(file('a.stl', text))).toBe(12)
    const [unix, dos] = [asciiStl(cube), asciiStl(cube, 'part', '\r\n')]
    expect(dos.length - unix.length).toBe(7 * 12 + 2)
    expect(drain(loadMesh(file('a', unix), { axes: 'part' })).mesh.id).toBe(
      drain(loadMesh(file('a', dos), { axes: 'part' })).mesh.id,
    )
  })

  it('tolerates "end solid", "end loop", "end facet" (F09)', () => {
    expect(facets(file('a.stl', asciiStl(cube).replace(/end(solid|loop|facet)/g, 'end $1')))).toBe(12)
  })

  it('keeps all solids of a file (F10: two tetrahedra give 8 facets)', () => {
    expect(facets(file('a.stl', asciiStl(tetrahedron()) + asciiStl(tetrahedron(5), 'second')))).toBe(8)
    expect(facets(file('a.stl', `solid empty\nendsolid empty\n${asciiStl(tetrahedron())}`))).toBe(4)
  })

  it('reads numbers in every spelling (F30)', () => {
    const numbers = [
      '1e-3',
      '1E+03',
      '+1',
      '.5',
      '1.',
      '-0.0',
      '-1.5e0',
      '0.1',
      '123456789012345678901234567890',
      '3.4028235e38',
      '1e-320',
      '0.30000000000000004',
      '9007199254740993',
      '000012.500',
    ]
    const raw = drain(
      readMeshFile(
        file(
          'a.stl',
          `solid\n${numbers.map((n) => `facet\nouter loop\nvertex ${n} 0 0\nvertex 0 1 0\nvertex 0 0 1\nendloop\nendfacet`).join('\n')}\nendsolid`,
        ),
      ),
    )
    numbers.forEach((n, i) => {
      expect(raw.points[i * 9]).toBe(Number(n))
    })
  })

  it('keeps the digits of site coordinates (G16: at 4.5 km a Float32 step is 0.5 mm)', () => {
    const text = asciiStl(cube).replace(
      /vertex (\S+) (\S+) (\S+)/g,
      (_, x, y, z) => `vertex ${4_500_000 + Number(x) / 8} ${y} ${z}`,
    )
    const { mesh } = drain(loadMesh(file('far.stl', text), { axes: 'part', unit: 'mm' }))
    expect(mesh.origin[0]).toBe(4_500_000)
    expect([...new Set(mesh.positions.filter((_, i) => i % 3 === 0))].sort()).toEqual([0, 0.25])
  })

  it('names the cause of a decimal comma and its line (F15), and never reads 3 for 3,488', () => {
    const r = refused(file('a.stl', 'solid\nfacet normal 0 0 1\nouter loop\nvertex 3,488124 8,464913 11\n'))
    expect(r.code).toBe('file-damaged')
    expect(r.message).toContain('decimal comma')
    expect(r.message).toContain('line 4')
  })

  it('refuses what cannot be read, with the line', () => {
    for (const [text, word] of [
      [asciiStl(cube).replace('vertex 0 0 0', 'vertex 0 0'), 'line 4'],
      [asciiStl(cube).replace('vertex 0 0 0', 'vertex 0 zero 0'), '"zero"'],
      [asciiStl(cube).replace('    endloop', 'vertex 1 2 3\n    endloop'), 'more than three'],
      [asciiStl(cube).replace('      vertex 0 0 0\n', ''), '2 vertices'],
      [asciiStl(cube).replace('  endfacet\n', ''), 'inside another'],
      [asciiStl(cube).slice(0, 400), 'cut off'],
    ] as const) {
      const r = refused(file('a.stl', text))
      expect(r.code).toBe('file-damaged')
      expect(r.message).toContain(word)
    }
  })

  it('says so when a text ends between two facets without its end', () => {
    const whole = asciiStl(cube)
    const raw = drain(readMeshFile(file('a.stl', whole.slice(0, whole.indexOf('endfacet', 900) + 9))))
    expect(raw.notes[0]).toContain('cut off')
  })

  it('counts NaN vertices in the spellings of common programs', () => {
    for (const nan of ['nan', '-NaN', 'inf', '-Infinity', '1.#QNAN', '-1.#IND0', 'nan(ind)']) {
      const { rejected } = drain(
        loadMesh(file('a.stl', asciiStl(cube).replace('vertex 2 0 0', `vertex ${nan} 0 0`)), { axes: 'part' }),
      )
      expect(rejected.notFinite).toBe(1)
    }
  })
})

describe('facets that cannot be used', () => {
  it('are counted by cause: no area (two equal vertices, three on a line) and duplicates, in any rotation', () => {
    const extra = 'facet\nouter loop\nvertex %\nvertex %\nvertex %\nendloop\nendfacet\n'
    const add = (...v: string[]) => v.reduce((text, p) => text.replace('%', p), extra)
    const text = asciiStl(cube).replace(
      'endsolid',
      add('0 0 0', '0 0 0', '2 2 2') +
        add('0 0 0', '1 1 1', '2 2 2') +
        add('0 2 0', '2 2 0', '0 0 0') + // the first facet (0 0 0, 0 2 0, 2 2 0) again, turned on
        add('2 2 0', '0 2 0', '0 0 0') + // its back: not a duplicate
        'endsolid',
    )
    const { mesh, rejected } = drain(loadMesh(file('a.stl', text), { axes: 'part' }))
    expect(rejected).toEqual({ total: 3, notFinite: 0, zeroArea: 2, duplicate: 1, badIndex: 0 })
    expect(facetCount(mesh)).toBe(13)
  })

  it('duplicates are found around a hub with hundreds of facets too', () => {
    const fan: string[] = []
    const spoke = (i: number) => `${10 * Math.cos(i / 50)} ${10 * Math.sin(i / 50)} 0`
    for (const i of [...Array(300).keys(), 7, 7, 299])
      fan.push(`facet\nvertex 0 0 -5\nvertex ${spoke(i)}\nvertex ${spoke(i + 1)}\nendfacet`)
    const { mesh, rejected } = drain(loadMesh(file('a.stl', `solid\n${fan.join('\n')}\nendsolid`), { axes: 'part' }))
    expect(rejected.duplicate).toBe(3)
    expect(facetCount(mesh)).toBe(300)
  })

  it('a whole part given twice is read once', () => {
    const { rejected } = drain(loadMesh(file('a.stl', binaryStl(joined(cube, cube))), { axes: 'part' }))
    expect(rejected.duplicate).toBe(12)
  })
})
