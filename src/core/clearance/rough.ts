/**
 * The underside roughly, while a setting is still being chosen: over a thinned frame, on coarse samples, without lift,
 * certificate or topside. It is for the eye alone; no figure is taken of it.
 */
import { UP } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { type Mesh, turnedOver } from '../geometry/mesh'
import { clustered } from '../geometry/thin-mesh'
import { Refused } from '../geometry/trouble'
import { LEAST_GUARD_MM, largestOf } from './clearance'
import { isPlain } from './dress'
import { laminate } from './laminate'
import { checkSettings } from './settings'
import { shellFace } from './shell'
import type { SkirtLine } from './skirt-line'
import type { ClearanceRequest, Shell } from './types'
import { undersideForm, undersideRows } from './underside'

/** Cells that the frame is thinned to. At 12 mm a tube of 40 mm keeps ten sides; a million facets became 57,000. */
const CELL_MM = 12
/** Spacing of the samples. At 24 mm nothing was won, since skirt line and outline have spacings of their own. */
const SAMPLE_MM = 16
const MESH_STEP_MM = 32
/** Averaging wears the crests of the noise off, on which the exact sheet rests. */
const CREST_SIGMAS = 3

export interface ThinFrameRequest {
  readonly frame: Mesh<'job'>
  /** One per vertex of `frame`, 1 on the rim of a hole. */
  readonly rimVertex: Uint8Array
}

export interface ThinFrame {
  readonly mesh: Mesh<'job'>
  /** One per vertex of `mesh`. */
  readonly rimVertex: Uint8Array
  /** A facet of the whole frame for each facet of `mesh`: whose gap it asks for. */
  readonly facetFrom: Uint32Array
}

export function* thinFrame({ frame, rimVertex }: ThinFrameRequest): Steps<ThinFrame> {
  const { mesh, clusterOf, facetFrom } = yield* clustered(frame, CELL_MM)
  const rim = new Uint8Array(mesh.positions.length / 3)
  for (let v = 0; v < clusterOf.length; v++) if (rimVertex[v]) rim[clusterOf[v]!] = 1
  return { mesh, rimVertex: rim, facetFrom }
}

export interface RoughRequest extends ClearanceRequest {
  /** From an earlier rough sheet of the same skirt, edge radius and symmetry; `null`: found here (about half of the time). */
  readonly line: SkirtLine | null
}

export interface RoughUnderside {
  readonly underside: Shell
  readonly line: SkirtLine
}

/**
 * @param request as for `clearanceStep`, of a thin frame; its sample spacing does not count
 * @throws Refused `setting-impossible`, `shape-impossible`, `mesh-empty`
 */
export function* roughUnderside(request: RoughRequest): Steps<RoughUnderside> {
  const { frame, rimVertex, noise_mm } = request
  const settings = { ...request.settings, sample_mm: SAMPLE_MM }
  checkSettings(settings)
  if (frame.indices.length === 0)
    throw new Refused('mesh-empty', 'clearance: the frame has no facet; load a scan first.')
  const gap = request.facetGap_mm ?? settings.gap_mm
  const form = yield* within(
    0,
    0.8,
    'surface',
    undersideForm({
      frame,
      rimVertex,
      gap,
      largestGap_mm: largestOf(gap),
      guard_mm: Math.max((settings.coverage + CREST_SIGMAS) * noise_mm, LEAST_GUARD_MM),
      settings,
      bearing: request.bearing ?? [],
      ...(request.line ? { line: request.line } : {}),
    }),
  )
  const face = yield* within(
    0.8,
    0.95,
    'mesh',
    shellFace({
      curve: form.curve,
      edge: undersideRows(form),
      grid: form.grid,
      height: form.crown.height,
      fine: isPlain(form.dressing) ? null : form.dressed.fine,
      meshStep_mm: MESH_STEP_MM,
      facing: 'down',
      draft_deg: settings.draft_deg,
    }),
  )
  return {
    underside: {
      face: turnedOver(face.mesh),
      zone: face.zone,
      solid: yield* within(0.95, 1, 'solids', laminate(face, settings.underside_mm, 'down')),
      thickness_mm: settings.underside_mm,
      pull: UP,
    },
    line: form.line,
  }
}
