/** What has to be bought, mixed, laid, filled, bonded and lifted: on the shells of this job. */

import type { Point } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { massProperties } from '../geometry/measure'
import { bounds, type Mesh } from '../geometry/mesh'
import { power } from '../geometry/portable-math'
import type { Finding } from '../geometry/trouble'
import { bondPlan } from './bond-plan'
import { cureClock } from './cure-clock'
import { flatPlan, rollsOf } from './flat-plan'
import { infusionPlan, WORDS } from './infusion-plan'
import { centreOfGravity, type MassAt } from './mass'
import { type PanelInput, panelCheck } from './panel-check'
import { zoneShapes } from './ply-zones'
import { coreOf, pliesOf, resinOf, shellPlan, stackOf } from './shell-plan'
import { templatesOf } from './templates'
import { traveller } from './traveller'
import { type ClosedLine, trimLine } from './trim-line'
import {
  type BondPlan,
  type BuildRequest,
  type BuildResult,
  type BuildSettings,
  type BuildShell,
  type FlatPlan,
  GEL_SHARE,
  type InfusionPlan,
  type PanelCheck,
  type ShellPlan,
} from './types'

/** Share of the pressure that a feed line may take before the fill time is no longer true. */
const FEED_SHARE = 0.1
/** Plies and drawing may differ by this share before somebody should look. */
const THICKNESS_SHARE = 0.1

/** @throws Refused `setting-impossible` for an unknown material or a shell without plies */
export function* buildStep(request: BuildRequest): Steps<BuildResult> {
  const { settings } = request
  const shells: ShellPlan[] = []
  const infusion: InfusionPlan[] = []
  const panels: PanelCheck[] = []
  const flats: FlatPlan[] = []
  for (const [i, shell] of request.shells.entries()) {
    const from = (0.8 * i) / request.shells.length
    const to = (0.8 * (i + 1)) / request.shells.length
    const shapes = yield* within(from, from + 0.01, shell.name, zoneShapes(shell, settings.zones, request.fittings))
    const plan = yield* within(from + 0.01, from + 0.02, shell.name, shellPlan(shell, settings, shapes))
    shells.push(plan)
    const trim = yield* within(from + 0.02, from + 0.03, shell.name, trimLine(shell.face))
    const panel = panelCheck(panelInput(request, shell, plan, trim))
    if (panel) panels.push(panel)
    flats.push(...(yield* within(from + 0.03, from + 0.08, 'patterns', flatPlan(shell, settings, shapes))))
    if (settings.process === 'infusion')
      infusion.push(yield* within(from + 0.08, to, shell.name, infusionPlan(shell, plan, settings, shapes)))
  }
  const under = request.shells.find((s) => s.name === 'underside')
  const top = request.shells.find((s) => s.name === 'topside')
  const bond = under && top ? yield* within(0.8, 0.95, 'joint', bondPlan(under, top, request)) : null
  const marked = yield* within(0.95, 1, 'trim and drill', templatesOf(request))
  const { templates } = marked
  const weighed = yield* within(1, 1, 'weights', weighedParts(shells, bond, request))
  const { mass_kg, at } = centreOfGravity(weighed.parts)
  const cure = cureClock(
    settings,
    infusion.length > 0
      ? [Math.max(...infusion.map((f) => f.fill_min[0])), Math.max(...infusion.map((f) => f.fill_min[2]))]
      : null,
    resinOf(settings.resin).gel_min * power(2, (25 - settings.shop_C) / 10),
    bond !== null,
  )
  return {
    shells,
    infusion,
    bond,
    order: orderList(shells, bond, settings),
    mass_kg,
    centre: at,
    unweighed: weighed.unknown,
    traveller: traveller({ shells, infusion, bond, mass_kg, templates, panels, cure, settings }),
    templates,
    panels,
    flats,
    rolls: rollsOf(shells, settings),
    cure,
    cost:
      shells.reduce((sum, s) => sum + s.cost, 0) +
      (bond ? bond.paste_kg * (1 + settings.waste) * settings.rates.paste_kg : 0),
    findings: [...findingsOf(shells, infusion, bond, weighed.unknown), ...marked.findings],
  }
}

