/**
 * Fasteners of the fittings: where they enter the shell, what they go through, whether they meet a tube as they should, and
 * whether a tool gets at them from below. Lengths of thread, nut and washer are for whoever chooses the bolt.
 */
import { BLOCK, type Steps, within } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'
import { cross, dot, plus, scaled, type Vec } from '../geometry/vectors'
import { baseOutline } from './base-outline'
import { wallNear } from './fastener-walls'
import type { FastenerSettings, FastensInto } from './fastening-settings'
import { onPart, standOf } from './stand-axes'
import type { Fastener, FittingTube, PlacedFitting } from './types'

/** Room behind the laminate for washer, nut, end of thread and the tool: 1.5 diameters and 20 mm (common practice, no source). */
const behind_mm = (diameter_mm: number): number => 1.5 * diameter_mm + 20
/** Half width of the tool on the nut: about its corners and the wall of a socket (common practice, no source). */
const toolRadius_mm = (diameter_mm: number): number => 1.1 * diameter_mm + 3
/** A tube that is meant to be hit lies within this below the base, mm. */
const TUBE_REACH_MM = 400
/** How far down the shell is looked for, and obstacles behind it, mm. */
const SHELL_REACH_MM = 200
/** So far over the base a driver wants room beside it, mm (common practice, no source). */
const TOOL_OVER_MM = 40
/** A ledge lower than this is no wall, mm. */
const LEDGE_MM = 0.5
/** A drill that starts further from the crest of a tube than this share of its radius wanders off (common practice, no source). */
const OFF_MIDDLE = 1 / 3

export interface FastenerItem {
  readonly placed: PlacedFitting
  readonly settings: FastenerSettings
}

export interface FastenerScene {
  /** Moulded and raw face of each shell as one closed solid, job axes. */
  readonly solids: { readonly topside: Mesh<'job'>; readonly underside: Mesh<'job'> }
  readonly frame: Mesh<'job'>
  readonly tubes: readonly FittingTube[]
}

export function* checkFasteners(
  items: readonly FastenerItem[],
  scene: FastenerScene,
): Steps<{ fasteners: Fastener[]; findings: Finding[] }> {
  const fasteners: Fastener[] = []
  const findings: Finding[] = []
  for (const [i, { placed, settings }] of items.entries()) {
    const holes = holesOf(placed, settings)
    if (holes.length === 0) continue
    const span = (part: number) => (i + part) / items.length
    const other = placed.on === 'topside' ? 'underside' : 'topside'
    const own = yield* within(span(0), span(0.3), placed.name, nearOf(scene.solids[placed.on], placed, holes))
    const far = yield* within(span(0.3), span(0.6), placed.name, nearOf(scene.solids[other], placed, holes))
    const frame = yield* within(span(0.6), span(0.95), placed.name, nearOf(scene.frame, placed, holes))
    for (const hole of holes) {
      const made = fastener(placed, hole, settings.into, { own, far, frame, tubes: scene.tubes })
      fasteners.push(made)
      findings.push(...judged(placed, made))
      yield span(1)
    }
  }
  return { fasteners, findings }
}

interface Hole {
  readonly name: string
  readonly at: Vec
  readonly diameter_mm: number
}

/** Round holes of the base, and those that the user added; in the plane of the seat, job axes. */
function holesOf(placed: PlacedFitting, { holes, added }: FastenerSettings): Hole[] {
  const outline = holes ? baseOutline(placed) : null
  const found = (outline?.bolts ?? []).map(({ at, diameter_mm }) => ({ at: outline!.toJob(at), diameter_mm }))
  const stand = standOf(placed)
  const given = added.map(({ at_mm: [x, y], diameter_mm }) => ({ at: onPart(stand, [x, y, 0]) as Vec, diameter_mm }))
  return [...found, ...given].map((hole, k) => ({ ...hole, name: `hole ${k + 1}` }))
}

