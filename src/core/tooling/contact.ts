/**
 * How a mesh may be touched by a cutter that comes down along z: the offset surface in pieces.
 *
 * Contact with outward normal n puts the tip at p + r n + (R − r) n_xy/|n_xy| − (0, 0, r). So a facet becomes the facet moved by
 * one vector, a convex edge the strip between its two facets' offsets, a vertex the patch between its edges' strips; concave
 * edges are never touched. A tangency with any facet, line or point of the mesh is a true lower bound of the tip's height, so
 * testing too much never lifts the cutter; testing too little gouges. Every box here is therefore grown, never trimmed.
 *
 * Orientation of the facets plays no part: each is taken with its normal up.
 */
import { type Adjacency, adjacency } from '../geometry/adjacency'
import { BLOCK, type Steps, within } from '../geometry/kernel'
import { facetCount, type Mesh, vertexCount } from '../geometry/mesh'

/** Slope beyond which a facet counts as upright: it has no area in plan that a double could tell. */
const STEEPEST = 1e9

export interface ContactMesh {
  readonly mesh: Mesh
  readonly facets: number
  /** Slope of each facet's plane, dz/dx and dz/dy, two per facet; upright facets have a slope of 1e9. */
  readonly slope: Float64Array
  /** 1 for an upright facet, which has no plane over the plan. One per facet. */
  readonly upright: Uint8Array
  /** Half-edges to be touched, each edge once: numbers 3 f + k. */
  readonly edges: Uint32Array
  /** Facet across each of `edges`, or −1: touched from all around. */
  readonly edgeFacet: Int32Array
  /** Least and largest slope around each vertex: x low, x high, y low, y high. Four per vertex. */
  readonly fan: Float64Array
  /** 1: touched from all around (rim, fold, odd edge). One per vertex. */
  readonly whole: Uint8Array
}

/** Slopes, edges that stand out, and how far each vertex may be touched. Shared by all cutters. */
export function* contactMesh(mesh: Mesh): Steps<ContactMesh> {
  const facets = facetCount(mesh)
  const vertices = vertexCount(mesh)
  const { across }: Adjacency = yield* within(0, 0.5, 'neighbours', adjacency(mesh.indices, vertices))
  const { positions: p, indices } = mesh
  const slope = new Float64Array(2 * facets)
  const upright = new Uint8Array(facets)
  const fan = new Float64Array(4 * vertices)
  const whole = new Uint8Array(vertices)
  for (let v = 0; v < vertices; v++) {
    fan[4 * v] = Infinity
    fan[4 * v + 1] = -Infinity
    fan[4 * v + 2] = Infinity
    fan[4 * v + 3] = -Infinity
  }
  for (let f = 0; f < facets; f++) {
    facetSlope(p, indices, f, slope, upright)
    const sx = slope[2 * f]!
    const sy = slope[2 * f + 1]!
    for (let k = 0; k < 3; k++) {
      const v = 4 * indices[3 * f + k]!
      if (sx < fan[v]!) fan[v] = sx
      if (sx > fan[v + 1]!) fan[v + 1] = sx
      if (sy < fan[v + 2]!) fan[v + 2] = sy
      if (sy > fan[v + 3]!) fan[v + 3] = sy
    }
    if (f % (4 * BLOCK) === 0) yield 0.5 + (0.2 * f) / facets
  }
  const edges: number[] = []
  const edgeFacet: number[] = []
  for (let h = 0; h < 3 * facets; h++) {
    const f = (h / 3) | 0
    const g = across[h]!
    if (g >= 0 && g < f) continue // seen from the other side
    const a = indices[h]!
    const b = indices[h % 3 === 2 ? h - 2 : h + 1]!
    if (g >= 0 && g !== f && properPair(p, indices, f, g, a, b, upright)) {
      if (!standsOut(p, indices, slope, f, g, a, b)) continue
      edges.push(h)
      edgeFacet.push(g)
    } else {
      edges.push(h)
      edgeFacet.push(-1)
      whole[a] = 1
      whole[b] = 1
    }
    if (h % (12 * BLOCK) === 0) yield 0.7 + (0.3 * h) / (3 * facets)
  }
  return {
    mesh,
    facets,
    slope,
    upright,
    edges: Uint32Array.from(edges),
    edgeFacet: Int32Array.from(edgeFacet),
    fan,
    whole,
  }
}

