/** From what is pointed at on the copy of a large scan back to the scan itself: figures and measurements are taken from that. */
import { type Ray, Vector3 } from 'three'
import type { DisplayCopy } from '../../core/geometry/display-copy'
import type { Mesh } from '../../core/geometry/mesh'
import { closestOnTriangle } from '../../core/geometry/point-triangle'

/** Facets of the whole mesh round facets of the copy, each once, at most `most` of them. */
export function wholeFacets({ mesh, first, facetsAt }: DisplayCopy, drawn: readonly number[], most: number): number[] {
  const corners = new Set<number>()
  for (const f of drawn) for (let k = 0; k < 3; k++) corners.add(mesh.indices[3 * f + k]!)
  const facets: number[] = []
  for (const corner of corners)
    for (let i = first[corner]!; i < first[corner + 1]! && facets.length < most; i++) facets.push(facetsAt[i]!)
  return facets
}

export interface WholePlace {
  readonly facet: number
  /** mm about the origin of the mesh. */
  readonly point: Vector3
}

const [a, b, c, hit] = [new Vector3(), new Vector3(), new Vector3(), new Vector3()]

function setCorners({ positions: p, indices }: Mesh, facet: number): void {
  for (const [k, corner] of [a, b, c].entries()) corner.fromArray(p, 3 * indices[3 * facet + k]!)
}

/**
 * Where a ray that met the copy at `near` meets the whole mesh: among these facets the one it meets first, else the nearest.
 * Null: there are none.
 */
export function wholeHit(mesh: Mesh, facets: readonly number[], ray: Ray, near: Vector3): WholePlace | null {
  let best: WholePlace | null = null
  let least = Infinity
  for (const facet of facets) {
    setCorners(mesh, facet)
    if (!ray.intersectTriangle(a, b, c, false, hit)) continue
    const d = hit.distanceToSquared(ray.origin)
    if (d >= least) continue
    least = d
    best = { facet, point: hit.clone() }
  }
  return best ?? wholeNearest(mesh, facets, near)
}

/** The place of these facets that is nearest to a point. */
export function wholeNearest(mesh: Mesh, facets: readonly number[], { x, y, z }: Vector3): WholePlace | null {
  const out = new Float64Array(5)
  let best: WholePlace | null = null
  let least = Infinity
  for (const facet of facets) {
    setCorners(mesh, facet)
    closestOnTriangle(x, y, z, a.x, a.y, a.z, b.x, b.y, b.z, c.x, c.y, c.z, out)
    const d = (out[0]! - x) ** 2 + (out[1]! - y) ** 2 + (out[2]! - z) ** 2
    if (d >= least) continue
    least = d
    best = { facet, point: new Vector3(out[0], out[1], out[2]) }
  }
  return best
}
