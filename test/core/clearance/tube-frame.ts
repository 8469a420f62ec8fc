import { type Mesh, makeMesh } from '../../../src/core/geometry/mesh'
import { random } from '../../support/random'
import { joined } from '../../support/solids'

type Triple = readonly [number, number, number]

/** A round tube along a polyline, closed on itself or with flat ends; facets about `step` long; noise along the normals. */
export function tube(
  path: readonly Triple[],
  radius: number,
  options: { closed?: boolean; around?: number; noise?: number; seed?: number } = {},
): Mesh<'job'> {
  const { closed = false, around = 20, noise = 0, seed = 1 } = options
  const chance = random(seed)
  const n = path.length
  const at: number[] = []
  for (let k = 0; k < n; k++) {
    const a = path[closed ? (k + n - 1) % n : Math.max(0, k - 1)]!
    const b = path[closed ? (k + 1) % n : Math.min(n - 1, k + 1)]!
    const d = unit([b[0] - a[0], b[1] - a[1], b[2] - a[2]])
    // A side direction that does not spin along level tubes: level where it can be.
    const side = Math.abs(d[2]) > 0.9 ? unit(cross(d, [1, 0, 0])) : unit(cross(d, [0, 0, 1]))
    const up = cross(side, d)
    for (let i = 0; i < around; i++) {
      const t = (2 * Math.PI * i) / around
      const r = radius + noise * chance.gaussian()
      for (let c = 0; c < 3; c++) at.push(path[k]![c]! + r * (Math.cos(t) * side[c]! + Math.sin(t) * up[c]!))
    }
  }
  const facets: number[] = []
  const rings = closed ? n : n - 1
  for (let k = 0; k < rings; k++)
    for (let i = 0; i < around; i++) {
      const a = k * around + i
      const b = k * around + ((i + 1) % around)
      const c = ((k + 1) % n) * around + ((i + 1) % around)
      const d = ((k + 1) % n) * around + i
      facets.push(a, c, b, a, d, c)
    }
  if (!closed)
    for (const end of [0, n - 1]) {
      const middle = at.length / 3
      at.push(...path[end]!)
      for (let i = 0; i < around; i++) {
        const a = end * around + i
        const b = end * around + ((i + 1) % around)
        facets.push(...(end === 0 ? [middle, a, b] : [middle, b, a]))
      }
    }
  return makeMesh('job', Float32Array.from(at), Uint32Array.from(facets))
}

/** Points from a to b about `step` apart. */
export function straight(a: Triple, b: Triple, step = 25): Triple[] {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2])
  const n = Math.max(1, Math.round(length / step))
  return Array.from(
    { length: n + 1 },
    (_, k) => [0, 1, 2].map((c) => a[c]! + ((b[c]! - a[c]!) * k) / n) as unknown as Triple,
  )
}

export interface FrameShape {
  readonly length: number
  readonly width: number
  readonly corner: number
  /** Rise of the middle over the ends, along x. */
  readonly camber: number
  readonly radius: number
  /** Cross tubes: place along x and height of the axis over the ring's. */
  readonly cross: readonly (readonly [number, number])[]
  readonly legs: boolean
  /** How far the legs' feet stand out beyond the ring. */
  readonly splay: number
  /** How much lower +y is than −y at the ring. */
  readonly low: number
  readonly noise: number
  readonly seed: number
}

export const PLAIN: FrameShape = {
  length: 1200,
  width: 800,
  corner: 120,
  camber: 20,
  radius: 19,
  cross: [[0, 5]],
  legs: true,
  splay: 30,
  low: 0,
  noise: 0,
  seed: 1,
}

/** A ring with rounded corners, cross tubes and legs; all solids overlap and are closed. */
export function ringFrame(change: Partial<FrameShape> = {}): Mesh<'job'> {
  const f = { ...PLAIN, ...change }
  const lift = (x: number, y: number): number =>
    f.camber * (1 - ((2 * x) / f.length) ** 2) - (f.low / 2) * ((2 * y) / f.width)
  const ring: Triple[] = []
  const ax = f.length / 2 - f.corner
  const ay = f.width / 2 - f.corner
  const put = (x: number, y: number) => ring.push([x, y, lift(x, y)])
  const arcSteps = 8
  for (const [sx, sy, from] of [
    [1, 1, 0],
    [-1, 1, 1],
    [-1, -1, 2],
    [1, -1, 3],
  ] as const) {
    for (let k = 0; k <= arcSteps; k++) {
      const t = ((from + k / arcSteps) * Math.PI) / 2
      put(sx * ax + f.corner * Math.cos(t), sy * ay + f.corner * Math.sin(t))
    }
    // The straight to the next corner, its ends left out.
    const along = from % 2 === 0 ? 2 * ax : 2 * ay
    const pieces = Math.round(along / 25)
    const end: readonly [number, number] =
      from % 2 === 0 ? [sx * ax, sy * (ay + f.corner)] : [sx * (ax + f.corner), sy * ay]
    const way: readonly [number, number] = from === 0 ? [-1, 0] : from === 1 ? [0, -1] : from === 2 ? [1, 0] : [0, 1]
    for (let k = 1; k < pieces; k++) put(end[0] + (way[0] * along * k) / pieces, end[1] + (way[1] * along * k) / pieces)
  }
  const parts = [tube(ring, f.radius, { closed: true, noise: f.noise, seed: f.seed })]
  f.cross.forEach(([x, up], k) => {
    const path = straight([x, -f.width / 2, 0], [x, f.width / 2, 0]).map(
      ([px, py]): Triple => [px, py, lift(px, py) + up],
    )
    parts.push(tube(path, f.radius, { noise: f.noise, seed: f.seed + 10 + k }))
  })
  if (f.legs)
    for (const sx of [1, -1])
      for (const sy of [1, -1]) {
        const x = sx * (f.length / 2 - f.corner - 40)
        const y = (sy * f.width) / 2
        const path = straight([x, y, lift(x, y)], [x, y + sy * f.splay, -700], 60)
        parts.push(tube(path, f.radius, { noise: f.noise, seed: f.seed + 20 + sx + 3 * sy }))
      }
  return joined(...parts)
}

function cross(a: Triple, b: Triple): Triple {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

function unit(a: Triple): Triple {
  const l = Math.hypot(a[0], a[1], a[2])
  return [a[0] / l, a[1] / l, a[2] / l]
}
