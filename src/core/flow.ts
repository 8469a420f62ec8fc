/**
 * The order of the work, written once: each step, what it reads of the job, which earlier results it reads, how its request
 * is put together, and the function that makes its result.
 *
 * A result is keyed by a hash of exactly what it was made from: the step and its version, the part of the job it reads, and
 * the keys of the results it reads. Equal keys mean equal results, in the page, in Node and in tests; a change recomputes
 * only what read it, and undo finds the old results still warm.
 */
import { type AnalysisRequest, type AnalysisResult, analysisStep } from './analysis'
import { type BuildRequest, type BuildResult, buildStep } from './build-plan'
import {
  type BearingTube,
  type ClearanceRequest,
  type ClearanceResult,
  clearanceStep,
  type ImportedMesh,
  requiredGap_mm,
  ZONES,
} from './clearance'
import { type DatumRequest, type DatumResult, datumStep } from './datum'
import {
  type FittingItem,
  type FittingRequest,
  type FittingResult,
  fittingStep,
  type SeatItem,
  type SeatsRequest,
  type SeatsResult,
  seatsStep,
} from './fitting'
import { type FrameRequest, type FrameResult, frameStep } from './frame'
import { type Direction, IDENTITY, multiply, transformPoint } from './geometry/axes'
import type { Steps } from './geometry/kernel'
import { type Mesh, transformMesh } from './geometry/mesh'
import { tanDeg } from './geometry/portable-math'
import type { Finding } from './geometry/trouble'
import { hashOf } from './job/canonical'
import type { FittingEntry, ImportedEntry, Job, MeshAsset } from './job/job'
import { type LengthUnit, type ScanRequest, type ScanResult, scanStep } from './scan'
import { type ToolingRequest, type ToolingResult, toolingStep } from './tooling'

export interface FlowMap {
  scan: { request: ScanRequest; result: ScanResult }
  frame: { request: FrameRequest; result: FrameResult }
  datum: { request: DatumRequest; result: DatumResult }
  clearance: { request: ClearanceRequest; result: ClearanceResult }
  /** Of the fitting folder: what is set into the shells for what stands on them. (docs/decisions/0004) */
  seats: { request: SeatsRequest; result: SeatsResult }
  fitting: { request: FittingRequest; result: FittingResult }
  analysis: { request: AnalysisRequest; result: AnalysisResult }
  tooling: { request: ToolingRequest; result: ToolingResult }
  build: { request: BuildRequest; result: BuildResult }
}

export type FlowStep = keyof FlowMap
export type FlowResults = { readonly [N in FlowStep]?: FlowMap[N]['result'] }

/** A mesh file that a step reads besides the scan. */
export interface MeshUse {
  readonly mesh: MeshAsset
  readonly unit: 'auto' | LengthUnit
}

/** What a request is put together from, besides the job. */
export interface Given {
  /** Bytes of an asset. @throws Refused `asset-missing` */
  readonly bytes: (asset: string) => Uint8Array
  /** A mesh that the step's `meshes` named, read beforehand. */
  readonly part: (use: MeshUse) => Mesh<'part'>
  readonly results: FlowResults
}

export interface FlowRow<N extends FlowStep> {
  readonly name: N
  /** Raised when the step's mathematics change, so that kept results of older programs are not taken for new ones. */
  readonly version: number
  readonly after: readonly FlowStep[]
  readonly reads: (job: Job) => unknown
  /** Mesh files of the job that the request needs; each is read once. Left out: none. */
  readonly meshes?: (job: Job) => readonly MeshUse[]
  readonly request: (job: Job, given: Given) => FlowMap[N]['request']
  readonly run: (request: FlowMap[N]['request']) => Steps<FlowMap[N]['result']>
}

export type FlowTable = { readonly [N in FlowStep]: FlowRow<N> }

