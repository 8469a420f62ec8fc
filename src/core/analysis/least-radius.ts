/**
 * Least inside radius on the tool's side: what a cutter must fit into, and a cloth must drape into.
 */
import type { Adjacency } from '../geometry/adjacency'
import { type FacetField, facetField } from '../geometry/facet-field'
import { BLOCK, type Steps } from '../geometry/kernel'
import type { FacetShape } from '../geometry/measure'
import { facetMiddle, type Mesh } from '../geometry/mesh'
import { acosDeg } from '../geometry/portable-math'
import { weightedQuantile } from '../geometry/weighted-quantile'
import { type BallField, ballField } from './ball-field'
import { CREASE_COS } from './smooth-normals'
import type { RadiusSummary, SharpInside } from './types'

export interface RadiusOptions {
  /** Radii above this are not looked for, mm. */
  readonly limit_mm: number
  /** 1 sigma of the mesh, mm; 0: an exact mesh. */
  readonly noise_mm: number
}

/**
 * Radius of the largest ball that touches the middle of each facet from outside without entering the mesh.
 *
 * The least value of any mesh with a sharp inside corner is about half a facet: `min_mm` is a property of the mesh, `p01_mm` of
 * its areas, and sharp inside edges are listed apart. An arc of half angle b fixes its radius only to d / (1 − cos b), with d
 * the allowed entry (sag and noise): stated as `minDoubt_mm`.
 *
 * @returns mm per facet; the limit where nothing smaller was found, NaN without area
 */
export function* leastRadius(
  mesh: Mesh,
  shape: FacetShape,
  neighbours: Adjacency,
  options: RadiusOptions,
): Steps<{ summary: RadiusSummary; field: FacetField }> {
  const balls = yield* ballField(mesh, shape, { side: 1, ...options })
  const { radius_mm: radius } = balls
  let least = -1
  for (let f = 0; f < radius.length; f++) {
    if (Number.isNaN(radius[f]!)) continue
    if (least < 0 || radius[f]! < radius[least]!) least = f
  }
  const p01 = weightedQuantile(radius, shape.areas_mm2, 0.01)
  const sharpInside = yield* sharpInsideEdges(mesh, shape, neighbours, options.noise_mm > 0 ? balls : null)
  const found = least >= 0 && radius[least]! < options.limit_mm
  return {
    summary: {
      min_mm: least < 0 ? options.limit_mm : radius[least]!,
      minAt: least < 0 ? mesh.origin : facetMiddle(mesh, least),
      minDoubt_mm: found && balls.arc[least]! > 0 ? balls.entry_mm[least]! / balls.arc[least]! : 0,
      p01_mm: Number.isNaN(p01) ? options.limit_mm : p01,
      limit_mm: options.limit_mm,
      sharpInside,
    },
    field: facetField(mesh, radius, 'mm'),
  }
}

/** On noise: how much larger than at a true corner the balls beside an edge may be. */
const CORNER_SLACK = 1.5

/**
 * Inside edges at which the two facets turn by more than 30 degrees: no radius at all.
 *
 * Noise alone turns neighbours by that much. But at a true corner of turn φ a ball that touches at distance s from the edge has
 * the radius s / tan(φ/2), and on a flat that only looks cornered it is far larger: so on noise the balls must agree.
 *
 * @param balls of a noisy mesh; `null`: the mesh is exact, its angles are believed
 */
function* sharpInsideEdges(
  mesh: Mesh,
  shape: FacetShape,
  { across }: Adjacency,
  balls: BallField | null,
): Steps<SharpInside> {
  const { positions: p, indices, origin } = mesh
  const { normals } = shape
  let edges = 0
  let length_mm = 0
  let least = 1
  let at: [number, number, number] | null = null
  for (let h = 0; h < across.length; h++) {
    if (h % (4 * BLOCK) === 0) yield 1
    const g = across[h]!
    const f = (h / 3) | 0
    if (g <= f) continue
    const cosine =
      normals[3 * f]! * normals[3 * g]! +
      normals[3 * f + 1]! * normals[3 * g + 1]! +
      normals[3 * f + 2]! * normals[3 * g + 2]!
    if (cosine > CREASE_COS) continue
    const i = 3 * indices[h]!
    const j = 3 * indices[h % 3 === 2 ? h - 2 : h + 1]!
    // The neighbour's third corner in front of this facet: an inside edge.
    let ahead = 0
    for (let k = 0; k < 3; k++) {
      const c = 3 * indices[3 * g + k]!
      ahead = largerBySize(
        ahead,
        normals[3 * f]! * (p[c]! - p[i]!) +
          normals[3 * f + 1]! * (p[c + 1]! - p[i + 1]!) +
          normals[3 * f + 2]! * (p[c + 2]! - p[i + 2]!),
      )
    }
    if (!(ahead > 0)) continue
    const dx = p[j]! - p[i]!
    const dy = p[j + 1]! - p[i + 1]!
    const dz = p[j + 2]! - p[i + 2]!
    const length = Math.sqrt(dx * dx + dy * dy + dz * dz)
    if (balls && !(isCorner(balls, shape, f, length, cosine) && isCorner(balls, shape, g, length, cosine))) continue
    edges++
    length_mm += length

    if (at === null || cosine < least) {
      least = cosine
      at = [
        (p[i]! + p[j]!) / 2 + origin[0],
        (p[i + 1]! + p[j + 1]!) / 2 + origin[1],
        (p[i + 2]! + p[j + 2]!) / 2 + origin[2],
      ]
    }
  }
  return { edges, length_mm, worst_deg: at === null ? 0 : acosDeg(Math.max(-1, least)), at }
}

function isCorner(balls: BallField, shape: FacetShape, f: number, edge_mm: number, cosine: number): boolean {
  // The middle of a facet lies a third of its height from the edge.
  const s = (2 * shape.areas_mm2[f]!) / (3 * edge_mm)
  const atCorner = s * Math.sqrt((1 + cosine) / Math.max(1e-9, 1 - cosine))
  return balls.radius_mm[f]! <= CORNER_SLACK * atCorner + balls.entry_mm[f]!
}

const largerBySize = (a: number, b: number): number => (Math.abs(b) > Math.abs(a) ? b : a)
