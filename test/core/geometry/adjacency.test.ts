import { describe, expect, it } from 'vitest'
import { adjacency, isClosed, NON_MANIFOLD, RIM } from '../../../src/core/geometry/adjacency'
import { boundaryLoops, islands } from '../../../src/core/geometry/islands'
import { drain } from '../../../src/core/geometry/kernel'
import { type Mesh, makeMesh, vertexCount } from '../../../src/core/geometry/mesh'
import { random } from '../../support/random'
import {
  box,
  gridPlate,
  icosphere,
  joined,
  looseMushroom,
  openHemisphere,
  openTube,
  torus,
  turned,
  without,
} from '../../support/solids'

const of = (mesh: Mesh) => drain(adjacency(mesh.indices, vertexCount(mesh)))
const loops = (mesh: Mesh) => drain(boundaryLoops(mesh.indices, vertexCount(mesh), of(mesh).across)).count

/** The slow obvious method: a map from edge to its users. */
function plain(mesh: Mesh) {
  const users = new Map<string, { facet: number; up: boolean }[]>()
  for (let f = 0; f < mesh.indices.length / 3; f++)
    for (let k = 0; k < 3; k++) {
      const a = mesh.indices[f * 3 + k]!
      const b = mesh.indices[f * 3 + ((k + 1) % 3)]!
      const key = a < b ? `${a} ${b}` : `${b} ${a}`
      users.set(key, [...(users.get(key) ?? []), { facet: f, up: a < b }])
    }
  let boundaryEdges = 0
  let nonManifoldEdges = 0
  let inconsistentEdges = 0
  for (const u of users.values()) {
    if (u.length === 1) boundaryEdges++
    else if (u.length > 2) nonManifoldEdges++
    else if (u[0]!.up === u[1]!.up) inconsistentEdges++
  }
  return { users, boundaryEdges, nonManifoldEdges, inconsistentEdges }
}

describe('adjacency', () => {
  it('finds closed solids closed, with Euler characteristic 2 − 2g (G14, differential-geometry text)', () => {
    for (const [mesh, chi] of [
      [box([0, 0, 0], [1, 1, 1]), 2],
      [icosphere(1, 3), 2],
      [torus(300, 25, 40, 12), 0],
      [looseMushroom(24), 6],
    ] as const) {
      const a = of(mesh)
      expect(isClosed(a)).toBe(true)
      expect(loops(mesh)).toBe(0)
      const edges = mesh.indices.length / 2
      expect(vertexCount(mesh) - edges + mesh.indices.length / 3).toBe(chi)
    }
  })

  it('counts rims, turned facets and edges with three facets', () => {
    expect(of(openTube(10, 100, 16))).toMatchObject({ boundaryEdges: 32, nonManifoldEdges: 0, inconsistentEdges: 0 })
    expect(loops(openTube(10, 100, 16))).toBe(2)
    expect(loops(openHemisphere(10, 16))).toBe(1)
    const oneTurned = turned(box([0, 0, 0], [1, 1, 1]), (f) => f === 2)
    expect(of(oneTurned)).toMatchObject({ boundaryEdges: 0, nonManifoldEdges: 0, inconsistentEdges: 3 })
    // Two boxes that share one edge: four facets there.
    const b = box([0, 0, 0], [1, 1, 1])
    const shared = makeMesh(
      'job',
      Float32Array.of(0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1, 0, -1, 0),
      Uint32Array.of(0, 1, 2, 0, 1, 3, 0, 1, 4),
    )
    expect(of(shared)).toMatchObject({ boundaryEdges: 6, nonManifoldEdges: 1, inconsistentEdges: 0 })
    expect(of(shared).across[0]).toBe(NON_MANIFOLD)
    expect(of(shared).across[1]).toBe(RIM)
    expect(isClosed(of(b))).toBe(true)
  })

  it('agrees with a plain map of edges on random tangles', () => {
    for (let seed = 1; seed <= 20; seed++) {
      const rng = random(seed)
      const vertices = 3 + rng.below(60)
      const list: number[] = []
      for (let f = 0; f < 5 + rng.below(200); f++) {
        const a = rng.below(vertices)
        const b = (a + 1 + rng.below(vertices - 1)) % vertices
        let c = rng.below(vertices)
        while (c === a || c === b) c = rng.below(vertices)
        list.push(a, b, c)
      }
      const mesh = makeMesh('job', new Float32Array(vertices * 3), Uint32Array.from(list))
      const { across, ...counts } = of(mesh)
      const { users, ...expected } = plain(mesh)
      expect(counts).toEqual(expected)
      for (let h = 0; h < across.length; h++) {
        const a = list[h]!
        const b = list[h % 3 === 2 ? h - 2 : h + 1]!
        const u = users.get(a < b ? `${a} ${b}` : `${b} ${a}`)!
        const f = Math.floor(h / 3)
        expect(across[h]).toBe(
          u.length === 1 ? RIM : u.length > 2 ? NON_MANIFOLD : u[0]!.facet === f ? u[1]!.facet : u[0]!.facet,
        )
      }
    }
  })

  it('is not slowed down by a hub with 60,000 spokes', () => {
    const spokes = 60_000
    const indices = new Uint32Array(spokes * 3)
    for (let i = 0; i < spokes; i++) indices.set([0, 1 + i, 1 + ((i + 1) % spokes)], i * 3)
    const a = drain(adjacency(indices, spokes + 1))
    expect(a.boundaryEdges).toBe(spokes)
    expect(a.nonManifoldEdges).toBe(0)
    expect(a.across[0]).toBe(spokes - 1)
    expect(a.across[2]).toBe(1)
  })

  it('tells pieces apart by shared vertices, and counts rims that touch as one', () => {
    const two = joined(box([0, 0, 0], [1, 1, 1]), icosphere(1, 1, [9, 0, 0]))
    const { count, ofFacet } = drain(islands(two.indices, vertexCount(two)))
    expect(count).toBe(2)
    expect([...ofFacet]).toEqual([...new Array(12).fill(0), ...new Array(80).fill(1)])
    // A plate of 4 x 4 cells: cells 5 and 10 touch in a corner; 5 and 7 do not.
    const plate = gridPlate(4, 4, 4, 4)
    const cell = (f: number) => Math.floor(f / 2)
    expect(loops(plate)).toBe(1)
    expect(loops(without(plate, (f) => cell(f) === 5))).toBe(2)
    expect(loops(without(gridPlate(6, 6, 6, 6), (f) => [7, 21].includes(cell(f))))).toBe(3)
    expect(loops(without(gridPlate(6, 6, 6, 6), (f) => [14, 21].includes(cell(f))))).toBe(2)
  })
})
