/**
 * Lays a scan of a made part on the face it was made to: coarse by the shapes' own axes, then trimmed point-to-plane matching
 * (Chen and Medioni 1992, from memory) until it stands still. For scans that show most of the part; a scan of a corner alone
 * has other axes than the whole, and is refused by what is left.
 */
import { IDENTITY, type Matrix4, multiply, transformDirection, transformPoint } from '../geometry/axes'
import { closestPoint, makeNearest } from '../geometry/closest-point'
import { type Steps, within } from '../geometry/kernel'
import { facetShape } from '../geometry/measure'
import { facetCount, type Mesh } from '../geometry/mesh'
import { solveNormal } from '../geometry/solve-normal'
import { symmetricEigen } from '../geometry/symmetric-eigen'
import { buildTriangleTree, type TriangleTree } from '../geometry/triangle-tree'
import { Refused } from '../geometry/trouble'

export interface LaidOn {
  /** From the scan's axes to the face's. */
  readonly motion: Matrix4
  /** Of the places within reach, mm. */
  readonly rms_mm: number
  /** Share of the scan's area within reach of the face. */
  readonly overlap: number
  readonly rounds: number
}

export interface LayOnOptions {
  /** `near`: the scan stands about where it belongs; `any`: it may lie anyhow. */
  readonly start: 'near' | 'any'
  /** What lies further off at the end is not the part, mm. Default 10. */
  readonly reach_mm?: number
  readonly name?: string
}

const PLACES = 6000
const ROUNDS = 60
const STILL_MM = 1e-4
/** Less of the scan than this on the face is no fit. */
const LEAST_OVERLAP = 0.3

/** @throws Refused `shape-impossible` where less than a third of the scan comes to lie on the face */
export function* layOn(scan: Mesh, face: Mesh, options: LayOnOptions): Steps<LaidOn> {
  const reach = options.reach_mm ?? 10
  const tree = yield* within(0, 0.2, 'search tree', buildTriangleTree(face))
  const normals = (yield* within(0.2, 0.25, 'fit', facetShape(face))).normals
  const places = yield* within(0.25, 0.3, 'fit', placesOf(scan))
  const starts = options.start === 'near' ? [IDENTITY] : yield* within(0.3, 0.35, 'fit', startsOf(scan, face))
  let best: Fit | null = null
  for (const [i, start] of starts.entries()) {
    let motion = start
    for (const wide of [16 * reach, 8 * reach, 4 * reach, 2 * reach]) {
      for (let k = 0; k < 6; k++) {
        motion = match(tree, normals, places, motion, wide).motion
        yield { fraction: 0.35 + (0.4 * i) / starts.length, label: 'fit' }
      }
    }
    const fit = match(tree, normals, places, motion, reach)
    if (!best || fit.overlap > best.overlap + 0.01 || (fit.overlap > best.overlap - 0.01 && fit.rms_mm < best.rms_mm))
      best = fit
  }
  let fit = best!
  let rounds = 0
  while (rounds < ROUNDS) {
    rounds++
    const next = match(tree, normals, places, fit.motion, reach)
    yield { fraction: 0.75 + (0.25 * rounds) / ROUNDS, label: 'fit' }
    fit = next
    if (next.step_mm < STILL_MM) break
  }
  if (fit.overlap < LEAST_OVERLAP)
    throw new Refused(
      'shape-impossible',
      `${options.name ?? 'The scan'} does not fit: only ${(100 * fit.overlap).toFixed(0)} % of it comes to lie within ${reach} mm of the planned face; check its unit and which face it is of, crop what is not the part, or place it roughly beforehand.`,
    )
  return { motion: fit.motion, rms_mm: fit.rms_mm, overlap: fit.overlap, rounds }
}

interface Places {
  /** Seven per place: x y z, normal, area. */
  readonly at: Float64Array
}