export const FLOW: FlowTable = {
  scan: {
    name: 'scan',
    version: 3,
    after: [],
    reads: (job) => ({ ...job.scan, files: job.scan.files.map((f) => f.asset) }),
    request: (job, given) => ({
      files: job.scan.files.map((f) => ({ name: f.name, bytes: given.bytes(f.asset) })),
      ...(job.scan.register ? { register: job.scan.register } : {}),
      unit: job.scan.unit,
      repairs: job.scan.repairs,
      noise_mm: job.scan.noise_mm,
    }),
    run: scanStep,
  },
  frame: {
    name: 'frame',
    version: 2,
    after: ['scan'],
    reads: () => null,
    request: (_, { results }) => {
      const { mesh, rimVertex, health } = made(results, 'scan')
      return { mesh, rimVertex, noise_mm: health.noise_mm }
    },
    run: frameStep,
  },
  datum: {
    name: 'datum',
    version: 1,
    after: ['scan', 'frame'],
    reads: (job) => job.datum,
    request: (job, { results }) => {
      const { mesh, rimVertex, health } = made(results, 'scan')
      return { mesh, rimVertex, noise_mm: health.noise_mm, setting: job.datum, tubes: made(results, 'frame').tubes }
    },
    run: datumStep,
  },
  clearance: {
    name: 'clearance',
    version: 8,
    after: ['scan', 'frame', 'datum'],
    reads: (job) => ({ settings: job.clearance, tubes: job.frame.tubes, noise: job.scan.noise_mm }),
    meshes: ({ clearance: { imported } }) => [imported.underside, imported.topside].filter((entry) => entry !== null),
    request: (job, { results, part }) => {
      const scan = made(results, 'scan')
      const frame = made(results, 'frame')
      const datum = made(results, 'datum')
      const { imported, approach, ...settings } = job.clearance
      return {
        frame: datum.mesh,
        rimVertex: scan.rimVertex,
        unseenFacet: scan.unseenFacet,
        noise_mm: trustedNoise_mm(scan, frame),
        settings,
        facetGap_mm: askedGaps_mm(job, results),
        bearing: bearingTubes(job, results),
        imported: {
          underside: inJobAxes(imported.underside, part, datum),
          topside: inJobAxes(imported.topside, part, datum),
        },
        approach: approach && wayBack(approach),
      }
    },
    run: clearanceStep,
  },
  seats: {
    name: 'seats',
    version: 2,
    after: ['scan', 'frame', 'datum', 'clearance'],
    // Only what is seated: a lamp without a seat may be moved without anything below being made again.
    reads: (job) => ({
      chases: job.chases,
      seats: seatedFittings(job).map((f) => ({
        id: f.id,
        name: f.name,
        mesh: f.mesh.asset,
        unit: f.unit,
        on: f.on,
        at: f.at_mm,
        turn: f.turn_deg,
        upright: f.upright,
        mirror: f.mirror,
        base: f.baseNormal,
        seat: f.seat,
      })),
    }),
    meshes: seatedFittings,
    request: (job, { results, part }) => {
      const scan = made(results, 'scan')
      const { underside, topside, certificate } = made(results, 'clearance')
      const { clearance: c } = job
      return {
        items: seatedFittings(job).map(
          (f): SeatItem => ({
            ...placedPart(f, part(f)),
            seat: f.seat,
          }),
        ),
        chases: job.chases,
        underside,
        topside,
        imported: { underside: c.imported.underside !== null, topside: c.imported.topside !== null },
        draft_deg: c.draft_deg,
        minRadius_mm: c.minRadius_mm,
        bond_mm: c.bond_mm,
        certificate,
        frame: made(results, 'datum').mesh,
        rimVertex: scan.rimVertex,
        unseenFacet: scan.unseenFacet,
        gap: askedGaps_mm(job, results) ?? c.gap_mm,
      }
    },
    run: seatsStep,
  },
  fitting: {
    name: 'fitting',
    version: 6,
    after: ['frame', 'datum', 'clearance', 'seats'],
    reads: (job) => ({
      gap: job.clearance.gap_mm,
      tubes: job.frame.tubes,
      vessel: [job.vessel.length_m, job.vessel.gunwale_mm],
      people: job.people,
      wires: job.wires,
      // Chases shape the shells by their own step; wires run in them.
      chases: job.wires.length > 0 ? job.chases : [],
      draft: job.wires.length > 0 ? job.clearance.draft_deg : null,
      fittings: job.fittings.map(({ comment: _, locked: _locked, seat: _seat, ...f }) => ({
        ...f,
        mesh: f.mesh.asset,
        original: f.mesh.original ?? null,
      })),
    }),
    meshes: (job) => job.fittings,
    request: (job, { results, part }) => {
      const shells = seatedShells(results)
      return {
        items: job.fittings.map(
          (f): FittingItem => ({
            ...placedPart(f, part(f)),
            mass_kg: f.mass_kg,
            light: f.light,
            faces: f.mesh.original ? { stated: f.mesh.original.faces, read: f.mesh.original.facesRead } : null,
            fasteners: f.fasteners,
            keepOuts: f.keepOuts,
            handle: f.handle,
          }),
        ),
        frame: made(results, 'datum').mesh,
        topside: shells.topside.face,
        underside: shells.underside.face,
        shells: { topside: jointed(shells.topside), underside: jointed(shells.underside) },
        tubes: tubesInJob(job, results),
        gap_mm: job.clearance.gap_mm,
        vessel: job.vessel,
        people: job.people,
        wires: job.wires,
        chases: job.chases,
        draft_deg: job.clearance.draft_deg,
      }
    },
    run: fittingStep,
  },
  analysis: {
    name: 'analysis',
    version: 3,
    after: ['clearance', 'seats'],
    reads: (job) => ({
      ...job.analysis,
      draft: job.clearance.draft_deg,
      radius: job.clearance.minRadius_mm,
      asMade: job.asMade,
    }),
    meshes: (job) => job.asMade,
    request: (job, { results, part }) => {
      const { underside, topside } = seatedShells(results)
      return {
        parts: (['underside', 'topside'] as const).map((name) => {
          const shell = name === 'underside' ? underside : topside
          return {
            name,
            mesh: shell.face,
            pull: shell.pull,
            minDraft_deg: job.analysis.minDraft_deg ?? job.clearance.draft_deg,
            mirror: { normal: [0, 1, 0] as const, offset_mm: 0 },
            radiusLimit_mm: job.analysis.radiusLimit_mm,
            minRadius_mm: job.clearance.minRadius_mm,
            noise_mm: 0,
            // The inner surface is cut as a plug from above, the topside as a hollow mould: upside down, from within.
            cutter: name === 'underside' ? ('in-front' as const) : ('behind' as const),
          }
        }),
        asMade: job.asMade.map((entry) => ({
          name: entry.mesh.name,
          mesh: part(entry),
          against: entry.against,
          face: entry.against === 'underside' ? underside.face : topside.face,
          // Moulded faces look from the lower body to the upper one: a plug under the underside, the part under its mould.
          turned: (entry.against === 'underside') === (entry.of === 'part'),
          start: entry.start,
          tolerance_mm: entry.tolerance_mm,
        })),
      }
    },
    run: analysisStep,
  },
  tooling: {
    name: 'tooling',
    version: 2,
    after: ['clearance', 'seats'],
    reads: (job) => job.tooling,
    request: (job, { results }) => {
      const shells = seatedShells(results)
      return {
        shells: (['underside', 'topside'] as const).map((role) => {
          const { face, zone } = shells[role]
          return { role, face, edge: zone.map((z) => (ZONES[z] === 'edge' ? 1 : 0)) }
        }),
        settings: job.tooling,
      }
    },
    run: toolingStep,
  },
  build: {
    name: 'build',
    version: 8,
    after: ['frame', 'datum', 'clearance', 'seats', 'fitting'],
    reads: (job) => ({ ...job.build, masses: job.fittings.map((f) => f.mass_kg), tubes: job.frame.tubes }),
    request: (job, { results }) => {
      const shells = seatedShells(results)
      const masses = new Map(job.fittings.map((f) => [f.id, f.mass_kg]))
      return {
        shells: (['underside', 'topside'] as const).map((name) => {
          const { face, zone, solid, thickness_mm } = shells[name]
          return { name, face, zone, solid, drawn_mm: thickness_mm }
        }),
        fittings: made(results, 'fitting').placed.map((p) => ({
          name: p.name,
          twin: p.twin,
          on: p.on,
          mass_kg: masses.get(p.id) ?? null,
          at: p.seat.at,
          normal: p.seat.normal,
          mesh: p.mesh,
          pose: p.pose,
          base: p.base,
          holes: made(results, 'fitting')
            .fasteners.filter((h) => h.fitting === p.id && h.twin === p.twin)
            .map((h) => ({ name: h.name, at: h.onFace ?? h.at, diameter_mm: h.diameter_mm })),
        })),
        fasteners: made(results, 'fitting')
          .fasteners.filter((h) => h.into === 'tube')
          .map((h) => ({
            name: `${h.fitting}${h.twin ? ' (twin)' : ''} ${h.name}`,
            at: h.onFace ?? h.at,
            diameter_mm: h.diameter_mm,
          })),
        supports: bearingAxes(job, results),
        bond_mm: job.clearance.bond_mm,
        flange_mm: job.clearance.flange_mm,
        settings: job.build,
      }
    },
    run: buildStep,
  },
}

