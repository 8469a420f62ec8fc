/** What the rows of the flow table read of the job and of earlier results, put the way the steps ask for it. */
import type { FastenedTube } from './build-plan'
import { type BearingTube, type ClearanceResult, type ImportedMesh, requiredGap_mm, ZONES } from './clearance'
import type { DatumResult } from './datum'
import type { SeatsResult } from './fitting'
import type { FlowMap, FlowResults, FlowStep, Given } from './flow-types'
import type { FrameResult } from './frame'
import { type Direction, IDENTITY, multiply, transformPoint } from './geometry/axes'
import { type Mesh, transformMesh } from './geometry/mesh'
import { tanDeg } from './geometry/portable-math'
import type { FittingEntry, ImportedEntry, Job, TubeMark } from './job/job'
import type { ScanResult } from './scan'

export function made<N extends FlowStep>(results: FlowResults, name: N): FlowMap[N]['result'] {
  const result = results[name]
  if (!result) throw new Error(`flow: the result of ${name} is asked for before it is made`)
  return result
}

export function seatedFittings(job: Job) {
  return job.fittings.filter((f) => f.seat.kind !== 'none')
}

/** The shells as they are to be made: those of the clearance step, with seats and chases where there are any. */
export function seatedShells(results: FlowResults): ClearanceResult {
  made(results, 'seats')
  return seatedResults(results).clearance!
}

const seatedBefore = new WeakMap<SeatsResult, { from: ClearanceResult; result: ClearanceResult }>()

/**
 * The same results with the seated shells and their certificate in the place of the plain ones. Seats that were made from
 * other shells (stale ones, while the page works) leave them as they are. The same results give the same object.
 */
export function seatedResults(results: FlowResults): FlowResults {
  const { clearance, seats } = results
  if (!clearance || !seats || (!seats.topside && !seats.underside)) return results
  if (seats.from.topside !== clearance.topside.face.id || seats.from.underside !== clearance.underside.face.id)
    return results
  const known = seatedBefore.get(seats)
  if (known?.from === clearance) return { ...results, clearance: known.result }
  const result: ClearanceResult = {
    ...clearance,
    topside: seats.topside ?? clearance.topside,
    underside: seats.underside ?? clearance.underside,
    certificate: seats.certificate ?? clearance.certificate,
  }
  seatedBefore.set(seats, { from: clearance, result })
  return { ...results, clearance: result }
}

/** The larger of the two estimates: smoothed scans fool the patches, scans without tubes have no other. The user's word wins. */
export function trustedNoise_mm(scan: ScanResult, frame: FrameResult): number {
  if (scan.health.noiseFrom === 'user' || !Number.isFinite(frame.noise_mm)) return scan.health.noise_mm
  return Math.max(scan.health.noise_mm, frame.noise_mm)
}

/** Own gaps of marked tubes, facet by facet; null where no tube has one. */
function facetGaps_mm(job: Job, frame: FrameResult): Float32Array | null {
  const gapOfTube = frame.tubes.map((tube) => {
    const mark = job.frame.tubes[tube.id]
    if (!mark) return null
    // A bearing tube without a gap of its own carries the top on the bond line.
    return mark.gap_mm ?? (mark.role === 'bearing' ? job.clearance.bond_mm : null)
  })
  if (gapOfTube.every((gap) => gap === null)) return null
  const gaps = new Float32Array(frame.tubeOfFacet.length)
  for (let f = 0; f < gaps.length; f++) gaps[f] = gapOfTube[frame.tubeOfFacet[f]!] ?? job.clearance.gap_mm
  return gaps
}

/** What each facet asks for, regions and allowance included; null where the gap of the job holds for all. */
export const askedGaps_mm = (job: Job, results: FlowResults): Float32Array | null =>
  requiredGap_mm(made(results, 'datum').mesh, facetGaps_mm(job, made(results, 'frame')), job.clearance)

