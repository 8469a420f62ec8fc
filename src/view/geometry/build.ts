/** Buffer geometries of meshes. Two kinds: by vertex (small, for large meshes and outlines) and by corner (values per facet). */
import { useEffect, useMemo } from 'react'
import { BufferAttribute, BufferGeometry } from 'three'
import type { Mesh } from '../../core/geometry/mesh'
import { cornerNormalsOf, vertexNormalsOf } from './facet-data'

/** Value of a corner without an answer: far outside of every scale, since NaN is not safe in a shader. */
export const NO_VALUE = 1e9

/** Shared vertices and smooth normals. `turned` shows the other side as the outside. */
export function vertexGeometry(mesh: Mesh, turned = false): BufferGeometry {
  const geometry = new BufferGeometry()
  geometry.setAttribute('position', new BufferAttribute(mesh.positions, 3))
  const normals = vertexNormalsOf(mesh)
  geometry.setAttribute('normal', new BufferAttribute(turned ? normals.map((v) => -v) : normals, 3))
  geometry.setIndex(new BufferAttribute(turned ? turnedIndices(mesh.indices) : mesh.indices, 1))
  return geometry
}

/** Three corners per facet, in the order of the facets, with creases. */
export function cornerGeometry(mesh: Mesh, turned = false): BufferGeometry {
  const corners = mesh.indices.length
  const position = new Float32Array(corners * 3)
  const normal = new Float32Array(corners * 3)
  const from = cornerNormalsOf(mesh)
  const sign = turned ? -1 : 1
  for (let c = 0; c < corners; c++) {
    const source = turned ? turnedCorner(c) : c
    const v = mesh.indices[source]! * 3
    for (let k = 0; k < 3; k++) {
      position[c * 3 + k] = mesh.positions[v + k]!
      normal[c * 3 + k] = sign * from[source * 3 + k]!
    }
  }
  const geometry = new BufferGeometry()
  geometry.setAttribute('position', new BufferAttribute(position, 3))
  geometry.setAttribute('normal', new BufferAttribute(normal, 3))
  return geometry
}

/** Corners 1 and 2 of each facet change places. */
export const turnedCorner = (c: number): number => (c % 3 === 1 ? c + 1 : c % 3 === 2 ? c - 1 : c)

function turnedIndices(indices: Uint32Array): Uint32Array {
  const out = indices.slice()
  for (let f = 0; f < out.length; f += 3) {
    out[f + 1] = indices[f + 2]!
    out[f + 2] = indices[f + 1]!
  }
  return out
}

/** Edges of the scan's holes: edges with one facet between two vertices that are marked as rim. Six numbers per segment. */
export function rimSegments(mesh: Mesh, rimVertex: Uint8Array): Float32Array {
  const { indices, positions } = mesh
  const vertices = positions.length / 3
  const times = new Map<number, number>()
  for (let c = 0; c < indices.length; c++) {
    const a = indices[c]!
    const b = indices[c % 3 === 2 ? c - 2 : c + 1]!
    if (!rimVertex[a] || !rimVertex[b]) continue
    const key = a < b ? a * vertices + b : b * vertices + a
    times.set(key, (times.get(key) ?? 0) + 1)
  }
  const out: number[] = []
  for (const [key, count] of times) {
    if (count !== 1) continue
    for (const v of [Math.floor(key / vertices), key % vertices])
      for (let k = 0; k < 3; k++) out.push(positions[v * 3 + k]! + mesh.origin[k]!)
  }
  return Float32Array.from(out)
}

/** Builds of a source when it changes, and frees what was built. `build` must be one function for good. */
export function useBuilt<S, T extends { dispose(): void }>(source: S | null, build: (source: S) => T): T | null {
  const built = useMemo(() => (source === null ? null : build(source)), [source, build])
  useEffect(() => () => built?.dispose(), [built])
  return built
}
