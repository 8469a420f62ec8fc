import type { Steps } from '../geometry/kernel'
import { type Mesh, makeMesh } from '../geometry/mesh'
import { sinDeg } from '../geometry/portable-math'
import { Refused } from '../geometry/trouble'
import { triangulate } from './constrained-triangulation'
import type { EdgeRows } from './edge'
import { cornerCount, type PlanCurve } from './plan-curve'
import { fillPolygon, type PlanGrid, type SheetPoint, sampleSheet } from './plan-grid'
import { ZONES } from './types'

/** A moulded face and what is needed to give it thickness. */
export interface ShellFace {
  readonly mesh: Mesh<'job'>
  /** Index into `ZONES`, one per facet. */
  readonly zone: Uint8Array
  /** Mirror twin of every vertex (itself on y = 0); null for a shell without symmetry. */
  readonly twin: Uint32Array | null
  /** Vertices of the trim line in order, counter-clockwise seen from above. */
  readonly trim: Uint32Array
}

export interface FaceOptions {
  readonly curve: PlanCurve
  readonly edge: EdgeRows
  /** Crown sheet, moulded face. */
  readonly grid: PlanGrid
  readonly height: Float64Array
  /** 1 at nodes that the mesh must take one by one; `null`: none. */
  readonly fine: Uint8Array | null
  /** Spacing of the crown's mesh, mm: the sheet itself is finer. */
  readonly meshStep_mm: number
  /** Way the normals look: up for the topside, down for the underside. */
  readonly facing: 'up' | 'down'
  /** Least draft every facet must have, degrees. */
  readonly draft_deg: number
}

/** Grid points nearer to the rim than this many cells are left out, so that no sliver is made there. */
const RIM_CELLS = 0.55

/**
 * The moulded face: the crown triangulated in plan between its rim and the grid, and strips for edge, skirt and flange.
 * A symmetric shell is built for y ≥ 0 only and mirrored, so it is symmetric to the last bit.
 *
 * @throws Refused `shape-impossible` if a facet would not leave along the pull (rows that cross at a tight corner)
 */
export function* shellFace(options: FaceOptions): Steps<ShellFace> {
  const { curve, edge } = options
  const n = cornerCount(curve)
  const rim = edge.rows[0]!.map(Math.fround)
  const crown = crownPoints(options, rim)
  yield 0.2
  const crownFacets = crownTriangles(curve.mirrored, crown)
  yield 0.6

  const rows = edge.rows.length
  const half = new Float32Array(crown.position.length + 3 * n * (rows - 1))
  half.set(crown.position)
  let at = crown.position.length
  const rowStart = [0]
  for (let r = 1; r < rows; r++) {
    rowStart.push(at / 3)
    half.set(edge.rows[r]!, at)
    at += 3 * n
  }
  const segments = curve.mirrored ? n - 1 : n
  const facets = new Uint32Array(crownFacets.length + 6 * segments * (rows - 1))
  const zones = new Uint8Array(facets.length / 3)
  facets.set(crownFacets)
  zones.fill(ZONES.indexOf('crown'), 0, crownFacets.length / 3)
  let put = crownFacets.length
  for (let r = 0; r + 1 < rows; r++)
    for (let k = 0; k < segments; k++) {
      const next = (k + 1) % n
      const a = rowStart[r]! + k
      const b = rowStart[r]! + next
      const c = rowStart[r + 1]! + next
      const d = rowStart[r + 1]! + k
      zones[put / 3] = edge.zoneOfStrip[r]!
      zones[put / 3 + 1] = edge.zoneOfStrip[r]!
      // The shorter diagonal; the twin side is mirrored from this one, so a tie cannot break the symmetry.
      facets.set(distance2(half, a, c) <= distance2(half, b, d) ? [a, d, c, a, c, b] : [a, d, b, d, c, b], put)
      put += 6
    }
  refuseFolds(half, facets, zones, options.draft_deg)
  yield 0.8
  const whole = curve.mirrored ? mirrorHalf(half, facets, zones) : { position: half, facets, zones, twin: null }
  if (options.facing === 'down') turn(whole.facets)

  const last = rowStart[rows - 1]!
  const trim = Array.from({ length: n }, (_, k) => last + k)
  if (whole.twin) for (let k = n - 2; k > 0; k--) trim.push(whole.twin[last + k]!)
  return {
    mesh: makeMesh('job', whole.position, whole.facets),
    zone: whole.zones,
    twin: whole.twin,
    trim: Uint32Array.from(trim),
  }
}

interface CrownPoints {
  /** x y z, rounded; the rim first, then points on the centreline, then inner ones. */
  readonly position: Float32Array
  readonly rim: number
  readonly onCentre: number
}

