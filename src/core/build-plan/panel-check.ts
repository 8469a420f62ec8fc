/**
 * How far a shell gives between its supports, for orientation only. A strip on two supports under an even pressure, the span
 * twice the farthest distance of the crown from anything that carries it. Strip: 5qL⁴/384D + qL²/8S (Allen 1969; Zenkert 1995);
 * solid laminate D = E t³/12(1 − ν²) (Timoshenko & Woinowsky-Krieger). A strip gives more than the plate it stands for.
 */

import { ZONES } from '../clearance/types'
import type { Point } from '../geometry/axes'
import { facetCount } from '../geometry/mesh'
import { square } from '../geometry/portable-math'
import { acrossModulus, alongModulus, matModulus, plateStiffness_Nm, sandwich } from './laminate'
import { type Core, GLASS_GPA, RESIN_GPA } from './materials'
import type { ClosedLine } from './trim-line'
import type { BuildShell, PanelCheck } from './types'

const POISSON = 0.3
/** Deflections over this share of the span are beyond small-deflection theory as soon as they pass the thickness. */
const PANEL_FORMULA = '5 q L⁴ / 384 D + q L² / 8 S'

export interface PanelInput {
  readonly shell: BuildShell
  readonly thickness_mm: number
  readonly vf: number
  /** Of the mat among the plies, by thickness, 0…1. */
  readonly matShare: number
  readonly core: { readonly kind: Core; readonly thickness_mm: number } | null
  /** Axes of what carries the shell, job axes. */
  readonly supports: readonly (readonly Point<'job'>[])[]
  readonly trim: ClosedLine | null
  readonly load_Pa: number
}

/** @returns null where nothing is known to carry the shell */
export function panelCheck(input: PanelInput): PanelCheck | null {
  const { shell, thickness_mm, core, load_Pa } = input
  const lines = [...input.supports, ...(input.trim ? [[...input.trim.points, input.trim.points[0]!]] : [])]
  const far = farthest(shell, lines)
  if (!far) return null
  const span_m = (2 * far.distance_mm) / 1000
  const E = laminateModulus_GPa(input.vf, input.matShare)
  const stiff = core ? sandwich(thickness_mm / 2, core.thickness_mm, E, core.kind.shear_MPa) : null
  const bending_Nm = stiff?.bending_Nm ?? plateStiffness_Nm(E, thickness_mm, POISSON)
  const shear_mm = stiff ? (1000 * load_Pa * square(span_m)) / (8 * stiff.shear_Nm) : 0
  const bending_mm = (1000 * 5 * load_Pa * square(square(span_m))) / (384 * bending_Nm)
  const deflection_mm = bending_mm + shear_mm
  return {
    shell: shell.name,
    span_mm: 1000 * span_m,
    at: far.at,
    load_Pa,
    modulus_GPa: E,
    bending_Nm,
    deflection_mm,
    shear_mm,
    // Past about half of its thickness a plate carries as a membrane too: the figure is then too large.
    small: deflection_mm <= (thickness_mm + (core?.thickness_mm ?? 0)) / 2,
    formula: PANEL_FORMULA,
  }
}

/** Modulus of the mixed stack: 0/90 plies as the mean of along and across, mat as 3/8 E1 + 5/8 E2; by thickness. */
export function laminateModulus_GPa(vf: number, matShare: number): number {
  const along = alongModulus(vf, GLASS_GPA, RESIN_GPA)
  const across = acrossModulus(vf, GLASS_GPA, RESIN_GPA)
  return matShare * matModulus(along, across) + (1 - matShare) * ((along + across) / 2)
}

/** The middle of the crown's facet that lies farthest, in plan, from every line. */
function farthest(
  { face, zone }: BuildShell,
  lines: readonly (readonly Point[])[],
): { distance_mm: number; at: Point<'job'> } | null {
  if (lines.length === 0) return null
  const crown = ZONES.indexOf('crown')
  const segments = lines.flatMap((l) => l.slice(1).map((b, i) => [l[i]![0], l[i]![1], b[0], b[1]] as const))
  const { positions: p, indices } = face
  let best: { distance_mm: number; at: Point<'job'> } | null = null
  // A span to a few millimetres is enough: large meshes are looked at in every so-manieth facet.
  const stride = Math.max(1, Math.floor(facetCount(face) / 4000))
  for (let f = 0; f < facetCount(face); f += stride) {
    if (zone[f] !== crown) continue
    const [a, b, c] = [3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!]
    const at = [0, 1, 2].map((k) => (p[a + k]! + p[b + k]! + p[c + k]!) / 3) as [number, number, number]
    let least = Infinity
    for (const [ax, ay, bx, by] of segments) {
      const dx = bx - ax
      const dy = by - ay
      const l2 = dx * dx + dy * dy
      const t = l2 > 0 ? Math.min(1, Math.max(0, ((at[0] - ax) * dx + (at[1] - ay) * dy) / l2)) : 0
      const d = square(at[0] - ax - t * dx) + square(at[1] - ay - t * dy)
      if (d < least) least = d
    }
    const distance_mm = Math.sqrt(least)
    if (!best || distance_mm > best.distance_mm) best = { distance_mm, at }
  }
  return best
}
