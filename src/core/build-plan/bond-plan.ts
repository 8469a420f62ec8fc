import { ZONES } from '../clearance/types'
import { type Steps, within } from '../geometry/kernel'
import { facetCount } from '../geometry/mesh'
import { square } from '../geometry/portable-math'
import { bagsFor, triangularBeadLeg_mm, workingTime_min } from './bonding'
import { faceGap, fillBetween, GAP_ZONES_MM, rawFace } from './gap-between'
import { PASTE_GCM3 } from './materials'
import type { BondPlan, BuildRequest, BuildShell } from './types'

/** Paste laid over what the gap takes, so that it squeezes out along the whole line. (Common practice, no source.) */
const SQUEEZE_OUT = 0.1

const JOINED = new Set(['skirt', 'flange'].map((z) => ZONES.indexOf(z as (typeof ZONES)[number])))

/** The joint between the raw faces of the two shells, measured on the solids. */
export function* bondPlan(under: BuildShell, top: BuildShell, request: BuildRequest): Steps<BondPlan | null> {
  const raw = (shell: BuildShell, all: boolean) =>
    rawFace(shell.solid, facetCount(shell.face), (f) => all || JOINED.has(shell.zone[f]!))
  const limit = GAP_ZONES_MM[2]
  const one = yield* within(0, 0.5, 'joint', faceGap(raw(under, false), raw(top, true), limit))
  const other = yield* within(0.5, 1, 'joint', faceGap(raw(top, false), raw(under, true), limit))
  const filled = fillBetween(one, other)
  const bonded_mm2 = filled.zones_mm2[0] + filled.zones_mm2[1] + filled.zones_mm2[2]
  if (bonded_mm2 === 0) return null
  const { settings } = request
  const length_mm = trimLength_mm(top)
  const width_mm = bonded_mm2 / length_mm
  const paste_l = (filled.paste_mm3 * (1 + SQUEEZE_OUT)) / 1e6
  const putty_l = filled.putty_mm3 / 1e6
  return {
    length_m: length_mm / 1000,
    paste_l,
    paste_kg: paste_l * PASTE_GCM3,
    putty_l,
    area_m2: bonded_mm2 / 1e6,
    zones_m2: filled.zones_mm2.map((a) => a / 1e6) as unknown as BondPlan['zones_m2'],
    gap_mm: { min: filled.min_mm, mean: filled.mean_mm, max: filled.max_mm },
    beadLeg_mm: triangularBeadLeg_mm(width_mm, filled.mean_mm, SQUEEZE_OUT),
    work_min: workingTime_min(settings.pasteWork_min, settings.shop_C),
    bags: bagsFor(settings.clamp_Pa, bonded_mm2 / 1e6, settings.bag_kg),
  }
}

/** Length of the trim line: the rim of the face, facet edge by facet edge. */
function trimLength_mm({ face }: BuildShell): number {
  const once = new Map<string, number>()
  const { indices, positions: p } = face
  for (let f = 0; f < indices.length; f += 3)
    for (let k = 0; k < 3; k++) {
      const a = indices[f + k]!
      const b = indices[f + ((k + 1) % 3)]!
      const key = a < b ? `${a} ${b}` : `${b} ${a}`
      const d = Math.sqrt([0, 1, 2].reduce((s, c) => s + square(p[3 * a + c]! - p[3 * b + c]!), 0))
      if (once.has(key)) once.delete(key)
      else once.set(key, d)
    }
  let sum = 0
  for (const d of once.values()) sum += d
  return sum
}
