/**
 * Sizes of standing people, bare foot, mm: ANSUR II public data (Gordon et al., NATICK/TR-15/007, 2014; 1986 women, 4082
 * men). Of a hundred people 5, 50, 95 are smaller. Sizes of other sets (MIL-STD-1472G and what quotes it) are of other
 * people and are not mixed in: its 5th woman stands 1612 mm, this one 1525.
 *
 * Estimates: height of the eyes; fingertip reach overhead as sitting reach overhead + stature − sitting height of the same
 * data; the length of the arm as that reach less the height of the shoulder, both of the same percentile. Fingertips only
 * touch: a grip wants about 80 mm more (common practice, no source).
 */
import type { Helmsman } from './settings'

export const STATURE_MM = { women: [1525, 1626, 1740], men: [1648, 1755, 1870] } as const
export const EYE_MM = { women: [1421, 1517, 1626], men: [1536, 1640, 1753] } as const
export const SHOULDER_MM = { women: [1242, 1332, 1434], men: [1339, 1439, 1546] } as const
export const OVERHEAD_REACH_MM = { women: [1926, 2078, 2253], men: [2097, 2263, 2438] } as const

export interface BodySizes {
  readonly stature_mm: number
  readonly eye_mm: number
  readonly shoulder_mm: number
  readonly overhead_mm: number
  /** From the shoulder to the fingertips. */
  readonly arm_mm: number
}

/** @example bodySizes('woman-5').arm_mm // 684 */
export function bodySizes(who: Helmsman): BodySizes {
  const sex = who.startsWith('woman') ? 'women' : 'men'
  const k = who.endsWith('-5') ? 0 : who.endsWith('-50') ? 1 : 2
  const [shoulder_mm, overhead_mm] = [SHOULDER_MM[sex][k], OVERHEAD_REACH_MM[sex][k]]
  return {
    stature_mm: STATURE_MM[sex][k],
    eye_mm: EYE_MM[sex][k],
    shoulder_mm,
    overhead_mm,
    arm_mm: overhead_mm - shoulder_mm,
  }
}
