/** Section of a mesh by a plane across x or y: the chains of points in which the plane meets the facets. */
import type { Mesh } from '../../core/geometry/mesh'

export interface SectionPlane {
  readonly across: 'x' | 'y'
  readonly at_mm: number
}

export interface Chain {
  /** u, v pairs: u is x (across y) or y (across x), v is z. mm */
  readonly points: Float64Array
  readonly closed: boolean
}

/**
 * Each crossed edge gives one point, named by its two vertices, so that neighbours join without a tolerance. A vertex that
 * lies in the plane counts as above it, hence a facet is crossed in exactly two edges or none.
 */
export function cutMesh(mesh: Mesh, plane: SectionPlane): Chain[] {
  const { positions: p, indices, origin } = mesh
  const across = plane.across === 'x' ? 0 : 1
  const along = 1 - across
  const at = plane.at_mm - origin[across]!
  const vertices = p.length / 3
  const pointOf = new Map<number, number>()
  const points: number[] = []
  const from: number[] = []
  const to: number[] = []

  const crossing = (a: number, b: number): number => {
    const key = a < b ? a * vertices + b : b * vertices + a
    const known = pointOf.get(key)
    if (known !== undefined) return known
    const da = p[a * 3 + across]! - at
    const db = p[b * 3 + across]! - at
    const t = da / (da - db)
    for (const k of [along, 2]) {
      const va = p[a * 3 + k]!
      points.push(va + (p[b * 3 + k]! - va) * t + origin[k]!)
    }
    const made = points.length / 2 - 1
    pointOf.set(key, made)
    return made
  }

  for (let f = 0; f < indices.length; f += 3) {
    const a = indices[f]!
    const b = indices[f + 1]!
    const c = indices[f + 2]!
    const sa = p[a * 3 + across]! >= at
    const sb = p[b * 3 + across]! >= at
    const sc = p[c * 3 + across]! >= at
    if (sa === sb && sb === sc) continue
    const crossed: number[] = []
    if (sa !== sb) crossed.push(crossing(a, b))
    if (sb !== sc) crossed.push(crossing(b, c))
    if (sc !== sa) crossed.push(crossing(c, a))
    from.push(crossed[0]!)
    to.push(crossed[1]!)
  }
  return joinChains(points, from, to)
}

function joinChains(points: readonly number[], from: readonly number[], to: readonly number[]): Chain[] {
  const count = points.length / 2
  // Segments at each point; on an odd mesh a point may have more than two.
  const touching: number[][] = Array.from({ length: count }, () => [])
  for (let s = 0; s < from.length; s++) {
    touching[from[s]!]!.push(s)
    touching[to[s]!]!.push(s)
  }
  const used = new Uint8Array(from.length)
  const chains: Chain[] = []
  const walk = (start: number) => {
    const chain = [start]
    let here = start
    for (;;) {
      const next = touching[here]!.find((s) => !used[s])
      if (next === undefined) break
      used[next] = 1
      here = from[next] === here ? to[next]! : from[next]!
      chain.push(here)
      if (here === start) break
    }
    if (chain.length < 2) return
    const closed = chain.length > 2 && here === start
    const flat = new Float64Array((closed ? chain.length - 1 : chain.length) * 2)
    for (let i = 0; i < flat.length / 2; i++) {
      flat[i * 2] = points[chain[i]! * 2]!
      flat[i * 2 + 1] = points[chain[i]! * 2 + 1]!
    }
    chains.push({ points: flat, closed })
  }
  for (let i = 0; i < count; i++) if (touching[i]!.length === 1) walk(i)
  for (let i = 0; i < count; i++) while (touching[i]!.some((s) => !used[s])) walk(i)
  return chains
}

/** SVG path of chains, through a map from the plane to the screen. */
export function chainPath(chains: readonly Chain[], at: (u: number, v: number) => readonly [number, number]): string {
  const parts: string[] = []
  for (const { points, closed } of chains) {
    for (let i = 0; i < points.length; i += 2) {
      const [x, y] = at(points[i]!, points[i + 1]!)
      parts.push(`${i === 0 ? 'M' : 'L'}${x.toFixed(2)} ${y.toFixed(2)}`)
    }
    if (closed) parts.push('Z')
  }
  return parts.join('')
}
