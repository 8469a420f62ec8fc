/**
 * The couplings of a filling: triangles of a laminate in space become volumes at nodes and conductances between them.
 *
 * Linear triangles, each in its own plane; a node's volume is φ h A / 3 of every triangle around it. SI units: metres, pascals,
 * seconds; positions are handed in as millimetres.
 */
import { BLOCK, type Steps } from '../geometry/kernel'

/** One kind of laminate: what a triangle is filled with. */
export interface Reinforcement {
  /** Thickness under vacuum, m. */
  readonly thickness_m: number
  /** 1 − fibre volume fraction. */
  readonly porosity: number
  /** Permeability along and across the ply axis, m². */
  readonly along_m2: number
  readonly across_m2: number
}

export interface FlowMesh {
  /** mm, three per node. */
  readonly positions: Float32Array | Float64Array
  /** Three per triangle. */
  readonly triangles: Uint32Array
  /** Index into `kinds`, one per triangle. */
  readonly kindOf: Uint8Array
  readonly kinds: readonly Reinforcement[]
  /** Direction of the plies' axis in space; projected into each triangle. */
  readonly plyAxis: readonly [number, number, number]
}

/** Nodes, their volumes, and the conductances to their neighbours (per 1/μ), in compressed rows. */
export interface FlowNet {
  readonly nodes: number
  /** Pore volume at each node, m³. */
  readonly volume: Float64Array
  /** Area at each node, m²: a third of every triangle around it. */
  readonly area: Float64Array
  /** Row i: `neighbour` and `coupling` from start[i] to start[i + 1]. */
  readonly start: Uint32Array
  readonly neighbour: Uint32Array
  /** K h · (cotangent form) between two nodes, m³ (divide by μ for flow per pressure). May be slightly negative. */
  readonly coupling: Float64Array
}

/**
 * Assembles the net. Edges of neighbouring triangles of one kind are first flipped to Delaunay *in the metric of K*: on an
 * ordinary mesh at K1/K2 = 10 one coupling in six has the wrong sign, front nodes drain, and arrivals are off by 29 %.
 */
export function* flowNet(mesh: FlowMesh): Steps<FlowNet> {
  const triangles = mesh.triangles.slice()
  if (mesh.kinds.some((k) => k.along_m2 !== k.across_m2)) yield* flipToMetric(mesh, triangles)
  const nodes = mesh.positions.length / 3
  const count = triangles.length / 3
  const volume = new Float64Array(nodes)
  const area = new Float64Array(nodes)
  const pairs = new Map<number, number>()
  const local = new Float64Array(3)
  for (let t = 0; t < count; t++) {
    if (t % BLOCK === 0) yield 0.6 + (0.3 * t) / count
    const kind = mesh.kinds[mesh.kindOf[t]!]!
    const shape = localCouplings(mesh, triangles, t, kind, local)
    if (shape === 0) continue
    for (let k = 0; k < 3; k++) {
      const node = triangles[3 * t + k]!
      volume[node]! += (kind.porosity * kind.thickness_m * shape) / 3
      area[node]! += shape / 3
      // local[k] belongs to the edge opposite corner k.
      const a = triangles[3 * t + ((k + 1) % 3)]!
      const b = triangles[3 * t + ((k + 2) % 3)]!
      const key = a < b ? a * nodes + b : b * nodes + a
      pairs.set(key, (pairs.get(key) ?? 0) + local[k]!)
    }
  }
  return compress(nodes, volume, area, pairs)
}

