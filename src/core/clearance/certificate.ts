import type { Point } from '../geometry/axes'
import { closestPoint, makeNearest } from '../geometry/closest-point'
import { facetField } from '../geometry/facet-field'
import { BLOCK, type Steps, within } from '../geometry/kernel'
import { facetCount, type Mesh } from '../geometry/mesh'
import { closestOnTriangle, type Feature } from '../geometry/point-triangle'
import { buildTriangleTree, type TriangleTree } from '../geometry/triangle-tree'
import { type FacetGaps, facetGaps } from './facet-gaps'
import type { Obstacle } from './obstacle'
import { type RimReach, rimReach } from './rim-reach'
import { type Certificate, VERDICTS, type Verdict } from './types'

export interface CertificateRequest {
  /** The surface that must clear: the moulded face of the underside shell, or any imported one. */
  readonly face: Mesh<'job'>
  readonly frame: Mesh<'job'>
  /** One per vertex of `frame`, 1 on the rim of a hole in the scan. */
  readonly rimVertex: Uint8Array
  /** One per facet of `frame`, 1 where a hole was filled: no metal that anybody has seen. `null`: none. */
  readonly unseenFacet: Uint8Array | null
  /** Gap of each frame facet, mm, or one for all. */
  readonly gap: number | Float32Array
  /** Expanded uncertainty U: the margin from which a gap counts as proven. */
  readonly guard_mm: number
  /** Distances are exact up to here, mm; at least the largest gap + guard. Nothing beyond can change a verdict. */
  readonly limit_mm: number
  /** Beyond the limit and up to here, mm, the map shows the distance of the facet's middle; Infinity further off. */
  readonly map_mm: number
  /** For the excess lift: the obstacle, the sheet's height at each of its nodes, and the nodes on which the sheet rests. `null`: not measured (0). */
  readonly lift: { readonly obstacle: Obstacle; readonly sheet: Float64Array; readonly contact: Uint32Array } | null
}

/**
 * Measures a surface against a frame and judges every facet. The distances are exact, triangle to triangle; nothing is
 * sampled, and nothing is rounded in the surface's favour.
 *
 * Verdicts, for each facet of the surface, the first that holds:
 * - *fails*: its least margin (distance − the frame facet's own gap) is below 0;
 * - *unseen*: the frame point nearest to it lies on the rim of a hole in the scan, and metal that goes on into the hole, no
 *   further than the hole is wide, could come nearer than gap + U;
 * - *proven*: margin at least U (decision rule of ISO 14253-1: the zone is shrunk by the expanded uncertainty);
 * - *not proven*: margin from 0 up to U: neither can be said.
 *
 * A facet is judged as a whole by its worst point: areas of *fails* and *not proven* are never too small, but with large
 * facets (imported surfaces) they may be too large by up to a facet at the border. Beyond the limit the hole is looked for
 * from the middle of the facet, less its radius.
 *
 * The verdict of the whole is that of the facet with the least margin; unseen area elsewhere stands in `unseen_mm2`.
 *
 * @throws a defect if the frame has no facet, or if the limit is below the largest gap and guard together
 */
