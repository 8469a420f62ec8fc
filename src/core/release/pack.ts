/**
 * The release pack: every file as bytes, nothing on disk. The page zips it, the command line writes it whole or not at all.
 * What needs a host (PDF, the owner's copy) is added in `press/make-pack.ts` before the pack is sealed.
 */
import { type Steps, within } from '../geometry/kernel'
import { jobHash, jobText } from '../job'
import { allDrawings, type NamedDrawing } from './drawing/all-drawings'
import { svgOf } from './drawing/svg'
import { standingHolds } from './holds'
import { type Hash, listed, sealed } from './manifest'
import { faceParts, solidParts, toolParts, wholeParts } from './parts'
import { buildReport, reportText } from './report'
import { REPORT_SCHEMA } from './report-schema'
import type { PackFile, ReleaseInput, Report } from './types'
import { write3mf } from './writers/3mf'
import {
  boardsCsv,
  cuttersCsv,
  distancesCsv,
  drillMarksCsv,
  fastenersCsv,
  fittingsCsv,
  materialsCsv,
  wiresCsv,
} from './writers/csv'
import { writeGlb } from './writers/glb'
import { reportHtml } from './writers/html'
import { writeStl } from './writers/stl'
import { templates } from './writers/templates'
import { toolingOrderHtml } from './writers/tooling-order'
import { travellerHtml } from './writers/traveller'

export interface Pack {
  readonly files: readonly PackFile[]
  readonly report: Report
  readonly drawings: readonly NamedDrawing[]
}

/**
 * The files that core can make. Same input, same bytes; the seconds that the steps took are input and stand in `report.json`
 * alone.
 *
 * @param fileHash SHA-256, hex, of hosts that have a faster one than core
 */
export function* packFiles(input: ReleaseInput, fileHash?: Hash): Steps<Pack> {
  const { job, results, program } = input
  const report = buildReport(input)
  const { clearance, datum, fitting, tooling, build } = results
  const hash = jobHash(job)
  const files: PackFile[] = []
  const text = (path: string, content: string) => files.push({ path, bytes: new TextEncoder().encode(content) })
  const words = { title: job.title, program }

  text('job.json', jobText(job))
  text('report.json', reportText(report))
  text('report.schema.json', `${JSON.stringify(REPORT_SCHEMA, null, 2)}\n`)
  const drawings = yield* within(0, 0.08, 'drawings', allDrawings(job, results))
  for (const { name, drawing } of drawings) text(`drawing-${name}.svg`, svgOf(drawing, true))
  text('report.html', reportHtml(report, results, drawings))
  yield { fraction: 0.1, label: 'report' }
  if (datum) files.push({ path: 'frame-in-job-axes.stl', bytes: writeStl(datum.mesh) })
  yield { fraction: 0.15, label: 'frame' }
  if (clearance) {
    files.push({ path: 'inner-surface.stl', bytes: writeStl(clearance.underside.face) })
    files.push({ path: 'topside.stl', bytes: writeStl(clearance.topside.face) })
    files.push({ path: 'underside-solid.stl', bytes: writeStl(clearance.underside.solid) })
    files.push({ path: 'topside-solid.stl', bytes: writeStl(clearance.topside.solid) })
    yield { fraction: 0.2, label: 'shells' }
    const solids = yield* within(0.2, 0.4, 'solids', write3mf(solidParts(results), words))
    files.push({ path: 'top.3mf', bytes: solids })
    const faces = yield* within(0.4, 0.5, 'faces', write3mf(faceParts(results), words))
    files.push({ path: 'faces.3mf', bytes: faces })
    const whole = yield* within(0.5, 0.6, 'whole', writeGlb(wholeParts(results), words))
    files.push({ path: 'top-on-frame.glb', bytes: whole })
  }
  if (fitting) {
    text('fittings.csv', fittingsCsv(fitting))
    text('wires.csv', wiresCsv(fitting))
    text('fasteners.csv', fastenersCsv(fitting))
    text('distances.csv', distancesCsv(fitting))
  }
  if (build) {
    text('materials.csv', materialsCsv(build))
    text('drill-marks.csv', drillMarksCsv(build))
    const { title } = job
    const holds = standingHolds(report.findings).map((f) => f.message)
    text('traveller.html', travellerHtml(build, { title, revision: job.release.revision, hash, program, holds }))
  }
  const cut = { title: job.title, revision: job.release.revision, hash }
  files.push(...(yield* within(0.6, 0.7, 'templates', templates(results, cut))))
  if (tooling) {
    for (const tool of tooling.tools) files.push({ path: `tool-${tool.role}.stl`, bytes: writeStl(tool.solid) })
    for (const [i, part] of toolParts(results).entries()) {
      const tool = yield* within(0.7 + 0.1 * i, 0.8 + 0.1 * i, part.name, write3mf([part], words))
      files.push({ path: `tool-${tooling.tools[i]!.role}.3mf`, bytes: tool })
    }
    text('boards.csv', boardsCsv(tooling))
    text('cutters.csv', cuttersCsv(tooling))
    const named = listed(
      files.filter((f) => /\.(stl|3mf)$/.test(f.path)),
      fileHash,
    )
    text('tooling-order.html', toolingOrderHtml({ job, tooling, hash, program, files: named }))
  }
  yield { fraction: 1, label: 'lists' }
  return { files, report, drawings }
}

/** Adds manifest and sums to the files of a pack. */
export const sealPack = (input: ReleaseInput, files: readonly PackFile[]): readonly PackFile[] =>
  sealed(files, {
    program: input.program,
    jobVersion: input.job.version,
    revision: input.job.release.revision,
    jobHash: jobHash(input.job),
  })

/** A pack of what core alone can make, sealed. */
export function* buildPack(input: ReleaseInput): Steps<Pack> {
  const made = yield* packFiles(input)
  return { ...made, files: sealPack(input, made.files) }
}