function* placesOf(mesh: Mesh): Steps<Places> {
  const { normals, areas_mm2 } = yield* facetShape(mesh)
  const n = facetCount(mesh)
  let whole = 0
  for (const a of areas_mm2) whole += a
  const out: number[] = []
  // One place for every equal share of the area, at the facet where it falls: no chance, no bias by the mesh.
  let next = whole / PLACES / 2
  let sum = 0
  for (let f = 0; f < n; f++) {
    sum += areas_mm2[f]!
    if (sum < next) continue
    const taken = Math.floor((sum - next) / (whole / PLACES)) + 1
    next += taken * (whole / PLACES)
    const [x, y, z] = middle(mesh, f)
    out.push(x, y, z, normals[3 * f]!, normals[3 * f + 1]!, normals[3 * f + 2]!, (taken * whole) / PLACES)
  }
  return { at: Float64Array.from(out) }
}

function middle({ positions: p, indices, origin }: Mesh, f: number): [number, number, number] {
  const [a, b, c] = [3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!]
  return [0, 1, 2].map((k) => (p[a + k]! + p[b + k]! + p[c + k]!) / 3 + origin[k]!) as [number, number, number]
}

interface Fit {
  readonly motion: Matrix4
  readonly rms_mm: number
  readonly overlap: number
  /** How far this round moved the places at most, about. */
  readonly step_mm: number
}

const near = makeNearest()

/** One round: every place to the plane of the facet nearest to it, least squares for a small turn and shift. */
function match(tree: TriangleTree, normals: Float32Array, { at }: Places, motion: Matrix4, reach: number): Fit {
  let [cx, cy, cz, count] = [0, 0, 0, 0]
  for (let i = 0; i < at.length; i += 7) {
    cx += at[i]!
    cy += at[i + 1]!
    cz += at[i + 2]!
    count++
  }
  const middle = transformPoint(motion, [cx / count, cy / count, cz / count])
  const a = new Float64Array(36)
  const b = new Float64Array(6)
  let total = 0
  let met = 0
  let squares = 0
  let arm = 0
  let seed = -1
  const row = new Float64Array(6)
  for (let i = 0; i < at.length; i += 7) {
    const w = at[i + 6]!
    total += w
    const p = transformPoint(motion, [at[i]!, at[i + 1]!, at[i + 2]!])
    closestPoint(tree, p[0], p[1], p[2], reach, near, seed)
    seed = near.facet
    if (near.facet < 0) continue
    const f = 3 * near.facet
    const n = transformDirection(motion, [at[i + 3]!, at[i + 4]!, at[i + 5]!])
    const [nx, ny, nz] = [normals[f]!, normals[f + 1]!, normals[f + 2]!]
    if (n[0] * nx + n[1] * ny + n[2] * nz < 0.5) continue
    const d = (p[0] - near.x) * nx + (p[1] - near.y) * ny + (p[2] - near.z) * nz
    const [x, y, z] = [p[0] - middle[0], p[1] - middle[1], p[2] - middle[2]]
    met += w
    squares += w * d * d
    arm = Math.max(arm, Math.abs(x), Math.abs(y), Math.abs(z))
    row.set([y * nz - z * ny, z * nx - x * nz, x * ny - y * nx, nx, ny, nz])
    for (let r = 0; r < 6; r++) {
      b[r]! -= w * row[r]! * d
      for (let c = 0; c <= r; c++) a[6 * r + c]! += w * row[r]! * row[c]!
    }
  }
  const figures = { rms_mm: met > 0 ? Math.sqrt(squares / met) : Infinity, overlap: total > 0 ? met / total : 0 }
  // A freedom that the surface leaves open is held where it stands: a millionth of the largest of its kind.
  const hold = [0, 1, 2, 3, 4, 5].map((k) => a[7 * k]!)
  for (let k = 0; k < 6; k++) a[7 * k]! += 1e-6 * Math.max(...(k < 3 ? hold.slice(0, 3) : hold.slice(3)), 1e-12)
  if (met === 0 || !solveNormal(a, b, 6)) return { motion, ...figures, step_mm: 0 }
  const turned = smallTurn(b[0]!, b[1]!, b[2]!)
  // About the middle: p' = R (p − m) + m + t.
  const shift = transformPoint(turned, [-middle[0], -middle[1], -middle[2]])
  const step: Matrix4 = turned.map((v, k) =>
    k === 3 || k === 7 || k === 11 ? shift[(k - 3) / 4]! + middle[(k - 3) / 4]! + b[3 + (k - 3) / 4]! : v,
  )
  const turn = Math.sqrt(b[0]! * b[0]! + b[1]! * b[1]! + b[2]! * b[2]!)
  const moved = Math.sqrt(b[3]! * b[3]! + b[4]! * b[4]! + b[5]! * b[5]!)
  return { motion: multiply(step, motion), ...figures, step_mm: turn * arm + moved }
}

