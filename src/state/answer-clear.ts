/** "Does it clear?": from the certificate, and from the datum for how far the frame is from its own mirror image. */
import type { Certificate } from '../core/clearance/types'
import type { Point } from '../core/geometry/axes'
import { type AnswerFigure, type AnswerPart, strong, type TellInput, type Told, words } from './answer-types'
import { areaFigure, areaText, type FigureOptions, lengthFigure, lengthText, settingFigure } from './format'
import { placeWords, reachOf, tubeAt } from './place-words'
import { seatedClearance } from './results'

/** A gap must be large enough, so it is rounded down. */
const GAP: FigureOptions = { digits: 1, round: 'down' }

export function tellClear({ steps, job, unit, holds }: TellInput): Told | null {
  const made = seatedClearance(steps)
  if (!made) return null
  const { certificate } = made
  const reach = reachOf(made.outline)
  const worst = worstPlace(certificate)
  const tube = tubeAt(steps, job, worst.at)
  const place = `${tube ? `over ${tube}, ` : ''}${placeWords(worst.at, reach)}`
  const gap = lengthText(worst.gap_mm, unit, 1, 'down')
  const asked = settingFigure(roundedTo(worst.asked_mm, 0.001), unit).value
  // Where tubes have gaps of their own, the least gap says little; what is left over what is asked does.
  const spare = worst.own ? lengthText(certificate.margin_mm, unit, 1, 'down') : null
  return {
    ...verdictWords({ certificate, gap, asked, spare, place, holds: holds.length, unit }),
    figures: figures(steps, certificate, unit),
  }
}

function verdictWords(v: {
  certificate: Certificate
  gap: string
  asked: string
  /** Least margin, where gaps differ from tube to tube. */
  spare: string | null
  place: string
  holds: number
  unit: TellInput['unit']
}): Omit<Told, 'figures'> {
  const { certificate, gap, asked, place, unit } = v
  const guard = lengthText(certificate.guard_mm, unit, undefined, 'up')
  const there = place.charAt(0).toUpperCase() + place.slice(1)
  const measured: AnswerPart[] = [words(`${there}, the gap is `), strong(gap), words(`; ${asked} is asked.`)]
  switch (certificate.verdict) {
    case 'fails':
      return {
        standing: 'not',
        short: `Not yet: ${gap}`,
        sentence: [words('Not yet. '), ...measured, words(` Too tight on ${areaText(certificate.fails_mm2, unit)}.`)],
      }
    case 'not-proven':
      return {
        standing: 'almost',
        short: `Almost: ${areaText(certificate.notProven_mm2, unit)} not proven`,
        sentence: [
          words('Almost. '),
          ...measured,
          words(` The scan can tell to ${guard}, so ${areaText(certificate.notProven_mm2, unit)} is not proven.`),
        ],
      }
    case 'unseen':
      return {
        standing: 'almost',
        short: `Almost: ${areaText(certificate.unseen_mm2, unit)} unseen`,
        sentence: [
          words('Almost. '),
          ...measured,
          words(` There the scan has a hole: ${areaText(certificate.unseen_mm2, unit)} lies over unseen metal.`),
        ],
      }
    case 'proven':
      if (v.holds > 0)
        return {
          standing: 'not',
          short: 'Not yet',
          sentence: [
            words('Not yet. The gap is proven, '),
            strong(gap),
            words(
              ` at least where ${asked} is asked, but ${v.holds === 1 ? 'a hold stands' : `${v.holds} holds stand`}.`,
            ),
          ],
        }
      // Nobody can answer for metal that the scanner did not reach.
      return {
        standing: 'ok',
        short: v.spare === null ? `Yes, by ${gap}` : `Yes, ${v.spare} to spare`,
        sentence:
          v.spare === null
            ? [
                words(
                  certificate.unseen_mm2 > 0
                    ? 'Yes. Over all metal that was seen the gap is '
                    : 'Yes, everywhere: the gap is ',
                ),
                strong(gap),
                words(` or more; ${asked} is asked. Least ${place}.`),
              ]
            : [
                words(
                  certificate.unseen_mm2 > 0
                    ? 'Yes. Over all metal that was seen there is '
                    : 'Yes, everywhere: there is ',
                ),
                strong(v.spare),
                words(` or more to spare. Least ${place}: ${gap} where ${asked} is asked.`),
              ],
      }
  }
}

/** Where least is left over what is asked. One place with the least gap, unless tubes have gaps of their own. */
function worstPlace(c: Certificate): { at: Point<'job'>; gap_mm: number; asked_mm: number; own: boolean } {
  const { shell, frame } = c.marginAt
  const own = frame.some((v, k) => v !== c.at.frame[k]) || shell.some((v, k) => v !== c.at.shell[k])
  if (!own) return { at: c.at.frame, gap_mm: c.min_mm, asked_mm: c.required_mm, own }
  const gap_mm = Math.sqrt(shell.reduce((sum, v, k) => sum + (v - frame[k]!) ** 2, 0))
  return { at: frame, gap_mm, asked_mm: gap_mm - c.margin_mm, own }
}

const roundedTo = (v: number, grain: number): number => Math.round(v / grain) * grain

function figures(steps: TellInput['steps'], c: Certificate, unit: TellInput['unit']): AnswerFigure[] {
  const total = c.proven_mm2 + c.notProven_mm2 + c.fails_mm2 + c.unseen_mm2
  const health = steps.scan.result?.health
  const datum = steps.datum.result
  const least = lengthFigure(c.min_mm, unit, GAP)
  const tight = areaFigure(c.fails_mm2, unit, { round: 'up' })
  const unseen = areaFigure(c.unseen_mm2, unit, { round: 'up' })
  const rms = lengthFigure(datum?.symmetry.rms_mm ?? Number.NaN, unit)
  return [
    {
      id: 'least-gap',
      ...least,
      label: 'least gap',
      sub: `${settingFigure(c.required_mm, unit).value} asked`,
      bad: c.verdict === 'fails',
    },
    {
      id: 'too-tight',
      ...tight,
      label: 'too tight',
      sub: c.notProven_mm2 > 0 ? `${areaText(c.notProven_mm2, unit)} not proven` : `of ${areaText(total, unit)}`,
      bad: c.fails_mm2 > 0,
    },
    {
      id: 'unseen',
      ...unseen,
      label: 'unseen',
      sub: health ? `${health.holeCount} ${health.holeCount === 1 ? 'hole' : 'holes'} in the scan` : '',
      bad: false,
    },
    { id: 'symmetry', ...rms, label: 'frame, port to starboard', sub: loweredWords(datum, unit), bad: false },
  ]
}

function loweredWords(datum: TellInput['steps']['datum']['result'], unit: TellInput['unit']): string {
  if (!datum) return 'rms'
  const { port_mm, canBeTold } = datum.lowered
  // Below its own uncertainty the fault is not there.
  if (!canBeTold || Math.abs(port_mm) <= datum.uncertainty.lowered_mm) return 'rms'
  return `rms; ${port_mm > 0 ? 'port' : 'starboard'} ${lengthText(Math.abs(port_mm), unit)} lower`
}
