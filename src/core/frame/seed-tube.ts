import { pointsWithin } from '../geometry/point-grid'
import { symmetricEigen } from '../geometry/symmetric-eigen'
import { cross, plus, type Vec } from '../geometry/vectors'
import type { Cloud } from './cloud'
import { fitCircle } from './fit-circle'

/** A first guess of a tube from a patch of metal. */
export interface Seed {
  readonly at: Vec
  readonly along: Vec
  readonly radius_mm: number
}

/** Normals of a tube lie in a plane (least eigenvalue of their scatter) and do not all agree (middle one): else a plate or a corner. */
const LEAST = 0.06
const MIDDLE = 0.04
/** Radii that tubes of frames have, mm. */
export const RADIUS_mm = { least: 6, most: 60 } as const
const MOST_POINTS = 256
const LEAST_POINTS = 12

const list = new Uint32Array(MOST_POINTS)
const flat = new Float64Array(2 * MOST_POINTS)

/** How far around a point its patch reaches, mm. */
export const seedReach_mm = (cloud: Cloud, edge_mm: number): number =>
  Math.max(2.5 * edge_mm, 2.5 * cloud.spacing_mm, 16)

/**
 * Axis, radius and place of the tube that a point might belong to: the axis is the direction across all normals of the patch,
 * the circle across it is fitted by distances. Concave patches (weld fillets) drop out by the sign of the radius.
 *
 * @param point number in the cloud
 */
export function seedTube(cloud: Cloud, point: number, reach_mm: number): Seed | null {
  const { points, normals, grid } = cloud
  const px = points[3 * point]!
  const py = points[3 * point + 1]!
  const pz = points[3 * point + 2]!
  const found = Math.min(MOST_POINTS, pointsWithin(grid, px, py, pz, reach_mm, list))
  const [nx, ny, nz] = [normals[3 * point]!, normals[3 * point + 1]!, normals[3 * point + 2]!]
  // The other wall of a thin plate lies within reach too: it looks the other way.
  let n = 0
  for (let i = 0; i < found; i++) {
    const q = 3 * list[i]!
    if (normals[q]! * nx + normals[q + 1]! * ny + normals[q + 2]! * nz > 0) list[n++] = list[i]!
  }
  if (n < LEAST_POINTS) return null
  const scatter = new Float64Array(9)
  for (let i = 0; i < n; i++) {
    const q = 3 * list[i]!
    for (let r = 0; r < 3; r++)
      for (let c = 0; c < 3; c++) scatter[3 * r + c]! += (normals[q + r]! * normals[q + c]!) / n
  }
  const { values, vectors } = symmetricEigen(scatter, 3)
  if (values[0]! > LEAST || values[1]! < MIDDLE) return null
  const along: Vec = [vectors[0]!, vectors[1]!, vectors[2]!]
  const a: Vec = [vectors[3]!, vectors[4]!, vectors[5]!]
  const b = cross(along, a)
  // Radius from how places and normals turn together; its sign tells tube from fillet.
  let mx = 0
  let my = 0
  let mu = 0
  let mv = 0
  for (let i = 0; i < n; i++) {
    const q = 3 * list[i]!
    const dx = points[q]! - px
    const dy = points[q + 1]! - py
    const dz = points[q + 2]! - pz
    const x = dx * a[0] + dy * a[1] + dz * a[2]
    const y = dx * b[0] + dy * b[1] + dz * b[2]
    flat[2 * i] = x
    flat[2 * i + 1] = y
    mx += x / n
    my += y / n
    mu += (normals[q]! * a[0] + normals[q + 1]! * a[1] + normals[q + 2]! * a[2]) / n
    mv += (normals[q]! * b[0] + normals[q + 1]! * b[1] + normals[q + 2]! * b[2]) / n
  }
  let together = 0
  let turning = 0
  for (let i = 0; i < n; i++) {
    const q = 3 * list[i]!
    const u = normals[q]! * a[0] + normals[q + 1]! * a[1] + normals[q + 2]! * a[2] - mu
    const v = normals[q]! * b[0] + normals[q + 1]! * b[1] + normals[q + 2]! * b[2] - mv
    together += (flat[2 * i]! - mx) * u + (flat[2 * i + 1]! - my) * v
    turning += u * u + v * v
  }
  const rough = together / turning
  if (!(rough > 0.7 * RADIUS_mm.least && rough < 1.4 * RADIUS_mm.most)) return null
  const start = { x: mx - rough * mu, y: my - rough * mv, r: rough }
  const circle = fitCircle(flat, n, start, 6) ?? start
  // A short arc can run away; the guess from the normals then serves better.
  const { x, y, r } = circle.r > 0.6 * rough && circle.r < 1.6 * rough ? circle : start
  if (r < RADIUS_mm.least || r > RADIUS_mm.most) return null
  return { at: plus(plus([px, py, pz], a, x), b, y), along, radius_mm: r }
}