export function* certify(request: CertificateRequest): Steps<Certificate> {
  const { face, frame, gap, guard_mm, limit_mm } = request
  const facets = facetCount(face)
  if (facetCount(frame) === 0 || facets === 0) throw new Error('clearance: nothing to certify against nothing')
  const largestGap = typeof gap === 'number' ? gap : gap.reduce((a, b) => Math.max(a, b), -Infinity)
  if (!(limit_mm >= largestGap + guard_mm)) throw new Error('clearance: the limit hides what is to be proven')
  const frameTree = yield* within(0, 0.2, 'search tree', buildTriangleTree(frame))
  const shellTree = yield* within(0.2, 0.25, 'search tree', buildTriangleTree(face))
  const gaps = yield* within(0.25, 0.9, 'distances', facetGaps(shellTree, frameTree, gap, limit_mm))
  // A surface that stands nowhere near the frame still has a least distance: look further, in widening rounds.
  let wide = gaps
  for (let limit = 4 * limit_mm; !(least(wide.margin) < Infinity); limit *= 4)
    wide = yield* within(0.9, 0.92, 'distances', facetGaps(shellTree, frameTree, gap, limit))

  const rims = rimReach(frame, request.rimVertex, request.unseenFacet)
  const unseen = yield* within(0.92, 0.96, 'holes', unseenFacets(request, frameTree, gaps, rims))
  const shown = yield* within(0.96, 1, 'map', mapDistances(request, frameTree, gaps))
  const verdictOfFacet = new Uint8Array(facets)
  const area = new Float64Array(VERDICTS.length)
  for (let f = 0; f < facets; f++) {
    const code = VERDICTS.indexOf(judge(gaps.margin[f]!, guard_mm, unseen[f] === 1))
    verdictOfFacet[f] = code
    area[code]! += facetArea(face, f)
  }
  const worst = wide.margin.indexOf(least(wide.margin))
  const frameFacet = wide.frameFacet[worst]!
  const pair = (of: Float64Array, at: number) => ({
    shell: [of[at]!, of[at + 1]!, of[at + 2]!] as Point<'job'>,
    frame: [of[at + 3]!, of[at + 4]!, of[at + 5]!] as Point<'job'>,
  })
  return {
    required_mm: typeof gap === 'number' ? gap : gap[frameFacet]!,
    guard_mm,
    min_mm: wide.distance[wide.nearest]!,
    margin_mm: wide.margin[worst]!,
    at: pair(wide.nearestPair, 0),
    marginAt: pair(wide.witness, 6 * worst),
    verdict: VERDICTS[verdictOfFacet[worst]!]!,
    proven_mm2: area[VERDICTS.indexOf('proven')]!,
    notProven_mm2: area[VERDICTS.indexOf('not-proven')]!,
    fails_mm2: area[VERDICTS.indexOf('fails')]!,
    unseen_mm2: area[VERDICTS.indexOf('unseen')]!,
    excessLift: excessLift(request.lift),
    gap: facetField(face, shown, 'mm'),
    gapLimit_mm: limit_mm,
    verdictOfFacet,
    marginOfFacet_mm: gaps.margin,
  }
}

/** Exact distances within the limit, those of the facets' middles beyond it. For the eye: verdicts never read them. */
function* mapDistances(
  { face, limit_mm, map_mm }: CertificateRequest,
  tree: TriangleTree,
  gaps: FacetGaps,
): Steps<Float32Array> {
  const shown = Float32Array.from(gaps.distance)
  const near = makeNearest()
  let seed = -1
  for (let f = 0; f < shown.length; f++) {
    if (f % BLOCK === 0) yield f / shown.length
    if (shown[f]! < Infinity || map_mm <= limit_mm) continue
    const [x, y, z] = middle(face, f)
    closestPoint(tree, x, y, z, map_mm, near, seed)
    if (near.facet < 0) continue
    seed = near.facet
    shown[f] = Math.max(limit_mm, near.distance)
  }
  return shown
}

/** One facet: its least margin, the expanded uncertainty, and whether its nearest metal is only the rim of a hole. */
export function judge(margin_mm: number, guard_mm: number, unseen: boolean): Verdict {
  if (margin_mm < 0) return 'fails'
  if (unseen) return 'unseen'
  return margin_mm >= guard_mm ? 'proven' : 'not-proven'
}

function least(values: Float64Array): number {
  let low = Infinity
  for (let i = 0; i < values.length; i++) if (values[i]! < low) low = values[i]!
  return low
}

/** 1 for each facet whose nearest frame point is a rim behind which metal could come too near. */
function* unseenFacets(
  request: CertificateRequest,
  tree: TriangleTree,
  gaps: FacetGaps,
  rims: RimReach,
): Steps<Uint8Array> {
  const { face, frame, gap, guard_mm } = request
  const facets = facetCount(face)
  const unseen = new Uint8Array(facets)
  if (!rims.any) return unseen
  const largestGap = typeof gap === 'number' ? gap : gap.reduce((a, b) => Math.max(a, b), 0)
  const near = makeNearest()
  const point = new Float64Array(5)
  let seed = -1
  for (let f = 0; f < facets; f++) {
    if (f % BLOCK === 0) yield f / facets
    let g = gaps.frameFacet[f]!
    let distance = gaps.distance[f]!
    if (g >= 0) {
      const w = 6 * f + 3
      const feature = onFacet(frame, g, gaps.witness[w]!, gaps.witness[w + 1]!, gaps.witness[w + 2]!, point)
      distance = gaps.margin[f]! + (typeof gap === 'number' ? gap : gap[g]!)
      unseen[f] = mayHide(request, g, feature, point[3]!, point[4]!, distance, rims) ? 1 : 0
      seed = g
      continue
    }
    const [x, y, z, r] = middle(face, f)
    closestPoint(tree, x, y, z, largestGap + guard_mm + rims.widest + r, near, seed)
    g = near.facet
    if (g < 0) continue
    seed = g
    if (mayHide(request, g, near.feature, near.v, near.w, near.distance - r, rims)) unseen[f] = 1
  }
  return unseen
}

