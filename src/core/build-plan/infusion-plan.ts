import { ZONES } from '../clearance/types'
import { adjacency, RIM } from '../geometry/adjacency'
import type { Point } from '../geometry/axes'
import { facetField } from '../geometry/facet-field'
import { type Steps, within } from '../geometry/kernel'
import { bounds, facetCount, vertexCount } from '../geometry/mesh'
import { power, square } from '../geometry/portable-math'
import { type CoarseMesh, coarseMesh } from './coarse-mesh'
import { at, type Feeding, type FeedMesh, feedingOf } from './feeds'
import { type FlowNet, flowNet, type Reinforcement } from './flow-mesh'
import { type FillResult, fill } from './infusion'
import { FLOW_MEDIUM } from './materials'
import type { ZoneShape } from './ply-zones'
import { fabricOf, pliesOf, resinOf, stackOf } from './shell-plan'
import { distance } from './trim-line'
import type { BuildSettings, BuildShell, InfusionPlan, Layout, PlyEntry, ShellPlan } from './types'

/** Nodes of the filling mesh: the closed forms are met to half a per cent from here on. */
const NODES = 4000
/** Nodes of the mesh on which the layouts are compared before the chosen one is filled. */
const TRIAL_NODES = 1400
/** Share of the front that may fill in one step. */
const QUANTILE = 0.05
const STANDARD_ATMOSPHERE_MBAR = 1013.25
const GRAVITY = 9.80665
/** Pockets smaller than this are the mesh's, not the shell's, m². */
const POCKET_M2 = 0.001

const LAYOUTS: readonly Layout[] = ['centreline', 'quarters', 'athwart', 'trim']

export const WORDS: Record<Layout, string> = {
  centreline: 'a line along the centreline',
  quarters: 'two lines at the quarters of the beam',
  athwart: 'a line athwart amidships',
  trim: 'a ring at the trim line',
  placed: 'the inlets as placed',
}

/** Fills a shell from the asked inlet, or from the layout that is quickest without a pocket; the others are compared with it. */
export function* infusionPlan(
  shell: BuildShell,
  plan: ShellPlan,
  settings: BuildSettings,
  shapes: readonly ZoneShape[],
): Steps<InfusionPlan> {
  const trial = yield* within(0, 0.05, 'filling mesh', feedMesh(shell, plan, settings, shapes, TRIAL_NODES))
  const wanted = LAYOUTS.concat(settings.feeds.some((f) => f.shell === shell.name) ? ['placed'] : [])
  const compared: { inlet: Layout; fill_min: number; pocket_m2: number }[] = []
  for (const [i, inlet] of wanted.entries()) {
    const feeding = feedingOf(inlet, trial, shell.name, settings)
    if (!feeding) continue
    const [from, to] = [0.05 + (0.3 * i) / wanted.length, 0.05 + (0.3 * (i + 1)) / wanted.length]
    const result = yield* within(from, to, `trying ${WORDS[inlet]}`, filled(feeding, settings))
    compared.push({ inlet, fill_min: result.fill_s / 60, pocket_m2: pocketArea(result) })
  }
  const proposed = compared
    .filter((c) => c.inlet !== 'placed')
    .reduce((a, b) => {
      if (a.pocket_m2 > POCKET_M2 !== b.pocket_m2 > POCKET_M2) return a.pocket_m2 > POCKET_M2 ? b : a
      return b.fill_min < a.fill_min ? b : a
    }).inlet
  const mesh = yield* within(0.35, 0.4, 'filling mesh', feedMesh(shell, plan, settings, shapes, NODES))
  const asked = settings.inlet === 'proposed' ? proposed : settings.inlet
  const feeding = feedingOf(asked, mesh, shell.name, settings) ?? feedingOf(proposed, mesh, shell.name, settings)
  if (!feeding) throw new Error('build: a proposed layout has no nodes')
  const result = yield* within(0.4, 1, `filling from ${WORDS[feeding.inlet]}`, filled(feeding, settings))
  return { ...report(shell, settings, mesh, feeding, result), compared }
}

function* feedMesh(
  shell: BuildShell,
  plan: ShellPlan,
  settings: BuildSettings,
  shapes: readonly ZoneShape[],
  nodes: number,
): Steps<FeedMesh> {
  const area_mm2 = 1e6 * plan.area_m2.reduce((a, b) => a + b, 0)
  const { kindOfFacet, kinds } = kindsOf(shell, settings, shapes)
  const coarse = coarseMesh(shell.face, kindOfFacet, area_mm2, nodes)
  const net = yield* within(0, 0.6, 'filling mesh', flowNet({ ...coarse, kinds, plyAxis: [1, 0, 0] }))
  const rim = yield* within(0.6, 1, 'filling mesh', rimNodes(shell, coarse))
  return { coarse, kinds, net, rim, cell_mm: Math.sqrt(area_mm2 / nodes) }
}