/** Facets near the fasteners of one fitting, nine numbers each: distance along the axis, and two across it. */
function* nearOf(mesh: Mesh<'job'>, placed: PlacedFitting, holes: readonly Hole[]): Steps<Float64Array> {
  const { z, x, y } = axesBelow(placed)
  const from = placed.seat.at as Vec
  const wide =
    Math.max(...holes.map((h) => length(plus(h.at, from, -1)) + toolRadius_mm(h.diameter_mm))) + SHELL_REACH_MM / 10
  const { positions: p, indices, origin } = mesh
  const start = plus(origin, from, -1)
  const kept: number[] = []
  for (let f = 0; f < indices.length; f += 3) {
    if (f % (3 * BLOCK) === 0) yield f / indices.length
    const corners = [0, 1, 2].map((c): Vec => {
      const v = 3 * indices[f + c]!
      const q: Vec = [p[v]! + start[0], p[v + 1]! + start[1], p[v + 2]! + start[2]]
      return [dot(q, z), dot(q, x), dot(q, y)]
    })
    const off = (k: number, best: (...v: number[]) => number) => best(...corners.map((c) => c[k]!))
    if (off(0, Math.min) > SHELL_REACH_MM || off(0, Math.max) < -SHELL_REACH_MM) continue
    if (off(1, Math.min) > wide || off(1, Math.max) < -wide || off(2, Math.min) > wide || off(2, Math.max) < -wide)
      continue
    for (const c of corners) kept.push(c[0], c[1], c[2])
  }
  return Float64Array.from(kept)
}