function compress(
  nodes: number,
  volume: Float64Array,
  area: Float64Array,
  pairs: ReadonlyMap<number, number>,
): FlowNet {
  const start = new Uint32Array(nodes + 1)
  for (const key of pairs.keys()) {
    start[Math.floor(key / nodes) + 1]!++
    start[(key % nodes) + 1]!++
  }
  for (let i = 0; i < nodes; i++) start[i + 1]! += start[i]!
  const neighbour = new Uint32Array(start[nodes]!)
  const coupling = new Float64Array(start[nodes]!)
  const put = start.slice(0, nodes)
  for (const [key, value] of pairs) {
    const a = Math.floor(key / nodes)
    const b = key % nodes
    neighbour[put[a]!] = b
    coupling[put[a]!++] = value
    neighbour[put[b]!] = a
    coupling[put[b]!++] = value
  }
  return { nodes, volume, area, start, neighbour, coupling }
}

/** Triangle t laid flat, its first axis along the plies, scaled so that K becomes isotropic. Returns its true area, m². */
function flat(
  mesh: FlowMesh,
  triangles: Uint32Array,
  t: number,
  kind: Reinforcement,
  out: { x: number[]; y: number[] },
): number {
  const { positions: p, plyAxis } = mesh
  const [a, b, c] = [3 * triangles[3 * t]!, 3 * triangles[3 * t + 1]!, 3 * triangles[3 * t + 2]!]
  const u = [0, 1, 2].map((k) => (p[b + k]! - p[a + k]!) / 1000) as [number, number, number]
  const v = [0, 1, 2].map((k) => (p[c + k]! - p[a + k]!) / 1000) as [number, number, number]
  const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]] as const
  const size = Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2])
  if (!(size > 0)) return 0
  const m = [n[0] / size, n[1] / size, n[2] / size] as const
  let e = project(plyAxis, m)
  // A triangle square to the ply axis has no along and across of its own; whichever direction in it will do.
  if (!e) e = project([m[1], m[2], m[0]], m) ?? [1, 0, 0]
  const f = [m[1] * e[2] - m[2] * e[1], m[2] * e[0] - m[0] * e[2], m[0] * e[1] - m[1] * e[0]] as const
  const sx = 1 / Math.sqrt(kind.along_m2)
  const sy = 1 / Math.sqrt(kind.across_m2)
  out.x = [0, sx * inner(u, e), sx * inner(v, e)]
  out.y = [0, sy * inner(u, f), sy * inner(v, f)]
  return size / 2
}

const inner = (a: readonly [number, number, number], b: readonly [number, number, number]) =>
  a[0] * b[0] + a[1] * b[1] + a[2] * b[2]

function project(
  a: readonly [number, number, number],
  n: readonly [number, number, number],
): [number, number, number] | null {
  const s = inner(a, n)
  const r: [number, number, number] = [a[0] - s * n[0], a[1] - s * n[1], a[2] - s * n[2]]
  const l = Math.sqrt(inner(r, r))
  return l > 1e-6 ? [r[0] / l, r[1] / l, r[2] / l] : null
}

const laid = { x: [0, 0, 0], y: [0, 0, 0] }

/**
 * Conductance across each edge: in coordinates scaled by 1/√K the flow is isotropic and the stiffness is the cotangent form,
 * −k_ij = ½ cot(angle opposite) · h √(K1 K2). `out[k]`: edge opposite corner k.
 */
function localCouplings(
  mesh: FlowMesh,
  triangles: Uint32Array,
  t: number,
  kind: Reinforcement,
  out: Float64Array,
): number {
  const area = flat(mesh, triangles, t, kind, laid)
  if (area === 0) return 0
  const scale = kind.thickness_m * Math.sqrt(kind.along_m2 * kind.across_m2)
  for (let k = 0; k < 3; k++) out[k] = 0.5 * scale * cotAt(laid.x, laid.y, k)
  return area
}

function cotAt(x: readonly number[], y: readonly number[], k: number): number {
  const i = (k + 1) % 3
  const j = (k + 2) % 3
  const ux = x[i]! - x[k]!
  const uy = y[i]! - y[k]!
  const vx = x[j]! - x[k]!
  const vy = y[j]! - y[k]!
  return (ux * vx + uy * vy) / Math.abs(ux * vy - uy * vx)
}

