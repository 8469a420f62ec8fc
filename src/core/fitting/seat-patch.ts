/**
 * Sets a feature into a moulded face. Every moulded face is a sheet over its plan, so this is a matter of plan: the facets of
 * the crown under and around the feature are taken out, and the hole is triangulated again with the feature's rim as an
 * edge that must be there (constrained Delaunay). Wall and land are the feature's own. All other facets stay as they are,
 * to the last bit.
 *
 * On a symmetric face a feature on the centreline is set into the half y ≥ 0 and mirrored; a pair is set in to port and
 * mirrored. What is mirrored only changes signs, so twins are exact.
 */

import { NO_TWIN, triangulate, ZONES } from '../clearance'
import type { Mesh } from '../geometry/mesh'
import { square } from '../geometry/portable-math'
import { distanceToChain, insideLoop, type PlanPoint } from './seat-outline'

/** A face that features are being set into. Growing lists; dead facets are dropped at the end. */
export interface OpenFace {
  readonly position: number[]
  readonly corner: number[]
  readonly zone: number[]
  /** Feature that a facet belongs to, −1 for the shell itself. */
  readonly owner: number[]
  readonly dead: number[]
  /** 1: a vertex of a feature, or one that a facet outside the crown uses: it stays. */
  readonly locked: number[]
  /** Mirror image of every vertex; `NO_TWIN` where there is none that hangs together as it does. */
  readonly twin: number[]
  /** Every vertex has its mirror image, bit for bit. */
  readonly symmetric: boolean
}

/** How a feature lies about the centreline: on it, one of two, or alone. */
export type Side = 'centre' | 'pair' | 'alone'

export interface Patch {
  readonly side: Side
  /** From the land's border to the shell; for `centre` chains from y = 0 forward to y = 0 aft, for `pair` all y > 0. */
  readonly rings: readonly Float64Array[]
  /** Height of the land. */
  readonly land: (x: number, y: number) => number
  readonly owner: number
}

/** `edge`, `skirt`, `flange`: it runs into that part of the shell; a number: into that feature; `folds`: its wall turns back. */
export type PatchFault = 'edge' | 'skirt' | 'flange' | 'folds' | 'centreline' | { readonly feature: number }

/** Vertices of the crown nearer to the rim than this are taken out, so that no sliver is made there. Its mesh step is 16 mm. */
const CLEAR_MM = 8.5
/** No room for a wall between two features. */
const APART_MM = 1

export function openFace(face: Mesh<'job'>, zone: Uint8Array): OpenFace {
  const { positions, indices } = face
  const vertices = positions.length / 3
  const locked = new Array<number>(vertices).fill(0)
  for (let f = 0; f < zone.length; f++)
    if (zone[f] !== CROWN) for (let k = 0; k < 3; k++) locked[indices[3 * f + k]!] = 1
  const { twin, symmetric } = twinsOf(positions)
  return {
    position: Array.from(positions),
    corner: Array.from(indices),
    zone: Array.from(zone),
    owner: new Array<number>(zone.length).fill(-1),
    dead: new Array<number>(zone.length).fill(0),
    locked,
    twin,
    symmetric,
  }
}

const CROWN = ZONES.indexOf('crown')

function twinsOf(positions: Float32Array): { twin: number[]; symmetric: boolean } {
  const byPlace = new Map<string, number>()
  const n = positions.length / 3
  const key = (v: number, sign: number) => {
    const y = positions[3 * v + 1]!
    return `${positions[3 * v]} ${y === 0 ? 0 : sign * y} ${positions[3 * v + 2]}`
  }
  for (let v = 0; v < n; v++) byPlace.set(key(v, 1), v)
  let symmetric = byPlace.size === n
  const twin = Array.from({ length: n }, (_, v) => {
    const other = byPlace.get(key(v, -1))
    if (other === undefined) symmetric = false
    return other ?? NO_TWIN
  })
  return symmetric ? { twin, symmetric } : { twin: twin.fill(NO_TWIN), symmetric }
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

function facetsNear(face: OpenFace, rim: readonly PlanPoint[], half: boolean): number[] {
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

interface Hole {
  readonly facets: readonly number[]
  readonly gone: ReadonlySet<number>
  /** Directed edges of the hole's border, the hole to their left: pairs of vertices. */
  readonly border: readonly (readonly [number, number])[]
}

function holeFor(face: OpenFace, rim: readonly PlanPoint[], near: readonly number[], side: Side): Hole | PatchFault {
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

const turn = (a: PlanPoint, b: PlanPoint, c: PlanPoint): number =>
  (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

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

export interface ClosedFace {
  readonly positions: Float32Array
  readonly indices: Uint32Array
  readonly zone: Uint8Array
  readonly twin: Uint32Array
  readonly owner: Int32Array
  /** Trim line, counter-clockwise seen from above. */
  readonly trim: Uint32Array
}

/** Drops what is dead and numbers the rest anew. */
export function closeFace(face: OpenFace): ClosedFace {
  const number = new Map<number, number>()
  const alive = Array.from({ length: face.dead.length }, (_, f) => f).filter((f) => !face.dead[f])
  const indices = new Uint32Array(3 * alive.length)
  const used = new Uint8Array(face.position.length / 3)
  for (const f of alive) for (let k = 0; k < 3; k++) used[face.corner[3 * f + k]!] = 1
  for (let v = 0; v < used.length; v++) if (used[v]) number.set(v, number.size)
  const positions = new Float32Array(3 * number.size)
  const twin = new Uint32Array(number.size)
  for (const [v, to] of number) {
    for (let k = 0; k < 3; k++) positions[3 * to + k] = face.position[3 * v + k]!
    twin[to] = face.twin[v] === NO_TWIN ? NO_TWIN : number.get(face.twin[v]!)!
  }
  alive.forEach((f, i) => {
    for (let k = 0; k < 3; k++) indices[3 * i + k] = number.get(face.corner[3 * f + k]!)!
  })
  return {
    positions,
    indices,
    zone: Uint8Array.from(alive, (f) => face.zone[f]!),
    owner: Int32Array.from(alive, (f) => face.owner[f]!),
    twin,
    trim: trimLine(indices, number.size),
  }
}

/** The one border of the face. */
function trimLine(indices: Uint32Array, vertices: number): Uint32Array {
  const edges = new Set<number>()
  const id = (a: number, b: number) => a * vertices + b
  for (let h = 0; h < indices.length; h++) edges.add(id(indices[h]!, indices[h % 3 === 2 ? h - 2 : h + 1]!))
  const after = new Map<number, number>()
  for (let h = 0; h < indices.length; h++) {
    const a = indices[h]!
    const b = indices[h % 3 === 2 ? h - 2 : h + 1]!
    if (!edges.has(id(b, a))) after.set(a, b)
  }
  const first = after.keys().next().value
  if (first === undefined) throw new Error('fitting: a moulded face has no border')
  const loop = [first]
  for (let v = after.get(first)!; v !== first; v = after.get(v)!) {
    loop.push(v)
    if (loop.length > after.size) throw new Error('fitting: the border of a moulded face does not close')
  }
  if (loop.length !== after.size) throw new Error('fitting: a moulded face has more than one border')
  return Uint32Array.from(loop)
}
