/** "Will it come off, and can it be cut?": from draft, undercut, radius and mirror error of both shells. */
import type { AnalysisResult, PartAnalysis, UndercutRegion } from '../core/analysis/types'
import { withReach } from './answer-tooling'
import { type AnswerFigure, counted, strong, type TellInput, type Told, words } from './answer-types'
import { angleText, areaFigure, areaText, lengthFigure, settingFigure } from './format'
import { placeWords, type Reach, reachOf } from './place-words'

/** Draft is exact to this, degrees (design); below the asked draft by less is the asked draft. */
const DRAFT_SLACK_DEG = 0.01
/** Locked area below the bound of the facet cutting is no locked area. */
const nothingLocked = (part: PartAnalysis): boolean => part.check.undercut.area_mm2 <= part.check.undercut.bound_mm2

export interface OffFigures {
  readonly locked_mm2: number
  readonly regions: number
  readonly worst: { part: string; region: UndercutRegion } | null
  readonly minDraft_deg: number
  readonly draftPart: string
  readonly asked_deg: number
  /** Inside radius that one hundredth of the area falls short of: what the finding is about. */
  readonly minRadius_mm: number
  /** Least of any single facet; at a rim of small facets it is known only roughly. */
  readonly spotRadius_mm: number
  readonly radiusLimit_mm: number
  readonly mirror_mm: number
}

/** The figures of all parts together: areas are sums, the rest the worst part's. */
export function offFigures(made: AnalysisResult): OffFigures | null {
  const [first] = made.parts
  if (!first) return null
  const least = (of: (p: PartAnalysis) => number) => made.parts.reduce((a, b) => (of(b) < of(a) ? b : a))
  const draftPart = least((p) => p.check.draft.min_deg)
  const radiusPart = least((p) => p.check.radius.p01_mm)
  let worst: OffFigures['worst'] = null
  let regions = 0
  for (const part of made.parts) {
    if (nothingLocked(part)) continue
    regions += part.check.undercut.regions.length
    for (const region of part.check.undercut.regions)
      if (!worst || region.area_mm2 > worst.region.area_mm2) worst = { part: part.name, region }
  }
  return {
    locked_mm2: made.parts.reduce((sum, p) => sum + (nothingLocked(p) ? 0 : p.check.undercut.area_mm2), 0),
    regions,
    worst,
    minDraft_deg: draftPart.check.draft.min_deg,
    draftPart: draftPart.name,
    asked_deg: draftPart.check.draft.limit_deg,
    minRadius_mm: radiusPart.check.radius.p01_mm,
    spotRadius_mm: Math.min(...made.parts.map((p) => p.check.radius.min_mm)),
    radiusLimit_mm: radiusPart.check.radius.limit_mm,
    mirror_mm: Math.max(...made.parts.map((p) => p.check.symmetry.max_mm)),
  }
}

export const draftIsShort = (f: OffFigures): boolean => f.minDraft_deg < f.asked_deg - DRAFT_SLACK_DEG

export function tellOff({ steps, job, unit, holds, warnings }: TellInput): Told | null {
  const made = steps.analysis.result
  const f = made && offFigures(made)
  if (!f) return null
  const reach = reachOf(steps.clearance.result?.outline ?? [])
  const toCheck = holds.length > 0 ? counted(holds.length, 'hold') : null
  return {
    ...say({ f, unit, reach, toCheck, warnings: warnings.length }),
    figures: withReach(figures(f, unit, job.clearance.minRadius_mm), { steps, unit }),
  }
}

function say(v: {
  f: OffFigures
  unit: TellInput['unit']
  reach: Reach
  toCheck: string | null
  warnings: number
}): Omit<Told, 'figures'> {
  const { f } = v
  if (f.locked_mm2 > 0 && f.worst) {
    const area = areaText(f.locked_mm2, v.unit)
    const { part, region } = f.worst
    const lean = region.min_deg < 0 ? ` by ${angleText(-region.min_deg, 1, 'up')}` : ''
    const why = {
      'facing-away': `leans in${lean}`,
      blocked: 'has something in its way',
      both: `leans in${lean} and has something in its way`,
    }[region.cause]
    return {
      standing: 'not',
      short: `No: locked on ${area}`,
      sentence: [
        words('Not in one pull. '),
        strong(area),
        words(` is locked, most of it ${placeWords(region.at, v.reach)}, where the ${part} ${why}.`),
      ],
    }
  }
  const asked = angleText(f.asked_deg, f.asked_deg % 1 === 0 ? 0 : 1)
  const draft = draftText(f)
  if (draftIsShort(f))
    return {
      standing: 'almost',
      short: `Almost: ${draft} draft`,
      sentence: [
        words(`Almost. Nothing is locked, but the ${f.draftPart} opens by only `),
        strong(draft),
        words(`; ${asked} is asked.`),
      ],
    }
  if (v.toCheck)
    return {
      standing: 'almost',
      short: `Almost: ${v.toCheck}`,
      sentence: [
        words('Almost. Nothing is locked and the least draft is '),
        strong(draft),
        words(`, but ${v.toCheck} ${v.toCheck.startsWith('one ') ? 'stands' : 'stand'}.`),
      ],
    }
  return {
    standing: 'ok',
    short: v.warnings > 0 ? `Yes, ${v.warnings} to check` : 'Yes, in one pull',
    sentence: [
      words('Yes, in one pull each: nothing is locked, and the least draft is '),
      strong(draft),
      words(`; ${asked} is asked.`),
    ],
  }
}

/** Rounded down, unless it is the asked draft within the exactness promised. */
const draftText = (f: OffFigures): string =>
  angleText(draftIsShort(f) ? f.minDraft_deg : f.minDraft_deg + DRAFT_SLACK_DEG, 1, 'down')

function figures(f: OffFigures, unit: TellInput['unit'], askedRadius_mm: number): AnswerFigure[] {
  const draft = draftText(f)
  const seen = Number.isFinite(f.minRadius_mm) && f.minRadius_mm < f.radiusLimit_mm
  const inSpots = f.spotRadius_mm < askedRadius_mm - 0.05 && f.spotRadius_mm < f.minRadius_mm - 0.05
  const radius = lengthFigure(seen ? f.minRadius_mm : f.radiusLimit_mm, unit, { round: 'down' })
  return [
    {
      id: 'locked',
      ...areaFigure(f.locked_mm2, unit, { round: 'up' }),
      label: 'locked',
      sub: f.regions > 0 ? `in ${counted(f.regions, 'region')}` : 'both shells',
      bad: f.locked_mm2 > 0,
    },
    {
      id: 'least-draft',
      value: draft.replace('°', ''),
      unit: draft.endsWith('°') ? '°' : '',
      label: 'least draft',
      sub: `${angleText(f.asked_deg, f.asked_deg % 1 === 0 ? 0 : 1)} asked`,
      bad: draftIsShort(f),
    },
    {
      id: 'least-radius',
      ...radius,
      label: seen ? 'least radius' : 'least radius, or more',
      sub: `${settingFigure(askedRadius_mm, unit).value} asked${inSpots ? `; ${lengthFigure(f.spotRadius_mm, unit, { round: 'down' }).value} in spots` : ''}`,
      bad: seen && f.minRadius_mm < askedRadius_mm - 0.05,
    },
    {
      id: 'mirror-error',
      ...lengthFigure(f.mirror_mm, unit, { digits: 3, round: 'up' }),
      label: 'shells, port to starboard',
      sub: 'largest',
      bad: false,
    },
  ]
}