/** Neighbours folded by more than this (cosine) keep their edge: a flip would cut across the fold. */
const SMOOTH_COS = 0.985
/** Most rounds over all edges; meshes settle in a few. */
const ROUNDS = 12

function* flipToMetric(mesh: FlowMesh, triangles: Uint32Array): Steps<void> {
  const count = triangles.length / 3
  const nodes = mesh.positions.length / 3
  for (let round = 0; round < ROUNDS; round++) {
    yield (0.6 * round) / ROUNDS
    const across = new Map<number, number>()
    for (let t = 0; t < count; t++)
      for (let k = 0; k < 3; k++) {
        const a = triangles[3 * t + k]!
        const b = triangles[3 * t + ((k + 1) % 3)]!
        across.set(a * nodes + b, 3 * t + k)
      }
    const touched = new Uint8Array(count)
    let flips = 0
    for (let t = 0; t < count; t++)
      for (let k = 0; k < 3 && touched[t] === 0; k++) {
        const a = triangles[3 * t + k]!
        const b = triangles[3 * t + ((k + 1) % 3)]!
        const twin = across.get(b * nodes + a)
        if (twin === undefined || a > b) continue
        const s = Math.floor(twin / 3)
        if (touched[s] === 1 || mesh.kindOf[s] !== mesh.kindOf[t]) continue
        const c = triangles[3 * t + ((k + 2) % 3)]!
        const d = triangles[3 * s + (((twin % 3) + 2) % 3)]!
        if (
          across.has(c * nodes + d) ||
          across.has(d * nodes + c) ||
          !gains(mesh, mesh.kinds[mesh.kindOf[t]!]!, a, b, c, d)
        )
          continue
        triangles.set([a, d, c], 3 * t)
        triangles.set([d, b, c], 3 * s)
        touched[t] = 1
        touched[s] = 1
        flips++
      }
    if (flips === 0) return
  }
}

const quad = { x: [0, 0, 0], y: [0, 0, 0] }

/** Whether edge ab between c and d has a negative coupling in the metric, and cd would not fold or turn over. */
function gains(mesh: FlowMesh, kind: Reinforcement, a: number, b: number, c: number, d: number): boolean {
  const angle = (t: readonly number[], k: number): number => {
    const area = flat(mesh, Uint32Array.from(t), 0, kind, quad)
    return area === 0 ? Number.NaN : cotAt(quad.x, quad.y, k)
  }
  const now = angle([a, b, c], 2) + angle([b, a, d], 2)
  if (!(now < -1e-9)) return false
  const n1 = normalOf(mesh, a, b, c)
  const n2 = normalOf(mesh, b, a, d)
  const m1 = normalOf(mesh, a, d, c)
  const m2 = normalOf(mesh, d, b, c)
  if (!n1 || !n2 || !m1 || !m2) return false
  return inner(n1, n2) > SMOOTH_COS && inner(m1, n1) > SMOOTH_COS && inner(m2, n2) > SMOOTH_COS
}

function normalOf({ positions: p }: FlowMesh, a: number, b: number, c: number): [number, number, number] | null {
  const u = [0, 1, 2].map((k) => p[3 * b + k]! - p[3 * a + k]!) as [number, number, number]
  const v = [0, 1, 2].map((k) => p[3 * c + k]! - p[3 * a + k]!) as [number, number, number]
  const n: [number, number, number] = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]]
  const l = Math.sqrt(inner(n, n))
  return l > 0 ? [n[0] / l, n[1] / l, n[2] / l] : null
}

/** Kind of the first triangle at a node; 0 where it has none. */
export function kindAt(mesh: Pick<FlowMesh, 'triangles' | 'kindOf'>, node: number): number {
  const t = mesh.triangles.indexOf(node)
  return t < 0 ? 0 : mesh.kindOf[Math.floor(t / 3)]!
}
