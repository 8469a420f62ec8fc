/** Largest touching balls at the middles of all facets of a mesh, on one side of it. */
import { BLOCK, type Steps, within } from '../geometry/kernel'
import type { FacetShape } from '../geometry/measure'
import { facetCount, type Mesh } from '../geometry/mesh'
import { buildTriangleTree } from '../geometry/triangle-tree'
import { smoothNormals } from './smooth-normals'
import { makeTouchingBall, touchingBall } from './touching-ball'

export interface BallOptions {
  /** 1: outside (the tool's side), −1: inside (the metal's). */
  readonly side: 1 | -1
  /** Radii above this are not looked for, mm. */
  readonly limit_mm: number
  /** 1 sigma of the mesh, mm. */
  readonly noise_mm: number
}

export interface BallField {
  /** One per facet, mm; the limit where nothing smaller was found, NaN without area. */
  readonly radius_mm: Float32Array
  /** How deep the surface was allowed to enter the ball, mm, one per facet. */
  readonly entry_mm: Float32Array
  /** 1 − cos of half the arc between the middle and the place that stopped the ball, one per facet; 0 where nothing did. */
  readonly arc: Float32Array
}

/** Allowed entry: without noise 1.5 sags of the facet; with noise 4 sags and 3 sigma, and normals averaged over two rings. */
const SAGS = 1.5
const SAGS_NOISY = 4
const SIGMAS = 3
const RINGS_NOISY = 2

export function* ballField(mesh: Mesh, shape: FacetShape, options: BallOptions): Steps<BallField> {
  const { side, limit_mm, noise_mm } = options
  const noisy = noise_mm > 0
  const smooth = yield* within(0, 0.1, 'normals', smoothNormals(mesh, shape, noisy ? RINGS_NOISY : 0))
  const tree = yield* within(0.1, 0.15, 'search tree', buildTriangleTree(mesh))
  const { positions: p, indices } = mesh
  const facets = facetCount(mesh)
  const radius = new Float32Array(facets).fill(Number.NaN)
  const entry = new Float32Array(facets)
  const arc = new Float32Array(facets)
  const ball = makeTouchingBall()
  // What Float32 itself rounds away: 4 steps of the largest coordinate.
  let largest = 0
  for (let i = 0; i < p.length; i++) largest = Math.max(largest, Math.abs(p[i]!))
  const rounding = largest * 2 ** -21
  for (let k = 0; k < facets; k++) {
    // In the order of the tree, so that one walk warms the next.
    const f = tree.order[k]!
    if (k % (BLOCK >> 3) === 0) yield { fraction: 0.15 + (0.85 * k) / facets, label: side > 0 ? 'radius' : 'thickness' }
    const nx = side * smooth.normals[3 * f]!
    const ny = side * smooth.normals[3 * f + 1]!
    const nz = side * smooth.normals[3 * f + 2]!
    if (!(shape.areas_mm2[f]! > 0) || (nx === 0 && ny === 0 && nz === 0)) continue
    const a = 3 * indices[3 * f]!
    const b = 3 * indices[3 * f + 1]!
    const c = 3 * indices[3 * f + 2]!
    const x = (p[a]! + p[b]! + p[c]!) / 3
    const y = (p[a + 1]! + p[b + 1]! + p[c + 1]!) / 3
    const z = (p[a + 2]! + p[b + 2]! + p[c + 2]!) / 3
    const d = rounding + (noisy ? SAGS_NOISY * smooth.sag_mm[f]! + SIGMAS * noise_mm : SAGS * smooth.sag_mm[f]!)
    touchingBall(tree, x, y, z, nx, ny, nz, limit_mm, d, f, ball)
    radius[f] = ball.radius
    entry[f] = d
    if (ball.facet < 0) continue
    // Angle seen from the middle of the ball between the two places it touches: cos φ; 1 − cos(φ/2) by the half-angle rule.
    const r = ball.radius
    const ex = ball.x - x - r * nx
    const ey = ball.y - y - r * ny
    const ez = ball.z - z - r * nz
    const length = Math.sqrt(ex * ex + ey * ey + ez * ez)
    const cosine = length > 0 ? Math.max(-1, Math.min(1, -(ex * nx + ey * ny + ez * nz) / length)) : 1
    arc[f] = 1 - Math.sqrt((1 + cosine) / 2)
  }
  return { radius_mm: radius, entry_mm: entry, arc }
}
