/** Where resin enters and air leaves: the simple layouts, and what the user placed, as nodes of the filling mesh. */

import type { Point } from '../geometry/axes'
import { square } from '../geometry/portable-math'
import type { CoarseMesh } from './coarse-mesh'
import { type FlowNet, kindAt, type Reinforcement } from './flow-mesh'
import { withPort } from './port'
import { distance } from './trim-line'
import type { BuildSettings, BuildShell, Layout } from './types'

/** One way to feed a shell, ready for the solver. */
export interface Feeding {
  readonly inlet: Layout
  /** The net, its couplings corrected around point ports. */
  readonly net: FlowNet
  readonly held: readonly number[]
  readonly vents: readonly number[]
  /** Feed lines as they lie on the shell; a point inlet is a line of one point. */
  readonly lines: readonly (readonly Point<'job'>[])[]
}

export interface FeedMesh {
  readonly coarse: CoarseMesh
  readonly net: FlowNet
  readonly kinds: readonly Reinforcement[]
  readonly rim: ReadonlySet<number>
  /** Mean spacing of the nodes, mm. */
  readonly cell_mm: number
}

/** @returns null where nothing was placed on this shell */
export function feedingOf(
  inlet: Layout,
  mesh: FeedMesh,
  shell: BuildShell['name'],
  settings: Pick<BuildSettings, 'feeds' | 'vents'>,
): Feeding | null {
  if (inlet === 'placed') return placedFeeding(mesh, shell, settings)
  const { coarse, net, rim } = mesh
  const off = (nodes: readonly number[], from: ReadonlySet<number> | readonly number[]) => {
    const without = new Set(from)
    return nodes.filter((n) => !without.has(n))
  }
  const inside = (nodes: number[]) => off(nodes, rim)
  const along = (nodes: readonly number[], axis: 0 | 1): Point<'job'>[] =>
    [...nodes]
      .sort((a, b) => coarse.positions[3 * a + axis]! - coarse.positions[3 * b + axis]!)
      .map((n) => at(coarse, n))
  if (inlet === 'trim') {
    const ring = aroundMiddle(coarse, [...rim])
    return { inlet, net, held: [...rim], vents: inside(lineNodes(coarse, 1, 0.5)), lines: [ring] }
  }
  if (inlet === 'quarters') {
    const sides = [0.25, 0.75].map((share) => inside(lineNodes(coarse, 1, share)))
    const held = [...new Set(sides.flat())]
    const vents = off([...rim, ...lineNodes(coarse, 1, 0.5)], held)
    return { inlet, net, held, vents, lines: sides.map((s) => along(s, 0)) }
  }
  const across = inlet === 'centreline' ? 1 : 0
  const held = inside(lineNodes(coarse, across, 0.5))
  return { inlet, net, held, vents: off([...rim], held), lines: [along(held, across === 1 ? 0 : 1)] }
}

function placedFeeding(
  { coarse, net: plain, kinds, rim, cell_mm }: FeedMesh,
  shell: BuildShell['name'],
  settings: Pick<BuildSettings, 'feeds' | 'vents'>,
): Feeding | null {
  const feeds = settings.feeds.filter((f) => f.shell === shell)
  if (feeds.length === 0) return null
  let net = plain
  const held = new Set<number>()
  const lines: Point<'job'>[][] = []
  for (const feed of feeds) {
    if (feed.kind === 'point') {
      const centre = nearestNode(coarse, net, feed.points[0]!)
      const kind = kinds[kindAt(coarse, centre)]!
      // The port's field is the flow near a node; taken at the node, so that snapping cannot starve it.
      const port = withPort(
        net,
        coarse.positions,
        {
          at: at(coarse, centre),
          radius_mm: feed.radius_mm,
          conductance_m3: kind.thickness_m * Math.sqrt(kind.along_m2 * kind.across_m2),
          ratio: kind.along_m2 / kind.across_m2,
        },
        [1, 0, 0],
      )
      net = port.net
      for (const n of port.nodes) held.add(n)
      lines.push([at(coarse, centre)])
      continue
    }
    const corners = feed.kind === 'ring' ? [...feed.points, feed.points[0]!] : feed.points
    const nodes = alongLine(coarse, net, corners, cell_mm / 2)
    for (const n of nodes) held.add(n)
    lines.push(nodes.map((n) => at(coarse, n)))
  }
  const wanted = settings.vents.filter((v) => v.shell === shell).map((v) => nearestNode(coarse, net, v.at))
  const open = (wanted.length > 0 ? wanted : [...rim]).filter((n) => !held.has(n))
  // A vent that is an inlet lets no air out: the solver must not take "none" for "everywhere".
  const vents = open.length > 0 ? open : [...held].slice(0, 1)
  return { inlet: 'placed', net, held: [...held], vents, lines }
}

