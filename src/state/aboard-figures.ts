/** What the top does to the people under it and to the vessel, in words and figures for the page. */
import { addedMass, effectOfTop } from '../core/build-plan'
import { OVERHEAD_REACH_MM, STATURE_MM } from '../core/fitting/body-sizes'
import type { Job } from '../core/job'
import { angleText, lengthText, massText, type ShownUnit } from './format'
import type { StepStates } from './results'

export type AboardRow = readonly [label: string, value: string]

export function aboardRows(steps: StepStates, { vessel }: Job, unit: ShownUnit): readonly AboardRow[] {
  const rows: AboardRow[] = []
  const people = steps.fitting.result?.people
  if (people?.headroom_mm != null)
    rows.push(['headroom at the helm', lengthText(people.headroom_mm, unit, unit === 'mm' ? 0 : undefined, 'down')])
  const up = (mm: number) => lengthText(mm, unit, unit === 'mm' ? 0 : undefined, 'up')
  for (const h of people?.handles ?? []) {
    const name = h.twin ? `${h.name}, twin` : h.name
    rows.push([name, `${up(h.height_mm)} over the deck`])
    if (!h.fromHelm) continue
    const { shoulder_mm, arm_mm, reachedBy } = h.fromHelm
    rows.push([
      `${name}, from the helm`,
      `${up(shoulder_mm)} from the shoulder, arm ${lengthText(arm_mm, unit, unit === 'mm' ? 0 : undefined, 'down')}; ${reachedBy.length} of 6 sizes touch it`,
    ])
  }
  const build = steps.build.result
  const effect = build && effectOfTop(vessel, build)
  if (build && vessel.mass_kg !== null) {
    const { share, bothJudged } = addedMass(vessel.mass_kg, build.mass_kg)
    const says = bothJudged ? '; over 15 %: judged loaded as well as at the least condition' : ''
    rows.push(['added to her mass', `${(Math.ceil(share * 1000 - 1e-6) / 10).toFixed(1)} %${says}`])
  }
  if (effect) {
    const { unweighed } = build
    const without = unweighed.length > 0 ? `, without ${unweighed.join(', ')}` : ''
    rows.push(['the whole top', `${massText(build.mass_kg, unit)}${without}`])
    rows.push(['her centre of gravity rises', lengthText(1000 * effect.rise_m, unit, 1, 'up')])
    rows.push(['she heels', heelText(effect.heel_deg)])
  }
  return rows
}

/** Never rounded in its own favour. */
const heelText = (heel_deg: number | null): string =>
  heel_deg === null
    ? 'no GM is left: she would not stay upright'
    : `${angleText(Math.abs(heel_deg), 2, 'up')} to ${heel_deg >= 0 ? 'port' : 'starboard'}`

/** Of a hundred people five are shorter, five are taller. */
export const sizesText = (unit: ShownUnit): string =>
  `Bare foot a small woman stands ${lengthText(STATURE_MM.women[0], unit, 0)} and reaches ${lengthText(OVERHEAD_REACH_MM.women[0], unit, 0)} overhead, a tall man stands ${lengthText(STATURE_MM.men[2], unit, 0)} (ANSUR II, 2014; 5 and 95 of 100).`
