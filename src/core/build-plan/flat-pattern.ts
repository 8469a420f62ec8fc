/**
 * A piece of a shell laid flat, for cutting plies and core, with how much it is stretched by that.
 *
 * The piece is unrolled facet by facet from its middle outwards, which is exact where it can be developed; then the error is
 * spread by rotations alone (Liu, Zhang, Xu, Gotsman, Gortler 2008, “A local/global approach to mesh parameterization”, its
 * as-rigid-as-possible form; weights are cotangents held above a floor, so that the sum stays positive on any triangle).
 * Only sums, products and square roots: the same bits in every engine.
 */
import type { Steps } from '../geometry/kernel'

export type Flat = readonly [number, number]

export interface FlatPiece {
  /** Two per node, mm; the piece's longest direction along the first. */
  readonly uv: Float64Array
  /** Largest lengthening and shortening over 95 % of the area, and anywhere; shares of the length. */
  readonly strain95: number
  readonly strainMost: number
  /** Facets that lie on their backs: then the flat shape is of no use. */
  readonly folded: number
  readonly area_mm2: number
}

const hypot2 = (x: number, y: number): number => Math.sqrt(x * x + y * y)
const hypot3 = (x: number, y: number, z: number): number => Math.sqrt(x * x + y * y + z * z)

const ROUNDS = 12
const INNER = 40
const LEAST_WEIGHT = 0.02

/**
 * @param positions three per node, mm
 * @param triangles three nodes each, one connected piece, all turned the same way
 */
export function* flatPattern(positions: Float64Array, triangles: Uint32Array): Steps<FlatPiece> {
  const local = localFrames(positions, triangles)
  const uv = unrolled(positions, triangles, local)
  const weights = cotangents(local)
  const system = stiffness(triangles, weights, positions.length / 3)
  // A piece that can be developed lies right at once: strains below the noise of the square root in them.
  const rounds = strains(uv, triangles, local).strainMost < 1e-6 ? 0 : ROUNDS
  for (let round = 0; round < rounds; round++) {
    relax(uv, triangles, local, weights, system)
    yield round / rounds
  }
  alongLongest(uv)
  return { uv, ...strains(uv, triangles, local) }
}

/** Each facet in its own plane: corner 0 at the origin, corner 1 at (l, 0), corner 2 at (u, v); three numbers each. */
function localFrames(p: Float64Array, t: Uint32Array): Float64Array {
  const local = new Float64Array(t.length)
  for (let f = 0; f < t.length; f += 3) {
    const [a, b, c] = [3 * t[f]!, 3 * t[f + 1]!, 3 * t[f + 2]!]
    const e = [p[b]! - p[a]!, p[b + 1]! - p[a + 1]!, p[b + 2]! - p[a + 2]!] as const
    const d = [p[c]! - p[a]!, p[c + 1]! - p[a + 1]!, p[c + 2]! - p[a + 2]!] as const
    const l = hypot3(e[0], e[1], e[2])
    const u = (e[0] * d[0] + e[1] * d[1] + e[2] * d[2]) / l
    local[f] = l
    local[f + 1] = u
    local[f + 2] = Math.sqrt(Math.max(0, d[0] * d[0] + d[1] * d[1] + d[2] * d[2] - u * u))
  }
  return local
}

/** Corner k of a facet in its plane. */
const corner = (local: Float64Array, f: number, k: number): Flat =>
  k === 0 ? [0, 0] : k === 1 ? [local[f]!, 0] : [local[f + 1]!, local[f + 2]!]

