import type { Matrix4, Point } from '../../../src/core/geometry/axes'
import { transformPoint } from '../../../src/core/geometry/axes'
import { type Mesh, makeMesh } from '../../../src/core/geometry/mesh'
import { seededRandom } from '../../../src/core/geometry/seeded-random'

/**
 * A welded tube frame with known truth, drawn tube by tube: every vertex lies on the metal (plus noise), tubes run into each
 * other as drawn, feet are thin boxes. Unlike a scan it shows what is inside the joints; it is for tests of single steps.
 */
export interface FrameOptions {
  readonly seed: number
  /** Wanted edge length, mm. */
  readonly edge_mm: number
  readonly noise_mm: number
  /** How much lower the port rim hangs, mm, growing from nothing at the centreline. */
  readonly lowered_mm: number
  readonly legs: boolean
  readonly holes: number
  readonly posed: boolean
}

export interface TrueTube {
  readonly name: string
  readonly radius_mm: number
  readonly closed: boolean
  readonly length_mm: number
  /** Axis in scan axes, densely sampled. */
  readonly axis: readonly Point[]
}

export interface TubeFrame {
  readonly mesh: Mesh<'scan'>
  readonly rimVertex: Uint8Array
  /** Job axes (y = 0 the centreline, z = 0 on the ring's axis before lowering) to scan axes. */
  readonly pose: Matrix4
  readonly halfWidth_mm: number
  readonly tubes: readonly TrueTube[]
  readonly feet: number
}

export const HALF_LENGTH = 1250
export const HALF_WIDTH = 900
const CORNER = 260
const RING_RADIUS = 24
const CROSS_RADIUS = 19
const LEG_RADIUS = 24
const CAMBER = 60

export function tubeFrame(options: FrameOptions): TubeFrame {
  const random = seededRandom(options.seed)
  const gauss = () => {
    // Sum of twelve: close enough to a bell, and the same in every engine.
    let s = -6
    for (let i = 0; i < 12; i++) s += random()
    return s
  }
  const positions: number[] = []
  const indices: number[] = []
  const drawn: { name: string; radius: number; closed: boolean; path: [number, number, number][] }[] = []
  const add = (name: string, path: [number, number, number][], radius: number, closed: boolean) => {
    drawn.push({ name, radius, closed, path })
    sweep(positions, indices, path, radius, closed, options.edge_mm)
  }
  add('ring', ringPath(), RING_RADIUS, true)
  for (const [i, x] of [-780, -250, 330, 860].entries()) {
    const path: [number, number, number][] = []
    for (let j = 0; j <= 120; j++) {
      const y = HALF_WIDTH * (j / 60 - 1)
      path.push([x, y, CAMBER * (1 - (y / HALF_WIDTH) ** 2)])
    }
    add(`cross ${i}`, path, CROSS_RADIUS, false)
  }
  let feet = 0
  if (options.legs)
    for (const x of [-1000, 760])
      for (const side of [-1, 1]) {
        const top: [number, number, number] = [x, side * HALF_WIDTH, 0]
        const bottom: [number, number, number] = [x + (x < 0 ? -90 : 60), side * (HALF_WIDTH + 60), -1700]
        add(`leg ${x} ${side}`, [top, bottom], LEG_RADIUS, false)
        box(
          positions,
          indices,
          [bottom[0] - 60, bottom[1] - 60, -1706],
          [bottom[0] + 60, bottom[1] + 60, -1696],
          options.edge_mm,
        )
        feet++
      }
  const sag = (p: readonly [number, number, number]): [number, number, number] => [
    p[0],
    p[1],
    p[2] - (p[1] > 0 ? (options.lowered_mm * p[1]) / HALF_WIDTH : 0),
  ]
  const pose = options.posed ? randomPose(random) : ([1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1] as Matrix4)
  const out = new Float32Array(positions.length)
  const tx = pose[3]!
  const ty = pose[7]!
  const tz = pose[11]!
  for (let i = 0; i < positions.length; i += 3) {
    const q = transformPoint(pose, sag([positions[i]!, positions[i + 1]!, positions[i + 2]!]))
    out[i] = q[0] - tx + options.noise_mm * gauss()
    out[i + 1] = q[1] - ty + options.noise_mm * gauss()
    out[i + 2] = q[2] - tz + options.noise_mm * gauss()
  }
  const holes: [number, number, number, number][] = []
  for (let i = 0; i < options.holes; i++) {
    const v = 3 * Math.floor((random() * out.length) / 3)
    holes.push([out[v]!, out[v + 1]!, out[v + 2]!, 15 + 25 * random()])
  }
  const rimVertex = new Uint8Array(out.length / 3)
  const kept: number[] = []
  for (let f = 0; f < indices.length; f += 3) {
    const inHole = [0, 1, 2].map((k) => {
      const v = 3 * indices[f + k]!
      return holes.some(([x, y, z, r]) => (out[v]! - x) ** 2 + (out[v + 1]! - y) ** 2 + (out[v + 2]! - z) ** 2 < r * r)
    })
    if (inHole.some(Boolean)) {
      for (let k = 0; k < 3; k++) if (!inHole[k]) rimVertex[indices[f + k]!] = 1
    } else kept.push(indices[f]!, indices[f + 1]!, indices[f + 2]!)
  }
  const tubes = drawn.map(({ name, radius, closed, path }) => {
    const axis = dense(path, closed).map((p) => transformPoint(pose, sag(p)))
    return { name, radius_mm: radius, closed, axis, length_mm: lengthOf(axis) }
  })
  return {
    mesh: makeMesh('scan', out, Uint32Array.from(kept), [tx, ty, tz]),
    rimVertex,
    pose,
    halfWidth_mm: HALF_WIDTH,
    tubes,
    feet,
  }
}

