import { describe, expect, it } from 'vitest'
import { facetCount } from '../../../src/core/geometry/mesh'
import { cornerGeometry, rimSegments, vertexGeometry } from '../../../src/view/geometry/build'
import { edgeSegments, edgesOf, facetNormals, vertexMeans } from '../../../src/view/geometry/facets'
import { sharpEdges } from '../../../src/view/layers/map-attributes'
import { orderedRim } from '../../../src/view/layers/shell-layer'
import { box, icosphere, without } from '../../support/solids'

describe('facets as the sheet draws them', () => {
  it('finds every edge of a closed mesh once, with both facets (Euler: E = 3F/2)', () => {
    for (const mesh of [box([0, 0, 0], [1, 2, 3]), icosphere(10, 2)]) {
      const edges = edgesOf(mesh)
      expect(edges.ends.length / 2).toBe((facetCount(mesh) * 3) / 2)
      expect(edges.facets.every((f) => f >= 0)).toBe(true)
    }
  })

  it('draws a box by its twelve edges and no diagonals', () => {
    expect(sharpEdges(box([0, 0, 0], [1, 2, 3])).length / 6).toBe(12)
    expect(sharpEdges(icosphere(10, 3)).length).toBe(0)
  })

  it('has normals that look out and areas that add up', () => {
    const mesh = box([0, 0, 0], [1, 2, 3])
    const { normals, area_mm2 } = facetNormals(mesh)
    expect(area_mm2.reduce((a, b) => a + b, 0)).toBeCloseTo(22, 5)
    const up = Array.from({ length: facetCount(mesh) }, (_, f) => normals[f * 3 + 2]!)
    expect(up.filter((z) => z === 1)).toHaveLength(2)
    expect(up.filter((z) => z === -1)).toHaveLength(2)
  })

  it('keeps facet f at corners 3f…3f+2, also when the mesh is turned over', () => {
    const mesh = icosphere(10, 1)
    for (const turned of [false, true]) {
      const position = cornerGeometry(mesh, turned).getAttribute('position').array
      for (let f = 0; f < facetCount(mesh); f++) {
        const drawn = [0, 1, 2].map((c) => [...position.subarray((f * 3 + c) * 3, (f * 3 + c) * 3 + 3)].join())
        const own = [0, 1, 2].map((c) => {
          const v = mesh.indices[f * 3 + c]! * 3
          return [...mesh.positions.subarray(v, v + 3)].join()
        })
        expect(new Set(drawn)).toEqual(new Set(own))
      }
    }
    const normal = vertexGeometry(mesh).getAttribute('normal').array
    for (let i = 0; i < normal.length; i++) expect(normal[i]! * 10).toBeCloseTo(mesh.positions[i]!, 1)
  })

  it('leaves facets without an answer out of the means', () => {
    const mesh = box([0, 0, 0], [1, 1, 1])
    const { area_mm2 } = facetNormals(mesh)
    const values = new Float32Array(12).fill(5)
    values[3] = Number.NaN
    expect([...vertexMeans(mesh, values, area_mm2, 100)].every((v) => v === 5)).toBe(true)
    expect(vertexMeans(mesh, new Float32Array(12).fill(Infinity), area_mm2, 80)[0]).toBe(80)
    expect(vertexMeans(mesh, new Float32Array(12).fill(Number.NaN), area_mm2, 80)[0]).toBeNaN()
  })

  it('shows the rim of a hole and nothing else, and runs along it', () => {
    const open = without(box([0, 0, 0], [1, 2, 3]), (f) => f === 2 || f === 3)
    const vertices = open.positions.length / 3
    const rim = Uint8Array.from({ length: vertices }, (_, v) => (open.positions[v * 3 + 2] === 3 ? 1 : 0))
    const segments = rimSegments(open, rim)
    expect(segments.length / 6).toBe(4)
    expect(edgeSegments(open, edgesOf(open), (_, g) => g < 0).length).toBe(segments.length)
    const run = orderedRim(segments)
    for (let s = 1; s < 4; s++) expect([...run.subarray(s * 6, s * 6 + 3)]).toEqual([...run.subarray(s * 6 - 3, s * 6)])
  })
})
