import { type Steps, within } from '../geometry/kernel'
import { facetShape } from '../geometry/measure'
import { facetCount, type Mesh } from '../geometry/mesh'
import { Remembered } from '../geometry/remembered'
import { Refused } from '../geometry/trouble'
import { dot, unit, type Vec } from '../geometry/vectors'
import type { BasePlane } from './types'

/** Facets whose normals agree this well (cosine, about 1 degree) may be one flat side. */
const SAME_NORMAL = 0.99985
/** …and whose planes are this near, as a share of the part's size. */
const SAME_PLANE = 5e-4
/** A part may stick out below its base by this share of its size (screw heads, a gasket lip). */
const BELOW_BASE = 0.02
/** How many of the largest flat sides are looked at. */
const CANDIDATES = 24

/**
 * The base of a supplier's part: the largest flat side that the part lies wholly behind, so that it can stand on it.
 *
 * Of sides with equal area (the bottom and the lid of a box) the one that faces −z is taken, then −y (models drawn with
 * y up), then −x. A part with no such side (a ball) gets the largest flat side there is.
 *
 * @param wanted outward normal of the base if the user picked it: then the flat side that faces that way best
 * @throws Refused `mesh-empty` when the part has no facet with area
 */
export function* basePlane(mesh: Mesh<'part'>, wanted: Vec | null): Steps<BasePlane> {
  const key = wanted ? wanted.join(' ') : ''
  return planes.get(mesh, key) ?? planes.set(mesh, key, yield* findPlane(mesh, wanted), PLANES)
}

/** A part's base is asked for at every drag, and several fittings may be the same part. */
const planes = new Remembered<BasePlane>()
const PLANES = 8

function* findPlane(mesh: Mesh<'part'>, wanted: Vec | null): Steps<BasePlane> {
  const shape = yield* within(0, 0.4, 'base of the part', facetShape(mesh))
  const sides = flatSides(mesh, shape.normals, shape.areas_mm2)
  if (sides.length === 0)
    throw new Refused('mesh-empty', 'The fitting has no facet with area; export it again as a closed mesh.')
  yield 0.8
  const size = diagonal(mesh)
  const standable = sides.slice(0, CANDIDATES).filter((s) => sticksOut(mesh, s) <= BELOW_BASE * size)
  if (wanted) {
    const way = unit(wanted)
    // The outermost side that faces the picked way; its own normal is truer than a picked facet's.
    const facing = (standable.length > 0 ? standable : sides).reduce((a, b) =>
      dot(b.normal, way) * b.area > dot(a.normal, way) * a.area ? b : a,
    )
    if (dot(facing.normal, way) > 0.9) return baseOf(mesh, facing)
    return baseOf(mesh, { normal: way, offset: support(mesh, way), area: 0, facets: [] })
  }
  const pool = standable.length > 0 ? standable : sides.slice(0, 1)
  const largest = pool[0]!.area
  const equal = pool.filter((s) => s.area > 0.98 * largest)
  const downness = (s: Side) => -(4 * s.normal[2] + 2 * s.normal[1] + s.normal[0])
  return baseOf(
    mesh,
    equal.reduce((a, b) => (downness(b) > downness(a) + 1e-9 ? b : a)),
  )
}

interface Side {
  readonly normal: Vec
  /** Along the normal, mm. */
  readonly offset: number
  readonly area: number
  readonly facets: readonly number[]
}