function ringPath(): [number, number, number][] {
  const path: [number, number, number][] = []
  const corner = (cx: number, cy: number, from: number) => {
    for (let i = 0; i <= 24; i++) {
      const a = from + ((Math.PI / 2) * i) / 24
      path.push([cx + CORNER * Math.cos(a), cy + CORNER * Math.sin(a), 0])
    }
  }
  corner(HALF_LENGTH - CORNER, HALF_WIDTH - CORNER, 0)
  corner(-HALF_LENGTH + CORNER, HALF_WIDTH - CORNER, Math.PI / 2)
  corner(-HALF_LENGTH + CORNER, -HALF_WIDTH + CORNER, Math.PI)
  corner(HALF_LENGTH - CORNER, -HALF_WIDTH + CORNER, 1.5 * Math.PI)
  return path
}

function dense(path: readonly (readonly [number, number, number])[], closed: boolean): [number, number, number][] {
  const out: [number, number, number][] = []
  const n = path.length
  for (let i = 0; i + (closed ? 0 : 1) < n; i++) {
    const a = path[i]!
    const b = path[(i + 1) % n]!
    const l = Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2])
    if (l < 1e-9) continue
    const parts = Math.max(1, Math.round(l / 10))
    for (let k = 0; k < parts; k++) {
      const t = k / parts
      out.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])])
    }
  }
  const last = closed ? path[0]! : path[n - 1]!
  out.push([last[0], last[1], last[2]])
  return out
}

const lengthOf = (axis: readonly Point[]): number =>
  axis.slice(1).reduce((sum, p, i) => {
    const q = axis[i]!
    return sum + Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2])
  }, 0)

/** A tube along a path, capped when open, by a frame carried along without twist. */
function sweep(
  positions: number[],
  indices: number[],
  path: [number, number, number][],
  radius: number,
  closed: boolean,
  edge: number,
): void {
  const points = resample(path, closed, edge)
  const n = points.length
  const around = Math.max(8, Math.round((2 * Math.PI * radius) / edge))
  const base = positions.length / 3
  let side: [number, number, number] = [0.31, 0.27, 0.91]
  for (let i = 0; i < n; i++) {
    const a = points[closed ? (i + n - 1) % n : Math.max(0, i - 1)]!
    const b = points[closed ? (i + 1) % n : Math.min(n - 1, i + 1)]!
    const t = unit([b[0] - a[0], b[1] - a[1], b[2] - a[2]])
    const d = side[0] * t[0] + side[1] * t[1] + side[2] * t[2]
    side = unit([side[0] - d * t[0], side[1] - d * t[1], side[2] - d * t[2]])
    const w: [number, number, number] = [
      t[1] * side[2] - t[2] * side[1],
      t[2] * side[0] - t[0] * side[2],
      t[0] * side[1] - t[1] * side[0],
    ]
    const p = points[i]!
    for (let j = 0; j < around; j++) {
      const angle = (2 * Math.PI * (j + 0.5 * (i % 2))) / around
      const c = radius * Math.cos(angle)
      const s = radius * Math.sin(angle)
      positions.push(p[0] + c * side[0] + s * w[0], p[1] + c * side[1] + s * w[1], p[2] + c * side[2] + s * w[2])
    }
  }
  const rows = closed ? n : n - 1
  for (let i = 0; i < rows; i++)
    for (let j = 0; j < around; j++) {
      const a = base + i * around + j
      const b = base + i * around + ((j + 1) % around)
      const c = base + ((i + 1) % n) * around + j
      const d = base + ((i + 1) % n) * around + ((j + 1) % around)
      indices.push(a, b, c, b, d, c)
    }
  if (closed) return
  for (const end of [0, n - 1]) {
    const middle = positions.length / 3
    positions.push(...points[end]!)
    for (let j = 0; j < around; j++) {
      const a = base + end * around + j
      const b = base + end * around + ((j + 1) % around)
      if (end === 0) indices.push(middle, b, a)
      else indices.push(middle, a, b)
    }
  }
}

