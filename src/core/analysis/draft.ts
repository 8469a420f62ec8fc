/**
 * Draft of every facet against the pull: +90 faces it, 0 is a wall, below 0 cannot leave.
 */
import type { Point } from '../geometry/axes'
import { type FacetField, facetField } from '../geometry/facet-field'
import { BLOCK, type Steps } from '../geometry/kernel'
import { facetCount, facetMiddle, type Mesh } from '../geometry/mesh'
import { asinDeg, sinDeg } from '../geometry/portable-math'
import { facetSides, type PlanView, planView, SIDE } from './plan-view'
import type { DraftSummary } from './types'

/** Classes of draft, one per facet. */
export const DRAFT_CLASS = { negative: 0, low: 1, good: 2, none: 3 } as const

export interface DraftResult {
  /** Its `regions` stay empty: `draftRegions` needs the neighbours. */
  readonly summary: DraftSummary
  /** Degrees, one per facet; NaN for a facet without area (counted, never hidden). */
  readonly field: FacetField
  /** One of `DRAFT_CLASS` per facet; `none`: no area. */
  readonly draftClass: Uint8Array
  readonly withoutArea: number
}

const DEG = 180 / Math.PI

/** Facets of which rounding leaves the draft open by more than this (sine of 1 degree) do not set the least draft. */
const UNSURE = 0.0175

/** Neighbours that differ by more than 20 degrees (cosine) stand at a crease, not on one curved face. */
const CREASE_COS = 0.9396926207859084

/** Largest difference of two sines whose angles differ by 20 degrees. */
const MOST_TURN = 0.35

/** A facet must reach this far to both sides of a limit (sine) to be in doubt; less is rounding. */
const REACH = 1e-4

/**
 * Draft per facet is asin(n · pull) with n the outward unit normal (definition, check value row 1d). The classes are decided by
 * dot products with the rounding of Float32 vertices allowed for: a wall made at exactly the least draft is not “low”.
 *
 * On a coarse mesh a share of area by draft is only as good as its facets are small (G43: on a sphere of 1,280 facets the
 * share below 3 degrees is 5.0 %, of 5,120 facets 6.2 %, true 5.2 %). So the area that might change class is stated beside:
 * facets whose neighbours on the same curved face lie on the other side of the limit.
 *
 * @param mesh         outward normals, mm
 * @param pull         any length, axes of the mesh
 * @param minDraft_deg limit between low and good
 * @throws Refused `setting-impossible` for a pull without length
 *
 * @example const { summary } = drain(draft(shell, [0, 0, 1], 2)) // summary.negative_mm2 is 0 if it can leave
 */
export function* draft(mesh: Mesh, pull: Point, minDraft_deg: number): Steps<DraftResult> {
  const view = yield* planView(mesh, pull)
  const side = yield* facetSides(view)
  return yield* draftInView(view, side, minDraft_deg)
}