function unrolled(p: Float64Array, t: Uint32Array, local: Float64Array): Float64Array {
  const nodes = p.length / 3
  const uv = new Float64Array(2 * nodes)
  const laid = new Uint8Array(nodes)
  const first = middleFacet(p, t)
  for (let k = 0; k < 3; k++) {
    const [x, y] = corner(local, first, k)
    const n = t[first + k]!
    uv[2 * n] = x
    uv[2 * n + 1] = y
    laid[n] = 1
  }
  const across = neighbours(t)
  const queue = [first]
  const done = new Uint8Array(t.length / 3)
  done[first / 3] = 1
  for (let q = 0; q < queue.length; q++)
    for (let k = 0; k < 3; k++) {
      const next = across[queue[q]! + k]!
      if (next < 0 || done[next / 3] === 1) continue
      done[next / 3] = 1
      queue.push(next)
      for (let j = 0; j < 3; j++) if (laid[t[next + j]!] === 0) layCorner(uv, laid, t, local, next, j)
    }
  return uv
}

/** Corner j by the two others, which lie: as it stands over them in the facet's own plane. */
function layCorner(uv: Float64Array, laid: Uint8Array, t: Uint32Array, local: Float64Array, f: number, j: number) {
  const [i, k] = [(j + 1) % 3, (j + 2) % 3]
  const [a, b, c] = [corner(local, f, i), corner(local, f, k), corner(local, f, j)]
  const [ex, ey] = [b[0] - a[0], b[1] - a[1]]
  const [dx, dy] = [c[0] - a[0], c[1] - a[1]]
  const long = hypot2(ex, ey)
  const along = (dx * ex + dy * ey) / long
  const aside = (ex * dy - ey * dx) / long
  const [na, nb, nc] = [t[f + i]!, t[f + k]!, t[f + j]!]
  // At its true distances from the first corner: scaled with the laid edge, errors would grow from facet to facet.
  const [sx, sy] = [uv[2 * nb]! - uv[2 * na]!, uv[2 * nb + 1]! - uv[2 * na + 1]!]
  const size = hypot2(sx, sy)
  const [ux, uy] = size > 0 ? [sx / size, sy / size] : [1, 0]
  uv[2 * nc] = uv[2 * na]! + along * ux - aside * uy
  uv[2 * nc + 1] = uv[2 * na + 1]! + along * uy + aside * ux
  laid[nc] = 1
}

function middleFacet(p: Float64Array, t: Uint32Array): number {
  const middle = [0, 1, 2].map((k) => {
    let sum = 0
    for (let i = k; i < p.length; i += 3) sum += p[i]!
    return sum / (p.length / 3)
  })
  let best = 0
  let least = Infinity
  for (let f = 0; f < t.length; f += 3) {
    const d = hypot3(p[3 * t[f]!]! - middle[0]!, p[3 * t[f]! + 1]! - middle[1]!, p[3 * t[f]! + 2]! - middle[2]!)
    if (d < least) {
      least = d
      best = f
    }
  }
  return best
}

/** First index of the facet across each edge, −1 at the rim. */
export function neighbours(t: Uint32Array): Int32Array {
  const across = new Int32Array(t.length).fill(-1)
  const seen = new Map<number, number>()
  let most = 0
  for (const n of t) most = Math.max(most, n + 1)
  for (let f = 0; f < t.length; f += 3)
    for (let k = 0; k < 3; k++) {
      const [a, b] = [t[f + k]!, t[f + ((k + 1) % 3)]!]
      const other = seen.get(b * most + a)
      if (other !== undefined && across[other] === -1) {
        across[f + k] = 3 * Math.floor(other / 3)
        across[other] = f
      } else seen.set(a * most + b, f + k)
    }
  return across
}

/** Of the angle across from edge k → k + 1, three per facet. */
function cotangents(local: Float64Array): Float64Array {
  const weights = new Float64Array(local.length)
  for (let f = 0; f < local.length; f += 3)
    for (let k = 0; k < 3; k++) {
      const [o, a, b] = [corner(local, f, (k + 2) % 3), corner(local, f, k), corner(local, f, (k + 1) % 3)]
      const [x, y, u, v] = [a[0] - o[0], a[1] - o[1], b[0] - o[0], b[1] - o[1]]
      const area = Math.abs(x * v - y * u)
      weights[f + k] = area > 0 ? Math.min(50, Math.max(LEAST_WEIGHT, (x * u + y * v) / area)) : LEAST_WEIGHT
    }
  return weights
}

