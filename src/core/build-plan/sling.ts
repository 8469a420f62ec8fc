/** What one leg of a sling carries. (Rigging practice: the weight over the loaded legs and the sine of their slope.) */
import { sinDeg } from '../geometry/portable-math'

/** Standard gravity, m/s2. */
const G = 9.80665
/** Of four legs only two are counted on: a stiff load hangs on two of them (rigging practice). */
export const LOADED_LEGS = 2
/** Slope that is planned with, from the horizontal, degrees (rigging practice); flatter legs carry more. */
export const SLOPE_DEG = 60

/** @returns N in each loaded leg, without what a jerk adds */
export const slingLeg_N = (mass_kg: number, legs: number, slope_deg: number): number =>
  (mass_kg * G) / (legs * sinDeg(slope_deg))