/** Nodes met by a broken line, each once, in order; a ring ends where it began. */
function alongLine(coarse: CoarseMesh, net: FlowNet, corners: readonly Point[], step_mm: number): number[] {
  const nodes: number[] = []
  const add = (q: Point) => {
    const n = nearestNode(coarse, net, q)
    if (nodes.at(-1) !== n) nodes.push(n)
  }
  add(corners[0]!)
  for (let i = 1; i < corners.length; i++) {
    const [a, b] = [corners[i - 1]!, corners[i]!]
    const pieces = Math.max(1, Math.ceil(distance(a, b) / step_mm))
    for (let k = 1; k <= pieces; k++) {
      const t = k / pieces
      add([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])])
    }
  }
  return nodes
}

function nearestNode({ positions: p }: CoarseMesh, net: FlowNet, to: Point): number {
  let best = 0
  let least = Infinity
  for (let n = 0; n < net.nodes; n++) {
    if (net.volume[n] === 0) continue
    const d = square(p[3 * n]! - to[0]) + square(p[3 * n + 1]! - to[1]) + square(p[3 * n + 2]! - to[2])
    if (d < least) {
      least = d
      best = n
    }
  }
  return best
}

export const at = ({ positions: p }: CoarseMesh, n: number): Point<'job'> => [p[3 * n]!, p[3 * n + 1]!, p[3 * n + 2]!]

/** Rim nodes in order round their middle in plan; enough to draw a ring. Sorted by half plane and cross product, no angles. */
function aroundMiddle(coarse: CoarseMesh, nodes: readonly number[]): Point<'job'>[] {
  const points = nodes.map((n) => at(coarse, n))
  const mx = points.reduce((s, q) => s + q[0], 0) / points.length
  const my = points.reduce((s, q) => s + q[1], 0) / points.length
  const half = (q: Point) => (q[1] - my > 0 || (q[1] === my && q[0] > mx) ? 0 : 1)
  const sorted = points.sort((a, b) => half(a) - half(b) || (a[1] - my) * (b[0] - mx) - (a[0] - mx) * (b[1] - my))
  return sorted.length > 0 ? [...sorted, sorted[0]!] : []
}

/** Every triangle that a plane across an axis runs through gives its nearest corner: a connected line on any mesh. */
function lineNodes({ positions, triangles }: CoarseMesh, axis: 0 | 1, share: number): number[] {
  let low = Infinity
  let high = -Infinity
  for (let i = axis; i < positions.length; i += 3) {
    low = Math.min(low, positions[i]!)
    high = Math.max(high, positions[i]!)
  }
  const level = low + share * (high - low)
  const held = new Set<number>()
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = [triangles[t]!, triangles[t + 1]!, triangles[t + 2]!]
    const offsets = corners.map((n) => positions[3 * n + axis]! - level)
    if (Math.min(...offsets) > 0 || Math.max(...offsets) < 0) continue
    held.add(
      corners.reduce((a, b) =>
        Math.abs(positions[3 * b + axis]! - level) < Math.abs(positions[3 * a + axis]! - level) ? b : a,
      ),
    )
  }
  return [...held]
}
