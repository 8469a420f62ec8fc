/**
 * Sets a feature into a moulded face. Every moulded face is a sheet over its plan, so this is a matter of plan: the facets of
 * the crown under and around the feature are taken out, and the hole is triangulated again with the feature's rim as an
 * edge that must be there (constrained Delaunay). Wall and land are the feature's own. All other facets stay as they are,
 * to the last bit.
 *
 * On a symmetric face a feature on the centreline is set into the half y ≥ 0 and mirrored; a pair is set in to port and
 * mirrored. What is mirrored only changes signs, so twins are exact.
 */

import { NO_TWIN, triangulate } from '../clearance'
import { square } from '../geometry/portable-math'
import { CROWN, type OpenFace } from './open-face'
import { APART_MM, CLEAR_MM, facetsNear, type Hole, holeFor, type PatchFault, type Side, turn } from './seat-hole'
import { distanceToChain, insideLoop, type PlanPoint } from './seat-outline'

export interface Patch {
  readonly side: Side
  /** From the land's border to the shell; for `centre` chains from y = 0 forward to y = 0 aft, for `pair` all y > 0. */
  readonly rings: readonly Float64Array[]
  /** Height of the land. */
  readonly land: (x: number, y: number) => number
  readonly owner: number
}

/** Sets a feature in, or says why it cannot be; then the face is as it was. */
export function setIn(face: OpenFace, patch: Patch): PatchFault | null {
  const rings = patch.rings.map((ring) => planOf(ring))
  const rim = rings.at(-1)!
  const half = patch.side !== 'alone'
  if (patch.side === 'pair' && rim.some(([, y]) => y < APART_MM)) return 'centreline'
  const near = facetsNear(face, rim, half)
  const hole = holeFor(face, rim, near, patch.side)
  if (typeof hole === 'string' || !('facets' in hole)) return hole
  const made = fill(face, patch, rings, hole)
  if (!made) return 'folds'
  commit(face, patch, hole, made)
  return null
}

const planOf = (ring: Float64Array): PlanPoint[] =>
  Array.from(
    { length: ring.length / 3 },
    (_, k): PlanPoint => [Math.fround(ring[3 * k]!), Math.fround(ring[3 * k + 1]!)],
  )

interface Made {
  /** x y z of new vertices; vertex number `position.length / 3 + k` of the face. */
  readonly position: number[]
  /** Vertex numbers, three per facet, and whose each facet is. */
  readonly corner: number[]
  readonly owner: number[]
}

