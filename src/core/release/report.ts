import { effectOfTop } from '../build-plan'
import type { Tube } from '../frame'
import { type Matrix4, type Point, transformDirection, transformPoint } from '../geometry/axes'
import type { Finding } from '../geometry/trouble'
import { cross, dot, plus, scaled, unit, type Vec } from '../geometry/vectors'
import { type Job, jobHash } from '../job'
import { CAUTIONS } from './cautions'
import { standingHolds, withWaivers } from './holds'
import { toolingPart } from './tooling-part'
import type { ReleaseInput, ReleaseResults, Report, ReportTube } from './types'

/** Puts everything that was worked out into the fixed shape that others rely on. */
export function buildReport({ job, results, timings_s, program, covers }: ReleaseInput): Report {
  const findings = withWaivers(allFindings(results), job)
  return {
    program,
    job: { title: job.title, revision: job.release.revision, settings: job.clearance },
    hash: jobHash(job),
    scan: results.scan
      ? {
          unit: results.scan.unit.unit,
          unitFrom: results.scan.unit.from,
          ...results.scan.health,
          fits: results.scan.fits ?? [],
        }
      : null,
    datum: datumPart(results),
    frame: framePart(results),
    clearance: clearancePart(results),
    fitting: fittingPart(results),
    asMade: (results.analysis?.asMade ?? []).map(({ made, ...entry }) => {
      if (!made) return { ...entry, made }
      const { deviation: _, ...figures } = made
      return { ...entry, made: figures }
    }),
    analysis: Object.fromEntries((results.analysis?.parts ?? []).map((p) => [p.name, p.check])),
    tooling: toolingPart(results.tooling),
    build: buildPart(results, job.vessel),
    findings,
    holds: standingHolds(findings).map((f) => f.id),
    cautions: Object.values(CAUTIONS),
    signatures: job.release.signatures.map((s) => ({
      role: s.role,
      name: s.name,
      at: s.at,
      covers: s.covers,
      publicKey: s.seal?.publicKey ?? null,
      stands: covers ? covers[s.role] === s.covers : null,
    })),
    timings_s,
  }
}

/** In the order of the work; places of the first three steps are moved into job axes. */
export function allFindings(results: ReleaseResults): readonly Finding[] {
  const motion = results.datum?.motion
  const inJobAxes = (found: readonly Finding[]): Finding[] =>
    found.map((f) => (f.where && motion ? { ...f, where: transformPoint(motion, f.where) as Point } : f))
  return [
    ...inJobAxes(results.scan?.findings ?? []),
    ...inJobAxes(results.frame?.findings ?? []),
    ...inJobAxes(results.datum?.findings ?? []),
    ...(results.clearance?.findings ?? []),
    ...(results.seats?.findings ?? []),
    ...(results.fitting?.findings ?? []),
    ...(results.analysis?.findings ?? []),
    ...(results.tooling?.findings ?? []),
    ...(results.build?.findings ?? []),
  ]
}

function datumPart({ datum }: ReleaseResults): object | null {
  if (!datum) return null
  const { motion, symmetry, lowered, uncertainty, pitch, score_mm, runnerUpScore_mm } = datum
  return { matrix: motion, symmetry, lowered, uncertainty, pitch, score_mm, runnerUpScore_mm }
}

function framePart({ frame, datum }: ReleaseResults): Report['frame'] {
  if (!frame || !datum) return { tubes: [], plates: frame?.plates.length ?? 0 }
  return { tubes: frame.tubes.map((tube) => reportTube(tube, datum.motion)), plates: frame.plates.length }
}

function reportTube(tube: Tube, motion: Matrix4): ReportTube {
  const from = transformPoint(motion, tube.from)
  const to = transformPoint(motion, tube.to)
  return {
    id: tube.id,
    axis: tube.closed ? transformDirection(motion, meanNormal(tube.axis)) : unit(plus(to, from, -1)),
    from,
    to,
    diameter_mm: tube.diameter_mm,
    rms_mm: tube.rms_mm,
    length_mm: tube.length_mm,
    bow_mm: tube.bow_mm,
    closed: tube.closed,
  }
}

