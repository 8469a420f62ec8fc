import type { Finding } from '../geometry/trouble'
import type { BossOffer } from './boss-offer'
import type { Boss } from './shape-types'
import type { BossMade } from './types'

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