function fill(face: OpenFace, patch: Patch, rings: readonly PlanPoint[][], hole: Hole): Made | null {
  const base = face.position.length / 3
  const made: Made = { position: [], corner: [], owner: [] }
  const ringStart = patch.rings.map((ring) => {
    const start = base + made.position.length / 3
    for (const value of ring) made.position.push(Math.fround(value))
    return start
  })
  const n = rings[0]!.length
  const segments = patch.side === 'centre' ? n - 1 : n
  const rimEdges = (start: number): (readonly [number, number])[] =>
    Array.from({ length: segments }, (_, k) => [start + k, start + ((k + 1) % n)] as const)
  const at = (v: number, k: number): number =>
    v < base ? face.position[3 * v + k]! : made.position[3 * (v - base) + k]!

  const kept = new Set<number>()
  for (const f of hole.facets)
    for (let k = 0; k < 3; k++) if (!hole.gone.has(face.corner[3 * f + k]!)) kept.add(face.corner[3 * f + k]!)
  const last = ringStart.at(-1)!
  const around = [...kept, ...Array.from({ length: n }, (_, k) => last + k)]
  const skin = between(around, [...hole.border, ...rimEdges(last)], at)
  if (!skin) return null
  for (const v of skin) made.corner.push(v)
  for (let t = 0; t < skin.length; t += 3) made.owner.push(-1)

  for (let r = 0; r + 1 < ringStart.length; r++)
    for (let k = 0; k < segments; k++) {
      const next = (k + 1) % n
      const a = ringStart[r]! + k
      const b = ringStart[r]! + next
      const c = ringStart[r + 1]! + next
      const d = ringStart[r + 1]! + k
      const straight = space2(at, a, c) <= space2(at, b, d)
      made.corner.push(...(straight ? [a, d, c, a, c, b] : [a, d, b, d, c, b]))
      made.owner.push(patch.owner, patch.owner)
    }

  const border = rings[0]!
  const chain = patch.side === 'centre' ? border : [...border, border[0]!]
  const onLand = Array.from({ length: n }, (_, k) => ringStart[0]! + k)
  for (const v of hole.gone) {
    const [x, y] = [face.position[3 * v]!, face.position[3 * v + 1]!]
    const asked = patch.side === 'centre' && y === 0 ? 1e-6 : y
    if (!insideLoop(border, x, asked) || distanceToChain(chain, x, y) < CLEAR_MM) continue
    onLand.push(base + made.position.length / 3)
    made.position.push(x, y, Math.fround(patch.land(x, y)))
  }
  const land = between(onLand, rimEdges(ringStart[0]!), at)
  if (!land) return null
  for (const v of land) made.corner.push(v)
  for (let t = 0; t < land.length; t += 3) made.owner.push(patch.owner)

  let before = 0
  for (const f of hole.facets)
    before += area2(
      (v, k) => face.position[3 * v + k]!,
      face.corner[3 * f]!,
      face.corner[3 * f + 1]!,
      face.corner[3 * f + 2]!,
    )
  let after = 0
  for (let t = 0; t < made.corner.length; t += 3) {
    const twice = area2(at, made.corner[t]!, made.corner[t + 1]!, made.corner[t + 2]!)
    if (!(twice > 0)) return null
    after += twice
  }
  // The plan is covered once and wholly, or something above was wrong.
  if (Math.abs(after - before) > 1e-6 * before)
    throw new Error(`fitting: a seat was set in with ${(after - before) / 2} mm2 of plan too much`)
  return made
}

/** Triangles between edges that run round an area, even-odd; `null` if the edges cross each other. */
function between(
  vertices: readonly number[],
  edges: readonly (readonly [number, number])[],
  at: (v: number, k: number) => number,
): number[] | null {
  const index = new Map(vertices.map((v, i) => [v, i]))
  const coords = new Float64Array(2 * vertices.length)
  vertices.forEach((v, i) => {
    coords[2 * i] = at(v, 0)
    coords[2 * i + 1] = at(v, 1)
  })
  const forced = Uint32Array.from(edges.flatMap(([a, b]) => [index.get(a)!, index.get(b)!]))
  if (crossEachOther(coords, forced)) return null
  const triangles = triangulate(coords, forced)
  const out: number[] = []
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [triangles[t]!, triangles[t + 1]!, triangles[t + 2]!]
    const x = (coords[2 * a]! + coords[2 * b]! + coords[2 * c]!) / 3
    const y = (coords[2 * a + 1]! + coords[2 * b + 1]! + coords[2 * c + 1]!) / 3
    let odd = false
    for (let e = 0; e < forced.length; e += 2) {
      const [p, q] = [forced[e]!, forced[e + 1]!]
      const yp = coords[2 * p + 1]!
      const yq = coords[2 * q + 1]!
      if (yp > y !== yq > y && x < coords[2 * p]! + ((y - yp) / (yq - yp)) * (coords[2 * q]! - coords[2 * p]!))
        odd = !odd
    }
    if (odd) out.push(vertices[a]!, vertices[b]!, vertices[c]!)
  }
  return out
}

function crossEachOther(coords: Float64Array, edges: Uint32Array): boolean {
  const point = (i: number): PlanPoint => [coords[2 * i]!, coords[2 * i + 1]!]
  const order = Array.from({ length: edges.length / 2 }, (_, e) => {
    const [a, b] = [point(edges[2 * e]!), point(edges[2 * e + 1]!)]
    return { a, b, from: Math.min(a[0], b[0]), to: Math.max(a[0], b[0]) }
  }).sort((s, t) => s.from - t.from)
  for (let i = 0; i < order.length; i++)
    for (let j = i + 1; j < order.length && order[j]!.from <= order[i]!.to; j++) {
      const { a, b } = order[i]!
      const { a: c, b: d } = order[j]!
      if (turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0) return true
    }
  return false
}