/** The tubes that the top is bedded on, with the facets that belong to them. */
export function beddedTubes(job: Job, results: FlowResults): BearingTube[] {
  const { tubes, tubeOfFacet } = made(results, 'frame')
  return bearingTubesInJob(job, results).map(({ id, name, axis, radius_mm }) => {
    const number = tubes.findIndex((tube) => tube.id === id)
    return {
      id,
      name,
      gap_mm: job.frame.tubes[id]?.gap_mm ?? job.clearance.bond_mm,
      radius_mm,
      closed: tubes[number]!.closed,
      axis: Float64Array.from(axis.flat()),
      facets: Uint32Array.from(tubeOfFacet.keys()).filter((f) => tubeOfFacet[f] === number),
    }
  })
}

/** An imported shell where it stands in the job: its own motion first, then that of the scan's axes if it was drawn in those. */
export function inJobAxes(entry: ImportedEntry | null, part: Given['part'], datum: DatumResult): ImportedMesh | null {
  if (!entry) return null
  const motion = entry.axes === 'scan' ? datum.motion : IDENTITY
  const matrix = entry.matrix ? multiply(motion, entry.matrix) : motion
  return { name: entry.mesh.name, mesh: transformMesh(part(entry), matrix, 'job') }
}

/** From the seat back along a leaning way: x forward, y to port, z up. */
export function wayBack({ fromAhead_deg, fromPort_deg }: NonNullable<Job['clearance']['approach']>): Direction<'job'> {
  const x = tanDeg(fromAhead_deg)
  const y = tanDeg(fromPort_deg)
  const length = Math.sqrt(x * x + y * y + 1)
  return [x / length, y / length, 1 / length]
}

/** All tubes as later steps see them: name, axis in job axes, radius. */
export function tubesInJob(job: Job, results: FlowResults) {
  const { motion } = made(results, 'datum')
  return made(results, 'frame').tubes.map((t) => ({
    id: t.id,
    name: job.frame.tubes[t.id]?.name ?? t.id,
    axis: Array.from({ length: t.axis.length / 3 }, (_, i) =>
      transformPoint(motion, [t.axis[3 * i]!, t.axis[3 * i + 1]!, t.axis[3 * i + 2]!]),
    ),
    radius_mm: t.diameter_mm / 2,
  }))
}

/**
 * Marks on tubes without their fasteners, which shape nothing: a pitch may change without the shells being made again. A mark
 * that says no more than what holds unsaid is left out.
 */
export const tubeRoles = (job: Job): Readonly<Record<string, Omit<TubeMark, 'fasteners'>>> =>
  Object.fromEntries(
    Object.entries(job.frame.tubes).flatMap(([id, { fasteners: _, ...mark }]) =>
      mark.role === 'clear' && mark.gap_mm === null && mark.name === undefined ? [] : [[id, mark]],
    ),
  )

/** Tubes that get fasteners at a pitch, in the order found. */
export function fastenedTubes(job: Job, results: FlowResults): FastenedTube[] {
  const { tubes } = made(results, 'frame')
  return tubesInJob(job, results).flatMap(({ id, ...tube }) => {
    const fasteners = job.frame.tubes[id]?.fasteners
    return fasteners ? [{ id, ...tube, closed: tubes.find((t) => t.id === id)!.closed, fasteners }] : []
  })
}

/** Those of them that the top bears on. */
export const bearingTubesInJob = (job: Job, results: FlowResults) =>
  tubesInJob(job, results).filter((tube) => job.frame.tubes[tube.id]?.role === 'bearing')

/** A shell's solid, and the facets of its face by which it is joined to the other: its flange, or its skirt where it has none. */
export function jointed({ solid, zone }: ClearanceResult['topside']) {
  const by = zone.includes(ZONES.indexOf('flange')) ? 'flange' : 'skirt'
  return { solid, joint: zone.map((z) => (ZONES[z] === by ? 1 : 0)) }
}

/** What a fitting and the seat under it have to know alike. */
export const placedPart = (f: FittingEntry, mesh: Mesh<'part'>) => ({
  id: f.id,
  name: f.name,
  mesh,
  on: f.on,
  at_mm: f.at_mm,
  turn_deg: f.turn_deg,
  upright: f.upright,
  mirror: f.mirror,
  baseNormal: f.baseNormal,
})