/** The rotation with Cayley's vector r / 2: rational, so that every engine finds the same, and exactly a rotation. */
function smallTurn(x: number, y: number, z: number): Matrix4 {
  const [a, b, c] = [x / 2, y / 2, z / 2]
  const k = 1 + a * a + b * b + c * c
  return [
    (1 + a * a - b * b - c * c) / k,
    (2 * (a * b - c)) / k,
    (2 * (a * c + b)) / k,
    0,
    (2 * (a * b + c)) / k,
    (1 - a * a + b * b - c * c) / k,
    (2 * (b * c - a)) / k,
    0,
    (2 * (a * c - b)) / k,
    (2 * (b * c + a)) / k,
    (1 - a * a - b * b + c * c) / k,
    0,
    0,
    0,
    0,
    1,
  ]
}

/** The four motions that bring the principal axes of one shape on those of the other, and the one that moves nothing. */
function* startsOf(scan: Mesh, face: Mesh): Steps<readonly Matrix4[]> {
  const from = yield* frameOf(scan)
  const to = yield* frameOf(face)
  const starts: Matrix4[] = [IDENTITY]
  for (const [s, t] of [
    [1, 1],
    [1, -1],
    [-1, 1],
    [-1, -1],
  ] as const) {
    const signs = [s, t, s * t]
    const r: number[] = []
    for (let i = 0; i < 3; i++)
      for (let j = 0; j < 3; j++)
        r.push([0, 1, 2].reduce((sum, k) => sum + to.axes[k]![i]! * signs[k]! * from.axes[k]![j]!, 0))
    const shift = [0, 1, 2].map(
      (i) => to.middle[i]! - [0, 1, 2].reduce((sum, j) => sum + r[3 * i + j]! * from.middle[j]!, 0),
    )
    starts.push([
      r[0]!,
      r[1]!,
      r[2]!,
      shift[0]!,
      r[3]!,
      r[4]!,
      r[5]!,
      shift[1]!,
      r[6]!,
      r[7]!,
      r[8]!,
      shift[2]!,
      0,
      0,
      0,
      1,
    ])
  }
  return starts
}

function* frameOf(mesh: Mesh): Steps<{ middle: readonly number[]; axes: readonly (readonly number[])[] }> {
  const { at } = yield* placesOf(mesh)
  const middle = [0, 0, 0]
  let total = 0
  for (let i = 0; i < at.length; i += 7) {
    total += at[i + 6]!
    for (let k = 0; k < 3; k++) middle[k]! += at[i + 6]! * at[i + k]!
  }
  for (let k = 0; k < 3; k++) middle[k]! /= total
  const spread = new Float64Array(9)
  for (let i = 0; i < at.length; i += 7)
    for (let r = 0; r < 3; r++)
      for (let c = 0; c < 3; c++)
        spread[3 * r + c]! += (at[i + 6]! / total) * (at[i + r]! - middle[r]!) * (at[i + c]! - middle[c]!)
  const { vectors } = symmetricEigen(spread, 3)
  const axis = (k: number) => [0, 1, 2].map((i) => vectors[3 * k + i]!)
  const [u, v] = [axis(2), axis(1)]
  const w = [u[1]! * v[2]! - u[2]! * v[1]!, u[2]! * v[0]! - u[0]! * v[2]!, u[0]! * v[1]! - u[1]! * v[0]!]
  return { middle, axes: [u, v, w] }
}