const filled = ({ net, held, vents }: Feeding, settings: BuildSettings): Steps<FillResult> =>
  fill({
    net,
    viscosity_Pas: resinOf(settings.resin).viscosity_Pas,
    pressure_Pa: drive_Pa(settings),
    inlets: [{ nodes: held }],
    vents,
    quantile: QUANTILE,
    residual: settings.bag_mbar / STANDARD_ATMOSPHERE_MBAR,
  })

const drive_Pa = ({ bag_mbar }: BuildSettings): number => 100 * (STANDARD_ATMOSPHERE_MBAR - bag_mbar)

const pocketArea = (r: FillResult): number => r.pockets.reduce((s, p) => s + p.area_m2, 0)

function report(
  shell: BuildShell,
  settings: BuildSettings,
  { coarse, net }: FeedMesh,
  feeding: Feeding,
  result: FillResult,
): Omit<InfusionPlan, 'compared'> {
  let last = 0
  for (let n = 0; n < net.nodes; n++) {
    const t = result.arrival_s[n]!
    if (t < Infinity && t > result.arrival_s[last]!) last = n
  }
  const arrival = new Float32Array(facetCount(shell.face))
  for (let f = 0; f < arrival.length; f++) {
    let sum = 0
    for (let k = 0; k < 3; k++) sum += result.arrival_s[coarse.nodeOf[shell.face.indices[3 * f + k]!]!]!
    arrival[f] = sum < Infinity ? sum / 3 / 60 : Number.NaN
  }
  const likely = result.fill_s / 60
  const resin = resinOf(settings.resin)
  // Every permeability is taken at its low or its high end together: time goes with 1/K.
  const spread = permeabilitySpread(settings, shell)
  const feed_m = feeding.lines.reduce((sum, l) => sum + lengthOf(l), 0) / 1000
  const bore_m = settings.feedBore_mm / 1000
  const { min, max } = bounds(shell.face)
  return {
    name: shell.name,
    inlet: feeding.inlet,
    nothingPlaced: settings.inlet === 'placed' && feeding.inlet !== 'placed',
    fill_min: [likely / spread.high, likely, likely / spread.low],
    gel_min: gelAt(settings),
    resin_l: 1000 * result.resin_m3,
    feed_m,
    feed_l: ((1000 * Math.PI) / 4) * bore_m * bore_m * feed_m,
    feedDrop_Pa: feedDrop_Pa(
      feeding.lines,
      resin.viscosity_Pas,
      result.resin_m3 / Math.max(result.fill_s, 1e-9),
      bore_m,
    ),
    head_Pa: 1000 * resin.density_gcm3 * GRAVITY * ((max[2] - min[2]) / 1000),
    drive_Pa: drive_Pa(settings),
    lastAt: at(coarse, last),
    lastAreas: lastAreas(coarse, net, result),
    pockets: result.pockets.map((p) => ({ area_m2: p.area_m2, at: at(coarse, p.node), left_l: 1000 * p.left_m3 })),
    dry_m2: result.dry_m2,
    lines: feeding.lines,
    vents:
      feeding.inlet === 'placed' && feeding.vents.length <= settings.vents.length
        ? feeding.vents.map((n) => at(coarse, n))
        : [],
    arrival: facetField(shell.face, arrival, 'min'),
  }
}

/** Pressure along a pipe in laminar flow: 128 μ L Q / π d⁴ (Hagen and Poiseuille; I19). SI units. */
export const pipeDrop_Pa = (viscosity_Pas: number, length_m: number, flow_m3s: number, bore_m: number): number =>
  (128 * viscosity_Pas * length_m * flow_m3s) / (Math.PI * square(square(bore_m)))

/** The worst line's loss: lines share the mean flow by length, and it leaves evenly along each, so that half of a pipe's drop is left. */
function feedDrop_Pa(lines: Feeding['lines'], viscosity_Pas: number, flow_m3s: number, bore_m: number): number {
  const lengths = lines.map((l) => lengthOf(l) / 1000)
  const all = lengths.reduce((a, b) => a + b, 0)
  const longest = Math.max(0, ...lengths)
  return all > 0 ? pipeDrop_Pa(viscosity_Pas, longest, (flow_m3s * longest) / all, bore_m) / 2 : 0
}

const lengthOf = (line: readonly Point[]): number =>
  line.reduce((sum, q, i) => (i === 0 ? 0 : sum + distance(line[i - 1]!, q)), 0)

/** Share of the fill time after which an area counts as filled last. */
const LATE = 0.9
/** Most areas that are told. */
const LATE_AREAS = 6