function crownPoints(options: FaceOptions, rim: Float64Array): CrownPoints {
  const { grid, height, curve, meshStep_mm } = options
  const n = rim.length / 3
  const every = Math.max(1, Math.round(meshStep_mm / grid.h))
  const rx = new Float64Array(n)
  const ry = new Float64Array(n)
  for (let k = 0; k < n; k++) {
    rx[k] = rim[3 * k]!
    ry[k] = rim[3 * k + 1]!
  }
  const step = grid.h * every
  const coarse: PlanGrid = {
    ...grid,
    nx: Math.floor((grid.nx - 1) / every) + 1,
    ny: Math.floor((grid.ny - 1) / every) + 1,
    h: step,
  }
  const use = fillPolygon(coarse, rx, ry)
  const segments = curve.mirrored ? n - 1 : n
  for (let k = 0; k < segments; k++) clearBand(coarse, use, rx, ry, k, (k + 1) % n, RIM_CELLS * step)
  const points: number[] = Array.from(rim)
  const point: SheetPoint = { z: 0, dx: 0, dy: 0 }
  const add = (x: number, y: number) => {
    sampleSheet(grid, height, Math.fround(x), Math.fround(y), point)
    points.push(x, y, point.z)
  }
  const fine = options.fine ? fineNodes(options, options.fine, rx, ry, every) : null
  const takeRow = (j: number) => {
    // Along a row from aft to fore, both spacings in one order: the centreline's points are a chain.
    if (!fine) {
      for (let i = 0; i < coarse.nx; i++) if (use[j * coarse.nx + i]) add(coarse.x0 + i * step, coarse.y0 + j * step)
      return
    }
    const onCoarse = j % every === 0 && j / every < coarse.ny
    for (let i = 0; i < grid.nx; i++) {
      const coarseNode = onCoarse && i % every === 0 && use[(j / every) * coarse.nx + i / every] === 1
      if (coarseNode || fine[j * grid.nx + i]) add(grid.x0 + i * grid.h, grid.y0 + j * grid.h)
    }
  }
  const rows = fine ? grid.ny : coarse.ny
  if (curve.mirrored) takeRow(0)
  const onCentre = points.length / 3 - n
  for (let j = curve.mirrored ? 1 : 0; j < rows; j++) takeRow(j)
  return { position: Float32Array.from(points), rim: n, onCentre }
}

/** The nodes to be taken one by one that lie inside the rim. */
function fineNodes(
  { grid, curve }: FaceOptions,
  fine: Uint8Array,
  rx: Float64Array,
  ry: Float64Array,
  every: number,
): Uint8Array {
  const inside = fillPolygon(grid, rx, ry)
  const n = rx.length
  // As clear of the rim as the coarse nodes are of it in their own spacing, but not further than needed.
  const wide = RIM_CELLS * grid.h * Math.min(2, every)
  for (let k = 0; k < (curve.mirrored ? n - 1 : n); k++) clearBand(grid, inside, rx, ry, k, (k + 1) % n, wide)
  return inside.map((v, k) => v & fine[k]!)
}

/** Takes out the nodes within a distance of a rim segment. */
function clearBand(
  grid: PlanGrid,
  use: Uint8Array,
  x: Float64Array,
  y: Float64Array,
  a: number,
  b: number,
  wide: number,
): void {
  const ax = x[a]!
  const ay = y[a]!
  const dx = x[b]! - ax
  const dy = y[b]! - ay
  const length2 = dx * dx + dy * dy
  const fromI = Math.max(0, Math.ceil((Math.min(ax, ax + dx) - wide - grid.x0) / grid.h))
  const toI = Math.min(grid.nx - 1, Math.floor((Math.max(ax, ax + dx) + wide - grid.x0) / grid.h))
  const fromJ = Math.max(0, Math.ceil((Math.min(ay, ay + dy) - wide - grid.y0) / grid.h))
  const toJ = Math.min(grid.ny - 1, Math.floor((Math.max(ay, ay + dy) + wide - grid.y0) / grid.h))
  for (let j = fromJ; j <= toJ; j++)
    for (let i = fromI; i <= toI; i++) {
      const px = grid.x0 + i * grid.h - ax
      const py = grid.y0 + j * grid.h - ay
      const t = length2 > 0 ? Math.min(1, Math.max(0, (px * dx + py * dy) / length2)) : 0
      const ex = px - t * dx
      const ey = py - t * dy
      if (ex * ex + ey * ey < wide * wide) use[j * grid.nx + i] = 0
    }
}

