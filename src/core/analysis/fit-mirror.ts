/**
 * The plane about which a part mirrors best, for meshes whose plane nobody told us.
 *
 * (The datum of a scanned frame is another question: there a side may hang lower, and that is solved apart. Here the plain best
 * mirror is wanted.)
 */
import type { Direction, Point } from '../geometry/axes'
import { closestPoint, makeNearest } from '../geometry/closest-point'
import type { Steps } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import { solveNormal } from '../geometry/solve-normal'
import { symmetricEigen } from '../geometry/symmetric-eigen'
import { buildTriangleTree, type TriangleTree } from '../geometry/triangle-tree'
import { cross, dot, plus, unit, type Vec } from '../geometry/vectors'
import { type VertexSurface, vertexSurface } from '../geometry/vertex-surface'
import { acrossPull } from './plan-view'

export interface MirrorPlaneFit {
  readonly plane: { readonly normal: Direction; readonly offset_mm: number }
  /** Root mean square distance of the mirrored samples from the mesh, mm. */
  readonly rms_mm: number
  /** That of the next best plane that is not the same, mm; `null`: no other was found. */
  readonly runnerUp_mm: number | null
}

const COARSE = 700
const FINE = 6000
const COARSE_ROUNDS = 15
const FINE_ROUNDS = 30

/**
 * Starts from the three principal planes of the surface and the three coordinate planes through its middle, refines each by
 * matching mirrored points to the surface along its normals, and keeps the best. Where the coordinate plane across y is
 * as good as the best within a hundredth, it is taken: it is what the shop calls the centreline.
 */
export function* fitMirrorPlane(mesh: Mesh): Steps<MirrorPlaneFit> {
  const tree = yield* buildTriangleTree(mesh)
  const surface = yield* vertexSurface(mesh)
  yield 0.2
  const coarse = samples(mesh, surface, COARSE)
  const { centroid } = surface
  const starts: Vec[] = [[0, 1, 0], [1, 0, 0], [0, 0, 1], ...principal(mesh, surface)]
  const found: Candidate[] = []
  for (const normal of starts) {
    found.push(yield* refine(mesh, tree, surface, coarse, { normal, offset: dot(normal, centroid) }, COARSE_ROUNDS))
  }
  const order = found.map((_, i) => i).sort((i, k) => found[i]!.rms - found[k]!.rms || i - k)
  let best = order[0]!
  if (found[0]!.rms <= found[best]!.rms * 1.01 + 1e-6) best = 0
  const fine = yield* refine(mesh, tree, surface, samples(mesh, surface, FINE), found[best]!, FINE_ROUNDS)
  const other = order.find((i) => Math.abs(dot(found[i]!.normal, fine.normal)) < 0.999)
  const { normal } = fine
  // The normal points to the positive side of the axis that it follows most.
  const lead = [0, 1, 2].reduce((k, i) => (Math.abs(normal[i]!) > Math.abs(normal[k]!) ? i : k), 1)
  const sign = normal[lead]! < 0 ? -1 : 1
  const outward: Point = [sign * normal[0], sign * normal[1], sign * normal[2]]
  return {
    plane: { normal: outward, offset_mm: sign * fine.offset + dot(outward, mesh.origin) },
    rms_mm: fine.rms,
    runnerUp_mm: other === undefined ? null : found[other]!.rms,
  }
}

interface Plane {
  readonly normal: Vec
  /** About the mesh's own origin. */
  readonly offset: number
}

interface Candidate extends Plane {
  readonly rms: number
}

/** Vertices taken evenly by area along the mesh; the same for the same mesh. */
function samples(mesh: Mesh, surface: VertexSurface, count: number): Uint32Array {
  const { area, area_mm2 } = surface
  const out: number[] = []
  let sum = 0
  for (let v = 0; v < area.length; v++) {
    sum += area[v]!
    if (sum * count >= (out.length + 0.5) * area_mm2 && area[v]! > 0) {
      out.push(v)
      // A vertex that stands for several shares is taken once.
      while ((out.length + 0.5) * area_mm2 <= sum * count && out.length < count) out.push(v)
    }
  }
  if (out.length === 0 && mesh.positions.length > 0) out.push(0)
  return Uint32Array.from(new Set(out))
}

