import { type Matrix4, transformPoint } from '../geometry/axes'
import type { Finding } from '../geometry/trouble'
import type { ChosenPlane } from './choose-plane'
import { type Level, LOPSIDED_LEAST } from './level'
import { type MirrorPlane, TOLD_LEAST } from './mirror-plane'
import type { DatumResult, DatumSetting } from './types'

/** Above this the two sides have little in common, mm of mean capped distance: right planes lie at 0.6–1.1, near misses at 4–10. */
const POOR_SCORE_mm = 8
/** Share of the metal without a partner above which something is missing or does not belong: whole frames have 0.1–0.5 %. */
const UNPAIRED = 0.05
/** A lowered side below this is not worth a warning, mm. */
const LOWERED_mm = 2
/** A twist below this is not worth a warning, mm at the corners. */
const TWIST_mm = 2
const PITCH_deg = 0.1

const mm = (x: number) => `${x.toFixed(1)} mm`
const deg = (x: number) => `${x.toFixed(2)}°`

/** How the pose was come by. */
export interface Known {
  readonly choice: ChosenPlane | null
  readonly level: Level | null
  /** Points against tubes, mm and radians. */
  readonly check: MirrorPlane['spread'] | null
}

/** Points and tubes may differ by this much before a person should look: offset in mm, angle in radians (0.05°). */
const CHECK_mm = 0.5
const CHECK_rad = 0.0009

/**
 * What a person should know about the datum. Places are in scan axes.
 *
 * @param back job axes to scan axes
 */
export function datumFindings(
  result: Omit<DatumResult, 'findings'>,
  setting: DatumSetting,
  { choice, level, check }: Known,
  back: Matrix4,
): Finding[] {
  const out: Finding[] = []
  const half = result.lowered.halfWidth_mm
  const rim = (side: number) => transformPoint(back, [0, side * half, 0])
  if (choice?.unsure)
    out.push({
      id: 'datum.choice',
      step: 'datum',
      severity: 'warning',
      message: `Two planes fit almost equally well: mean distance ${result.score_mm.toFixed(2)} mm for the chosen centreline, ${result.runnerUpScore_mm.toFixed(2)} mm for another.`,
      advice: 'Look at the mirror image over the frame; if it is the wrong plane, type the matrix.',
      value: result.runnerUpScore_mm,
      limit: 2 * result.score_mm,
      unit: 'mm',
    })
  if (result.score_mm > POOR_SCORE_mm)
    out.push({
      id: 'datum.no-symmetry',
      step: 'datum',
      severity: 'hold',
      message: `The frame has hardly a plane of symmetry: mean distance of the mirror image ${mm(result.score_mm)}.`,
      advice: 'Crop what does not belong to the frame, or give the centreline by a matrix.',
      value: result.score_mm,
      limit: POOR_SCORE_mm,
      unit: 'mm',
    })
  if (result.planeFrom !== 'matrix' && 1 - result.matched > UNPAIRED)
    out.push({
      id: 'datum.unpaired',
      step: 'datum',
      severity: 'warning',
      message: `${(100 * (1 - result.matched)).toFixed(1)} % of the metal has no partner on the other side.`,
      advice: 'Crop floor, people and tools, or check that no part of one side is missing.',
      value: 1 - result.matched,
      limit: UNPAIRED,
    })
  if (!result.lowered.canBeTold)
    out.push({
      id: 'datum.not-told',
      step: 'datum',
      severity: 'warning',
      message: `Roll and a lowered side cannot be told apart on this frame (${result.lowered.told.toExponential(1)}, needed ${TOLD_LEAST}): the metal lies at one height. Two halves of the scan differ by ${deg(result.uncertainty.roll_deg)} and ${mm(result.uncertainty.lowered_mm)}.`,
      advice:
        'Give a level (a matrix from a measured level), or choose the best-match reading, which takes both sides as level.',
      value: result.lowered.told,
      limit: TOLD_LEAST,
    })
  if (check && (check.offset_mm > CHECK_mm || Math.max(check.roll, check.yaw) > CHECK_rad))
    out.push({
      id: 'datum.check',
      step: 'datum',
      severity: 'warning',
      message: `The centreline by points differs from the one by tubes: ${check.offset_mm.toFixed(2)} mm, roll ${deg((check.roll * 180) / Math.PI)}, yaw ${deg((check.yaw * 180) / Math.PI)}.`,
      advice: 'Look for bent or missing metal on one side; the plane by tubes is used.',
      value: check.offset_mm,
      limit: CHECK_mm,
      unit: 'mm',
    })
  out.push(...pickFindings(result, setting))
  const { port_mm } = result.lowered
  if (Math.abs(port_mm) > Math.max(LOWERED_mm, 3 * (result.uncertainty.lowered_mm || 0)))
    out.push({
      id: 'datum.lowered',
      step: 'datum',
      severity: 'warning',
      message: `The ${port_mm > 0 ? 'port' : 'starboard'} rim hangs ${mm(Math.abs(port_mm))} lower than the other, ${Math.round(half)} mm from the centreline (the same as a roll of ${deg(Math.abs(result.lowered.roll_deg))}).`,
      advice:
        'Decide whether the top follows the plan view (as shown) or is rolled to level the two sides (best match).',
      where: rim(port_mm > 0 ? 1 : -1),
      value: Math.abs(port_mm),
      limit: LOWERED_mm,
      unit: 'mm',
    })
  if (Math.abs(result.twist_mm) > TWIST_mm)
    out.push({
      id: 'datum.twist',
      step: 'datum',
      severity: 'warning',
      message: `The frame is twisted: the forward ${result.twist_mm > 0 ? 'port' : 'starboard'} corner and the after corner across from it stand ${mm(Math.abs(result.twist_mm))} high, the other two as much low.`,
      advice: 'A symmetric top clears both; look whether the frame can be set straight.',
      value: Math.abs(result.twist_mm),
      limit: TWIST_mm,
      unit: 'mm',
    })
  if (level && level.lopsided < LOPSIDED_LEAST)
    out.push({
      id: 'datum.up-guess',
      step: 'datum',
      severity: 'warning',
      message: `Which way is up is a guess from the camber: the metal is about as high above its middle as below (${level.lopsided.toFixed(2)}, needed ${LOPSIDED_LEAST}).`,
      advice: 'Look at the frame; turn it over if it lies on its back.',
      value: level.lopsided,
      limit: LOPSIDED_LEAST,
    })
  if (choice?.flatPassedOver)
    out.push({
      id: 'datum.flat',
      step: 'datum',
      severity: 'note',
      message:
        'The frame lies flat and is nearly symmetric about its own plane; that plane was taken as level, not as the centreline.',
    })
  if (level && level.difference_deg > PITCH_deg)
    out.push({
      id: 'datum.pitch',
      step: 'datum',
      severity: 'note',
      message: `Level fore and aft follows the ${level.from}; by the ${level.runnerUp} it would differ by ${deg(level.difference_deg)}.`,
      value: level.difference_deg,
      limit: PITCH_deg,
      unit: 'deg',
    })
  // Which side is port tells which end is forward, once it is known which way is up.
  const told = (setting.picks?.forward.length ?? 0) + (setting.picks?.pairs.length ?? 0) > 0
  if (setting.matrix === 'auto' && !told)
    out.push({
      id: 'datum.forward',
      step: 'datum',
      severity: 'note',
      message:
        'Nothing in the metal tells which end is forward: ' +
        (setting.forwardFlipped
          ? 'the automatic choice was turned round.'
          : 'the end away from the middle of the metal is taken.'),
      advice: 'Turn it round if the bow is at the other end.',
    })
  return out
}