/** Connected areas that the resin reaches late. */
function lastAreas(coarse: CoarseMesh, net: FlowNet, { arrival_s, fill_s }: FillResult): InfusionPlan['lastAreas'] {
  const late = (n: number) => net.volume[n]! > 0 && arrival_s[n]! < Infinity && arrival_s[n]! > LATE * fill_s
  const seen = new Uint8Array(net.nodes)
  const found: { area_m2: number; at: Point<'job'>; at_min: number }[] = []
  for (let first = 0; first < net.nodes; first++) {
    if (seen[first] === 1 || !late(first)) continue
    seen[first] = 1
    const stack = [first]
    let area_m2 = 0
    let latest = first
    for (let n = stack.pop(); n !== undefined; n = stack.pop()) {
      area_m2 += net.area[n]!
      if (arrival_s[n]! > arrival_s[latest]!) latest = n
      for (let k = net.start[n]!; k < net.start[n + 1]!; k++) {
        const j = net.neighbour[k]!
        if (seen[j] === 1 || !late(j)) continue
        seen[j] = 1
        stack.push(j)
      }
    }
    found.push({ area_m2, at: at(coarse, latest), at_min: arrival_s[latest]! / 60 })
  }
  return found.sort((a, b) => b.at_min - a.at_min).slice(0, LATE_AREAS)
}

/** Gel time halves for each 10 °C, from 25 °C (check value B11; the factor is really 1.5 to 2.5). */
const gelAt = ({ resin, shop_C }: BuildSettings): number => resinOf(resin).gel_min * power(2, (25 - shop_C) / 10)

function permeabilitySpread(settings: BuildSettings, shell: BuildShell): { low: number; high: number } {
  const plies = pliesOf(shell, settings)
  const sum = (which: 0 | 1 | 2) => plies.reduce((s, p) => s + p.layers * fabricOf(p.fabric).along_m2[which], 0)
  return { low: sum(0) / sum(1), high: sum(2) / sum(1) }
}

/**
 * One kind of laminate for each combination that occurs: crown or not (flow medium), and the ply zones that lie there. Layers
 * count side by side by thickness (I08).
 */
export function kindsOf(
  shell: BuildShell,
  settings: BuildSettings,
  shapes: readonly ZoneShape[],
): { kindOfFacet: Uint8Array; kinds: readonly Reinforcement[] } {
  const kinds: Reinforcement[] = []
  const known = new Map<number, number>()
  const kindOfFacet = new Uint8Array(shell.zone.length)
  const crown = ZONES.indexOf('crown')
  for (let f = 0; f < kindOfFacet.length; f++) {
    const medium = settings.flowMedium && shell.zone[f] === crown
    let key = medium ? 1 : 0
    for (const [i, { inside }] of shapes.entries()) if (inside[f] === 1) key += 2 << i
    let kind = known.get(key)
    if (kind === undefined) {
      kind = kinds.length
      known.set(key, kind)
      const extra = shapes.filter((s) => s.inside[f] === 1).flatMap((s) => s.zone.plies)
      kinds.push(reinforcement([...pliesOf(shell, settings), ...extra], settings, medium))
    }
    kindOfFacet[f] = kind
  }
  return { kindOfFacet, kinds }
}

function reinforcement(plies: readonly PlyEntry[], settings: BuildSettings, medium: boolean): Reinforcement {
  const resin = resinOf(settings.resin)
  const stack = stackOf(plies, 'infusion', resin)
  let along = 0
  let across = 0
  let pores = stack.thickness_mm * (1 - stack.vf)
  let thickness = stack.thickness_mm
  for (const ply of plies) {
    const { thickness_mm } = stackOf([ply], 'infusion', resin)
    const fabric = fabricOf(ply.fabric)
    along += thickness_mm * fabric.along_m2[1]
    across += thickness_mm * fabric.across_m2[1]
  }
  if (medium) {
    const carried = FLOW_MEDIUM.thickness_mm * FLOW_MEDIUM.permeability_m2
    along += carried
    across += carried
    pores += FLOW_MEDIUM.thickness_mm * FLOW_MEDIUM.porosity
    thickness += FLOW_MEDIUM.thickness_mm
  }
  return {
    thickness_m: thickness / 1000,
    porosity: pores / thickness,
    along_m2: along / thickness,
    across_m2: across / thickness,
  }
}

/** Nodes of the filling mesh that hold a vertex of the shell's trim line. */
function* rimNodes({ face }: BuildShell, coarse: CoarseMesh): Steps<ReadonlySet<number>> {
  const { across } = yield* adjacency(face.indices, vertexCount(face))
  const rim = new Set<number>()
  for (let h = 0; h < across.length; h++) {
    if (across[h] !== RIM) continue
    const f = Math.floor(h / 3)
    rim.add(coarse.nodeOf[face.indices[h]!]!)
    rim.add(coarse.nodeOf[face.indices[3 * f + (((h % 3) + 1) % 3)]!]!)
  }
  return rim
}
