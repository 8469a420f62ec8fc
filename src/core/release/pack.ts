/**
 * The release pack: every file as bytes, nothing on disk. The page zips it, the command line writes it whole or not at all.
 */
import type { Steps } from '../geometry/kernel'
import { jobHash, jobText } from '../job'
import { manifestOf } from './manifest'
import { buildReport, reportText } from './report'
import type { PackFile, ReleaseInput, Report } from './types'
import { fittingsCsv } from './writers/csv'
import { reportHtml } from './writers/html'
import { writeStl } from './writers/stl'
import { toolingOrderHtml } from './writers/tooling-order'

export interface Pack {
  readonly files: readonly PackFile[]
  readonly report: Report
}

/** Same input, same bytes. The seconds that the steps took are input: they stand in `report.json` and `report.html`, and in no other file. */
export function* buildPack(input: ReleaseInput): Steps<Pack> {
  const report = buildReport(input)
  const { clearance, datum, fitting, tooling } = input.results
  const files: PackFile[] = []
  const text = (path: string, content: string) => files.push({ path, bytes: new TextEncoder().encode(content) })

  text('job.json', jobText(input.job))
  text('report.json', reportText(report))
  text('report.html', reportHtml(report, input.results))
  yield { fraction: 0.3, label: 'report' }
  if (datum) files.push({ path: 'frame-in-job-axes.stl', bytes: writeStl(datum.mesh) })
  yield { fraction: 0.5, label: 'frame' }
  if (clearance) {
    files.push({ path: 'inner-surface.stl', bytes: writeStl(clearance.underside.face) })
    files.push({ path: 'topside.stl', bytes: writeStl(clearance.topside.face) })
    files.push({ path: 'underside-solid.stl', bytes: writeStl(clearance.underside.solid) })
    files.push({ path: 'topside-solid.stl', bytes: writeStl(clearance.topside.solid) })
  }
  yield { fraction: 0.8, label: 'shells' }
  if (fitting) text('fittings.csv', fittingsCsv(fitting))
  if (tooling) {
    for (const tool of tooling.tools) files.push({ path: `tool-${tool.role}.stl`, bytes: writeStl(tool.solid) })
    const hash = jobHash(input.job)
    const named = manifestOf(
      files.filter((f) => f.path.endsWith('.stl')),
      hash,
      input.program,
    ).files
    text(
      'tooling-order.html',
      toolingOrderHtml({ job: input.job, tooling, hash, program: input.program, files: named }),
    )
  }
  const manifest = manifestOf(files, jobHash(input.job), input.program)
  text('manifest.json', `${JSON.stringify(manifest, null, 2)}\n`)
  return { files, report }
}