/** A hand picks a spot on a scan to a few millimetres; beyond this it was another spot. */
const PICK_mm = 6
const PICK_deg = 5

/** Picks that do not agree among each other; nothing is said of those that do. */
function pickFindings({ picked }: Omit<DatumResult, 'findings'>, { picks }: DatumSetting): Finding[] {
  if (!picked || !picks) return []
  const out: Finding[] = []
  const say = (id: string, message: string, advice: string, value: number, limit: number, where?: Finding['where']) =>
    out.push({
      ...{ id: `datum.picked-${id}`, step: 'datum', severity: 'warning', message, advice, ...(where ? { where } : {}) },
      ...{ value, limit, unit: id === 'forward' ? 'deg' : 'mm' },
    })
  if (picked.level_mm !== null && picked.level_mm > PICK_mm)
    say(
      'level',
      `The places picked for level lie up to ${mm(picked.level_mm)} off their plane.`,
      'Pick three places anew that truly lie level.',
      picked.level_mm,
      PICK_mm,
      picks.level[0],
    )
  const worst = picked.pairs.reduce((most, p, i) => (p.plan_mm > (picked.pairs[most]?.plan_mm ?? 0) ? i : most), 0)
  const off_mm = picked.pairs[worst]?.plan_mm ?? 0
  if (off_mm > PICK_mm)
    say(
      'pairs',
      `Picked pair ${worst + 1} lies ${mm(off_mm)} off the centreline of all pairs.`,
      'Take this pair back or pick it anew, if it is not the same spot on both sides.',
      off_mm,
      PICK_mm,
      picks.pairs[worst]!.port,
    )
  if (picked.pairs.length > 0 && picked.forward_deg !== null && picked.forward_deg > PICK_deg)
    say(
      'forward',
      `The places picked for forward point ${deg(picked.forward_deg)} off the centreline of the picked pairs.`,
      'The pairs decide; pick forward along the centreline if this is not what was meant.',
      picked.forward_deg,
      PICK_deg,
      picks.forward[1],
    )
  return out
}