/** The witness was computed, not taken: within this share of an edge it counts as lying on the feature. */
const SNAP = 1e-6

function mayHide(
  { frame, gap, guard_mm, unseenFacet }: CertificateRequest,
  g: number,
  feature: Feature,
  v: number,
  w: number,
  distance: number,
  rims: RimReach,
): boolean {
  const asked = (typeof gap === 'number' ? gap : gap[g]!) + guard_mm
  const corner = (k: number) => frame.indices[3 * g + k]!
  if (unseenFacet?.[g]) return distance - rims.reach(corner(0)) < asked
  if (feature === 0 && v > SNAP && w > SNAP && v + w < 1 - SNAP) return false
  const weights = [1 - v - w, v, w]
  const [p, q, r] = [0, 1, 2].filter((k) => weights[k]! > SNAP).map(corner)
  if (p === undefined || r !== undefined) return false
  const rim = q === undefined ? rims.isRimVertex(p) : rims.isRimEdge(p, q)
  if (!rim) return false
  return distance - Math.max(rims.reach(p), q === undefined ? 0 : rims.reach(q)) < asked
}

function onFacet(mesh: Mesh, f: number, x: number, y: number, z: number, out: Float64Array): Feature {
  const { positions: p, indices, origin } = mesh
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const c = 3 * indices[3 * f + 2]!
  return closestOnTriangle(
    x - origin[0],
    y - origin[1],
    z - origin[2],
    p[a]!,
    p[a + 1]!,
    p[a + 2]!,
    p[b]!,
    p[b + 1]!,
    p[b + 2]!,
    p[c]!,
    p[c + 1]!,
    p[c + 2]!,
    out,
  )
}

/** Middle of a facet and the distance of its furthest corner from there. */
function middle(mesh: Mesh, f: number): [number, number, number, number] {
  const { positions: p, indices, origin } = mesh
  const [a, b, c] = [3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!]
  const m = [0, 1, 2].map((k) => (p[a + k]! + p[b + k]! + p[c + k]!) / 3) as [number, number, number]
  const to = (v: number) => Math.hypot(p[v]! - m[0], p[v + 1]! - m[1], p[v + 2]! - m[2])
  return [m[0] + origin[0], m[1] + origin[1], m[2] + origin[2], Math.max(to(a), to(b), to(c))]
}

function facetArea(mesh: Mesh, f: number): number {
  const { positions: p, indices } = mesh
  const [a, b, c] = [3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!]
  const [ux, uy, uz] = [p[b]! - p[a]!, p[b + 1]! - p[a + 1]!, p[b + 2]! - p[a + 2]!]
  const [vx, vy, vz] = [p[c]! - p[a]!, p[c + 1]! - p[a + 1]!, p[c + 2]! - p[a + 2]!]
  const [x, y, z] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx]
  return Math.sqrt(x * x + y * y + z * z) / 2
}

/** How high the sheet stands above the obstacle where it rests on it: median and 95th percentile over the contact nodes (nearest rank). */
function excessLift(lift: CertificateRequest['lift']): { p50_mm: number; p95_mm: number } {
  if (!lift || lift.contact.length === 0) return { p50_mm: 0, p95_mm: 0 }
  const above = Float64Array.from(lift.contact, (node) => lift.sheet[node]! - lift.obstacle.height[node]!).sort()
  const rank = (share: number) => above[Math.min(above.length - 1, Math.ceil(share * above.length) - 1)]!
  return { p50_mm: rank(0.5), p95_mm: rank(0.95) }
}