/** The steps in the order of the work. */
export const FLOW_ORDER = Object.keys(FLOW) as readonly FlowStep[]

/** The key of every step's result for this job. */
export function flowKeys(job: Job): Readonly<Record<FlowStep, string>> {
  const keys = {} as Record<FlowStep, string>
  for (const name of FLOW_ORDER) {
    const row = FLOW[name]
    keys[name] = hashOf({
      step: name,
      version: row.version,
      reads: row.reads(job),
      after: row.after.map((earlier) => keys[earlier]),
    })
  }
  return keys
}

/** Findings of all results at hand, in the order of the work. */
export const findingsOf = (results: FlowResults): readonly Finding[] =>
  FLOW_ORDER.flatMap((name) => results[name]?.findings ?? [])

function made<N extends FlowStep>(results: FlowResults, name: N): FlowMap[N]['result'] {
  const result = results[name]
  if (!result) throw new Error(`flow: the result of ${name} is asked for before it is made`)
  return result
}

function seatedFittings(job: Job) {
  return job.fittings.filter((f) => f.seat.kind !== 'none')
}

/** The shells as they are to be made: those of the clearance step, with seats and chases where there are any. */
function seatedShells(results: FlowResults): ClearanceResult {
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
const askedGaps_mm = (job: Job, results: FlowResults): Float32Array | null =>
  requiredGap_mm(made(results, 'datum').mesh, facetGaps_mm(job, made(results, 'frame')), job.clearance)

/** The tubes that the top is bedded on, with the facets that belong to them. */
function bearingTubes(job: Job, results: FlowResults): BearingTube[] {
  const { tubes, tubeOfFacet } = made(results, 'frame')
  const axes = bearingAxes(job, results)
  return tubes
    .map((tube, number) => ({ tube, number, mark: job.frame.tubes[tube.id] }))
    .filter(({ mark }) => mark?.role === 'bearing')
    .map(({ tube, number, mark }, k) => ({
      id: tube.id,
      name: axes[k]!.name,
      gap_mm: mark?.gap_mm ?? job.clearance.bond_mm,
      radius_mm: tube.diameter_mm / 2,
      closed: tube.closed,
      axis: Float64Array.from(axes[k]!.axis.flat()),
      facets: Uint32Array.from(tubeOfFacet.keys()).filter((f) => tubeOfFacet[f] === number),
    }))
}

/** An imported shell where it stands in the job: its own motion first, then that of the scan's axes if it was drawn in those. */
function inJobAxes(entry: ImportedEntry | null, part: Given['part'], datum: DatumResult): ImportedMesh | null {
  if (!entry) return null
  const motion = entry.axes === 'scan' ? datum.motion : IDENTITY
  const matrix = entry.matrix ? multiply(motion, entry.matrix) : motion
  return { name: entry.mesh.name, mesh: transformMesh(part(entry), matrix, 'job') }
}

/** From the seat back along a leaning way: x forward, y to port, z up. */
function wayBack({ fromAhead_deg, fromPort_deg }: NonNullable<Job['clearance']['approach']>): Direction<'job'> {
  const x = tanDeg(fromAhead_deg)
  const y = tanDeg(fromPort_deg)
  const length = Math.sqrt(x * x + y * y + 1)
  return [x / length, y / length, 1 / length]
}

/** Axes of the tubes that the top bears on, job axes. */
function bearingAxes(job: Job, results: FlowResults): BuildRequest['supports'] {
  const { motion } = made(results, 'datum')
  return made(results, 'frame')
    .tubes.filter((t) => job.frame.tubes[t.id]?.role === 'bearing')
    .map((t) => ({
      name: job.frame.tubes[t.id]?.name ?? t.id,
      axis: Array.from({ length: t.axis.length / 3 }, (_, i) =>
        transformPoint(motion, [t.axis[3 * i]!, t.axis[3 * i + 1]!, t.axis[3 * i + 2]!]),
      ),
    }))
}

/** All tubes as the fitting step sees them: name, axis in job axes, radius. */
function tubesInJob(job: Job, results: FlowResults): FittingRequest['tubes'] {
  const { motion } = made(results, 'datum')
  return made(results, 'frame').tubes.map((t) => ({
    name: job.frame.tubes[t.id]?.name ?? t.id,
    axis: Array.from({ length: t.axis.length / 3 }, (_, i) =>
      transformPoint(motion, [t.axis[3 * i]!, t.axis[3 * i + 1]!, t.axis[3 * i + 2]!]),
    ),
    radius_mm: t.diameter_mm / 2,
  }))
}

/** A shell's solid, and the facets of its face by which it is joined to the other: its flange, or its skirt where it has none. */
function jointed({ solid, zone }: ClearanceResult['topside']) {
  const by = zone.includes(ZONES.indexOf('flange')) ? 'flange' : 'skirt'
  return { solid, joint: zone.map((z) => (ZONES[z] === by ? 1 : 0)) }
}

/** What a fitting and the seat under it have to know alike. */
const placedPart = (f: FittingEntry, mesh: Mesh<'part'>) => ({
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