function area2(at: (v: number, k: number) => number, a: number, b: number, c: number): number {
  return (at(b, 0) - at(a, 0)) * (at(c, 1) - at(a, 1)) - (at(b, 1) - at(a, 1)) * (at(c, 0) - at(a, 0))
}

function space2(at: (v: number, k: number) => number, a: number, b: number): number {
  return square(at(a, 0) - at(b, 0)) + square(at(a, 1) - at(b, 1)) + square(at(a, 2) - at(b, 2))
}

function commit(face: OpenFace, patch: Patch, hole: Hole, made: Made): void {
  const base = face.position.length / 3
  const twins = patch.side === 'alone' ? null : twinFacets(face, hole.facets)
  const fresh = made.position.length / 3
  for (const value of made.position) face.position.push(value)
  const lock = new Set<number>()
  made.owner.forEach((owner, t) => {
    if (owner >= 0) for (let k = 0; k < 3; k++) lock.add(made.corner[3 * t + k]!)
  })
  const other = new Map<number, number>()
  let next = base + fresh
  for (let v = base; v < base + fresh; v++) {
    face.locked.push(lock.has(v) ? 1 : 0)
    if (!twins) face.twin.push(NO_TWIN)
    else {
      const t = face.position[3 * v + 1] === 0 ? v : next++
      other.set(v, t)
      face.twin.push(t)
    }
  }
  const put = (a: number, b: number, c: number, owner: number) => {
    face.corner.push(a, b, c)
    face.zone.push(CROWN)
    face.owner.push(owner)
    face.dead.push(0)
  }
  for (const f of hole.facets) face.dead[f] = 1
  for (let t = 0; t < made.owner.length; t++)
    put(made.corner[3 * t]!, made.corner[3 * t + 1]!, made.corner[3 * t + 2]!, made.owner[t]!)
  if (!twins) {
    // What hangs on new facets no longer has the surroundings of its mirror image.
    for (const v of new Set([...made.corner, ...hole.gone]))
      if (v < base && face.twin[v] !== NO_TWIN) {
        face.twin[face.twin[v]!] = NO_TWIN
        face.twin[v] = NO_TWIN
      }
    return
  }
  for (let v = base; v < base + fresh; v++) {
    const t = other.get(v)!
    if (t === v) continue
    face.position.push(face.position[3 * v]!, -face.position[3 * v + 1]!, face.position[3 * v + 2]!)
    face.locked.push(face.locked[v]!)
    face.twin.push(v)
  }
  for (const f of twins) face.dead[f] = 1
  const image = (v: number) => face.twin[v]!
  for (let t = 0; t < made.owner.length; t++)
    put(
      image(made.corner[3 * t]!),
      image(made.corner[3 * t + 2]!),
      image(made.corner[3 * t + 1]!),
      twinOwner(patch, made.owner[t]!),
    )
}

/** A pair are two features, the second with the next number; one on the centreline is one. */
const twinOwner = (patch: Patch, owner: number): number => (owner < 0 || patch.side === 'centre' ? owner : owner + 1)

function twinFacets(face: OpenFace, facets: readonly number[]): number[] {
  const key = (a: number, b: number, c: number) => [a, b, c].sort((p, q) => p - q).join(' ')
  const { corner, twin } = face
  const wanted = new Set(
    facets.map((f) => key(twin[corner[3 * f]!]!, twin[corner[3 * f + 1]!]!, twin[corner[3 * f + 2]!]!)),
  )
  const found: number[] = []
  for (let f = 0; f < face.dead.length; f++)
    if (!face.dead[f] && wanted.has(key(corner[3 * f]!, corner[3 * f + 1]!, corner[3 * f + 2]!))) found.push(f)
  if (found.length !== facets.length) throw new Error('fitting: a symmetric face has lost the mirror image of a facet')
  return found
}
