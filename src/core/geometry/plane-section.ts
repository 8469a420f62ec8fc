/** Section of a mesh by a plane across one of its axes: the chains of points in which the plane meets the facets. */
import { BLOCK, type Steps } from './kernel'
import type { Mesh } from './mesh'

/** Across x the section is drawn in (y, z), across y in (x, z), across z in (x, y). */
export interface AxisPlane {
  readonly across: 'x' | 'y' | 'z'
  readonly at_mm: number
}

export interface SectionChain {
  /** u, v pairs, mm, mesh axes with the origin added. */
  readonly points: Float64Array
  /** Closed without repeating its first point. */
  readonly closed: boolean
}

const AXIS = { x: [0, 1, 2], y: [1, 0, 2], z: [2, 0, 1] } as const

/**
 * Each crossed edge gives one point, named by its two vertices, so that neighbours join without a tolerance. A vertex that
 * lies in the plane counts as above it, hence a facet is crossed in exactly two edges or none, and a closed mesh gives closed
 * chains only. A mesh with an edge of three facets may give chains that meet.
 */
export function* planeSection(mesh: Mesh, plane: AxisPlane): Steps<SectionChain[]> {
  const { positions: p, indices, origin } = mesh
  const [across, u, v] = AXIS[plane.across]
  const at = plane.at_mm - origin[across]
  const vertices = p.length / 3
  const pointOf = new Map<number, number>()
  const points: number[] = []
  const from: number[] = []
  const to: number[] = []
  const crossing = (a: number, b: number): number => {
    const [low, high] = a < b ? [a, b] : [b, a]
    const key = low * vertices + high
    const known = pointOf.get(key)
    if (known !== undefined) return known
    const da = p[low * 3 + across]! - at
    const db = p[high * 3 + across]! - at
    const t = da / (da - db)
    for (const k of [u, v]) points.push(p[low * 3 + k]! + (p[high * 3 + k]! - p[low * 3 + k]!) * t + origin[k])
    const made = points.length / 2 - 1
    pointOf.set(key, made)
    return made
  }
  for (let start = 0; start < indices.length; start += 3 * 8 * BLOCK) {
    const end = Math.min(indices.length, start + 3 * 8 * BLOCK)
    for (let f = start; f < end; f += 3) {
      const a = indices[f]!
      const b = indices[f + 1]!
      const c = indices[f + 2]!
      const sa = p[a * 3 + across]! >= at
      const sb = p[b * 3 + across]! >= at
      const sc = p[c * 3 + across]! >= at
      if (sa === sb && sb === sc) continue
      const ends: number[] = []
      if (sa !== sb) ends.push(crossing(a, b))
      if (sb !== sc) ends.push(crossing(b, c))
      if (sc !== sa) ends.push(crossing(c, a))
      from.push(ends[0]!)
      to.push(ends[1]!)
    }
    yield end / indices.length
  }
  return chained(points, from, to)
}

/** Joins segments end to end: open chains from their ends first, then the closed ones. */
function chained(points: readonly number[], from: readonly number[], to: readonly number[]): SectionChain[] {
  const count = points.length / 2
  const touching: number[][] = Array.from({ length: count }, () => [])
  for (let s = 0; s < from.length; s++) {
    touching[from[s]!]!.push(s)
    touching[to[s]!]!.push(s)
  }
  const used = new Uint8Array(from.length)
  const chains: SectionChain[] = []
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
