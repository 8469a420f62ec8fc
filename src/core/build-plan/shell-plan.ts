import { ZONES } from '../clearance/types'
import type { Point } from '../geometry/axes'
import type { Steps } from '../geometry/kernel'
import { facetCount, type Mesh } from '../geometry/mesh'
import { Refused } from '../geometry/trouble'
import { stackFigures } from './laminate'
import { CORES, type Core, FABRICS, type Fabric, GELCOAT_GCM3, GLASS_GCM3, RESINS, type Resin } from './materials'
import type { BuildSettings, BuildShell, CoreEntry, LaminateLine, PlyEntry, ShellPlan } from './types'

/** @throws Refused `setting-impossible` for an id that is in no table */
export const fabricOf = (id: string): Fabric => known(FABRICS, id, 'fabric')
export const resinOf = (id: string): Resin => known(RESINS, id, 'resin')
export const coreOf = (id: string): Core => known(CORES, id, 'core')

function known<T extends { readonly id: string }>(table: readonly T[], id: string, what: string): T {
  const found = table.find((t) => t.id === id)
  if (found) return found
  throw new Refused(
    'setting-impossible',
    `build: there is no ${what} "${id}"; choose one of ${table.map((t) => t.id).join(', ')}.`,
  )
}

const CROWN = ZONES.indexOf('crown')

/** Thickness, mass and material of one shell, from the real area of its face. */
export function* shellPlan(shell: BuildShell, settings: BuildSettings): Steps<ShellPlan> {
  const { area_m2, middle } = facesByZone(shell.face, shell.zone)
  yield 0.5
  const whole = area_m2.reduce((a, b) => a + b, 0)
  const plies = shell.name === 'underside' ? settings.underside : settings.topside
  const core = shell.name === 'underside' ? settings.undersideCore : settings.topsideCore
  const resin = resinOf(settings.resin)
  const now = stackOf(plies, settings.process, resin)
  const otherProcess = settings.process === 'infusion' ? 'hand' : 'infusion'
  const other = stackOf(plies, otherProcess, resin)
  const cored = coreOver(core, area_m2[CROWN]!)
  const gelcoat_kg = whole * settings.gelcoat_mm * GELCOAT_GCM3
  const lines = plies.map((ply): LaminateLine => {
    const one = stackOf([ply], settings.process, resin)
    return {
      what: fabricOf(ply.fabric).name,
      layers: ply.layers,
      area_m2: whole * ply.layers,
      thickness_mm: one.thickness_mm,
      glass_kg: whole * one.glass_kgm2,
      resin_kg: whole * one.resin_kgm2,
    }
  })
  const laminate = (s: { glass_kgm2: number; resin_kgm2: number }) => whole * (s.glass_kgm2 + s.resin_kgm2)
  return {
    name: shell.name,
    area_m2,
    lines,
    thickness_mm: now.thickness_mm,
    drawn_mm: shell.drawn_mm,
    vf: now.vf,
    gelcoat_kg,
    core_kg: cored.core_kg,
    mass_kg: laminate(now) + gelcoat_kg + cored.core_kg + cored.resin_kg,
    centre: middle,
    other: {
      process: otherProcess,
      thickness_mm: other.thickness_mm,
      mass_kg: laminate(other) + gelcoat_kg + cored.core_kg + cored.resin_kg,
      resin_kg: whole * other.resin_kgm2 + cored.resin_kg,
    },
  }
}

export const stackOf = (plies: readonly PlyEntry[], process: BuildSettings['process'], resin: Resin) =>
  stackFigures(
    plies.map(({ fabric, layers }) => {
      const f = fabricOf(fabric)
      return { areal_gm2: f.areal_gm2, massFraction: f.massFraction[process], layers }
    }),
    GLASS_GCM3,
    resin.density_gcm3,
  )

function coreOver(core: CoreEntry | null, crown_m2: number): { core_kg: number; resin_kg: number } {
  if (!core) return { core_kg: 0, resin_kg: 0 }
  const kind = coreOf(core.kind)
  return {
    core_kg: (crown_m2 * core.thickness_mm * kind.density_kgm3) / 1000,
    resin_kg: crown_m2 * kind.uptake_kgm2,
  }
}

/** Area by zone, m², and the middle of the face by area. */
function facesByZone(mesh: Mesh<'job'>, zone: Uint8Array): { area_m2: ShellPlan['area_m2']; middle: Point<'job'> } {
  const area: [number, number, number, number] = [0, 0, 0, 0]
  const moment = [0, 0, 0]
  let sum = 0
  const { positions: p, indices } = mesh
  for (let f = 0; f < facetCount(mesh); f++) {
    const [a, b, c] = [3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!]
    const ux = p[b]! - p[a]!
    const uy = p[b + 1]! - p[a + 1]!
    const uz = p[b + 2]! - p[a + 2]!
    const vx = p[c]! - p[a]!
    const vy = p[c + 1]! - p[a + 1]!
    const vz = p[c + 2]! - p[a + 2]!
    const x = uy * vz - uz * vy
    const y = uz * vx - ux * vz
    const z = ux * vy - uy * vx
    const own = Math.sqrt(x * x + y * y + z * z) / 2
    area[zone[f]!]! += own / 1e6
    sum += own
    for (let k = 0; k < 3; k++) moment[k]! += (own * (p[a + k]! + p[b + k]! + p[c + k]!)) / 3
  }
  return { area_m2: area, middle: [moment[0]! / sum, moment[1]! / sum, moment[2]! / sum] }
}
