/** Which pieces of the shells are cut flat, how far each is from lying flat, and how much roll the plies take. */
import { ZONES } from '../clearance/types'
import { adjacency } from '../geometry/adjacency'
import { type Steps, within } from '../geometry/kernel'
import { facetCount, facetMiddle, vertexCount } from '../geometry/mesh'
import { rimLoops } from '../geometry/rim-loops'
import { type Flat, flatPattern } from './flat-pattern'
import { facetArea, type ZoneShape } from './ply-zones'
import type { BuildSettings, BuildShell, FlatPlan, ShellPlan } from './types'

/** Fabric takes that much by the shear of its weave and core by its cuts (common practice, no source); more wants darts or a template from the mould. */
export const FLAT_LIMIT = 0.02
/** Nodes that a piece is laid flat with, its rim finer. */
const NODES = 900
/** Up to this many vertices a piece is laid flat as it is. */
const FEW = 4000
/** Smaller pieces are cut by eye, mm². */
const SMALL_MM2 = 2000

/**
 * Crown as one piece; edge, skirt and flange in quarters fore and aft, port and starboard, as they are laid; each zone of more
 * plies as it is.
 */
export function* flatPlan(shell: BuildShell, settings: BuildSettings, shapes: readonly ZoneShape[]): Steps<FlatPlan[]> {
  const { across } = yield* within(0, 0.1, shell.name, adjacency(shell.face.indices, vertexCount(shell.face)))
  const core = shell.name === 'underside' ? settings.undersideCore : settings.topsideCore
  const groups: { name: string; inside: Int32Array; forCore: boolean }[] = ZONES.map((name, z) => ({
    name,
    inside: quarters(shell, z, name === 'crown'),
    forCore: name === 'crown' && core !== null,
  }))
  for (const { zone, inside } of shapes)
    groups.push({ name: zone.name, inside: Int32Array.from(inside, (v) => v - 1), forCore: zone.insert !== null })
  const plans: FlatPlan[] = []
  for (const [g, group] of groups.entries()) {
    const from = 0.1 + (0.9 * g) / groups.length
    const pieces = connected(group.inside, across)
    for (const [k, facets] of pieces.entries()) {
      const at = from + (0.9 / groups.length) * (k / pieces.length)
      const area = facets.reduce((sum, f) => sum + facetArea(shell.face, f), 0)
      if (area < SMALL_MM2) continue
      const name = pieces.length > 1 ? `${group.name} ${k + 1}` : group.name
      const flat = yield* within(at, at + 0.9 / groups.length / pieces.length, name, laidFlat(shell, facets, area))
      plans.push({ shell: shell.name, name, area_m2: area / 1e6, forCore: group.forCore, ...flat })
    }
  }
  return plans
}

/** −1 outside the zone, else which quarter, counted from port ahead. */
function quarters({ face, zone }: BuildShell, code: number, whole: boolean): Int32Array {
  const p = face.positions
  let [x0, x1] = [Infinity, -Infinity]
  for (let i = 0; i < p.length; i += 3) {
    x0 = Math.min(x0, p[i]!)
    x1 = Math.max(x1, p[i]!)
  }
  const part = new Int32Array(facetCount(face)).fill(-1)
  for (let f = 0; f < part.length; f++) {
    if (zone[f] !== code) continue
    const [x, y] = facetMiddle(face, f)
    part[f] = whole ? 0 : (x >= (x0 + x1) / 2 ? 0 : 2) + (y >= 0 ? 0 : 1)
  }
  return part
}

/** Facets of the same part that hang together, the pieces in the order of part and first facet. */
function connected(part: Int32Array, across: Int32Array): number[][] {
  const seen = new Uint8Array(part.length)
  const pieces: number[][] = []
  for (let start = 0; start < part.length; start++) {
    if (part[start]! < 0 || seen[start] === 1) continue
    const piece = [start]
    seen[start] = 1
    for (let q = 0; q < piece.length; q++)
      for (let k = 0; k < 3; k++) {
        const next = across[3 * piece[q]! + k]!
        if (next < 0 || seen[next] === 1 || part[next] !== part[start]) continue
        seen[next] = 1
        piece.push(next)
      }
    pieces.push(piece.sort((a, b) => a - b))
  }
  return pieces.sort((a, b) => part[a[0]!]! - part[b[0]!]!)
}

type LaidFlat = Pick<FlatPlan, 'strain95' | 'strainMost' | 'flat' | 'size_mm' | 'outline'>

function* laidFlat(shell: BuildShell, facets: readonly number[], area_mm2: number): Steps<LaidFlat> {
  const { positions, triangles } = gathered(shell, facets, area_mm2)
  const piece = yield* flatPattern(positions, triangles)
  const flat = piece.folded === 0 && piece.strain95 <= FLAT_LIMIT
  let [u, v] = [0, 0]
  for (let i = 0; i < piece.uv.length; i += 2) {
    u = Math.max(u, piece.uv[i]!)
    v = Math.max(v, piece.uv[i + 1]!)
  }
  const loops = flat ? yield* rimLoops(triangles, positions.length / 3) : []
  return {
    strain95: piece.strain95,
    strainMost: piece.strainMost,
    flat,
    size_mm: [u, v],
    outline: loops.map((loop) => loop.map((n): Flat => [piece.uv[2 * n]!, piece.uv[2 * n + 1]!])),
  }
}

