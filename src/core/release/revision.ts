/** Releases that were written, and what moved between two of them. */
import { bounds } from '../geometry/mesh'
import {
  adoptJob,
  type Difference,
  difference,
  differenceText,
  type Job,
  jobHash,
  parseJobValue,
  plannedOf,
  type Revision,
} from '../job'
import type { Manifest } from './manifest'
import { MANIFEST } from './manifest'
import type { PackFile, ReleaseResults } from './types'

/** @throws a defect when the files are no sealed pack */
export function revisionOf(job: Job, results: ReleaseResults, files: readonly PackFile[], at: string): Revision {
  const file = files.find((f) => f.path === MANIFEST)
  if (!file) throw new Error('release: a revision is kept of a sealed pack only')
  const { contentHash } = JSON.parse(new TextDecoder().decode(file.bytes)) as Manifest
  return {
    revision: job.release.revision,
    at,
    jobHash: jobHash(job),
    contentHash,
    signedBy: job.release.signatures.map((s) => `${s.role}: ${s.name}`),
    figures: headlines(results),
    planned: JSON.parse(JSON.stringify(plannedOf(job))) as Record<string, unknown>,
  }
}

/**
 * The job as it was released: planned again it gives the same geometry, since every step is a function of the job.
 * @throws Refused `job-invalid` for a revision that an earlier version kept otherwise
 */
export const jobOfRevision = ({ planned }: Pick<Revision, 'planned'>): Job =>
  adoptJob(parseJobValue(planned), (path) => {
    throw new Error(`release: the revision names the mesh ${path} by a path`)
  })

/** Figures that two revisions are compared by; unit in the name. */
export function headlines({ clearance, analysis, tooling, build, fitting }: ReleaseResults): Record<string, number> {
  const all: Record<string, number | null | undefined> = {}
  if (clearance) {
    const { certificate: c, underside, topside } = clearance
    const [low, high] = [bounds(underside.face), bounds(topside.face)]
    Object.assign(all, {
      leastGap_mm: c.min_mm,
      margin_mm: c.margin_mm,
      fails_mm2: c.fails_mm2,
      notProven_mm2: c.notProven_mm2,
      innerSurfaceTop_mm: low.max[2],
      topsideTop_mm: high.max[2],
      length_mm: high.max[0] - high.min[0],
      beam_mm: high.max[1] - high.min[1],
    })
  }
  if (analysis) all['locked_mm2'] = analysis.parts.reduce((sum, p) => sum + p.check.undercut.area_mm2, 0)
  if (tooling) Object.assign(all, { boards: tooling.boards, machining_h: tooling.total_h.likely })
  if (build) all['mass_kg'] = build.mass_kg
  for (const p of fitting?.placed ?? []) {
    const name = p.twin ? `${p.id} twin` : p.id
    for (const [k, axis] of ['x', 'y', 'z'].entries()) all[`${name} ${axis}_mm`] = p.seat.at[k]
  }
  return Object.fromEntries(
    Object.entries(all).flatMap(([key, v]) => (typeof v === 'number' && Number.isFinite(v) ? [[key, v]] : [])),
  )
}

/** Differences below this are rounding, in the figure's own unit. */
const MOVED = 0.005

/** What moved from one release to the next, in words: figures with how much, then what was asked otherwise. */
export function revisionDifference(
  before: Pick<Revision, 'figures' | 'planned'>,
  after: Pick<Revision, 'figures' | 'planned'>,
): readonly string[] {
  const figures = difference(before.figures, after.figures).flatMap((d) => {
    if (typeof d.before !== 'number' || typeof d.after !== 'number') return [differenceText(d)]
    const by = d.after - d.before
    if (Math.abs(by) < MOVED) return []
    return [`${differenceText(rounded(d))} (${by > 0 ? '+' : '−'}${Math.abs(by).toFixed(2)})`]
  })
  return [...figures, ...difference(before.planned, after.planned).map(differenceText)]
}

const rounded = (d: Difference): Difference => ({
  ...d,
  before: Number((d.before as number).toFixed(2)),
  after: Number((d.after as number).toFixed(2)),
})
