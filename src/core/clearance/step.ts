import type { Point } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { leastDistance } from '../geometry/least-distance'
import { buildTriangleTree } from '../geometry/triangle-tree'
import { type Finding, Refused } from '../geometry/trouble'
import { certify } from './certificate'
import { drawShells, EXACT_MM, LEAST_GUARD_MM, largestOf, MAP_MM } from './clearance'
import { beddingFindings } from './dress-findings'
import { betweenFindings, importedFindings } from './imported-findings'
import { type ImportedShell, importedShell } from './imported-shell'
import { loweringFindings, loweringOf } from './lowering'
import { type BearingGap, bearingGaps, type RegionGap, regionGaps } from './metal-gaps'
import { planHull } from './plan-hull'
import { checkSettings } from './settings'
import type { BetweenShells, Certificate, ClearanceRequest, ClearanceResult, DrawnShells, Shell } from './types'

/**
 * Both shells with the certificate of the inner surface, and their way on to the frame. A shell that the job names as a mesh
 * is taken as it is; the other is drawn as if nothing had been imported, and how near the two come is measured.
 *
 * @throws Refused as `drawShells` and `importedShell` do
 * @example const { certificate, lowering } = drain(clearanceStep({ frame, rimVertex, unseenFacet: null, noise_mm: 0.3, settings, facetGap_mm: null }))
 */
export function* clearanceStep(request: ClearanceRequest): Steps<ClearanceResult> {
  const wanted = request.imported ?? { underside: null, topside: null }
  const result =
    wanted.underside || wanted.topside
      ? yield* within(0, 0.9, '', withImported(request))
      : drawn(yield* within(0, 0.9, '', drawShells(request)))
  const lowering = yield* within(0.9, 0.95, 'way on to the frame', loweringOf(request, result))
  const { regions: asked } = request.settings
  const tubes = request.bearing ?? []
  let bearing: BearingGap[] = []
  let regions: RegionGap[] = []
  if (asked.length + tubes.length > 0) {
    const face = yield* buildTriangleTree(result.underside.face)
    bearing = yield* within(0.95, 0.98, 'gaps along the tubes', bearingGaps(request.frame, face, tubes))
    regions = yield* within(0.98, 1, 'gaps of the regions', regionGaps(request.frame, face, asked))
  }
  return {
    ...result,
    lowering,
    bearing,
    regions,
    findings: [
      ...result.findings,
      ...loweringFindings(lowering),
      ...beddingFindings(bearing, request.settings),
      ...emptyRegions(regions),
    ],
  }
}

type Unlowered = Omit<ClearanceResult, 'lowering' | 'bearing' | 'regions'>

const drawn = (shells: DrawnShells): Unlowered => ({
  ...shells,
  imported: { underside: null, topside: null },
  betweenShells: null,
})

function* withImported(request: ClearanceRequest): Steps<Unlowered> {
  const { settings, frame } = request
  const wanted = request.imported!
  if (frame.indices.length === 0)
    throw new Refused('mesh-empty', 'clearance: the frame has no facet; load a scan first.')
  checkSettings(settings)
  const own = wanted.underside && wanted.topside ? null : yield* within(0, 0.5, '', drawShells(request))
  const take = function* (role: 'underside' | 'topside'): Steps<ImportedShell | null> {
    const mesh = wanted[role]
    if (!mesh) return null
    return yield* importedShell(
      mesh.mesh,
      role,
      settings[role === 'underside' ? 'underside_mm' : 'topside_mm'],
      mesh.name,
    )
  }
  const under = yield* within(0.5, 0.55, 'underside', take('underside'))
  const top = yield* within(0.55, 0.6, 'topside', take('topside'))
  const underside = under?.shell ?? own!.underside
  const topside = top?.shell ?? own!.topside
  const certificate = under ? yield* within(0.6, 0.9, '', certificateOf(request, underside)) : own!.certificate
  const betweenShells = yield* within(0.9, 1, 'between the shells', between(underside, topside))
  const hull = under ? planHull(underside.face) : null
  return {
    underside,
    topside,
    outline: hull?.outline ?? own!.outline,
    outlineHeight_mm: hull?.height_mm ?? own!.outlineHeight_mm,
    certificate,
    leastConcaveRadius_mm: under ? null : own!.leastConcaveRadius_mm,
    lifts: under ? 0 : own!.lifts,
    imported: { underside: wanted.underside?.name ?? null, topside: wanted.topside?.name ?? null },
    betweenShells,
    water: top ? null : own!.water,
    bosses: under ? [] : own!.bosses,
    findings: [
      // What was said of a shell that is not the one taken says nothing here.
      ...(own?.findings ?? []).filter(({ id }) => (id.startsWith('clearance.standing-water') ? !top : !under)),
      ...importedFindings(wanted, under, top, certificate),
      ...betweenFindings(betweenShells, settings),
    ],
  }
}

/** The certificate as for a drawn surface: same kernel, same guard band; only that nothing is lifted afterwards. */
function* certificateOf(request: ClearanceRequest, underside: Shell): Steps<Certificate> {
  const { frame, rimVertex, unseenFacet, settings } = request
  const gap = request.facetGap_mm ?? settings.gap_mm
  const guard_mm = Math.max(settings.coverage * request.noise_mm, LEAST_GUARD_MM)
  return yield* certify({
    face: underside.face,
    frame,
    rimVertex,
    unseenFacet,
    gap,
    guard_mm,
    limit_mm: largestOf(gap) + guard_mm + EXACT_MM,
    map_mm: MAP_MM,
    lift: null,
  })
}

function* between(underside: Shell, topside: Shell): Steps<BetweenShells> {
  const least = yield* leastDistance(topside.solid, underside.solid)
  return {
    min_mm: least.distance_mm,
    at: least.facetA < 0 ? null : { topside: plain(least.pointA), underside: plain(least.pointB) },
  }
}

const plain = (p: Point): Point<'job'> => [p[0], p[1], p[2]]

/** A box beside the metal is a slip of the pen, and nobody would see it. */
const emptyRegions = (regions: readonly RegionGap[]): Finding[] =>
  regions
    .map((region, k) => ({ region, k }))
    .filter(({ region }) => region.facets === 0)
    .map(({ region, k }) => ({
      id: `clearance.region-empty.${k + 1}`,
      step: 'clearance',
      severity: 'warning',
      message: `The region “${region.name}” holds no metal, so its gap of ${region.gap_mm} mm changes nothing.`,
      advice: 'Move its box on to the metal (job axes: x forward, y to port, z up), or take it away.',
    }))
