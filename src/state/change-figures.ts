/**
 * What a change did: the headline figures of every job that was planned in this session, so that two of them can be set
 * side by side long after the results of the first are gone.
 */
import { FLOW_ORDER } from '../core/flow'
import type { Job } from '../core/job'
import { jobHash } from '../core/job'
import { offFigures } from './answer-off'
import { stepKeys } from './describe-change'
import { areaText, lengthText, numberText, type ShownUnit } from './format'
import type { JobStore } from './job-store'
import { type ResultsStore, type StepStates, seatedClearance } from './results'

export interface ChangeFigures {
  readonly leastGap_mm?: number
  readonly tooTight_mm2?: number
  readonly notProven_mm2?: number
  /** Highest point of the inner surface, job axes. */
  readonly crown_mm?: number
  readonly excessLift_mm?: number
  readonly locked_mm2?: number
  readonly leastDraft_deg?: number
  readonly leastRadius_mm?: number
}

export interface FiguresRecord {
  /** Figures of a job that was planned to its end, or null. */
  of(job: Job): ChangeFigures | null
  stop(): void
}

export function recordFigures(jobs: JobStore, results: ResultsStore): FiguresRecord {
  const known = new Map<string, ChangeFigures>()
  const hashes = new WeakMap<Job, string>()
  const hashOfJob = (job: Job): string => {
    const hash = hashes.get(job) ?? jobHash(job)
    hashes.set(job, hash)
    return hash
  }
  // An edit raises the job's hash before its steps are marked stale, so each result is held against the job by its own key.
  const note = () => {
    const { job } = jobs.getState().history
    const { steps } = results.getState()
    const hash = hashOfJob(job)
    if (known.has(hash)) return
    const keys = stepKeys(job)
    if (FLOW_ORDER.every((name) => steps[name].is === 'done' && steps[name].key === keys[name]))
      known.set(hash, figuresOf(steps))
  }
  note()
  const stop = results.subscribe(note)
  return {
    of(job) {
      // The job as it is now may have been planned before this listener heard of it.
      if (job === jobs.getState().history.job) note()
      return known.get(hashOfJob(job)) ?? null
    },
    stop,
  }
}

export function figuresOf(steps: StepStates): ChangeFigures {
  const shells = seatedClearance(steps)
  const off = steps.analysis.result && offFigures(steps.analysis.result)
  return {
    ...(shells
      ? {
          leastGap_mm: shells.certificate.min_mm,
          tooTight_mm2: shells.certificate.fails_mm2,
          notProven_mm2: shells.certificate.notProven_mm2,
          crown_mm: highest_mm(shells.underside.face),
          excessLift_mm: shells.certificate.excessLift.p95_mm,
        }
      : {}),
    ...(off ? { locked_mm2: off.locked_mm2, leastDraft_deg: off.minDraft_deg, leastRadius_mm: off.minRadius_mm } : {}),
  }
}

function highest_mm(mesh: { readonly positions: Float32Array; readonly origin: readonly number[] }): number {
  let top = -Infinity
  for (let i = 2; i < mesh.positions.length; i += 3) top = Math.max(top, mesh.positions[i]!)
  return top + mesh.origin[2]!
}

export interface ChangeRow {
  readonly label: string
  /** '11.4 → 9.4 mm' */
  readonly text: string
}

/** The figures that a change moved, before → after; those that read the same are left out. */
export function changeRows(before: ChangeFigures, after: ChangeFigures, unit: ShownUnit): readonly ChangeRow[] {
  const rows: ChangeRow[] = []
  const pair = (label: string, a: number | undefined, b: number | undefined, text: (v: number) => string) => {
    if (a === undefined || b === undefined || text(a) === text(b)) return
    const [from, to] = [text(a), text(b)]
    // One unit is enough where both have the same.
    const unitOf = (t: string) => t.split(' ').at(-1)!
    rows.push({ label, text: `${unitOf(from) === unitOf(to) ? from.split(' ').slice(0, -1).join(' ') : from} → ${to}` })
  }
  pair('least gap', before.leastGap_mm, after.leastGap_mm, (v) => lengthText(v, unit, 1, 'down'))
  const rise_mm = (after.crown_mm ?? Number.NaN) - (before.crown_mm ?? Number.NaN)
  if (Math.abs(rise_mm) >= 0.05)
    rows.push({ label: 'crown', text: `${rise_mm > 0 ? '+' : ''}${lengthText(rise_mm, unit, 1)}` })
  pair('too tight', before.tooTight_mm2, after.tooTight_mm2, (v) => areaText(v, unit))
  pair('not proven', before.notProven_mm2, after.notProven_mm2, (v) => areaText(v, unit))
  pair('lift, 95 %', before.excessLift_mm, after.excessLift_mm, (v) => lengthText(v, unit, 1))
  pair('locked', before.locked_mm2, after.locked_mm2, (v) => areaText(v, unit))
  pair('least draft', before.leastDraft_deg, after.leastDraft_deg, (v) => `${numberText(v + 0.01, 1)} °`)
  pair('least radius', before.leastRadius_mm, after.leastRadius_mm, (v) => lengthText(v, unit, 1))
  return rows.map((r) => ({ ...r, text: r.text.replace(/ °$/, '°') }))
}
