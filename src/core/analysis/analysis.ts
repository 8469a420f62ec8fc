/** The whole check of a part, and the step that checks the shells of a job. */
import { type Adjacency, adjacency } from '../geometry/adjacency'
import { facetField } from '../geometry/facet-field'
import { type Steps, sideBySide, within } from '../geometry/kernel'
import { facetShape } from '../geometry/measure'
import { facetCount, type Mesh, turnedOver, vertexCount } from '../geometry/mesh'
import { type Finding, Refused } from '../geometry/trouble'
import { checkAsMade } from './as-made-step'
import { draftInView } from './draft'
import { draftRegions } from './draft-regions'
import { partFindings } from './findings'
import { leastRadius, type RadiusOptions } from './least-radius'
import { meshSummary } from './mesh-summary'
import { facetSides, planView } from './plan-view'
import { symmetry } from './symmetry'
import type { AnalysisRequest, AnalysisResult, AsMadeResult, PartAnalysis, PartRequest } from './types'
import { undercutInView } from './undercut'

/**
 * Draft, undercut, mirror error and least radius of one part, with the fields behind them.
 *
 * @throws Refused `setting-impossible` for a pull without length or a draft outside −90…90; `mesh-empty` for no facets
 *
 * @example const { check } = drain(analysePart({ ...request, mesh: shell.face, pull: [0, 0, 1], minDraft_deg: 3 }))
 */
export function* analysePart(request: PartRequest): Steps<PartAnalysis> {
  const { mesh, minDraft_deg, name } = request
  if (facetCount(mesh) === 0)
    throw new Refused('mesh-empty', `${name || 'The part'} has no facets: there is nothing to check.`)
  if (!(minDraft_deg > -90 && minDraft_deg < 90))
    throw new Refused('setting-impossible', `A least draft of ${minDraft_deg} degrees is out of range: give −90 to 90.`)
  const view = yield* within(0, 0.03, 'draft', planView(mesh, request.pull))
  const side = yield* within(0.03, 0.05, 'draft', facetSides(view))
  const shape = yield* within(0.05, 0.07, 'draft', facetShape(mesh))
  const neighbours: Adjacency = yield* within(0.07, 0.12, 'neighbours', adjacency(mesh.indices, vertexCount(mesh)))
  const summary = yield* within(0.12, 0.15, 'mesh', meshSummary(mesh, neighbours, request.mesh_summary))
  const drafted = yield* within(0.15, 0.2, 'draft', draftInView(view, side, minDraft_deg))
  const regions = yield* within(0.2, 0.22, 'draft', draftRegions(mesh, shape, neighbours.across, drafted))
  const locked = yield* within(0.22, 0.4, 'undercut', undercutInView(view, side, neighbours))
  const mirror = yield* within(0.4, 0.65, 'symmetry', symmetry(mesh, request.mirror, request.rimVertex ?? null))
  const radiusOptions = { limit_mm: request.radiusLimit_mm, noise_mm: request.noise_mm }
  const radius = yield* within(
    0.65,
    1,
    'least radius',
    request.cutter === 'behind'
      ? radiusBehind(mesh, radiusOptions)
      : leastRadius(mesh, shape, neighbours, radiusOptions),
  )
  return {
    name,
    check: {
      mesh: summary,
      draft: { ...drafted.summary, regions },
      undercut: locked.summary,
      symmetry: mirror.summary,
      radius: radius.summary,
    },
    draft: drafted.field,
    undercut_mm2: locked.locked_mm2,
    undercutClass: locked.undercutClass,
    undercutRegion: locked.regionOf,
    symmetry: mirror.field,
    radius: radius.field,
  }
}

/** Least radius on the other side: that of the mesh turned over, facet by facet. */
function* radiusBehind(mesh: Mesh, options: RadiusOptions): ReturnType<typeof leastRadius> {
  const turned = turnedOver(mesh)
  const shape = yield* within(0, 0.05, 'least radius', facetShape(turned))
  const neighbours = yield* within(0.05, 0.1, 'least radius', adjacency(turned.indices, vertexCount(turned)))
  const { summary, field } = yield* within(0.1, 1, 'least radius', leastRadius(turned, shape, neighbours, options))
  return { summary, field: facetField(mesh, field.values, field.unit) }
}

/** Parts do not know of each other, so that two can be checked at once. */
export const ANALYSE_PART = { name: 'analysePart', run: analysePart } as const

/** Checks every part of a job as if it were a stranger's mesh. */
export function* analysisStep(request: AnalysisRequest): Steps<AnalysisResult> {
  const scans = request.asMade ?? []
  const share = scans.length > 0 ? 0.6 : 1
  const parts = yield* sideBySide(0, share, 'parts', ANALYSE_PART, request.parts)
  const findings = request.parts.flatMap((part, i): Finding[] => partFindings(part, parts[i]!))
  const asMade: AsMadeResult[] = []
  for (const [i, scan] of scans.entries()) {
    const from = share + ((1 - share) * i) / scans.length
    const { findings: said, ...result } = yield* within(from, from, scan.name, checkAsMade(scan))
    asMade.push(result)
    findings.push(...said)
  }
  return { parts, asMade, findings }
}
