import { ZONES } from '../clearance/types'
import { adjacency, RIM } from '../geometry/adjacency'
import type { Point } from '../geometry/axes'
import { facetField } from '../geometry/facet-field'
import { type Steps, within } from '../geometry/kernel'
import { facetCount, vertexCount } from '../geometry/mesh'
import { type CoarseMesh, coarseMesh } from './coarse-mesh'
import { type FlowNet, flowNet, type Reinforcement } from './flow-mesh'
import { type FillResult, fill } from './infusion'
import { FLOW_MEDIUM } from './materials'
import { fabricOf, resinOf, stackOf } from './shell-plan'
import type { BuildSettings, BuildShell, InfusionPlan, ShellPlan } from './types'

/** Nodes of the filling mesh: the closed forms are met to half a per cent from here on. */
const NODES = 4000
/** Share of the front that may fill in one step. */
const QUANTILE = 0.05
const STANDARD_ATMOSPHERE_MBAR = 1013.25

type Layout = InfusionPlan['inlet']
const LAYOUTS: readonly Layout[] = ['centreline', 'trim', 'athwart']

/** Fills a shell from the asked inlet, or from the one of three simple layouts that is quickest without a pocket. */
export function* infusionPlan(shell: BuildShell, plan: ShellPlan, settings: BuildSettings): Steps<InfusionPlan> {
  const area_mm2 = 1e6 * plan.area_m2.reduce((a, b) => a + b, 0)
  const coarse = coarseMesh(shell.face, shell.zone, area_mm2, NODES)
  const kinds = kindsOf(shell, settings, plan)
  const net = yield* within(0, 0.1, 'filling mesh', flowNet({ ...coarse, kinds, plyAxis: [1, 0, 0] }))
  const rim = yield* within(0.1, 0.15, 'filling mesh', rimNodes(shell, coarse))
  const asked = settings.inlet === 'proposed' ? LAYOUTS : [settings.inlet]
  const tried: { inlet: Layout; result: FillResult }[] = []
  for (const [i, inlet] of asked.entries()) {
    const from = 0.15 + (0.85 * i) / asked.length
    const held = inletNodes(inlet, coarse, rim)
    const vents = inlet === 'trim' ? centreNodes(coarse) : [...rim].filter((n) => !held.includes(n))
    const result = yield* within(
      from,
      from + 0.85 / asked.length,
      `filling from ${WORDS[inlet]}`,
      fill({
        net,
        viscosity_Pas: resinOf(settings.resin).viscosity_Pas,
        pressure_Pa: 100 * (STANDARD_ATMOSPHERE_MBAR - settings.bag_mbar),
        inlets: [{ nodes: held }],
        vents,
        quantile: QUANTILE,
        residual: settings.bag_mbar / STANDARD_ATMOSPHERE_MBAR,
      }),
    )
    tried.push({ inlet, result })
  }
  const pocketArea = (r: FillResult) => r.pockets.reduce((s, p) => s + p.area_m2, 0)
  const best = tried.reduce((a, b) => {
    const [pa, pb] = [pocketArea(a.result) > 0.001, pocketArea(b.result) > 0.001]
    if (pa !== pb) return pa ? b : a
    return b.result.fill_s < a.result.fill_s ? b : a
  })
  return report(shell, settings, coarse, net, best, tried)
}

export const WORDS: Record<Layout, string> = {
  centreline: 'a line along the centreline',
  trim: 'a ring at the trim line',
  athwart: 'a line athwart amidships',
}

function report(
  shell: BuildShell,
  settings: BuildSettings,
  coarse: CoarseMesh,
  net: FlowNet,
  best: { inlet: Layout; result: FillResult },
  tried: readonly { inlet: Layout; result: FillResult }[],
): InfusionPlan {
  const { result } = best
  const place = (node: number): Point<'job'> => [
    coarse.positions[3 * node]!,
    coarse.positions[3 * node + 1]!,
    coarse.positions[3 * node + 2]!,
  ]
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
  // Every permeability is taken at its low or its high end together: time goes with 1/K.
  const spread = permeabilitySpread(settings, shell)
  return {
    name: shell.name,
    inlet: best.inlet,
    fill_min: [likely / spread.high, likely, likely / spread.low],
    gel_min: gelAt(settings),
    resin_l: 1000 * result.resin_m3,
    lastAt: place(last),
    pockets: result.pockets.map((p) => ({ area_m2: p.area_m2, at: place(p.node), left_l: 1000 * p.left_m3 })),
    dry_m2: result.dry_m2,
    compared: tried.map((t) => ({ inlet: t.inlet, fill_min: t.result.fill_s / 60, pockets: t.result.pockets.length })),
    arrival: facetField(shell.face, arrival, 'min'),
  }
}

