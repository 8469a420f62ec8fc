import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { massProperties } from '../../../src/core/geometry/measure'
import { facetCount } from '../../../src/core/geometry/mesh'
import { loadMesh, readMeshFile } from '../../../src/core/scan'
import { refusal } from '../../support/refusals'
import { file } from '../../support/write-mesh-files'

const indices = (text: string) => [...drain(readMeshFile(file('a.stl', text))).indices!]
const refused = (text: string) => refusal(() => loadMesh(file('a.obj', text), { axes: 'part' }))
const area = (text: string) =>
  drain(massProperties(drain(loadMesh(file('a', text), { axes: 'part', unit: 'mm' })).mesh)).area_mm2

describe('OBJ', () => {
  it('counts negative indices back from the vertices so far (F19: the second face uses vertices 4 5 6)', () => {
    const block = (z: number) => `v 0 0 ${z}\nv 1 0 ${z}\nv 0 1 ${z}\nf -3 -2 -1\n`
    expect(indices(block(0) + block(1))).toEqual([0, 1, 2, 3, 4, 5])
  })

  it('a pentagon gives 3 facets (F20), and an n-gon n − 2', () => {
    const ngon = (n: number) =>
      `${Array.from({ length: n }, (_, i) => `v ${Math.cos((2 * Math.PI * i) / n)} ${Math.sin((2 * Math.PI * i) / n)} 0`).join('\n')}\nf ${Array.from({ length: n }, (_, i) => i + 1).join(' ')}\n`
    expect(indices(ngon(5))).toHaveLength(9)
    expect(indices(ngon(40))).toHaveLength(38 * 3)
  })

  it('clips ears where a fan would be wrong (F20): dents keep their area, in every plane and turn', () => {
    // An L of area 3, a dart of area 1, a comb of area 5.5; as outlines in a plane.
    const shapes: [number[][], number][] = [
      [
        [
          [0, 0],
          [2, 0],
          [2, 1],
          [1, 1],
          [1, 2],
          [0, 2],
        ],
        3,
      ],
      [
        [
          [1, 0.5],
          [0, 2],
          [1, -1],
          [2, 2],
        ],
        1.5,
      ],
      [
        [
          [0, 0],
          [5, 0],
          [5, 2],
          [4, 2],
          [3.5, 0.5],
          [3, 2],
          [2, 2],
          [1.5, 0.5],
          [1, 2],
          [0, 2],
        ],
        8.5,
      ],
    ]
    for (const [outline, expected] of shapes)
      for (const plane of [0, 1, 2])
        for (const turn of [false, true]) {
          const points = turn ? [...outline].reverse() : outline
          const place = ([a, b]: number[]) => [a, b, 0.25 * (a! + 2 * b!)].map((_, k, p) => p[(k + plane) % 3])
          const text = `${points.map((p) => `v ${place(p).join(' ')}`).join('\n')}\nf ${points.map((_, i) => i + 1).join(' ')}`
          // The plane is tilted: its area is larger by the root of 1 + 1/16 + 1/4.
          expect(area(text)).toBeCloseTo(expected * Math.sqrt(1 + 0.0625 + 0.25), 5)
          // All facets look the same way: the summed area vectors are as long as the area.
          const m = drain(massProperties(drain(loadMesh(file('a', text), { axes: 'part', unit: 'mm' })).mesh))
          expect(m.openArea_mm2).toBeCloseTo(m.area_mm2, 5)
        }
  })

  it('reads every corner form, colours, continuations, comments, groups, missing normals (F21)', () => {
    expect(
      indices(
        '# made by hand\r\nmtllib x.mtl\r\no thing\r\nv 0 0 0 1.0 0.5 0\r\nv\t1 0 0\r\n  v 0 1 0\r\nv 0 0 1\r\nvt 0 0\r\nvn 0 0 1\r\ng side\r\nusemtl red\r\ns off\r\nf 1 2 3\r\nf 1/1 2/1 3/1\r\nf 1//1 2//1 3//1 # so\r\nf 1/1/1 \\\r\n 2/1/1 3/1/1\r\nl 1 2\r\nf 4 3 2',
      ),
    ).toEqual([0, 1, 2, 0, 1, 2, 0, 1, 2, 0, 1, 2, 3, 2, 1])
  })

  it('keeps the order of faces when polygons stand between triangles', () => {
    expect(indices('v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nv 0 0 1\nf 1 2 5\nf 1 2 3 4\nf 3 4 5')).toEqual([
      0, 1, 4, 0, 1, 2, 0, 2, 3, 2, 3, 4,
    ])
  })

  it('counts faces with vertices that do not exist, and faces of two corners', () => {
    const { mesh, rejected } = drain(
      loadMesh(file('a', 'v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\nf 1 2 9\nf 0 1 2\nf -1 -2 -9\nf 1 2\n'), {
        axes: 'part',
      }),
    )
    expect(facetCount(mesh)).toBe(1)
    expect(rejected).toEqual({ total: 4, notFinite: 0, zeroArea: 1, duplicate: 0, badIndex: 3 })
  })

  it('drops vertices that no face uses, so that a stray one far away does not decide the size', () => {
    const { mesh, unit } = drain(
      loadMesh(file('a', 'v 9e9 0 0\nv 0 0 0\nv 100 0 0\nv 0 100 0\nf 2 3 4\n'), { axes: 'part' }),
    )
    expect(mesh.positions.length).toBe(9)
    expect(unit.longest_mm).toBe(100)
  })

  it('refuses decimal commas by name (F15), texts without faces, and faces of words, with the line', () => {
    expect(refused('v 0,5 1,25 2\nf 1 1 1').message).toMatch(/decimal comma.*line 1/)
    expect(refused('v 0 0 0\nv 1 0 0\nl 1 2\n').code).toBe('mesh-empty')
    expect(refused('v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 x').message).toContain('line 4')
    expect(refused('v 0 0 0\nv 1 0\nf 1 2 2').message).toContain('line 2')
    expect(refused('v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1.5 2 3').message).toContain('line 4')
  })

  it('counts vertices that are not numbers by the faces that use them', () => {
    const { rejected } = drain(
      loadMesh(file('a', 'v nan 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 0\nf 1 2 3\nf 2 3 4\n'), { axes: 'part' }),
    )
    expect(rejected.notFinite).toBe(1)
  })
})
