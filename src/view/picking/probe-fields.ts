/** Everything that is known at a spot: one line per field. Pure; the card only sets it in type. */
import { VERDICTS } from '../../core/clearance/types'
import type { FlowResults } from '../../core/flow'
import type { Job } from '../../core/job'
import { angleText, lengthText, type ShownUnit } from '../../state/format'
import { tubeLabel } from '../../state/place-words'
import type { Hover } from '../sheet-store'
import { sheetWords } from '../words'

interface ProbeLine {
  readonly name: string
  readonly value: string
  readonly bad?: boolean
}

export interface Probe {
  readonly title: string
  readonly lines: readonly ProbeLine[]
}

export function probeFields(hover: Hover, results: FlowResults, job: Job, unit: ShownUnit): Probe {
  const { probe } = sheetWords
  const place = lines(
    (['x', 'y', 'z'] as const).map((name, k) => ({
      name,
      value: lengthText(hover.at[k]!, unit, unit === 'mm' ? 1 : undefined),
    })),
  )
  if (hover.kind === 'fitting') {
    const fitting = results.fitting?.placed.find((p) => p.id === hover.id)
    return {
      title: fitting?.name ?? hover.id ?? '',
      lines: [
        ...(fitting
          ? [{ name: probe.toFrame, value: lengthText(fitting.toFrame.min_mm, unit, digits(unit), 'down') }]
          : []),
        ...place,
      ],
    }
  }
  if (hover.kind === 'frame') {
    const error = results.datum?.symmetryField.values[hover.facet]
    const { tubes = [], tubeOfFacet } = results.frame ?? {}
    const tube = tubes[tubeOfFacet?.[hover.facet] ?? -1]
    return {
      title: probe.frame,
      lines: [
        ...(tube ? [{ name: probe.tube, value: tubeLabel(job, tube.id) }] : []),
        ...(error === undefined ? [] : [{ name: probe.mirror, value: lengthText(error, unit) }]),
        ...place,
      ],
    }
  }
  const shell = results.clearance?.[hover.kind]
  const out: ProbeLine[] = []
  if (hover.kind === 'underside' && results.clearance) {
    const { certificate } = results.clearance
    const gap = certificate.gap.values[hover.facet]
    const verdict = VERDICTS[certificate.verdictOfFacet[hover.facet]!]
    const margin = certificate.marginOfFacet_mm?.[hover.facet]
    if (gap !== undefined)
      out.push({
        name: probe.gap,
        value: Number.isFinite(gap)
          ? lengthText(gap, unit, digits(unit), 'down')
          : probe.beyond(lengthText(certificate.gapLimit_mm, unit)),
        bad: verdict === 'fails',
      })
    const required =
      gap !== undefined && margin !== undefined && Number.isFinite(gap) && Number.isFinite(margin)
        ? gap - margin
        : certificate.required_mm
    out.push({ name: probe.required, value: lengthText(Math.round(required * 1000) / 1000, unit, digits(unit)) })
    if (verdict) out.push({ name: probe.verdict, value: probe.verdicts[verdict], bad: verdict === 'fails' })
  }
  const part = results.analysis?.parts.find((p) => p.name === hover.kind)
  if (part && shell && part.draft.meshId === shell.face.id) {
    const draft = part.draft.values[hover.facet]
    const radius = part.radius.values[hover.facet]
    if (draft !== undefined) out.push({ name: probe.draft, value: angleText(draft, 2), bad: draft < 0 })
    if (radius !== undefined && Number.isFinite(radius))
      out.push({
        name: probe.radius,
        value:
          radius >= part.check.radius.limit_mm
            ? probe.beyond(lengthText(part.check.radius.limit_mm, unit))
            : lengthText(radius, unit, digits(unit), 'down'),
      })
  }
  return { title: sheetWords.probe[hover.kind], lines: [...out, ...place] }
}

const lines = (all: readonly ProbeLine[]) => all
const digits = (unit: ShownUnit) => (unit === 'mm' ? 1 : undefined)