interface System {
  /** Twice the number of the node at each end of an edge: the place of its coordinates. */
  readonly from: Uint32Array
  readonly to: Uint32Array
  readonly weight: Float64Array
  readonly diagonal: Float64Array
}

function stiffness(t: Uint32Array, weights: Float64Array, nodes: number): System {
  const from = new Uint32Array(t.length)
  const to = new Uint32Array(t.length)
  const diagonal = new Float64Array(nodes)
  for (let h = 0; h < t.length; h++) {
    const [a, b] = [t[h]!, t[h % 3 === 2 ? h - 2 : h + 1]!]
    from[h] = 2 * a
    to[h] = 2 * b
    diagonal[a]! += weights[h]!
    diagonal[b]! += weights[h]!
  }
  return { from, to, weight: weights, diagonal }
}

/** One round: the best rotation of each facet, then the places that fit all of them best. */
function relax(uv: Float64Array, t: Uint32Array, local: Float64Array, weights: Float64Array, system: System): void {
  const right = new Float64Array(uv.length)
  for (let f = 0; f < t.length; f += 3) {
    let c = 0
    let s = 0
    for (let k = 0; k < 3; k++) {
      const [a, b] = [corner(local, f, k), corner(local, f, (k + 1) % 3)]
      const [n, m] = [2 * t[f + k]!, 2 * t[f + ((k + 1) % 3)]!]
      const [x, y] = [b[0] - a[0], b[1] - a[1]]
      const [u, v] = [uv[m]! - uv[n]!, uv[m + 1]! - uv[n + 1]!]
      c += weights[f + k]! * (x * u + y * v)
      s += weights[f + k]! * (x * v - y * u)
    }
    const r = hypot2(c, s)
    if (r === 0) continue
    c /= r
    s /= r
    for (let k = 0; k < 3; k++) {
      const [a, b] = [corner(local, f, k), corner(local, f, (k + 1) % 3)]
      const [n, m] = [2 * t[f + k]!, 2 * t[f + ((k + 1) % 3)]!]
      const [x, y] = [b[0] - a[0], b[1] - a[1]]
      const w = weights[f + k]!
      right[m]! += w * (c * x - s * y)
      right[m + 1]! += w * (s * x + c * y)
      right[n]! -= w * (c * x - s * y)
      right[n + 1]! -= w * (s * x + c * y)
    }
  }
  solve(system, uv, right)
}

function times({ from, to, weight }: System, x: Float64Array, into: Float64Array): void {
  into.fill(0)
  for (let h = 0; h < from.length; h++) {
    const a = from[h]!
    const b = to[h]!
    const w = weight[h]!
    const du = w * (x[a]! - x[b]!)
    const dv = w * (x[a + 1]! - x[b + 1]!)
    into[a]! += du
    into[a + 1]! += dv
    into[b]! -= du
    into[b + 1]! -= dv
  }
}

const dot = (a: Float64Array, b: Float64Array): number => {
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!
  return sum
}

/** Conjugate gradients with the diagonal, from where the nodes lie; both coordinates at once. The whole may drift, which changes nothing. */
function solve(system: System, x: Float64Array, right: Float64Array): void {
  const r = new Float64Array(x.length)
  const ap = new Float64Array(x.length)
  const z = new Float64Array(x.length)
  times(system, x, ap)
  for (let i = 0; i < x.length; i++) r[i] = right[i]! - ap[i]!
  let rz = scaled(system, r, z)
  const p = z.slice()
  const enough = 1e-18 * rz
  for (let step = 0; step < INNER && rz > enough && rz > 0; step++) {
    times(system, p, ap)
    const pap = dot(p, ap)
    if (!(pap > 0)) return
    const a = rz / pap
    for (let i = 0; i < x.length; i++) {
      x[i]! += a * p[i]!
      r[i]! -= a * ap[i]!
    }
    const next = scaled(system, r, z)
    const share = next / rz
    for (let i = 0; i < x.length; i++) p[i] = z[i]! + share * p[i]!
    rz = next
  }
}