/** Normal of a closed line by the sum of its corners' cross products (Newell). */
function meanNormal(axis: Float64Array): Vec {
  let normal: Vec = [0, 0, 0]
  const n = axis.length / 3
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n
    const a: Vec = [axis[3 * i]!, axis[3 * i + 1]!, axis[3 * i + 2]!]
    const b: Vec = [axis[3 * j]!, axis[3 * j + 1]!, axis[3 * j + 2]!]
    normal = plus(normal, cross(a, b))
  }
  return dot(normal, normal) > 0 ? scaled(normal, 1 / Math.sqrt(dot(normal, normal))) : [0, 0, 1]
}

function clearancePart({ clearance }: ReleaseResults): object | null {
  if (!clearance) return null
  const { gap: _gap, verdictOfFacet: _verdicts, marginOfFacet_mm: _margins, ...certificate } = clearance.certificate
  return {
    ...certificate,
    leastConcaveRadius_mm: clearance.leastConcaveRadius_mm,
    lifts: clearance.lifts,
    imported: clearance.imported,
    lowering: clearance.lowering,
    water: clearance.water,
    bearing: clearance.bearing,
    regions: clearance.regions,
    bosses: clearance.bosses,
    betweenShells: clearance.betweenShells,
    undersideThickness_mm: clearance.underside.thickness_mm,
    topsideThickness_mm: clearance.topside.thickness_mm,
  }
}

function fittingPart({ fitting, seats }: ReleaseResults): object | null {
  if (!fitting) return null
  const { placed, distances_mm, lights, shared, people, wires, fills, edges, bodies, fasteners, rooms } = fitting
  const called = (i: number) => ({ id: placed[i]!.id, twin: placed[i]!.twin })
  return {
    lights,
    wires: wires.map(({ points: _points, ...wire }) => wire),
    chaseFill: fills,
    people,
    fasteners,
    rooms: rooms.map(({ mesh: _mesh, ...room }) => room),
    // Row by row in the order of `placed`; 0 on the diagonal.
    distances_mm: placed.map((_, i) => [...distances_mm.subarray(i * placed.length, (i + 1) * placed.length)]),
    shared: shared.map(({ a, b, ...space }) => ({ a: called(a), b: called(b), ...space })),
    placed: placed.map((p, i) => ({
      id: p.id,
      name: p.name,
      twin: p.twin,
      on: p.on,
      pose: p.pose,
      seat: p.seat,
      base: p.base,
      gapUnderBase_mm: p.gapUnderBase_mm,
      toFrame: p.toFrame,
      size_mm: bodies[i]?.size_mm ?? null,
      toEdge: edges[i]?.toEdge ?? null,
      toJoint: edges[i]?.toJoint ?? null,
      nearest: nearestOther(placed.length, distances_mm, i, (k) => placed[k]!.id),
    })),
    // What the shells carry; the outlines stand in the meshes.
    seats: (seats?.features ?? []).map(({ land_mm: _land, rim_mm: _rim, ...feature }) => feature),
  }
}

/** Everything but the arrival map, which is a field. */
function buildPart({ build }: ReleaseResults, vessel: Job['vessel']): object | null {
  if (!build) return null
  const { findings: _, infusion, traveller, templates, flats, ...rest } = build
  const checklist = traveller.map(({ parts: _parts, ...line }) => line)
  const trims = templates.trims.map(({ shell, length_mm }) => ({ shell, length_mm }))
  return {
    ...rest,
    // null while mass, centre of gravity, GM and keel of the vessel are not all known.
    vesselEffect: effectOfTop(vessel, build),
    traveller: checklist,
    templates: { ...templates, trims },
    // The outlines stand in flat-patterns.dxf.
    flats: flats.map(({ outline: _outline, ...flat }) => flat),
    infusion: infusion.map(({ arrival: _arrival, ...plan }) => plan),
  }
}

function nearestOther(n: number, distances_mm: Float64Array, i: number, name: (k: number) => string) {
  let least = Infinity
  let to = -1
  for (let k = 0; k < n; k++)
    if (k !== i && distances_mm[i * n + k]! < least) {
      least = distances_mm[i * n + k]!
      to = k
    }
  return to < 0 ? null : { to: name(to), min_mm: least }
}

/** JSON has no infinity and no NaN: both are written as null, which reads as “not known”. */
export const reportText = (report: Report): string => `${JSON.stringify(report, null, 2)}\n`