/** The underside rests on the bearing tubes, the topside on its rim alone; both are held where they are joined. */
function panelInput(request: BuildRequest, shell: BuildShell, plan: ShellPlan, trim: ClosedLine | null): PanelInput {
  const { settings } = request
  const plies = pliesOf(shell, settings)
  const resin = resinOf(settings.resin)
  const thick = (list: typeof plies) => stackOf(list, settings.process, resin).thickness_mm
  const core = shell.name === 'underside' ? settings.undersideCore : settings.topsideCore
  return {
    shell,
    thickness_mm: plan.thickness_mm,
    vf: plan.vf,
    matShare: thick(plies.filter((p) => p.fabric.startsWith('mat'))) / Math.max(plan.thickness_mm, 1e-9),
    core: core && { kind: coreOf(core.kind), thickness_mm: core.thickness_mm },
    supports: shell.name === 'underside' ? request.supports.map((s) => s.axis) : [],
    trim,
    load_Pa: settings.panelLoad_Pa,
  }
}

function* weighedParts(shells: readonly ShellPlan[], bond: BondPlan | null, { fittings }: BuildRequest) {
  const parts: MassAt<'job'>[] = shells.map((s) => ({ mass_kg: s.mass_kg, at: s.centre }))
  const unknown: string[] = []
  for (const f of fittings)
    if (f.mass_kg === null) unknown.push(f.name)
    else parts.push({ mass_kg: f.mass_kg, at: yield* middleOf(f.mesh) })
  // The joint runs all round: its weight is taken at the middle of the topside.
  const top = shells.find((s) => s.name === 'topside')
  if (bond && top) parts.push({ mass_kg: bond.paste_kg, at: top.centre })
  return { parts, unknown: [...new Set(unknown)] }
}

/** A surface that lacks more than this share of being closed has no volume whose middle could be taken. */
const OPEN_SHARE = 1e-3

/** Where a fitting's weight is taken to act: the middle of its volume, as of one stuff throughout; of its box if it is open. */
function* middleOf(mesh: Mesh<'job'>): Steps<Point<'job'>> {
  const { centroid, openArea_mm2, area_mm2, volume_mm3 } = yield* massProperties(mesh)
  if (openArea_mm2 <= OPEN_SHARE * area_mm2 && volume_mm3 > 0) return [centroid[0], centroid[1], centroid[2]]
  const { min, max } = bounds(mesh)
  return [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2]
}

function orderList(shells: readonly ShellPlan[], bond: BondPlan | null, settings: BuildSettings): BuildResult['order'] {
  const over = 1 + settings.waste
  const fabrics = new Map<string, number>()
  let resin_kg = 0
  let gelcoat_kg = 0
  const cores = new Map<string, number>()
  for (const shell of shells) {
    for (const line of [...shell.lines, ...shell.zones.flatMap((z) => z.lines)])
      fabrics.set(line.what, (fabrics.get(line.what) ?? 0) + line.area_m2 * over)
    resin_kg += shell.resin_kg
    gelcoat_kg += shell.gelcoat_kg
    for (const core of shell.cores) {
      const what = `${core.what}, ${core.thickness_mm} mm`
      cores.set(what, (cores.get(what) ?? 0) + core.area_m2 * over)
    }
  }
  const resin = resinOf(settings.resin)
  const list = [...fabrics].map(([what, amount]) => ({ what, amount, unit: 'm²' }))
  list.push(...[...cores].map(([what, amount]) => ({ what, amount, unit: 'm²' })))
  list.push({ what: resin.name, amount: resin_kg * over, unit: 'kg' })
  list.push({ what: 'hardener', amount: resin_kg * over * resin.hardener, unit: 'kg' })
  list.push({ what: 'gelcoat', amount: gelcoat_kg * over, unit: 'kg' })
  if (bond) list.push({ what: 'bonding paste', amount: bond.paste_kg * over, unit: 'kg' })
  return list
}

