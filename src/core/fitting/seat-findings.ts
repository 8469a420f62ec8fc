import type { Certificate } from '../clearance'
import type { Point } from '../geometry/axes'
import type { Finding } from '../geometry/trouble'
import type { PatchFault } from './seat-hole'
import type { Wish } from './seat-plan'
import type { SeatFeature, ShellName } from './seat-types'

/** A base on its land stands this close everywhere, mm. */
const CONTACT_MM = 0.05

type Fault = Extract<PatchFault, string> | 'collides' | 'off' | 'flat' | 'imported'

/** Why a feature was left out: a hold, since the shells that would be ordered are not the ones that were asked for. */
export function faultFinding(wish: Wish, fault: Fault, at: readonly [number, number], other: string | null): Finding {
  const what = `The ${call(wish.kind)} of ${wish.name}${wish.twin ? ' (twin)' : ''}`
  const where = `about x ${round(at[0])}, y ${round(at[1])}`
  const [message, advice] = ((): readonly [string, string] => {
    switch (fault) {
      case 'edge':
        return [`${what} runs into the edge radius of the ${wish.on}, ${where}.`, 'Move it in from the edge.']
      case 'skirt':
      case 'flange':
        return [
          `${what} runs into the ${fault} of the ${wish.on}, where the joint is made, ${where}.`,
          'Move it in from the edge.',
        ]
      case 'collides':
        return [
          `${what} and that of ${other} run into each other, ${where}.`,
          'Move one of them, or lessen its margin or radii.',
        ]
      case 'centreline':
        return [
          `${what} runs into its own mirror image, ${where}.`,
          'Move it away from the centreline, or put it on it.',
        ]
      case 'off':
        return [
          `${what} does not lie wholly on the ${wish.on}, ${where}.`,
          'Move it in from the edge, or pick the flat side that it stands on.',
        ]
      case 'folds':
        return [
          `The wall of the ${call(wish.kind)} of ${wish.name} turns back on itself, ${where}.`,
          'Enlarge its corner or bend radius, or lessen its depth and foot radius.',
        ]
      case 'imported':
        return [
          `${what} cannot be set into the imported ${wish.on}.`,
          'Draw it into that mesh, or go back to the drawn shell.',
        ]
      case 'flat':
        return [
          `${what} is too low for its fillets to meet the ${wish.on}, ${where}.`,
          'Raise (deepen) it by a few millimetres, or lessen its edge and foot radius.',
        ]
    }
  })()
  return {
    id: `fitting.seat.${wish.id}${wish.twin ? '.twin' : ''}`,
    step: 'fitting',
    severity: 'hold',
    message: `${message} It is left out.`,
    advice,
    where: [at[0], at[1], 0],
  }
}

export interface FeatureFacts {
  /** Facets of the raw face that turn over. */
  readonly folded: number
  readonly bond_mm: number
  readonly where: Point<'job'>
  /** Place on the raw face nearest to the other shell. */
  readonly room: readonly [number, number, number] | null
  /** Edge radius that was asked, where a larger one was built. */
  readonly raised: number | null
}

export function featureFindings(feature: SeatFeature, facts: FeatureFacts): Finding[] {
  const found: Finding[] = []
  const mark = `${feature.id}${feature.twin ? '.twin' : ''}`
  const about = { step: 'fitting' as const, where: facts.where }
  const what = `The ${call(feature.kind)} of ${feature.name}${feature.twin ? ' (twin)' : ''}`
  const other: ShellName = feature.on === 'topside' ? 'underside' : 'topside'
  if (facts.folded > 0)
    found.push({
      ...about,
      id: `fitting.seat.laminate.${mark}`,
      severity: 'hold',
      message: `${what} is too narrow or too sharp for the laminate: its raw side would fold.`,
      advice: 'Enlarge the margin, the corner radius and the edge radius.',
      value: facts.folded,
      limit: 0,
      unit: 'facets',
    })
  if (feature.room_mm !== null && feature.room_mm < facts.bond_mm && facts.room)
    found.push({
      ...about,
      id: `fitting.seat.room.${mark}`,
      severity: 'hold',
      message:
        feature.room_mm === 0
          ? `${what} goes through the cavity on to the ${other}.`
          : `${what} comes within ${round(feature.room_mm)} mm of the ${other}; ${round(facts.bond_mm)} mm is the least that can be bonded.`,
      advice: 'Make it shallower, move it, or deepen the cavity.',
      where: [facts.room[0], facts.room[1], facts.room[2]],
      value: feature.room_mm,
      limit: facts.bond_mm,
      unit: 'mm',
    })
  if (feature.after && feature.after.gap_mm > CONTACT_MM)
    found.push({
      ...about,
      id: `fitting.seat.contact.${mark}`,
      severity: 'warning',
      message: `${feature.name}${feature.twin ? ' (twin)' : ''} stands up to ${feature.after.gap_mm.toFixed(2)} mm clear of its own ${call(feature.kind)}.`,
      advice: 'Enlarge the margin: part of the base reaches beyond the flat land.',
      value: feature.after.gap_mm,
      limit: CONTACT_MM,
      unit: 'mm',
    })
  if (facts.raised !== null)
    found.push({
      ...about,
      id: `fitting.seat.radius.${mark}`,
      severity: 'note',
      message: `The edge radius of the ${call(feature.kind)} of ${feature.name} is ${round(feature.edgeRadius_mm)} mm, not ${round(facts.raised)} mm: the laminate cannot turn tighter on its raw side.`,
      advice: 'Ask for a sharp edge (0) if it must be tight; then the raw side is filled by hand.',
      value: feature.edgeRadius_mm,
      limit: facts.raised,
      unit: 'mm',
    })
  return found
}

export const oneSideFinding = (wish: Wish): Finding => ({
  id: `fitting.seat.one-side.${wish.id}${wish.twin ? '.twin' : ''}`,
  step: 'fitting',
  severity: 'note',
  message: `The ${call(wish.kind)} of ${wish.name} is on one side only: the ${wish.on} is no longer its own mirror image there.`,
  advice: 'Have the same shape made on both sides if one mould is to serve for handed parts.',
  ...(wish.stands && { where: [wish.stands.stand.at_mm[0], wish.stands.stand.at_mm[1], 0] as const }),
})

/** The inner surface with its features, certified again: said only where it is worse than it was. */
export function certificateFinding(before: Certificate, after: Certificate): Finding | null {
  const lost = after.fails_mm2 + after.notProven_mm2 - before.fails_mm2 - before.notProven_mm2
  if (lost <= 0) return null
  return {
    id: 'fitting.seat.clearance',
    step: 'fitting',
    severity: 'hold',
    message: `With its seats the inner surface comes within ${after.min_mm.toFixed(2)} mm of the frame: ${Math.ceil(lost)} mm2 more are no longer proven.`,
    advice: 'Move what hangs from the underside, or lessen its height.',
    where: after.marginAt.shell,
    value: after.margin_mm,
    limit: after.guard_mm,
    unit: 'mm',
  }
}

export const call = (kind: SeatFeature['kind']): string => (kind === 'sunk' ? 'pocket' : kind)

const round = (mm: number): string => (Math.round(mm * 10) / 10).toString()
