/**
 * What a stack of plies weighs, how thick it is and how much resin it takes.
 *
 * Fibre volume fraction from mass fraction, ply thickness and resin mass as in any composites text (ISO 12215-5 annex C has the
 * same in small-craft form): Vf = (w/ρf) / (w/ρf + (1−w)/ρm), t = W/(ρf Vf), resin = W (1/w − 1).
 */
import { square } from '../geometry/portable-math'

/** g/cm³ both; the mass fraction of fibre 0 < w < 1. */
export const fibreVolumeFraction = (w: number, fibre_gcm3: number, resin_gcm3: number): number =>
  w / fibre_gcm3 / (w / fibre_gcm3 + (1 - w) / resin_gcm3)

export const fibreMassFraction = (vf: number, fibre_gcm3: number, resin_gcm3: number): number =>
  (vf * fibre_gcm3) / (vf * fibre_gcm3 + (1 - vf) * resin_gcm3)

/** g/cm³. */
export const laminateDensity = (vf: number, fibre_gcm3: number, resin_gcm3: number): number =>
  vf * fibre_gcm3 + (1 - vf) * resin_gcm3

/** mm, for dry fibre in g/m². */
export const plyThickness_mm = (areal_gm2: number, vf: number, fibre_gcm3: number): number =>
  areal_gm2 / (1000 * fibre_gcm3 * vf)

/** Resin, kg/m², for dry fibre in g/m². */
export const resinOf_kgm2 = (areal_gm2: number, w: number): number => (areal_gm2 / 1000) * (1 / w - 1)

export interface PlyKind {
  readonly areal_gm2: number
  /** Fibre mass fraction. */
  readonly massFraction: number
  readonly layers: number
}

export interface StackFigures {
  readonly thickness_mm: number
  readonly glass_kgm2: number
  readonly resin_kgm2: number
  /** Fibre volume fraction of the whole stack. */
  readonly vf: number
}

/** Sums over the plies of a solid laminate. */
export function stackFigures(plies: readonly PlyKind[], fibre_gcm3: number, resin_gcm3: number): StackFigures {
  let thickness_mm = 0
  let glass_kgm2 = 0
  let resin_kgm2 = 0
  for (const { areal_gm2, massFraction, layers } of plies) {
    const vf = fibreVolumeFraction(massFraction, fibre_gcm3, resin_gcm3)
    thickness_mm += layers * plyThickness_mm(areal_gm2, vf, fibre_gcm3)
    glass_kgm2 += (layers * areal_gm2) / 1000
    resin_kgm2 += layers * resinOf_kgm2(areal_gm2, massFraction)
  }
  const vf = thickness_mm > 0 ? glass_kgm2 / fibre_gcm3 / thickness_mm : 0
  return { thickness_mm, glass_kgm2, resin_kgm2, vf }
}

/** Rule of mixtures along the fibres and across (Voigt, Reuss; Jones, Mechanics of Composite Materials). Units of the moduli. */
export const alongModulus = (vf: number, fibre: number, resin: number): number => fibre * vf + resin * (1 - vf)
export const acrossModulus = (vf: number, fibre: number, resin: number): number => 1 / (vf / fibre + (1 - vf) / resin)

/** Transverse modulus by Halpin and Tsai, ξ = 2 (Halpin & Kardos 1976). */
export function transverseModulus(vf: number, fibre: number, resin: number): number {
  const eta = (fibre / resin - 1) / (fibre / resin + 2)
  return (resin * (1 + 2 * eta * vf)) / (1 - eta * vf)
}

/** Random mat in its plane: 3/8 E1 + 5/8 E2 (Tsai & Pagano). */
export const matModulus = (along: number, across: number): number => 0.375 * along + 0.625 * across

export interface SandwichFigures {
  /** Bending stiffness per width, N m. */
  readonly bending_Nm: number
  /** Shear stiffness per width, N/m. */
  readonly shear_Nm: number
}

/** Sandwich with equal thin skins: D = Ef tf d²/2, S = Gc d²/c (Allen 1969; Zenkert 1995). mm, GPa for the skin, MPa for the core. */
export function sandwich(skin_mm: number, core_mm: number, skin_GPa: number, coreShear_MPa: number): SandwichFigures {
  const d = (core_mm + skin_mm) / 1000
  return {
    bending_Nm: (skin_GPa * 1e9 * (skin_mm / 1000) * d * d) / 2,
    shear_Nm: (coreShear_MPa * 1e6 * d * d) / (core_mm / 1000),
  }
}

/** Middle of a strip on two supports under even pressure: 5 q L⁴ / 384 D + q L² / 8 S, in mm. */
export const stripDeflection_mm = (q_Pa: number, span_m: number, { bending_Nm, shear_Nm }: SandwichFigures): number =>
  1000 * ((5 * q_Pa * square(square(span_m))) / (384 * bending_Nm) + (q_Pa * square(span_m)) / (8 * shear_Nm))

/** Plate stiffness of a solid laminate, N m: E t³ / 12 (1 − ν²) (Timoshenko & Woinowsky-Krieger). */
export const plateStiffness_Nm = (modulus_GPa: number, thickness_mm: number, poisson: number): number =>
  (modulus_GPa * 1e9 * (thickness_mm / 1000) * square(thickness_mm / 1000)) / (12 * (1 - poisson * poisson))
