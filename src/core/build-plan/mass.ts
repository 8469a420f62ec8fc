import type { Axes, Point } from '../geometry/axes'

export interface MassAt<A extends Axes = Axes> {
  readonly mass_kg: number
  /** mm. */
  readonly at: Point<A>
}

/** Sum of masses and their centre of gravity; the origin when there is no mass. */
export function centreOfGravity<A extends Axes>(parts: readonly MassAt<A>[]): MassAt<A> {
  let mass_kg = 0
  const moment: [number, number, number] = [0, 0, 0]
  for (const part of parts) {
    mass_kg += part.mass_kg
    for (let k = 0; k < 3; k++) moment[k]! += part.mass_kg * part.at[k]!
  }
  if (mass_kg === 0) return { mass_kg, at: [0, 0, 0] }
  return { mass_kg, at: [moment[0] / mass_kg, moment[1] / mass_kg, moment[2] / mass_kg] }
}