/** Nodes gathered by cells of space; the rim has smaller ones of its own, so that the outline is followed and does not shrink. Only the largest connected part is kept. */
function gathered({ face }: BuildShell, facets: readonly number[], area_mm2: number) {
  const { positions: p, indices } = face
  const corners = facets.flatMap((f) => [indices[3 * f]!, indices[3 * f + 1]!, indices[3 * f + 2]!])
  const rim = rimVertices(corners)
  const vertices = [...new Set(corners)].sort((a, b) => a - b)
  const cell = vertices.length <= FEW ? 0 : Math.sqrt(area_mm2 / NODES)
  const nodeOf = new Map<number, number>()
  const cells = new Map<string, number>()
  const sums: number[] = []
  for (const v of vertices) {
    const own = rim.has(v) ? cell / 3 : cell
    const key = cell > 0 ? [own, ...[0, 1, 2].map((k) => Math.floor(p[3 * v + k]! / own))].join(' ') : String(v)
    let n = cells.get(key)
    if (n === undefined) {
      n = cells.size
      cells.set(key, n)
      sums.push(0, 0, 0, 0)
    }
    nodeOf.set(v, n)
    for (let k = 0; k < 3; k++) sums[4 * n + k]! += p[3 * v + k]!
    sums[4 * n + 3]!++
  }
  const triangles: number[] = []
  const seen = new Set<string>()
  for (let h = 0; h < corners.length; h += 3) {
    const t = [nodeOf.get(corners[h]!)!, nodeOf.get(corners[h + 1]!)!, nodeOf.get(corners[h + 2]!)!] as const
    if (t[0] === t[1] || t[1] === t[2] || t[2] === t[0]) continue
    const key = [...t].sort((a, b) => a - b).join(' ')
    if (seen.has(key)) continue
    seen.add(key)
    triangles.push(...t)
  }
  const nodes = Float64Array.from({ length: 3 * cells.size }, (_, i) => {
    const n = Math.floor(i / 3)
    return sums[4 * n + (i % 3)]! / sums[4 * n + 3]!
  })
  return largestPart(nodes, triangles)
}

function rimVertices(corners: readonly number[]): Set<number> {
  const edges = new Map<string, number>()
  for (let h = 0; h < corners.length; h++) {
    const [a, b] = [corners[h]!, corners[h % 3 === 2 ? h - 2 : h + 1]!]
    const key = a < b ? `${a} ${b}` : `${b} ${a}`
    edges.set(key, (edges.get(key) ?? 0) + 1)
  }
  const rim = new Set<number>()
  for (const [key, n] of edges) if (n === 1) for (const v of key.split(' ')) rim.add(Number(v))
  return rim
}

function largestPart(nodes: Float64Array, triangles: readonly number[]) {
  const t = Uint32Array.from(triangles)
  const across = new Int32Array(t.length).fill(-1)
  const seen = new Map<number, number>()
  const n = nodes.length / 3
  for (let h = 0; h < t.length; h++) {
    const [a, b] = [t[h]!, t[h % 3 === 2 ? h - 2 : h + 1]!]
    const other = seen.get(b * n + a)
    if (other !== undefined && across[other] === -1) {
      across[h] = Math.floor(other / 3)
      across[other] = Math.floor(h / 3)
    } else seen.set(a * n + b, h)
  }
  const parts = connected(new Int32Array(t.length / 3), across)
  const [most = []] = parts.sort((a, b) => b.length - a.length)
  const number = new Map<number, number>()
  const kept: number[] = []
  for (const f of most)
    for (let k = 0; k < 3; k++) {
      const v = t[3 * f + k]!
      if (!number.has(v)) number.set(v, number.size)
      kept.push(number.get(v)!)
    }
  const positions = new Float64Array(3 * number.size)
  for (const [v, i] of number) positions.set(nodes.subarray(3 * v, 3 * v + 3), 3 * i)
  return { positions, triangles: Uint32Array.from(kept) }
}

/** Running metres of each fabric by area alone, waste included: how the pieces lie beside each other is not worked out. */
export function rollsOf(shells: readonly ShellPlan[], { waste, rollWidth_mm }: BuildSettings) {
  const areas = new Map<string, number>()
  for (const shell of shells)
    for (const line of [...shell.lines, ...shell.zones.flatMap((z) => z.lines)])
      areas.set(line.what, (areas.get(line.what) ?? 0) + line.area_m2 * (1 + waste))
  return [...areas].map(([what, area_m2]) => ({ what, area_m2, length_m: (1000 * area_m2) / rollWidth_mm }))
}
