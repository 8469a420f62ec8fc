/**
 * Who stands under the top: headroom at the helm, and whether the handles above can be reached from the deck.
 *
 * Percentiles of standing people, bare foot, mm: ANSUR II public data (Gordon et al., NATICK/TR-15/007, 2014; 1986 women,
 * 4082 men). Fingertip reach overhead is an estimate: sitting reach overhead + stature − sitting height, of the same data.
 */
import type { Point } from '../geometry/axes'
import type { Finding } from '../geometry/trouble'
import { highestAt, type PlanHeights } from './plan-heights'
import type { PeopleSettings } from './settings'
import type { PlacedFitting } from './types'

/** Of a hundred people so many are shorter: 5, 50, 95. */
export const STATURE_MM = { women: [1525, 1626, 1740], men: [1648, 1755, 1870] } as const
export const OVERHEAD_REACH_MM = { women: [1926, 2078, 2253], men: [2097, 2263, 2438] } as const
/** Over a bare head for shoes, a cap and the vessel's motion (common practice, no source). */
const OVER_HEAD_MM = 60

export interface HandleReach {
  readonly id: string
  readonly name: string
  readonly twin: boolean
  /** Lowest place of it over the deck, mm. */
  readonly height_mm: number
}

export interface PeopleCheck {
  /** z of the deck, job axes, mm. */
  readonly deck_mm: number
  /** From the deck to the lowest of the top over the helm, mm; null: no helm is stated, or nothing is over it. */
  readonly headroom_mm: number | null
  readonly handles: readonly HandleReach[]
}

export interface PeopleOptions {
  readonly people: PeopleSettings
  /** z of the lowest metal: where people stand if nothing else is stated. */
  readonly lowest_mm: number
  readonly underside: PlanHeights
  readonly placed: readonly PlacedFitting[]
  /** Ids of the fittings that are held on to. */
  readonly handles: ReadonlySet<string>
}

export function peopleCheck(options: PeopleOptions): PeopleCheck & { readonly findings: readonly Finding[] } {
  const { people, lowest_mm, underside, placed, handles } = options
  const deck_mm = people.deck_mm ?? lowest_mm
  const over = people.helm_mm ? highestAt(underside, people.helm_mm[0], people.helm_mm[1]) : Number.NaN
  const headroom_mm = Number.isFinite(over) ? over - deck_mm : null
  const held = placed
    .filter((p) => handles.has(p.id))
    .map((p): HandleReach => ({ id: p.id, name: p.name, twin: p.twin, height_mm: lowestOf(p) - deck_mm }))
  const findings: Finding[] = []
  if (headroom_mm !== null && people.helm_mm) findings.push(...headFinding(headroom_mm, people.helm_mm, over))
  for (const handle of held) findings.push(...reachFinding(handle, placed))
  return { deck_mm, headroom_mm, handles: held, findings }
}

function lowestOf({ mesh }: PlacedFitting): number {
  let low = Infinity
  for (let i = 2; i < mesh.positions.length; i += 3) low = Math.min(low, mesh.positions[i]!)
  return low + mesh.origin[2]
}

function headFinding(headroom_mm: number, [x, y]: readonly [number, number], z: number): Finding[] {
  const tall = STATURE_MM.men[2] + OVER_HEAD_MM
  if (headroom_mm >= tall) return []
  return [
    {
      id: 'fitting.headroom',
      step: 'fitting',
      severity: headroom_mm < STATURE_MM.men[1] ? 'warning' : 'note',
      message: `Headroom at the helm is ${headroom_mm.toFixed(0)} mm; a tall man (95 of 100 are shorter) stands ${STATURE_MM.men[2]} mm bare foot and wants about ${tall}.`,
      advice: 'Lower the deck there, raise the frame, or say who steers.',
      where: [x, y, z],
      value: headroom_mm,
      limit: tall,
      unit: 'mm',
    },
  ]
}

function reachFinding(handle: HandleReach, placed: readonly PlacedFitting[]): Finding[] {
  const [small] = OVERHEAD_REACH_MM.women
  if (handle.height_mm <= small) return []
  const at: Point<'job'> | undefined = placed.find((p) => p.id === handle.id && p.twin === handle.twin)?.seat.at
  return [
    {
      id: `fitting.reach.${handle.id}${handle.twin ? '.twin' : ''}`,
      step: 'fitting',
      severity: handle.height_mm > OVERHEAD_REACH_MM.men[2] ? 'warning' : 'note',
      message: `${handle.name}${handle.twin ? ' (twin)' : ''} is ${handle.height_mm.toFixed(0)} mm over the deck; a small woman (5 of 100 are shorter) reaches about ${small} with her fingertips.`,
      advice: 'A handle that all can hold hangs lower, or has a step beneath it.',
      ...(at && { where: [at[0], at[1], at[2]] as const }),
      value: handle.height_mm,
      limit: small,
      unit: 'mm',
    },
  ]
}