function findingsOf(
  shells: readonly ShellPlan[],
  infusion: readonly InfusionPlan[],
  bond: BondPlan | null,
  unknown: readonly string[],
): Finding[] {
  const found: Finding[] = []
  const step = 'build' as const
  for (const s of shells)
    if (Math.abs(s.thickness_mm - s.drawn_mm) > THICKNESS_SHARE * s.drawn_mm)
      found.push({
        id: `build.thickness.${s.name}`,
        step,
        severity: 'warning',
        message: `The plies of the ${s.name} make ${s.thickness_mm.toFixed(1)} mm; it is drawn ${s.drawn_mm.toFixed(1)} mm thick.`,
        advice: 'Change the plies, or the laminate thickness in the clearance step: joint and topside follow from it.',
        value: s.thickness_mm,
        limit: s.drawn_mm,
        unit: 'mm',
      })
  for (const f of infusion) {
    const [, likely, slow] = f.fill_min
    const allowed = GEL_SHARE * f.gel_min
    if (slow > allowed)
      found.push({
        id: `build.gel.${f.name}`,
        step,
        severity: 'warning',
        message: `The ${f.name} fills in ${likely.toFixed(0)} min, ${slow.toFixed(0)} if the plies let resin through badly; ${allowed.toFixed(0)} min is ${GEL_SHARE} of the gel time.`,
        advice: 'Add feed lines, a flow medium or a slower resin, and try it on a test panel.',
        where: f.lastAt,
        value: slow,
        limit: allowed,
        unit: 'min',
      })
    if (f.feedDrop_Pa > FEED_SHARE * f.drive_Pa)
      found.push({
        id: `build.feed.${f.name}`,
        step,
        severity: 'warning',
        message: `The feed line of the ${f.name} takes ${((100 * f.feedDrop_Pa) / f.drive_Pa).toFixed(0)} % of the pressure at the mean flow: it fills more slowly than said.`,
        advice: 'Take a wider line, or feed it at more places.',
        value: f.feedDrop_Pa,
        limit: FEED_SHARE * f.drive_Pa,
        unit: 'Pa',
      })
    if (f.nothingPlaced)
      found.push({
        id: `build.inlet.${f.name}`,
        step,
        severity: 'note',
        message: `No inlet is placed on the ${f.name}: the proposal, ${WORDS[f.inlet]}, stands in.`,
        advice: 'Place one on the sheet, or choose a layout.',
      })
    if (f.dry_m2 > 0.001)
      found.push({
        id: `build.dry.${f.name}`,
        step,
        severity: 'warning',
        message: `The resin cannot reach ${(f.dry_m2 * 1e4).toFixed(0)} cm² of the ${f.name} from where it is fed.`,
        advice: 'Feed that area too.',
        value: f.dry_m2 * 1e6,
        limit: 0,
        unit: 'mm2',
      })
    for (const [k, p] of f.pockets.entries())
      if (p.area_m2 > 0.001)
        found.push({
          id: `build.pocket.${f.name}.${k + 1}`,
          step,
          severity: 'warning',
          message: `The fronts meet on the ${f.name} and cut ${(p.area_m2 * 1e4).toFixed(0)} cm² off from every vent.`,
          advice: 'Put a vent there, or feed from elsewhere.',
          where: p.at,
          value: p.area_m2 * 1e6,
          limit: 0,
          unit: 'mm2',
        })
  }
  if (bond && bond.zones_m2[3] > 0.001)
    found.push({
      id: 'build.void',
      step,
      severity: 'note',
      message: `Over ${(bond.zones_m2[3] * 1e4).toFixed(0)} cm² of skirt and flange the raw faces stand more than 12 mm apart: not bonded.`,
      advice: 'That is so by the shape of the joint, or a wider flange is wanted.',
    })
  if (unknown.length > 0)
    found.push({
      id: 'build.unweighed',
      step,
      severity: 'note',
      message: `The weight leaves out ${unknown.join(', ')}: no mass is given.`,
      advice: 'Give the mass of each fitting.',
    })
  return found
}
