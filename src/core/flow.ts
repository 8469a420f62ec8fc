/**
 * The order of the work, written once: each step, what it reads of the job, which earlier results it reads, how its request
 * is put together, and the function that makes its result.
 *
 * A result is keyed by a hash of exactly what it was made from: the step and its version, the part of the job it reads, and
 * the keys of the results it reads. Equal keys mean equal results, in the page, in Node and in tests; a change recomputes
 * only what read it, and undo finds the old results still warm.
 */
import { analysisStep } from './analysis'
import { buildStep } from './build-plan'
import { clearanceStep, ZONES } from './clearance'
import { datumStep } from './datum'
import { type FittingItem, fittingStep, type SeatItem, seatsStep } from './fitting'
import {
  askedGaps_mm,
  bearingTubesInJob,
  beddedTubes,
  fastenedTubes,
  inJobAxes,
  jointed,
  made,
  placedPart,
  seatedFittings,
  seatedShells,
  trustedNoise_mm,
  tubeRoles,
  tubesInJob,
  wayBack,
} from './flow-readings'
import type { FlowResults, FlowStep, FlowTable } from './flow-types'
import { frameStep } from './frame'
import type { Finding } from './geometry/trouble'
import { hashOf } from './job/canonical'
import type { Job } from './job/job'
import { scanStep } from './scan'
import { toolingStep } from './tooling'

export { seatedResults, trustedNoise_mm } from './flow-readings'
export type { FlowMap, FlowResults, FlowRow, FlowStep, FlowTable, Given, MeshUse } from './flow-types'

export const FLOW: FlowTable = {
  scan: {
    name: 'scan',
    version: 4,
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
    version: 4,
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
    reads: (job) => ({ settings: job.clearance, tubes: tubeRoles(job), noise: job.scan.noise_mm }),
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
        bearing: beddedTubes(job, results),
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
    version: 10,
    after: ['frame', 'datum', 'clearance', 'seats'],
    reads: (job) => ({
      gap: job.clearance.gap_mm,
      tubes: tubeRoles(job),
      vessel: [job.vessel.length_m, job.vessel.gunwale_mm, job.vessel.trim_deg, job.vessel.heel_deg],
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
        tubes: tubesInJob(job, results).map(({ id: _, ...tube }) => tube),
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
    version: 9,
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
        fastenedTubes: fastenedTubes(job, results),
        supports: bearingTubesInJob(job, results).map(({ name, axis }) => ({ name, axis })),
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
