import { ZONES } from '../clearance/types'
import type { Point } from '../geometry/axes'
import type { Steps } from '../geometry/kernel'
import { type MassProperties, massProperties } from '../geometry/measure'
import { facetCount, type Mesh } from '../geometry/mesh'
import { Refused } from '../geometry/trouble'
import { stackFigures } from './laminate'
import { centreOfGravity } from './mass'
import { CORES, type Core, FABRICS, type Fabric, GELCOAT_GCM3, GLASS_GCM3, RESINS, type Resin } from './materials'
import { dropOffAreas_m2, facetArea, type ZoneShape } from './ply-zones'
import type { BuildSettings, BuildShell, CoreEntry, LaminateLine, PlyEntry, ShellPlan, ZoneFigures } from './types'

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

/** Thickness, mass, material and cost of one shell, from the real areas of its face and of the zones on it. */
export function* shellPlan(shell: BuildShell, settings: BuildSettings, shapes: readonly ZoneShape[]): Steps<ShellPlan> {
  const { area_m2, middles, middle } = facesByZone(shell.face, shell.zone)
  yield 0.5
  const whole = area_m2.reduce((a, b) => a + b, 0)
  const solid = yield* massProperties(shell.solid)
  const plies = pliesOf(shell, settings)
  const core = shell.name === 'underside' ? settings.undersideCore : settings.topsideCore
  const resin = resinOf(settings.resin)
  const now = stackOf(plies, settings.process, resin)
  const otherProcess = settings.process === 'infusion' ? 'hand' : 'infusion'
  const gelcoat_kg = whole * settings.gelcoat_mm * GELCOAT_GCM3
  const laid = laidArea(whole, middle, solid, shell.drawn_mm, now.thickness_mm)
  const lines = plies.map((ply) => lineOf(ply, ply.layers * laid.area_m2, settings))
  const zones = shapes.map((shape) => zoneFigures(shape, plies, settings))
  const cores = coresOf(shell, core, area_m2[CROWN]!, shapes)
  const uptake_kg = cores.reduce((sum, c) => sum + c.uptake_kg, 0)
  const core_kg = cores.reduce((sum, c) => sum + c.mass_kg, 0)
  const laminate_kg = lines.reduce((sum, l) => sum + l.glass_kg + l.resin_kg, 0)
  const { mass_kg, at } = centreOfGravity<'job'>([
    { mass_kg: gelcoat_kg, at: middle },
    { mass_kg: laminate_kg, at: laid.middle },
    { mass_kg: core_kg + uptake_kg, at: middles[CROWN]! },
    ...zones.map((z, i) => ({ mass_kg: z.mass_kg, at: shapes[i]!.centre })),
  ])
  const resin_kg = sum(lines, 'resin_kg') + sum(zones, 'resin_kg') + uptake_kg
  const { rates, waste } = settings
  const other = otherFigures(otherProcess, plies, shapes, laid.area_m2, settings)
  return {
    name: shell.name,
    area_m2,
    lines,
    zones,
    cores: cores.map(({ uptake_kg: _, ...c }) => c),
    thickness_mm: now.thickness_mm,
    drawn_mm: shell.drawn_mm,
    vf: now.vf,
    gelcoat_kg,
    core_kg,
    resin_kg,
    mass_kg,
    centre: at,
    cost:
      sum(zones, 'cost') +
      (1 + waste) *
        (rates.fabric_kg * sum(lines, 'glass_kg') +
          rates.resin_kg * (resin_kg - sum(zones, 'resin_kg')) +
          rates.gelcoat_kg * gelcoat_kg +
          rates.core_m2 * cores.reduce((s, c) => s + c.area_m2, 0)),
    other: {
      process: otherProcess,
      thickness_mm: stackOf(plies, otherProcess, resin).thickness_mm,
      mass_kg: other.laminate_kg + gelcoat_kg + core_kg + uptake_kg,
      resin_kg: other.resin_kg + uptake_kg,
    },
  }
}

/** Beyond this a shell's solid is no plain offset of its face, as may be with one from a file: then the face alone counts. */
const OFFSET_SHARE = 0.1

/**
 * Plies lie on each other, so on a curved shell their mean area is not that of the moulded face: it is the solid's volume over
 * its thickness, and their middle is the solid's. A laminate of another thickness than drawn lies in proportion.
 */
function laidArea(
  face_m2: number,
  faceMiddle: Point<'job'>,
  { volume_mm3, centroid }: MassProperties,
  drawn_mm: number,
  thickness_mm: number,
): { area_m2: number; middle: Point<'job'> } {
  const more = volume_mm3 / (drawn_mm * face_m2 * 1e6) - 1
  if (!(face_m2 > 0 && Math.abs(more) <= OFFSET_SHARE)) return { area_m2: face_m2, middle: faceMiddle }
  const share = thickness_mm / drawn_mm
  const to = (k: number) => faceMiddle[k]! + share * (centroid[k]! - faceMiddle[k]!)
  return { area_m2: face_m2 * (1 + share * more), middle: [to(0), to(1), to(2)] }
}

const sum = <K extends string>(list: readonly { readonly [P in K]: number }[], key: K): number =>
  list.reduce((total, item) => total + item[key], 0)

export const pliesOf = (shell: Pick<BuildShell, 'name'>, settings: BuildSettings): readonly PlyEntry[] =>
  shell.name === 'underside' ? settings.underside : settings.topside

