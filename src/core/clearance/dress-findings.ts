import type { Finding } from '../geometry/trouble'
import type { BossOffer } from './boss-offer'
import type { BearingGap } from './metal-gaps'
import type { Boss } from './shape-types'
import type { BossMade, ClearanceSettings } from './types'

/** A boss that is offered, bosses that clear nothing, and a radius below the asked one. */
export function dressFindings(bosses: readonly Boss[], made: readonly BossMade[], offer: BossOffer | null): Finding[] {
  const idle = made
    .map((boss, k) => ({ boss, k }))
    .filter(({ boss }) => boss.rise_mm < 0.05)
    .map(
      ({ boss, k }): Finding => ({
        id: `clearance.boss-idle.${k + 1}`,
        step: 'clearance',
        severity: 'note',
        message: `The boss “${boss.name}” rises nowhere: the sheet clears the metal there without it.`,
        advice: 'Move it over the metal that stands proud, or take it away.',
        where: [boss.at_mm[0], boss.at_mm[1], boss.top_mm],
      }),
    )
  if (!offer) return idle
  const { boss, lower_mm, volume_mm3, at } = offer
  return [
    ...idle,
    {
      id: 'clearance.boss-offered',
      step: 'clearance',
      severity: 'note',
      message: `The metal about x ${boss.at_mm[0]}, y ${boss.at_mm[1]} stands proud and lifts the whole sheet: with a boss over it the sheet would lie ${lower_mm.toFixed(1)} mm lower in the mean, ${(volume_mm3 / 1e6).toFixed(1)} litres in all.`,
      advice: `A boss of ${2 * boss.radius_mm} mm across with ${boss.draft_deg}° of draft clears it; or grind the metal down.`,
      where: at,
      value: lower_mm,
      unit: 'mm',
      remedy: { words: 'put a boss over it', clearance: { bosses: [...bosses, boss] } },
    },
  ]
}

/** Bedding that spreads by more than this is pointed out, mm: a bead laid for the least gap does not reach across the largest. */
const SPREAD_MM = 3

/** Bearing tubes over which the bedding is uneven. Their ends, where other metal lifts the surface, count with the rest. */
export function beddingFindings(
  bearing: readonly BearingGap[],
  { lands, symmetric }: Pick<ClearanceSettings, 'lands' | 'symmetric'>,
): Finding[] {
  return bearing.flatMap((tube): Finding[] => {
    const { least_mm, largest_mm, mean_mm } = tube
    if (least_mm === null || largest_mm === null || mean_mm === null || largest_mm - least_mm <= SPREAD_MM) return []
    const bare = lands.kind === 'none'
    return [
      {
        id: `clearance.bedding.${tube.id}`,
        step: 'clearance',
        severity: 'note',
        message: `Along ${tube.name} the bedding is ${least_mm.toFixed(1)} to ${largest_mm.toFixed(1)} mm thick, ${mean_mm.toFixed(1)} mm in the mean, where ${tube.asked_mm.toFixed(1)} mm was asked.`,
        advice: bare
          ? 'A landing strip brings the surface down on to the tube.'
          : symmetric
            ? 'What is left comes from metal beside the tube that asks for more, and from the side of the frame that hangs lower under a symmetric top.'
            : 'What is left comes from metal beside the tube that asks for more.',
        value: largest_mm - least_mm,
        limit: SPREAD_MM,
        unit: 'mm',
        ...(bare ? { remedy: { words: 'lay landing strips', clearance: { lands: { ...lands, kind: 'flat' } } } } : {}),
      },
    ]
  })
}
