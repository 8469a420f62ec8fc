/** The hole in the crown that a feature is set into, or what stands in its way. */
import { CROWN, type OpenFace } from './open-face'
import { distanceToChain, insideLoop, type PlanPoint } from './seat-outline'

/** How a feature lies about the centreline: on it, one of two, or alone. */
export type Side = 'centre' | 'pair' | 'alone'

/** `edge`, `skirt`, `flange`: it runs into that part of the shell; a number: into that feature; `folds`: its wall turns back. */
export type PatchFault = 'edge' | 'skirt' | 'flange' | 'folds' | 'centreline' | { readonly feature: number }

/** Vertices of the crown nearer to the rim than this are taken out, so that no sliver is made there. Its mesh step is 16 mm. */
export const CLEAR_MM = 8.5
/** No room for a wall between two features. */
export const APART_MM = 1

export interface Hole {
  readonly facets: readonly number[]
  readonly gone: ReadonlySet<number>
  /** Directed edges of the hole's border, the hole to their left: pairs of vertices. */
  readonly border: readonly (readonly [number, number])[]
}

export function facetsNear(face: OpenFace, rim: readonly PlanPoint[], half: boolean): number[] {
  const reach = CLEAR_MM + 1
  let [x0, x1, y0, y1] = [Infinity, -Infinity, Infinity, -Infinity]
  for (const [x, y] of rim) {
    x0 = Math.min(x0, x - reach)
    x1 = Math.max(x1, x + reach)
    y0 = Math.min(y0, y - reach)
    y1 = Math.max(y1, y + reach)
  }
  const { position: p, corner, dead } = face
  const near: number[] = []
  for (let f = 0; f < dead.length; f++) {
    if (dead[f]) continue
    const a = 3 * corner[3 * f]!
    const b = 3 * corner[3 * f + 1]!
    const c = 3 * corner[3 * f + 2]!
    const top = Math.max(p[a + 1]!, p[b + 1]!, p[c + 1]!)
    if (half && top <= 0) continue
    if (top < y0 || Math.min(p[a + 1]!, p[b + 1]!, p[c + 1]!) > y1) continue
    if (Math.max(p[a]!, p[b]!, p[c]!) < x0 || Math.min(p[a]!, p[b]!, p[c]!) > x1) continue
    near.push(f)
  }
  return near
}

export function holeFor(
  face: OpenFace,
  rim: readonly PlanPoint[],
  near: readonly number[],
  side: Side,
): Hole | PatchFault {
  const { position: p, corner, zone, owner, locked } = face
  const chain = side === 'centre' ? rim : [...rim, rim[0]!]
  // A chain is closed along the centreline by the even-odd rule itself.
  const loop = rim
  const gone = new Set<number>()
  const seen = new Set<number>()
  const inside = new Set<number>()
  for (const f of near)
    for (let k = 0; k < 3; k++) {
      const v = corner[3 * f + k]!
      if (seen.has(v)) continue
      seen.add(v)
      const [x, y] = [p[3 * v]!, p[3 * v + 1]!]
      // A point on the centreline is as far inside a half as one a hair to port of it.
      const within = insideLoop(loop, x, side === 'centre' && y === 0 ? 1e-6 : y)
      if (within) inside.add(v)
      if (!within && distanceToChain(chain, x, y) >= CLEAR_MM) continue
      if (locked[v]) continue
      if (side === 'pair' && y === 0) continue
      gone.add(v)
    }
  const facets: number[] = []
  for (const f of near) {
    const vs = [corner[3 * f]!, corner[3 * f + 1]!, corner[3 * f + 2]!] as const
    const touched = vs.some((v) => gone.has(v))
    const crossed = crosses(p, vs, chain, APART_MM)
    const held = crossed || vs.some((v) => inside.has(v))
    if (!touched && !held) continue
    const foreign = owner[f]! >= 0
    if (foreign && held) return { feature: owner[f]! }
    if (zone[f] !== CROWN && held) return (['edge', 'edge', 'skirt', 'flange'] as const)[zone[f]!] ?? 'edge'
    if (foreign || zone[f] !== CROWN) continue
    facets.push(f)
  }
  const directed = new Set<string>()
  for (const f of facets)
    for (let k = 0; k < 3; k++) directed.add(`${corner[3 * f + k]} ${corner[3 * f + ((k + 1) % 3)]}`)
  const border: (readonly [number, number])[] = []
  for (const f of facets)
    for (let k = 0; k < 3; k++) {
      const a = corner[3 * f + k]!
      const b = corner[3 * f + ((k + 1) % 3)]!
      if (directed.has(`${b} ${a}`)) continue
      // The seam on the centreline is no border: the other half goes on behind it.
      if (side !== 'alone' && p[3 * a + 1] === 0 && p[3 * b + 1] === 0) continue
      border.push([a, b])
    }
  return { facets, gone, border }
}

/** Whether a facet meets the rim in plan, or comes nearer to one of its corners than `apart`. */
function crosses(p: readonly number[], vs: readonly number[], rim: readonly PlanPoint[], apart: number): boolean {
  const tri = vs.map((v): PlanPoint => [p[3 * v]!, p[3 * v + 1]!])
  const x0 = Math.min(tri[0]![0], tri[1]![0], tri[2]![0]) - apart
  const x1 = Math.max(tri[0]![0], tri[1]![0], tri[2]![0]) + apart
  const y0 = Math.min(tri[0]![1], tri[1]![1], tri[2]![1]) - apart
  const y1 = Math.max(tri[0]![1], tri[1]![1], tri[2]![1]) + apart
  for (let k = 0; k + 1 < rim.length; k++) {
    const a = rim[k]!
    const b = rim[k + 1]!
    if (Math.max(a[0], b[0]) < x0 || Math.min(a[0], b[0]) > x1) continue
    if (Math.max(a[1], b[1]) < y0 || Math.min(a[1], b[1]) > y1) continue
    if (insideLoop(tri, a[0], a[1]) || insideLoop(tri, b[0], b[1])) return true
    for (let s = 0; s < 3; s++) {
      const c = tri[s]!
      const d = tri[(s + 1) % 3]!
      if (distanceToChain([c, d], a[0], a[1]) < apart || distanceToChain([a, b], c[0], c[1]) < apart) return true
      if (turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0) return true
    }
  }
  return false
}

export const turn = (a: PlanPoint, b: PlanPoint, c: PlanPoint): number =>
  (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