/** One entry of the schedule over an area that its layers have together. */
function lineOf(ply: PlyEntry, laid_m2: number, settings: BuildSettings): LaminateLine {
  const one = stackOf([{ ...ply, layers: 1 }], settings.process, resinOf(settings.resin))
  return {
    what: fabricOf(ply.fabric).name,
    layers: ply.layers,
    area_m2: laid_m2,
    thickness_mm: one.thickness_mm * ply.layers,
    glass_kg: laid_m2 * one.glass_kgm2,
    resin_kg: laid_m2 * one.resin_kgm2,
  }
}

/** Area that each entry of a zone takes, all its layers with their drop-offs; the first laid reaches furthest. */
function laidInZone({ zone, area_m2, edge_m }: ZoneShape, step_mm: number): number[] {
  const layers = zone.plies.reduce((n, p) => n + p.layers, 0)
  const areas = dropOffAreas_m2(area_m2, edge_m, layers, step_mm)
  let next = 0
  return zone.plies.map((p) => {
    const mine = areas.slice(next, next + p.layers)
    next += p.layers
    return mine.reduce((a, b) => a + b, 0)
  })
}

function zoneFigures(shape: ZoneShape, base: readonly PlyEntry[], settings: BuildSettings): ZoneFigures {
  const { zone } = shape
  const laid = laidInZone(shape, settings.dropOff_mm)
  const lines = zone.plies.map((ply, i) => lineOf(ply, shape.area_m2 > 0 ? laid[i]! : 0, settings))
  const all = stackOf([...base, ...zone.plies], settings.process, resinOf(settings.resin))
  const { rates, waste } = settings
  return {
    name: zone.name,
    area_m2: shape.area_m2,
    edge_m: shape.edge_m,
    lines,
    thickness_mm: all.thickness_mm,
    vf: all.vf,
    mass_kg: sum(lines, 'glass_kg') + sum(lines, 'resin_kg'),
    resin_kg: sum(lines, 'resin_kg'),
    cost: (1 + waste) * (rates.fabric_kg * sum(lines, 'glass_kg') + rates.resin_kg * sum(lines, 'resin_kg')),
  }
}

function otherFigures(
  process: BuildSettings['process'],
  plies: readonly PlyEntry[],
  shapes: readonly ZoneShape[],
  whole_m2: number,
  settings: BuildSettings,
): { laminate_kg: number; resin_kg: number } {
  const there = { ...settings, process }
  const lines = [
    ...plies.map((p) => lineOf(p, p.layers * whole_m2, there)),
    ...shapes.flatMap((s) => zoneFigures(s, plies, there).lines),
  ]
  return { laminate_kg: sum(lines, 'glass_kg') + sum(lines, 'resin_kg'), resin_kg: sum(lines, 'resin_kg') }
}

interface CoreCut {
  readonly what: string
  readonly thickness_mm: number
  readonly area_m2: number
  readonly mass_kg: number
  readonly uptake_kg: number
}

/** The core over the crown, less the inserts of the zones on it; where zones overlap the first one's insert stands. */
function coresOf(shell: BuildShell, core: CoreEntry | null, crown_m2: number, shapes: readonly ZoneShape[]): CoreCut[] {
  if (!core) return []
  const taken = new Uint8Array(shell.zone.length)
  const cut = (id: string, area_m2: number): CoreCut => {
    const kind = coreOf(id)
    return {
      what: kind.name,
      thickness_mm: core.thickness_mm,
      area_m2,
      mass_kg: (area_m2 * core.thickness_mm * kind.density_kgm3) / 1000,
      uptake_kg: area_m2 * kind.uptake_kgm2,
    }
  }
  let left_m2 = crown_m2
  const inserts: CoreCut[] = []
  for (const { zone, inside } of shapes) {
    if (zone.insert === null) continue
    let area = 0
    for (let f = 0; f < inside.length; f++) {
      if (inside[f] === 0 || taken[f] === 1 || shell.zone[f] !== CROWN) continue
      taken[f] = 1
      area += facetArea(shell.face, f)
    }
    left_m2 -= area / 1e6
    inserts.push(cut(zone.insert, area / 1e6))
  }
  return [cut(core.kind, Math.max(left_m2, 0)), ...inserts]
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

/** Area and middle of each zone and of the whole, m² and mm. */
function facesByZone(
  mesh: Mesh<'job'>,
  zone: Uint8Array,
): { area_m2: ShellPlan['area_m2']; middles: readonly Point<'job'>[]; middle: Point<'job'> } {
  const area: [number, number, number, number] = [0, 0, 0, 0]
  const moments = area.map(() => [0, 0, 0])
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
    const moment = moments[zone[f]!]!
    for (let k = 0; k < 3; k++) moment[k]! += (own * (p[a + k]! + p[b + k]! + p[c + k]!)) / 3e6
  }
  const over = (m: readonly number[], by: number): Point<'job'> =>
    by > 0 ? [m[0]! / by, m[1]! / by, m[2]! / by] : [0, 0, 0]
  const all = [0, 1, 2].map((k) => moments.reduce((t, m) => t + m[k]!, 0))
  return {
    area_m2: area,
    middles: moments.map((m, i) => over(m, area[i]!)),
    middle: over(
      all,
      area.reduce((t, v) => t + v, 0),
    ),
  }
}