function facetSlope(p: Float32Array, indices: Uint32Array, f: number, slope: Float64Array, upright: Uint8Array): void {
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const c = 3 * indices[3 * f + 2]!
  const ux = p[b]! - p[a]!
  const uy = p[b + 1]! - p[a + 1]!
  const uz = p[b + 2]! - p[a + 2]!
  const vx = p[c]! - p[a]!
  const vy = p[c + 1]! - p[a + 1]!
  const vz = p[c + 2]! - p[a + 2]!
  const nx = uy * vz - uz * vy
  const ny = uz * vx - ux * vz
  const nz = ux * vy - uy * vx
  const flat = Math.sqrt(nx * nx + ny * ny)
  if (Math.abs(nz) * STEEPEST <= flat || nz === 0) {
    upright[f] = 1
    slope[2 * f] = flat > 0 ? (-nx / flat) * STEEPEST : 0
    slope[2 * f + 1] = flat > 0 ? (-ny / flat) * STEEPEST : 0
  } else {
    slope[2 * f] = -nx / nz
    slope[2 * f + 1] = -ny / nz
  }
}

/** True if the two facets lie on either side of their edge in plan, both with area there: a fold or a wall is not proper. */
function properPair(
  p: Float32Array,
  indices: Uint32Array,
  f: number,
  g: number,
  a: number,
  b: number,
  upright: Uint8Array,
): boolean {
  if (upright[f] || upright[g]) return false
  return sideOf(p, a, b, third(indices, f, a, b)) * sideOf(p, a, b, third(indices, g, a, b)) < 0
}

function third(indices: Uint32Array, f: number, a: number, b: number): number {
  for (let k = 0; k < 3; k++) {
    const v = indices[3 * f + k]!
    if (v !== a && v !== b) return v
  }
  return a
}

/** Twice the signed area of the plan triangle a, b, c. */
function sideOf(p: Float32Array, a: number, b: number, c: number): number {
  return (
    (p[3 * b]! - p[3 * a]!) * (p[3 * c + 1]! - p[3 * a + 1]!) -
    (p[3 * b + 1]! - p[3 * a + 1]!) * (p[3 * c]! - p[3 * a]!)
  )
}

/**
 * True unless the far corner of one facet lies above the plane of the other. A flat edge counts as standing out: to test it
 * costs little, and rounding may not decide about a gouge.
 */
function standsOut(
  p: Float32Array,
  indices: Uint32Array,
  slope: Float64Array,
  f: number,
  g: number,
  a: number,
  b: number,
): boolean {
  const c = 3 * third(indices, g, a, b)
  const plane = p[3 * a + 2]! + slope[2 * f]! * (p[c]! - p[3 * a]!) + slope[2 * f + 1]! * (p[c + 1]! - p[3 * a + 1]!)
  return p[c + 2]! <= plane + 1e-9 * (1 + Math.abs(plane))
}

/** Least and largest tip offset in x and y. */
export interface ShiftBox {
  x0: number
  x1: number
  y0: number
  y1: number
}

/**
 * Box of the tip's offset from the contact point for all slopes in a box.
 *
 * The offset for slope g is −g (r/√(1 + g²) + (R − r)/|g|). Each part grows with its own component and shrinks with the other,
 * so its bounds lie on the corners. All slopes at which a vertex can be touched lie in the convex hull of its facets' slopes
 * (f − g·x has its largest value there, so 0 is in the generalised gradient of it: F. Clarke, Optimization and Nonsmooth
 * Analysis, 1983, 2.3.2), hence in their box.
 */
export function shiftBox(R: number, r: number, fan: ArrayLike<number>, at: number, out: ShiftBox): void {
  const gx0 = fan[at]!
  const gx1 = fan[at + 1]!
  const gy0 = fan[at + 2]!
  const gy1 = fan[at + 3]!
  out.x0 = -reach(R, r, gx1, gy0, gy1, true)
  out.x1 = -reach(R, r, gx0, gy0, gy1, false)
  out.y0 = -reach(R, r, gy1, gx0, gx1, true)
  out.y1 = -reach(R, r, gy0, gx0, gx1, false)
}

/** Largest (or least) of the offset's size along one axis, at slope `g` along it and slopes `across0` … `across1` across it. */
function reach(R: number, r: number, g: number, across0: number, across1: number, largest: boolean): number {
  const near = across0 > 0 ? across0 : across1 < 0 ? across1 : 0
  const far = Math.max(Math.abs(across0), Math.abs(across1))
  // A positive size is largest beside the least cross slope; a negative one beside the largest.
  const side = g > 0 === largest ? near : far
  const squared = g * g + side * side
  if (squared === 0) return largest ? R - r : -(R - r)
  const toFlat = g / Math.sqrt(squared)
  return (g * r) / Math.sqrt(1 + squared) + (R - r) * toFlat
}
