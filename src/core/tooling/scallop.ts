/** The ridges that a round cutter leaves between its passes. All lengths mm. */
import { Refused } from '../geometry/trouble'

/** Height of the ridge on a flat: h = R − √(R² − s²/4). Geometry; C01. @throws Refused `setting-impossible` for s ≥ 2R */
export function scallopHeight_mm(radius_mm: number, stepOver_mm: number): number {
  checkStep(radius_mm, stepOver_mm)
  const q = (stepOver_mm * stepOver_mm) / 4
  return q / (radius_mm + Math.sqrt(radius_mm * radius_mm - q)) // = R − √…, without losing digits
}

/** The same on a plane that leans by a slope whose cosine is given, for passes a step apart in plan: C06. */
export const scallopOnSlope_mm = (radius_mm: number, planStep_mm: number, cosine: number): number =>
  scallopHeight_mm(radius_mm, planStep_mm / cosine)

/** Step-over for a wanted ridge on a flat: s = 2√(2Rh − h²). C03. */
export function stepOverFlat_mm(radius_mm: number, scallop_mm: number): number {
  checkScallop(radius_mm, scallop_mm)
  return 2 * Math.sqrt(scallop_mm * (2 * radius_mm - scallop_mm))
}

/**
 * Step-over along the chord of a surface that is curved across the passes.
 *
 * Two circles of radius R touch, on the inside (concave, k < 0) or the outside (convex, k > 0), a circle of radius P = 1/|k|;
 * their crossing stands h off it. By Heron's formula on the triangle of the middles; for the concave case this is C04:
 * P/((P−h)(P−R)) √(h(2P−h)(2R−h)(2(P−R)−h)).
 *
 * @param curvature_per_mm across the passes, positive where convex; 0 gives `stepOverFlat_mm`
 * @throws Refused `setting-impossible` where the cutter does not fit into the hollow, or the ridge is no ridge
 */
export function stepOver_mm(radius_mm: number, scallop_mm: number, curvature_per_mm: number): number {
  checkScallop(radius_mm, scallop_mm)
  if (Math.abs(curvature_per_mm) * radius_mm < 1e-9) return stepOverFlat_mm(radius_mm, scallop_mm)
  const P = 1 / Math.abs(curvature_per_mm)
  const h = scallop_mm
  const R = radius_mm
  if (curvature_per_mm < 0) {
    if (P <= R)
      throw new Refused('setting-impossible', `tooling: a cutter of ${R} mm radius does not enter a hollow of ${P} mm.`)
    const inside = h * (2 * P - h) * (2 * R - h) * (2 * (P - R) - h)
    // A ridge higher than the hollow leaves room for: one pass does.
    return inside > 0 ? (P / ((P - h) * (P - R))) * Math.sqrt(inside) : 2 * R
  }
  return (P / ((P + h) * (P + R))) * Math.sqrt(h * (2 * P + h) * (2 * R - h) * (2 * (P + R) + h))
}

/** Roughness of the ideal ridge: parabola limit, Ra = 4h/(9√3), Rq = h·2/(3√5), Rt = h. C07. */
export const scallopRoughness_mm = (scallop_mm: number): { Ra: number; Rq: number; Rt: number } => ({
  Ra: (4 * scallop_mm) / (9 * Math.sqrt(3)),
  Rq: (2 * scallop_mm) / (3 * Math.sqrt(5)),
  Rt: scallop_mm,
})

/** Mean thickness to be sanded off the ridges: h/3 above the valley. C08. */
export const meanRidge_mm = (scallop_mm: number): number => scallop_mm / 3

/** Longest chord that stays within `error_mm` of a curve of this radius: 2√(2Re − e²). C17. */
export const chordLength_mm = (radius_mm: number, error_mm: number): number =>
  2 * Math.sqrt(error_mm * (2 * radius_mm - error_mm))

function checkStep(radius_mm: number, step_mm: number): void {
  if (!(step_mm >= 0 && step_mm < 2 * radius_mm))
    throw new Refused(
      'setting-impossible',
      `tooling: passes ${step_mm} mm apart leave the ground between them uncut by a radius of ${radius_mm} mm.`,
    )
}

function checkScallop(radius_mm: number, scallop_mm: number): void {
  if (!(scallop_mm > 0 && scallop_mm < radius_mm))
    throw new Refused(
      'setting-impossible',
      `tooling: a scallop of ${scallop_mm} mm is not possible with a radius of ${radius_mm} mm.`,
    )
}