function principal(mesh: Mesh, surface: VertexSurface): Vec[] {
  const { positions: p } = mesh
  const { area, centroid } = surface
  const m = new Float64Array(9)
  for (let v = 0; v < area.length; v++) {
    const d = [p[3 * v]! - centroid[0], p[3 * v + 1]! - centroid[1], p[3 * v + 2]! - centroid[2]]
    for (let i = 0; i < 3; i++) for (let k = 0; k < 3; k++) m[3 * i + k]! += area[v]! * d[i]! * d[k]!
  }
  const { vectors } = symmetricEigen(m, 3)
  return [0, 1, 2].map((k): Vec => [vectors[3 * k]!, vectors[3 * k + 1]!, vectors[3 * k + 2]!])
}

/** Point-to-plane rounds on the two angles and the offset of the plane, far points weighted down. */
function* refine(
  mesh: Mesh,
  tree: TriangleTree,
  surface: VertexSurface,
  sample: Uint32Array,
  start: Plane,
  rounds: number,
): Steps<Candidate> {
  const { positions: p, indices, origin } = mesh
  const near = makeNearest()
  const distance = new Float64Array(sample.length)
  const middle = surface.centroid
  let { normal, offset } = start
  let best: Candidate = { normal, offset, rms: Infinity }
  let scale = Infinity
  for (let round = 0; round <= rounds; round++) {
    const { u, v } = acrossPull(normal)
    const a = new Float64Array(9)
    const b = new Float64Array(3)
    let sum2 = 0
    let seed = -1
    for (let i = 0; i < sample.length; i++) {
      const at = 3 * sample[i]!
      const x = p[at]!
      const y = p[at + 1]!
      const z = p[at + 2]!
      const height = normal[0] * x + normal[1] * y + normal[2] * z - offset
      const mx = x - 2 * height * normal[0]
      const my = y - 2 * height * normal[1]
      const mz = z - 2 * height * normal[2]
      closestPoint(tree, mx + origin[0], my + origin[1], mz + origin[2], Infinity, near, seed)
      if (near.facet < 0) continue
      seed = near.facet
      distance[i] = near.distance
      sum2 += near.distance * near.distance
      const q = facetNormal(p, indices, near.facet)
      const e = q[0] * (near.x - origin[0] - mx) + q[1] * (near.y - origin[1] - my) + q[2] * (near.z - origin[2] - mz)
      const weight = scale < Infinity ? 1 / (1 + (e / scale) * (e / scale)) : 1
      // How the image moves along q when the plane turns about the middle of the surface, or shifts.
      const r: Vec = [x - middle[0], y - middle[1], z - middle[2]]
      const qn = dot(q, normal)
      const row = [-2 * (dot(u, r) * qn + height * dot(q, u)), -2 * (dot(v, r) * qn + height * dot(q, v)), 2 * qn]
      for (let k = 0; k < 3; k++) {
        b[k]! += weight * row[k]! * e
        for (let l = 0; l < 3; l++) a[3 * k + l]! += weight * row[k]! * row[l]!
      }
    }
    const rms = Math.sqrt(sum2 / Math.max(1, sample.length))
    if (rms < best.rms) best = { normal, offset, rms }
    yield 0.5
    if (round === rounds) break
    const sorted = distance.slice().sort()
    scale = Math.max(1e-3, 3 * sorted[sorted.length >> 1]!)
    // A surface of revolution leaves a turn open: a little damping keeps it where it is.
    for (let k = 0; k < 3; k++) a[4 * k]! += 1e-9 * (a[0]! + a[4]! + 1)
    if (!solveNormal(a, b, 3)) break
    const turned = unit(plus(plus(normal, u, b[0]!), v, b[1]!))
    const moved = dot(normal, middle) - offset
    // The plane turns about the foot of the surface's middle.
    normal = turned
    offset = dot(turned, middle) - moved + b[2]!
    if (Math.abs(b[0]!) + Math.abs(b[1]!) < 1e-9 && Math.abs(b[2]!) < 1e-7) break
  }
  return best
}

function facetNormal(p: Float32Array, indices: Uint32Array, f: number): Vec {
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const c = 3 * indices[3 * f + 2]!
  const n = cross(
    [p[b]! - p[a]!, p[b + 1]! - p[a + 1]!, p[b + 2]! - p[a + 2]!],
    [p[c]! - p[a]!, p[c + 1]! - p[a + 1]!, p[c + 2]! - p[a + 2]!],
  )
  const length = Math.sqrt(dot(n, n))
  return length > 0 ? [n[0] / length, n[1] / length, n[2] / length] : [0, 0, 0]
}
