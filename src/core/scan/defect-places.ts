/** Where the defects of a scan are: places to fly to, one for each, worst first. */
import { type Adjacency, NON_MANIFOLD } from '../geometry/adjacency'
import type { Islands } from '../geometry/islands'
import { BLOCK, type Steps } from '../geometry/kernel'
import { facetCount, facetMiddle, type Mesh } from '../geometry/mesh'
import { runsSameWay } from './repair'
import type { DefectPlaces, StrayPiece } from './types'

export type EdgePlaces = Pick<DefectPlaces, 'crossing' | 'turned'>

/** A longer list helps nobody. */
const MOST_PLACES = 50
/** Edges nearer to each other than this are one place, mm. */
const APART_MM = 20

/**
 * Every piece but the largest by area, largest first, as they were before any repair.
 *
 * @param pieces of this very mesh
 */
export function* strayPieces(mesh: Mesh<'scan'>, pieces: Islands): Steps<readonly StrayPiece[]> {
  if (pieces.count < 2) return []
  const { indices, positions: p, origin } = mesh
  const facets = new Uint32Array(pieces.count)
  const area = new Float64Array(pieces.count)
  // Three per piece: sums of facet middles times area.
  const sum = new Float64Array(3 * pieces.count)
  for (let f = 0; f < facetCount(mesh); f++) {
    if (f % BLOCK === 0) yield f / facetCount(mesh)
    const [a, b, c] = [3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!]
    const u = [p[b]! - p[a]!, p[b + 1]! - p[a + 1]!, p[b + 2]! - p[a + 2]!] as const
    const v = [p[c]! - p[a]!, p[c + 1]! - p[a + 1]!, p[c + 2]! - p[a + 2]!] as const
    const x = u[1] * v[2] - u[2] * v[1]
    const y = u[2] * v[0] - u[0] * v[2]
    const z = u[0] * v[1] - u[1] * v[0]
    const mm2 = Math.sqrt(x * x + y * y + z * z) / 2
    const piece = pieces.ofFacet[f]!
    facets[piece]!++
    area[piece]! += mm2
    for (let k = 0; k < 3; k++) sum[3 * piece + k]! += (mm2 * (p[a + k]! + p[b + k]! + p[c + k]!)) / 3
  }
  const order = [...area.keys()].sort((i, j) => area[j]! - area[i]! || i - j)
  return order.slice(1, 1 + MOST_PLACES).map((i): StrayPiece => {
    const middle = (k: number) => sum[3 * i + k]! / (area[i]! || 1) + origin[k]!
    return { at: [middle(0), middle(1), middle(2)], area_mm2: area[i]!, facets: facets[i]! }
  })
}

/** Edges where three or more facets meet, and edges whose two facets face opposite ways. */
export function edgePlaces(mesh: Mesh<'scan'>, edges: Adjacency): EdgePlaces {
  const { across } = edges
  const crossing: Place[] = []
  const turned: Place[] = []
  const look = { crossing: edges.nonManifoldEdges > 0, turned: edges.inconsistentEdges > 0 }
  for (let h = 0; h < across.length && (look.crossing || look.turned); h++) {
    const g = across[h]!
    const f = Math.floor(h / 3)
    if (look.crossing && g === NON_MANIFOLD) look.crossing = add(crossing, facetMiddle(mesh, f))
    // Each edge is met from both of its facets: once is enough.
    else if (look.turned && g > f && runsSameWay(mesh.indices, f, h % 3, g))
      look.turned = add(turned, facetMiddle(mesh, f))
  }
  return { crossing, turned }
}

type Place = [number, number, number]

/** @returns false when the list is full */
function add(places: Place[], at: Place): boolean {
  const near = places.some(([x, y, z]) => {
    const d = [at[0] - x, at[1] - y, at[2] - z] as const
    return d[0] * d[0] + d[1] * d[1] + d[2] * d[2] < APART_MM * APART_MM
  })
  if (!near) places.push(at)
  return places.length < MOST_PLACES
}