/** z into the shell, against the normal of the seat. */
function axesBelow({ seat }: PlacedFitting): { z: Vec; x: Vec; y: Vec } {
  const z = scaled(seat.normal as Vec, -1)
  const aside: Vec = Math.abs(z[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0]
  const x0 = plus(aside, z, -dot(aside, z))
  const x = scaled(x0, 1 / length(x0))
  return { z, x, y: cross(z, x) }
}

interface Near {
  readonly own: Float64Array
  readonly far: Float64Array
  readonly frame: Float64Array
  readonly tubes: readonly FittingTube[]
}

function fastener(placed: PlacedFitting, hole: Hole, into: FastensInto, near: Near): Fastener {
  const { z, x, y } = axesBelow(placed)
  const from = plus(hole.at, placed.seat.at as Vec, -1)
  const [u, v] = [dot(from, x), dot(from, y)]
  const met = crossings(near.own, u, v)
  // The shell is met below the base, or a little above it where a gasket is drawn pressed.
  const enters = met.find((t) => t > -2) ?? null
  const leaves = enters === null ? null : (met.find((t) => t > enters + 0.1) ?? null)
  const radius = toolRadius_mm(hole.diameter_mm)
  const free = (facets: Float64Array): number | null => {
    if (leaves === null) return null
    const t = firstWithin(facets, u, v, radius, leaves + 0.05)
    return t === null ? null : t - leaves
  }
  const reach = into === 'tube' ? TUBE_REACH_MM : (leaves ?? 0) + behind_mm(hole.diameter_mm)
  return {
    fitting: placed.id,
    twin: placed.twin,
    name: hole.name,
    diameter_mm: hole.diameter_mm,
    at: hole.at as [number, number, number],
    along: z as [number, number, number],
    onFace: enters === null ? null : (plus(hole.at, z, enters) as [number, number, number]),
    into,
    grip_mm: leaves,
    laminate_mm: leaves === null || enters === null ? null : leaves - enters,
    neededBehind_mm: behind_mm(hole.diameter_mm),
    freeToShell_mm: free(near.far),
    freeToFrame_mm: free(near.frame),
    neededBeside_mm: radius,
    wallOver_mm: enters === null ? null : wallNear(near.own, u, v, enters - TOOL_OVER_MM, enters - LEDGE_MM),
    wallBehind_mm:
      leaves === null ? null : wallNear(near.own, u, v, leaves + LEDGE_MM, leaves + behind_mm(hole.diameter_mm)),
    tube: nearestTube(near.tubes, hole, z, reach),
  }
}

/** Where the line along the first axis through u v crosses the facets, ascending, each place once. */
function crossings(facets: Float64Array, u: number, v: number): number[] {
  const found: number[] = []
  for (let f = 0; f < facets.length; f += 9) {
    const q = (c: number): readonly [number, number, number] => [
      facets[f + 3 * c]!,
      facets[f + 3 * c + 1]! - u,
      facets[f + 3 * c + 2]! - v,
    ]
    const [a, b, c] = [q(0), q(1), q(2)]
    const wa = b[1] * c[2] - b[2] * c[1]
    const wb = c[1] * a[2] - c[2] * a[1]
    const wc = a[1] * b[2] - a[2] * b[1]
    const sum = wa + wb + wc
    if (sum === 0 || Math.min(wa / sum, wb / sum, wc / sum) < -1e-9) continue
    found.push((wa * a[0] + wb * b[0] + wc * c[0]) / sum)
  }
  found.sort((a, b) => a - b)
  return found.filter((t, i) => i === 0 || t - found[i - 1]! > 1e-3)
}

/** How fine facets are cut where the border of the tool runs through them, mm. */
const FINE_MM = 0.25

/** The first place of the facets within a cylinder about the line, at or beyond `start`; null: none within reach. */
function firstWithin(facets: Float64Array, u: number, v: number, radius: number, start: number): number | null {
  let best = Infinity
  const visit = (t: readonly number[]): void => {
    const [d, x, y] = [(t[0]! + t[3]! + t[6]!) / 3, (t[1]! + t[4]! + t[7]!) / 3, (t[2]! + t[5]! + t[8]!) / 3]
    let reach = 0
    for (let k = 0; k < 9; k += 3) reach = Math.max(reach, length([t[k]! - d, t[k + 1]! - x, t[k + 2]! - y]))
    if (Math.min(t[0]!, t[3]!, t[6]!) >= best || Math.max(t[0]!, t[3]!, t[6]!) < start) return
    const off = length([0, x - u, y - v])
    if (off - reach > radius) return
    const wholly = [0, 3, 6].every((k) => t[k]! >= start && length([0, t[k + 1]! - u, t[k + 2]! - v]) <= radius)
    if (wholly) {
      best = Math.min(t[0]!, t[3]!, t[6]!)
      return
    }
    if (reach < FINE_MM) {
      if (d >= start && off <= radius) best = d
      return
    }
    const m = [0, 3, 6].map((k) => {
      const j = (k + 3) % 9
      return [(t[k]! + t[j]!) / 2, (t[k + 1]! + t[j + 1]!) / 2, (t[k + 2]! + t[j + 2]!) / 2]
    })
    visit([...t.slice(0, 3), ...m[0]!, ...m[2]!])
    visit([...t.slice(3, 6), ...m[1]!, ...m[0]!])
    visit([...t.slice(6, 9), ...m[2]!, ...m[1]!])
    visit([...m[0]!, ...m[1]!, ...m[2]!])
  }
  for (let f = 0; f < facets.length; f += 9) visit([...facets.subarray(f, f + 9)])
  return best === Infinity ? null : best
}

/** The tube whose surface comes nearest to the line of the fastener, from the base down to its reach. */
function nearestTube(tubes: readonly FittingTube[], hole: Hole, z: Vec, reach: number): Fastener['tube'] {
  const end = plus(hole.at, z, reach)
  let best: Fastener['tube'] = null
  for (const tube of tubes)
    for (let k = 0; k + 1 < tube.axis.length; k++) {
      const apart = segmentsApart(hole.at, end, tube.axis[k]! as Vec, tube.axis[k + 1]! as Vec)
      const gap_mm = apart - tube.radius_mm - hole.diameter_mm / 2
      if (best === null || gap_mm < best.gap_mm)
        best = { name: tube.name, offMiddle_mm: apart, gap_mm, radius_mm: tube.radius_mm }
    }
  return best
}

/** Least distance of two segments. (C. Ericson, Real-Time Collision Detection (2005), section 5.1.9.) */
export function segmentsApart(p1: Vec, q1: Vec, p2: Vec, q2: Vec): number {
  const d1 = plus(q1, p1, -1)
  const d2 = plus(q2, p2, -1)
  const r = plus(p1, p2, -1)
  const [a, e, f, c, b] = [dot(d1, d1), dot(d2, d2), dot(d2, r), dot(d1, r), dot(d1, d2)]
  const clamp = (t: number) => Math.min(1, Math.max(0, t))
  const denominator = a * e - b * b
  let s = a > 0 && denominator > 1e-12 * a * e ? clamp((b * f - c * e) / denominator) : 0
  let t = e > 0 ? (b * s + f) / e : 0
  if (t < 0 || t > 1) {
    t = clamp(t)
    s = a > 0 ? clamp((b * t - c) / a) : 0
  }
  return length(plus(plus(plus(p1, d1, s), p2, -1), d2, -t))
}

const length = (v: Vec): number => Math.sqrt(dot(v, v))

function judged(placed: PlacedFitting, f: Fastener): Finding[] {
  const found: Finding[] = []
  const where = f.onFace ?? f.at
  const name = `${placed.name}${placed.twin ? ' (twin)' : ''}, ${f.name}`
  const say = (
    kind: string,
    severity: Finding['severity'],
    message: string,
    advice: string,
    value: number | null,
    limit: number | null,
  ) =>
    found.push({
      id: `fitting.fastener.${kind}.${placed.id}${placed.twin ? '.twin' : ''}.${f.name.replace(' ', '-')}`,
      step: 'fitting',
      severity,
      message,
      advice,
      where,
      ...(value === null ? {} : { value, unit: 'mm' }),
      ...(limit === null ? {} : { limit }),
    })
  const mm = (v: number) => `${v.toFixed(1)} mm`
  if (f.onFace === null) {
    const advice = 'Move the fitting in from the edge, or take the fastener away.'
    say('off', 'hold', `${name}: there is no ${placed.on} below it.`, advice, null, null)
    return found
  }
  const { tube } = f
  const walls = f.into === 'shell' ? (['over', 'behind'] as const) : (['over'] as const)
  for (const side of walls) {
    const wall = side === 'over' ? f.wallOver_mm : f.wallBehind_mm
    if (wall === null || wall >= f.neededBeside_mm) continue
    const cut = wall < f.diameter_mm / 2
    say(
      `wall-${side}`,
      cut ? 'hold' : 'warning',
      `${name}: ${side === 'over' ? 'over the base' : 'behind the laminate'} a wall of the ${placed.on} stands ${mm(wall)} from the middle of the hole; ${cut ? `the hole itself reaches ${mm(f.diameter_mm / 2)}` : `washer and socket want about ${mm(f.neededBeside_mm)}`}.`,
      side === 'over'
        ? 'Give the recess more margin, or set the hole further in.'
        : 'Move the hole away from the recess, chase or skirt that lies there, or move that.',
      wall,
      cut ? f.diameter_mm / 2 : f.neededBeside_mm,
    )
  }
  if (f.into === 'shell') {
    if (tube && tube.gap_mm < 0)
      say(
        'tube',
        'hold',
        `${name}: the fastener would go ${mm(-tube.gap_mm)} into tube ${tube.name}.`,
        'Move the fitting off the tube, or say that it is fastened into it on purpose.',
        tube.gap_mm,
        0,
      )
    const free = Math.min(f.freeToFrame_mm ?? Infinity, f.freeToShell_mm ?? Infinity)
    if (free < f.neededBehind_mm) {
      const frame = (f.freeToFrame_mm ?? Infinity) <= (f.freeToShell_mm ?? Infinity)
      say(
        'access',
        frame ? 'warning' : 'note',
        `${name}: behind the laminate are ${mm(free)} to ${frame ? 'the frame' : 'the other shell'}; nut, thread and tool want about ${mm(f.neededBehind_mm)}.`,
        frame
          ? 'Move it clear of the frame, or fasten it before the top goes on.'
          : 'Fasten it before the shells are joined, tap it into a plate laid in, or cut a hatch.',
        free,
        f.neededBehind_mm,
      )
    }
  } else if (!tube || tube.offMiddle_mm + f.diameter_mm / 2 > tube.radius_mm)
    say(
      'miss',
      'hold',
      tube
        ? `${name}: the fastener misses tube ${tube.name}: its middle passes ${mm(tube.offMiddle_mm)} beside that of the tube, whose radius is ${mm(tube.radius_mm)}.`
        : `${name}: no tube lies below it.`,
      'Move the fitting over the tube, or say that it is fastened to the shell.',
      tube?.offMiddle_mm ?? null,
      tube?.radius_mm ?? null,
    )
  else if (tube.offMiddle_mm > OFF_MIDDLE * tube.radius_mm)
    say(
      'aside',
      'warning',
      `${name}: it meets tube ${tube.name} ${mm(tube.offMiddle_mm)} beside its middle, where a drill wanders off.`,
      'Move the fitting until it stands over the middle of the tube.',
      tube.offMiddle_mm,
      OFF_MIDDLE * tube.radius_mm,
    )
  return found
}