function crownTriangles(mirrored: boolean, crown: CrownPoints): Uint32Array {
  const { position, rim, onCentre } = crown
  const count = position.length / 3
  const coords = new Float64Array(2 * count)
  for (let k = 0; k < count; k++) {
    coords[2 * k] = position[3 * k]!
    coords[2 * k + 1] = position[3 * k + 1]!
  }
  const border: number[] = []
  for (let k = 0; k + 1 < rim; k++) border.push(k, k + 1)
  if (mirrored) {
    // Along y = 0 from the aft end of the rim forward to its first corner; the points there run from aft forward.
    const line = [rim - 1, ...Array.from({ length: onCentre }, (_, k) => rim + k), 0]
    for (let k = 0; k + 1 < line.length; k++) border.push(line[k]!, line[k + 1]!)
  } else border.push(rim - 1, 0)
  const triangles = triangulate(coords, Uint32Array.from(border))
  const loop = mirrored ? rim + onCentre : rim
  const keep: number[] = []
  for (let t = 0; t < triangles.length; t += 3) {
    const a = triangles[t]!
    const b = triangles[t + 1]!
    const c = triangles[t + 2]!
    // Only a triangle between three border points can lie outside.
    if (a < loop && b < loop && c < loop) {
      const x = (coords[2 * a]! + coords[2 * b]! + coords[2 * c]!) / 3
      const y = (coords[2 * a + 1]! + coords[2 * b + 1]! + coords[2 * c + 1]!) / 3
      if (!insideRim(coords, rim, x, y)) continue
    }
    keep.push(a, b, c)
  }
  return Uint32Array.from(keep)
}

function insideRim(coords: Float64Array, rim: number, x: number, y: number): boolean {
  let inside = false
  for (let k = 0, j = rim - 1; k < rim; j = k++) {
    const yk = coords[2 * k + 1]!
    const yj = coords[2 * j + 1]!
    if (yk > y !== yj > y && x < coords[2 * k]! + ((y - yk) / (yj - yk)) * (coords[2 * j]! - coords[2 * k]!))
      inside = !inside
  }
  return inside
}

function distance2(p: Float32Array, a: number, b: number): number {
  const dx = p[3 * a]! - p[3 * b]!
  const dy = p[3 * a + 1]! - p[3 * b + 1]!
  const dz = p[3 * a + 2]! - p[3 * b + 2]!
  return dx * dx + dy * dy + dz * dz
}

/** Facets are counted, never turned in silence: one that leans below the draft means that rows cross. */
function refuseFolds(p: Float32Array, facets: Uint32Array, zones: Uint8Array, draft_deg: number): void {
  const least = sinDeg(draft_deg - 0.01)
  let bad = 0
  let where = 0
  for (let f = 0; f < facets.length; f += 3) {
    const a = 3 * facets[f]!
    const b = 3 * facets[f + 1]!
    const c = 3 * facets[f + 2]!
    const ux = p[b]! - p[a]!
    const uy = p[b + 1]! - p[a + 1]!
    const uz = p[b + 2]! - p[a + 2]!
    const vx = p[c]! - p[a]!
    const vy = p[c + 1]! - p[a + 1]!
    const vz = p[c + 2]! - p[a + 2]!
    const nx = uy * vz - uz * vy
    const ny = uz * vx - ux * vz
    const nz = ux * vy - uy * vx
    if (nz < least * Math.sqrt(nx * nx + ny * ny + nz * nz)) {
      if (bad++ === 0) where = f
    }
  }
  if (bad > 0)
    throw new Refused(
      'shape-impossible',
      `clearance: ${bad} facets of the ${ZONES[zones[where / 3]!]} cross their neighbours, first about x ${Math.round(p[3 * facets[where]!]!)}, y ${Math.round(p[3 * facets[where]! + 1]!)}; lessen edgeRadius_mm or raise overhang_mm, the outline turns too sharply there.`,
    )
}

function mirrorHalf(half: Float32Array, facets: Uint32Array, zones: Uint8Array) {
  const count = half.length / 3
  const twinOfHalf = new Uint32Array(count)
  let next = count
  for (let v = 0; v < count; v++) twinOfHalf[v] = half[3 * v + 1] === 0 ? v : next++
  const position = new Float32Array(3 * next)
  position.set(half)
  const twin = new Uint32Array(next)
  for (let v = 0; v < count; v++) {
    const t = twinOfHalf[v]!
    twin[v] = t
    twin[t] = v
    if (t === v) continue
    position[3 * t] = half[3 * v]!
    position[3 * t + 1] = -half[3 * v + 1]!
    position[3 * t + 2] = half[3 * v + 2]!
  }
  const both = new Uint32Array(2 * facets.length)
  both.set(facets)
  for (let f = 0; f < facets.length; f += 3) {
    both[facets.length + f] = twinOfHalf[facets[f]!]!
    both[facets.length + f + 1] = twinOfHalf[facets[f + 2]!]!
    both[facets.length + f + 2] = twinOfHalf[facets[f + 1]!]!
  }
  const bothZones = new Uint8Array(2 * zones.length)
  bothZones.set(zones)
  bothZones.set(zones, zones.length)
  return { position, facets: both, zones: bothZones, twin }
}

function turn(facets: Uint32Array): void {
  for (let f = 0; f < facets.length; f += 3) {
    const keep = facets[f + 1]!
    facets[f + 1] = facets[f + 2]!
    facets[f + 2] = keep
  }
}
