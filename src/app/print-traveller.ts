import { jobHash } from '../core/job'
import { buildReport, standingHolds, travellerHtml } from '../core/release'
import { PROGRAM } from '../runner/version'
import { resultsAtHand } from '../state/results'
import type { Stores } from '../state/stores'

/** Lays the traveller into a hidden frame of this page and opens the browser's own print dialog on it. */
export function printTraveller({ jobs, results, session }: Stores): void {
  const { job } = jobs.getState().history
  const { steps } = results.getState()
  const build = steps.build.result
  if (!build) {
    session.setState({ notice: { kind: 'said', text: 'There is no traveller yet: the build is still worked out.' } })
    return
  }
  const report = buildReport({ job, results: resultsAtHand(steps), timings_s: {}, program: PROGRAM })
  const html = travellerHtml(build, {
    title: job.title,
    revision: job.release.revision,
    hash: jobHash(job),
    program: PROGRAM,
    holds: standingHolds(report.findings).map((f) => f.message),
  })
  const frame = document.createElement('iframe')
  frame.title = 'traveller'
  frame.setAttribute('data-testid', 'traveller-frame')
  frame.style.cssText = 'position:fixed;width:0;height:0;border:0;visibility:hidden'
  frame.srcdoc = html
  frame.onload = () => {
    const { contentWindow } = frame
    if (!contentWindow) return
    contentWindow.onafterprint = () => frame.remove()
    contentWindow.print()
  }
  for (const old of document.querySelectorAll('[data-testid="traveller-frame"]')) old.remove()
  document.body.append(frame)
}
