import type { Finding } from '../geometry/trouble'
import type { Job, Waiver } from '../job'
import type { ReportFinding } from './types'

/** Findings with the waivers of the job laid over them. A waiver covers a finding by its id for as long as it stands. */
export function withWaivers(findings: readonly Finding[], job: Job): readonly ReportFinding[] {
  const waivers = new Map(job.release.waivers.map((w): [string, Waiver] => [w.finding, w]))
  return findings.map((finding) => {
    const waiver = waivers.get(finding.id)
    if (!waiver) return finding
    const { finding: _, ...waived } = waiver
    return { ...finding, waived }
  })
}

/** Holds that stop the release. */
export const standingHolds = (findings: readonly ReportFinding[]): readonly ReportFinding[] =>
  findings.filter((f) => f.severity === 'hold' && !f.waived)