/** Facets gathered into flat sides, largest first. Large facets seed a side; others join the first that they fit. */
function flatSides(mesh: Mesh<'part'>, normals: Float32Array, areas: Float32Array): Side[] {
  const n = facetCount(mesh)
  const tolerance = SAME_PLANE * diagonal(mesh)
  // Normals are gathered by a coarse cell first, so that each facet is compared with few sides.
  const cells = new Map<number, { normal: Vec; offset: number; area: number; facets: number[] }[]>()
  const order = Array.from({ length: n }, (_, f) => f).sort((a, b) => areas[b]! - areas[a]! || a - b)
  for (const f of order) {
    if (!(areas[f]! > 0)) break
    const normal: Vec = [normals[3 * f]!, normals[3 * f + 1]!, normals[3 * f + 2]!]
    const offset = dot(normal, corner(mesh, f))
    const i = Math.round(normal[0] * 8)
    const j = Math.round(normal[1] * 8)
    const k = Math.round(normal[2] * 8)
    let home: { normal: Vec; offset: number; area: number; facets: number[] } | undefined
    for (let d = 0; d < 27 && !home; d++) {
      const key = cellKey(i + (d % 3) - 1, j + (Math.floor(d / 3) % 3) - 1, k + Math.floor(d / 9) - 1)
      home = cells.get(key)?.find((s) => dot(s.normal, normal) > SAME_NORMAL && Math.abs(s.offset - offset) < tolerance)
    }
    if (home) {
      home.area += areas[f]!
      home.facets.push(f)
    } else {
      const key = cellKey(i, j, k)
      const side = { normal, offset, area: areas[f]!, facets: [f] }
      const there = cells.get(key)
      if (!there) cells.set(key, [side])
      else if (there.length < 256) there.push(side) // a finely faceted ball has no flat sides worth keeping
    }
  }
  return [...cells.values()].flat().sort((a, b) => b.area - a.area)
}

const cellKey = (i: number, j: number, k: number): number => (i + 16) * 1024 + (j + 16) * 32 + (k + 16)

function corner(mesh: Mesh<'part'>, f: number): Vec {
  const v = mesh.indices[3 * f]! * 3
  const { positions: p, origin: o } = mesh
  return [p[v]! + o[0], p[v + 1]! + o[1], p[v + 2]! + o[2]]
}

function diagonal(mesh: Mesh<'part'>): number {
  const span = ([ax, ay, az]: Vec) => {
    let least = Infinity
    let most = -Infinity
    for (let i = 0; i < mesh.positions.length; i += 3) {
      const t = mesh.positions[i]! * ax + mesh.positions[i + 1]! * ay + mesh.positions[i + 2]! * az
      if (t < least) least = t
      if (t > most) most = t
    }
    return most - least
  }
  const x = span([1, 0, 0])
  const y = span([0, 1, 0])
  const z = span([0, 0, 1])
  return Math.sqrt(x * x + y * y + z * z)
}

/** Farthest the part reaches along a direction, mm. */
function support(mesh: Mesh<'part'>, way: Vec): number {
  let most = -Infinity
  const { positions: p } = mesh
  for (let i = 0; i < p.length; i += 3) {
    const t = p[i]! * way[0] + p[i + 1]! * way[1] + p[i + 2]! * way[2]
    if (t > most) most = t
  }
  return most + dot(mesh.origin, way)
}

const sticksOut = (mesh: Mesh<'part'>, side: Side): number => support(mesh, side.normal) - side.offset

/** Middle of the base by area. */
function baseOf(mesh: Mesh<'part'>, side: Side): BasePlane {
  if (side.facets.length === 0) {
    const { positions: p, origin: o } = mesh
    let x = 0
    let y = 0
    let z = 0
    for (let i = 0; i < p.length; i += 3) {
      x += p[i]!
      y += p[i + 1]!
      z += p[i + 2]!
    }
    const n = p.length / 3
    const middle: Vec = [x / n + o[0], y / n + o[1], z / n + o[2]]
    const lift = side.offset - dot(middle, side.normal)
    return {
      normal: side.normal,
      at: [middle[0] + lift * side.normal[0], middle[1] + lift * side.normal[1], middle[2] + lift * side.normal[2]],
      area_mm2: 0,
    }
  }
  // Middle of the base's box in its own plane would depend on a choice of axes; the middle of its hull by area does not
  // depend on holes for bolts and cables. The box in part axes is close to it for all real bases and is exact for round ones.
  const min: [number, number, number] = [Infinity, Infinity, Infinity]
  const max: [number, number, number] = [-Infinity, -Infinity, -Infinity]
  for (const f of side.facets)
    for (let c = 0; c < 3; c++) {
      const v = mesh.indices[3 * f + c]! * 3
      for (let k = 0; k < 3; k++) {
        const value = mesh.positions[v + k]! + mesh.origin[k]!
        if (value < min[k]!) min[k] = value
        if (value > max[k]!) max[k] = value
      }
    }
  const middle: Vec = [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2]
  const lift = side.offset - dot(middle, side.normal)
  return {
    normal: side.normal,
    at: [middle[0] + lift * side.normal[0], middle[1] + lift * side.normal[1], middle[2] + lift * side.normal[2]],
    area_mm2: side.area,
  }
}