function resample(path: [number, number, number][], closed: boolean, edge: number): [number, number, number][] {
  const fine = dense(path, closed)
  const total = lengthOf(fine)
  let parts = Math.max(2, Math.round(total / edge))
  // The half-step of every second row must meet itself again at the seam.
  if (closed) parts += parts % 2
  const out: [number, number, number][] = []
  let i = 0
  let gone = 0
  for (let k = 0; k < parts + (closed ? 0 : 1); k++) {
    const want = (total * k) / parts
    for (;;) {
      const a = fine[i]!
      const b = fine[i + 1]!
      const l = Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2])
      if (gone + l >= want - 1e-9 || i + 2 >= fine.length) {
        const t = Math.min(1, Math.max(0, (want - gone) / l))
        out.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])])
        break
      }
      gone += l
      i++
    }
  }
  return out
}

/** A box with its large faces divided to the wanted edge. */
function box(positions: number[], indices: number[], min: number[], max: number[], edge: number): void {
  for (let axis = 0; axis < 3; axis++)
    for (const end of [0, 1]) {
      const u = (axis + 1) % 3
      const v = (axis + 2) % 3
      const nu = Math.max(1, Math.round((max[u]! - min[u]!) / edge))
      const nv = Math.max(1, Math.round((max[v]! - min[v]!) / edge))
      const base = positions.length / 3
      for (let i = 0; i <= nu; i++)
        for (let j = 0; j <= nv; j++) {
          const p = [0, 0, 0]
          p[axis] = end ? max[axis]! : min[axis]!
          p[u] = min[u]! + ((max[u]! - min[u]!) * i) / nu
          p[v] = min[v]! + ((max[v]! - min[v]!) * j) / nv
          positions.push(p[0]!, p[1]!, p[2]!)
        }
      for (let i = 0; i < nu; i++)
        for (let j = 0; j < nv; j++) {
          const a = base + i * (nv + 1) + j
          const b = a + nv + 1
          if (end) indices.push(a, b, b + 1, a, b + 1, a + 1)
          else indices.push(a, b + 1, b, a, a + 1, b + 1)
        }
    }
}

const unit = (a: [number, number, number]): [number, number, number] => {
  const l = Math.hypot(a[0], a[1], a[2])
  return [a[0] / l, a[1] / l, a[2] / l]
}

/** A rotation drawn evenly (unit quaternion) and a place some metres off. */
function randomPose(random: () => number): Matrix4 {
  let q = [0, 0, 0, 0]
  let l = 0
  do {
    q = [0, 0, 0, 0].map(() => 2 * random() - 1)
    l = Math.hypot(...q)
  } while (l > 1 || l < 0.1)
  const [w, x, y, z] = q.map((c) => c / l) as [number, number, number, number]
  const t = [0, 0, 0].map(() => 8000 * (random() - 0.5))
  return [
    1 - 2 * (y * y + z * z),
    2 * (x * y - w * z),
    2 * (x * z + w * y),
    t[0]!,
    2 * (x * y + w * z),
    1 - 2 * (x * x + z * z),
    2 * (y * z - w * x),
    t[1]!,
    2 * (x * z - w * y),
    2 * (y * z + w * x),
    1 - 2 * (x * x + y * y),
    t[2]!,
    0,
    0,
    0,
    1,
  ]
}