/** Writes r over the diagonal to z, and returns their product. */
function scaled({ diagonal }: System, r: Float64Array, z: Float64Array): number {
  let sum = 0
  for (let i = 0; i < r.length; i += 2) {
    const d = diagonal[i >> 1]! || 1
    const u = r[i]! / d
    const v = r[i + 1]! / d
    z[i] = u
    z[i + 1] = v
    sum += r[i]! * u
    sum += r[i + 1]! * v
  }
  return sum
}

function strains(uv: Float64Array, t: Uint32Array, local: Float64Array): Omit<FlatPiece, 'uv'> {
  const list: { strain: number; area: number }[] = []
  let folded = 0
  let whole = 0
  let most = 0
  for (let f = 0; f < t.length; f += 3) {
    const [l, u, v] = [local[f]!, local[f + 1]!, local[f + 2]!]
    if (l * v <= 0) continue
    const [a, b, c] = [2 * t[f]!, 2 * t[f + 1]!, 2 * t[f + 2]!]
    // Columns of the map from the facet's plane to the flat one.
    const [px, py] = [(uv[b]! - uv[a]!) / l, (uv[b + 1]! - uv[a + 1]!) / l]
    const [qx, qy] = [(uv[c]! - uv[a]! - u * px) / v, (uv[c + 1]! - uv[a + 1]! - u * py) / v]
    const det = px * qy - py * qx
    const half = (px * px + py * py + qx * qx + qy * qy) / 2
    const apart = Math.sqrt(Math.max(0, half * half - det * det))
    const large = Math.sqrt(half + apart)
    const small = Math.sqrt(Math.max(0, half - apart))
    const area = (l * v) / 2
    whole += area
    if (det <= 0) folded++
    const strain = Math.max(large - 1, 1 - small)
    most = Math.max(most, strain)
    list.push({ strain, area })
  }
  list.sort((a, b) => a.strain - b.strain)
  let sum = 0
  let strain95 = most
  for (const e of list) {
    sum += e.area
    if (sum >= 0.95 * whole) {
      strain95 = e.strain
      break
    }
  }
  return { strain95, strainMost: most, folded, area_mm2: whole }
}

/** Turned about its middle until its longest direction (of the spread of its nodes) lies along u, and moved to u, v ≥ 0. */
function alongLongest(uv: Float64Array): void {
  const n = uv.length / 2
  let [mx, my] = [0, 0]
  for (let i = 0; i < uv.length; i += 2) {
    mx += uv[i]! / n
    my += uv[i + 1]! / n
  }
  let [xx, xy, yy] = [0, 0, 0]
  for (let i = 0; i < uv.length; i += 2) {
    const [x, y] = [uv[i]! - mx, uv[i + 1]! - my]
    xx += x * x
    xy += x * y
    yy += y * y
  }
  const d = (xx - yy) / 2
  const r = hypot2(d, xy)
  let [c, s] = d >= 0 ? [d + r, xy] : [Math.abs(xy), xy >= 0 ? r - d : d - r]
  const size = hypot2(c, s)
  ;[c, s] = size > 0 ? [c / size, s / size] : [1, 0]
  let [u0, v0] = [Infinity, Infinity]
  for (let i = 0; i < uv.length; i += 2) {
    const [x, y] = [uv[i]! - mx, uv[i + 1]! - my]
    uv[i] = c * x + s * y
    uv[i + 1] = c * y - s * x
    u0 = Math.min(u0, uv[i]!)
    v0 = Math.min(v0, uv[i + 1]!)
  }
  for (let i = 0; i < uv.length; i += 2) {
    uv[i]! -= u0
    uv[i + 1]! -= v0
  }
}