/** As `draft`, for a caller that has the view and the sides already. */
export function* draftInView(view: PlanView, side: Uint8Array, minDraft_deg: number): Steps<DraftResult> {
  const { mesh, uvw, step_mm } = view
  const { indices } = mesh
  const facets = facetCount(mesh)
  const sine = new Float32Array(facets) // n · pull per facet
  const deg = new Float32Array(facets)
  const draftClass = new Uint8Array(facets)
  const vertexNormal = new Float32Array(uvw.length) // summed area vectors, in u v w
  const sineOfMin = sinDeg(minDraft_deg)
  const slack = 2 * step_mm
  const area = [0, 0, 0, 0]
  let withoutArea = 0
  let least = Infinity
  let worst = -1
  for (let from = 0; from < facets; from += 2 * BLOCK) {
    const to = Math.min(facets, from + 2 * BLOCK)
    for (let f = from; f < to; f++) {
      const a = 3 * indices[3 * f]!
      const b = 3 * indices[3 * f + 1]!
      const c = 3 * indices[3 * f + 2]!
      const au = uvw[a]!
      const av = uvw[a + 1]!
      const aw = uvw[a + 2]!
      const bu = uvw[b]! - au
      const bv = uvw[b + 1]! - av
      const bw = uvw[b + 2]! - aw
      const cu = uvw[c]! - au
      const cv = uvw[c + 1]! - av
      const cw = uvw[c + 2]! - aw
      const nu = bv * cw - bw * cv
      const nv = bw * cu - bu * cw
      const nw = bu * cv - bv * cu
      const twice = Math.sqrt(nu * nu + nv * nv + nw * nw)
      if (!(twice > 0)) {
        deg[f] = Number.NaN
        sine[f] = Number.NaN
        draftClass[f] = DRAFT_CLASS.none
        withoutArea++
        continue
      }
      vertexNormal[a]! += nu
      vertexNormal[a + 1]! += nv
      vertexNormal[a + 2]! += nw
      vertexNormal[b]! += nu
      vertexNormal[b + 1]! += nv
      vertexNormal[b + 2]! += nw
      vertexNormal[c]! += nu
      vertexNormal[c + 1]! += nv
      vertexNormal[c + 2]! += nw
      const s = Math.max(-1, Math.min(1, nw / twice))
      sine[f] = s
      // The engine's own arc sine: its last bit may differ between engines, and Float32 drops it. Nothing is decided by it.
      deg[f] = Math.asin(s) * DEG
      const doubt = slack * (Math.abs(bu) + Math.abs(bv) + Math.abs(bw) + Math.abs(cu) + Math.abs(cv) + Math.abs(cw))
      const kind =
        side[f] === SIDE.away
          ? DRAFT_CLASS.negative
          : nw < sineOfMin * twice - doubt
            ? DRAFT_CLASS.low
            : DRAFT_CLASS.good
      draftClass[f] = kind
      area[kind]! += twice
      if (s < least && doubt < UNSURE * twice) {
        least = s
        worst = f
      }
    }
    yield (0.6 * to) / facets
  }
  const unsure = yield* unsureArea(view, sine, vertexNormal, sineOfMin)
  const summary: DraftSummary = {
    pull: view.w,
    min_deg: worst < 0 ? Number.NaN : asinDeg(least),
    minAt: worst < 0 ? mesh.origin : facetMiddle(mesh, worst),
    negative_mm2: area[DRAFT_CLASS.negative]! / 2,
    low_mm2: area[DRAFT_CLASS.low]! / 2,
    good_mm2: area[DRAFT_CLASS.good]! / 2,
    limit_deg: minDraft_deg,
    unsureAtZero_mm2: unsure.zero,
    unsureAtLimit_mm2: unsure.limit,
    regions: [],
  }
  return { summary, field: facetField(mesh, deg, 'deg'), draftClass, withoutArea }
}

/** Area of facets that reach across a limit, judged by the surface's own normals at their corners. */
function* unsureArea(
  view: PlanView,
  sine: Float32Array,
  vertexNormal: Float32Array,
  sineOfMin: number,
): Steps<{ zero: number; limit: number }> {
  const { uvw, mesh } = view
  const { indices } = mesh
  let zero = 0
  let limit = 0
  for (let f = 0; f < sine.length; f++) {
    const s = sine[f]!
    // Normals within the crease turn the sine by no more than MOST_TURN.
    if (Math.abs(s) < MOST_TURN || Math.abs(s - sineOfMin) < MOST_TURN) {
      const a = 3 * indices[3 * f]!
      const b = 3 * indices[3 * f + 1]!
      const c = 3 * indices[3 * f + 2]!
      const bu = uvw[b]! - uvw[a]!
      const bv = uvw[b + 1]! - uvw[a + 1]!
      const bw = uvw[b + 2]! - uvw[a + 2]!
      const cu = uvw[c]! - uvw[a]!
      const cv = uvw[c + 1]! - uvw[a + 1]!
      const cw = uvw[c + 2]! - uvw[a + 2]!
      const nu = bv * cw - bw * cv
      const nv = bw * cu - bu * cw
      const nw = bu * cv - bv * cu
      const twice = Math.sqrt(nu * nu + nv * nv + nw * nw)
      let low = s
      let high = s
      for (let k = 0; k < 3; k++) {
        const i = k === 0 ? a : k === 1 ? b : c
        const x = vertexNormal[i]!
        const y = vertexNormal[i + 1]!
        const z = vertexNormal[i + 2]!
        const length = Math.sqrt(x * x + y * y + z * z)
        if (!(length > 0) || x * nu + y * nv + z * nw < CREASE_COS * length * twice) continue
        const t = z / length
        if (t < low) low = t
        if (t > high) high = t
      }
      if (low < -REACH && high > REACH) zero += twice / 2
      if (low < sineOfMin - REACH && high > sineOfMin + REACH) limit += twice / 2
    }
    if (f % (4 * BLOCK) === 0) yield 0.6 + (0.4 * f) / sine.length
  }
  return { zero, limit }
}

/** Gap that opens at a wall of this draft when the part has moved `travel_mm` along the pull, mm: d sin δ (G49). */
export const gapOpened_mm = (travel_mm: number, draft_deg: number): number => travel_mm * sinDeg(draft_deg)
