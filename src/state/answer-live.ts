/** "Can I live with it?": from what is fitted, where it stands and what it comes near to. */
import type { FittingResult } from '../core/fitting/types'
import type { Finding } from '../core/geometry/trouble'
import { type AnswerFigure, bare, counted, strong, type TellInput, type Told, words } from './answer-types'
import { type FigureOptions, lengthFigure, lengthText, massFigure, massText, numberText } from './format'

const NEAR: FigureOptions = { round: 'down' }

export function tellLive({ steps, job, unit, holds, warnings }: TellInput): Told | null {
  const made = steps.fitting.result
  if (!made) return null
  const { placed } = made
  const nearest = nearestToFrame(made)
  return {
    ...say({ made, unit, holds, warnings, nearest }),
    figures: figures({ made, job, unit, nearest, count: placed.length, whole_kg: steps.build.result?.mass_kg ?? null }),
  }
}

type Nearest = { name: string; min_mm: number } | null

function say(v: {
  made: FittingResult
  unit: TellInput['unit']
  holds: readonly Finding[]
  warnings: readonly Finding[]
  nearest: Nearest
}): Omit<Told, 'figures'> {
  const [hold, ...moreHolds] = v.holds
  if (hold)
    return {
      standing: moreHolds.length > 0 ? 'not' : 'almost',
      short: `${moreHolds.length > 0 ? 'Not yet' : 'Almost'}: ${counted(v.holds.length, 'hold')}`,
      sentence: [
        words(moreHolds.length > 0 ? 'Not yet. ' : 'Almost. '),
        ...boldFirstNumber(`${bare(hold.message)}.`),
        words(moreHolds.length > 0 ? ` ${counted(moreHolds.length, 'more hold')} in the list.` : ''),
      ],
    }
  const { placed } = v.made
  if (placed.length === 0)
    return { standing: 'ok', short: 'Yes, nothing fitted', sentence: [words('Yes. Nothing is fitted yet.')] }
  const clear = v.nearest
    ? [
        words(' The nearest to the frame is the '),
        words(v.nearest.name),
        words(', '),
        strong(lengthText(v.nearest.min_mm, v.unit, undefined, 'down')),
        words(' away.'),
      ]
    : []
  const check = v.warnings.length > 0 ? ` ${upperFirst(counted(v.warnings.length, 'thing'))} to check.` : ''
  return {
    standing: 'ok',
    short: v.warnings.length > 0 ? `Yes, ${v.warnings.length} to check` : 'Yes',
    sentence: [words('Yes. '), words(partsWords(placed.length)), ...clear, words(check)],
  }
}

const upperFirst = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)

const partsWords = (n: number): string => (n === 1 ? 'The one part stands free.' : `All ${n} parts stand free.`)

function figures(v: {
  made: FittingResult
  job: TellInput['job']
  unit: TellInput['unit']
  nearest: Nearest
  count: number
  /** Shells, paste and weighed parts; null until the build step has run. */
  whole_kg: number | null
}): AnswerFigure[] {
  const { made, job, unit } = v
  const weighed = job.fittings.filter((f) => f.mass_kg !== null)
  const mass_kg = weighed.reduce((sum, f) => sum + (f.mass_kg ?? 0) * (f.mirror ? 2 : 1), 0)
  const between = leastBetween(made)
  const gap_mm = made.placed.reduce((most, p) => Math.max(most, p.gapUnderBase_mm), 0)
  const noPart = 'nothing fitted'
  const all: AnswerFigure[] = [
    {
      id: 'to-frame',
      ...lengthFigure(v.nearest?.min_mm ?? Number.NaN, unit, NEAR),
      label: 'least to the frame',
      sub: v.nearest?.name ?? noPart,
      bad: v.nearest !== null && v.nearest.min_mm <= 0,
    },
    {
      id: 'between',
      ...lengthFigure(between?.min_mm ?? Number.NaN, unit, NEAR),
      label: 'least between parts',
      sub: between?.names ?? (v.count === 0 ? noPart : 'one part only'),
      bad: between !== null && between.min_mm <= 0,
    },
    ...lightFigure(made),
    {
      id: 'gap-under-base',
      ...lengthFigure(v.count === 0 ? Number.NaN : gap_mm, unit),
      label: 'gap under a base',
      sub: v.count === 0 ? noPart : 'largest',
      bad: false,
    },
    {
      id: 'mass',
      ...massFigure(v.whole_kg ?? (weighed.length === 0 ? Number.NaN : mass_kg), unit),
      label: v.whole_kg === null ? `in ${counted(v.count, 'part')}` : 'whole top',
      sub:
        weighed.length < job.fittings.length
          ? `${job.fittings.length - weighed.length} parts without a weight`
          : `${massText(mass_kg, unit)} of it in ${counted(v.count, 'part')}`,
      bad: false,
    },
  ]
  // Four stand in the column: where a light is shown, the gap under a base gives way to it.
  return all.length > 4 ? all.filter((f) => f.id !== 'gap-under-base') : all
}

/** The light that is hidden most, in the place of the gap under a base: it is the law's figure. */
function lightFigure({ lights }: FittingResult): AnswerFigure[] {
  const judged = lights.filter((l) => l.limit_deg !== null)
  if (judged.length === 0) return []
  const worst = judged.reduce((a, b) => (b.worst.widest_deg > a.worst.widest_deg ? b : a))
  return [
    {
      id: 'light-hidden',
      value: numberText(Math.ceil(worst.worst.widest_deg * 10 - 1e-6) / 10, 1),
      unit: '°',
      label: 'light hidden',
      sub: `${worst.limit_deg} allowed, ${worst.name}`,
      bad: judged.some((l) => l.verdict === 'hidden'),
    },
  ]
}

function nearestToFrame(made: FittingResult): Nearest {
  let best: Nearest = null
  for (const p of made.placed)
    if (!best || p.toFrame.min_mm < best.min_mm) best = { name: p.name, min_mm: p.toFrame.min_mm }
  return best
}

function leastBetween(made: FittingResult): { names: string; min_mm: number } | null {
  const n = made.placed.length
  let best: { names: string; min_mm: number } | null = null
  for (let i = 0; i < n; i++)
    for (let j = i + 1; j < n; j++) {
      const min_mm = made.distances_mm[i * n + j]!
      if (best && min_mm >= best.min_mm) continue
      best = { names: `${made.placed[i]!.name} and ${made.placed[j]!.name}`, min_mm }
    }
  return best
}

/** The first number of a sentence with its unit is the one it turns on. */
export function boldFirstNumber(sentence: string): { text: string; strong?: boolean }[] {
  const match = /[−-]?\d[\d.,]*(?:\s?(?:mm|cm²|m²|in²|ft²|in|kg|°))?/.exec(sentence)
  if (!match) return [words(sentence)]
  return [
    words(sentence.slice(0, match.index)),
    strong(match[0]),
    words(sentence.slice(match.index + match[0].length)),
  ].filter((p) => p.text !== '')
}
