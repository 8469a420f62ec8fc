/**
 * Navigation lights as the rules have them: COLREGS 1972, Rule 21 (arcs), Rule 22 (ranges), Annex I 2 (heights), 9 (arcs as
 * fitted). Check values S01–S06. Ranges of Rule 22 as restated in 33 CFR 83.22; heights from a commentary and from memory.
 * The rules of the flag state decide; this is an aid.
 */
import type { NavigationLight } from './settings'

export interface LightArc {
  /** Bearing at which it begins, clockwise, 0 = the light's own ahead. */
  readonly from_deg: number
  readonly width_deg: number
}

/** Hidden at most this much by masts, topmasts or structures in one sector, degrees: all-round lights (Annex I 9(b)). */
export const ALL_ROUND_LIMIT_DEG = 6
/** Sector lights hold full strength to this far inside the edges abaft, and are gone this far outside (Annex I 9(a)). */
export const EDGE_DEG = 5

const ARCS: { readonly [K in NavigationLight]: LightArc } = {
  masthead: { from_deg: 247.5, width_deg: 225 },
  port: { from_deg: 247.5, width_deg: 112.5 },
  starboard: { from_deg: 0, width_deg: 112.5 },
  combined: { from_deg: 247.5, width_deg: 225 },
  stern: { from_deg: 112.5, width_deg: 135 },
  towing: { from_deg: 112.5, width_deg: 135 },
  'all-round': { from_deg: 0, width_deg: 360 },
  anchor: { from_deg: 0, width_deg: 360 },
}

/** Arc of visibility by Rule 21. */
export const arcOf = (kind: NavigationLight): LightArc => ARCS[kind]

/** The arc over which the full strength is asked: less 5° at the edges abaft; a sidelight's forward edge is at ahead. */
export function fullArcOf(kind: NavigationLight): LightArc {
  const { from_deg, width_deg } = ARCS[kind]
  if (width_deg === 360) return ARCS[kind]
  if (kind === 'port') return { from_deg: from_deg + EDGE_DEG, width_deg: width_deg - EDGE_DEG }
  if (kind === 'starboard') return { from_deg, width_deg: width_deg - EDGE_DEG }
  return { from_deg: from_deg + EDGE_DEG, width_deg: width_deg - 2 * EDGE_DEG }
}

/** How much of it may be hidden in one sector, degrees; null: an anchor light is excepted, since it need not stand impracticably high. */
export function hiddenLimit_deg(kind: NavigationLight): number | null {
  if (kind === 'anchor') return null
  return kind === 'all-round' ? ALL_ROUND_LIMIT_DEG : 0
}

/** What a mirrored twin of a light shows. */
export function mirroredKind(kind: NavigationLight): NavigationLight {
  if (kind === 'port') return 'starboard'
  return kind === 'starboard' ? 'port' : kind
}

/** Least range, nautical miles, by Rule 22; null without a length or from 50 m on. */
export function range_nm(kind: NavigationLight, length_m: number | null): number | null {
  if (length_m === null || length_m >= 50) return null
  const row = length_m < 12 ? 0 : length_m < 20 ? 1 : 2
  if (kind === 'masthead') return [2, 3, 5][row]!
  if (kind === 'port' || kind === 'starboard' || kind === 'combined') return [1, 2, 2][row]!
  return 2
}