/** Gel time halves for each 10 °C, from 25 °C (check value B11; the factor is really 1.5 to 2.5). */
const gelAt = ({ resin, shop_C }: BuildSettings): number => resinOf(resin).gel_min * 2 ** ((25 - shop_C) / 10)

const pliesOf = (shell: BuildShell, settings: BuildSettings) =>
  shell.name === 'underside' ? settings.underside : settings.topside

function permeabilitySpread(settings: BuildSettings, shell: BuildShell): { low: number; high: number } {
  const plies = pliesOf(shell, settings)
  const sum = (which: 0 | 1 | 2) => plies.reduce((s, p) => s + p.layers * fabricOf(p.fabric).along_m2[which], 0)
  return { low: sum(0) / sum(1), high: sum(2) / sum(1) }
}

/** The stack of each zone as one layer: permeabilities side by side by thickness (I08), the flow medium over the crown only. */
function kindsOf(shell: BuildShell, settings: BuildSettings, plan: ShellPlan): readonly Reinforcement[] {
  const plies = pliesOf(shell, settings)
  const resin = resinOf(settings.resin)
  let along = 0
  let across = 0
  let thickness = 0
  for (const ply of plies) {
    const { thickness_mm } = stackOf([ply], 'infusion', resin)
    const fabric = fabricOf(ply.fabric)
    along += thickness_mm * fabric.along_m2[1]
    across += thickness_mm * fabric.across_m2[1]
    thickness += thickness_mm
  }
  const solid: Reinforcement = {
    thickness_m: thickness / 1000,
    porosity: 1 - plan.vf,
    along_m2: along / thickness,
    across_m2: across / thickness,
  }
  if (!settings.flowMedium) return ZONES.map(() => solid)
  const medium = FLOW_MEDIUM
  const total = thickness + medium.thickness_mm
  const carried = medium.thickness_mm * medium.permeability_m2
  const helped: Reinforcement = {
    thickness_m: total / 1000,
    porosity: (thickness * (1 - plan.vf) + medium.thickness_mm * medium.porosity) / total,
    along_m2: (along + carried) / total,
    across_m2: (across + carried) / total,
  }
  return ZONES.map((zone) => (zone === 'crown' ? helped : solid))
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

function inletNodes(inlet: Layout, coarse: CoarseMesh, rim: ReadonlySet<number>): readonly number[] {
  if (inlet === 'trim') return [...rim]
  if (inlet === 'centreline') return centreNodes(coarse).filter((n) => !rim.has(n))
  return lineNodes(coarse, 0).filter((n) => !rim.has(n))
}

const centreNodes = (coarse: CoarseMesh): number[] => lineNodes(coarse, 1)

/** Nodes nearest to the middle plane across an axis, of the crown's column of cells. */
function lineNodes({ positions, triangles }: CoarseMesh, axis: 0 | 1): number[] {
  let low = Infinity
  let high = -Infinity
  for (let i = axis; i < positions.length; i += 3) {
    low = Math.min(low, positions[i]!)
    high = Math.max(high, positions[i]!)
  }
  const middle = (low + high) / 2
  const held = new Set<number>()
  // Every triangle that the line runs through gives its nearest corner: a connected line on any mesh.
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = [triangles[t]!, triangles[t + 1]!, triangles[t + 2]!]
    const offsets = corners.map((n) => positions[3 * n + axis]! - middle)
    if (Math.min(...offsets) > 0 || Math.max(...offsets) < 0) continue
    held.add(
      corners.reduce((a, b) =>
        Math.abs(positions[3 * b + axis]! - middle) < Math.abs(positions[3 * a + axis]! - middle) ? b : a,
      ),
    )
  }
  return [...held]
}
