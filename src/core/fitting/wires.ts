/**
 * Wires: from a fitting along the top, through a chase where one is named, to another fitting or out through a leg. Length by
 * the way it really lies, the fill of each chase, and the voltage that is lost on the way.
 *
 * A check for whoever plans the way; sizes, fuses and what may run beside what are for qualified people.
 */
import type { Point } from '../geometry/axes'
import { tanDeg } from '../geometry/portable-math'
import type { Finding } from '../geometry/trouble'
import { highestAt, type PlanHeights } from './plan-heights'
import type { Chase, ShellName } from './seat-types'
import type { PlacedFitting } from './types'
import type { Wire } from './wire-settings'

export interface WireRun {
  readonly id: string
  readonly name: string
  readonly twin: boolean
  readonly from: string
  readonly to: string
  /** The way it lies, job axes, mm. */
  readonly points: readonly Point[]
  readonly length_mm: number
  /** With the slack, mm: what is cut. */
  readonly cut_mm: number
  /** Lost out and back at the current stated, V and as a share of the supply; null where no current is stated. */
  readonly drop_V: number | null
  readonly drop: number | null
  /** Share that may be lost. */
  readonly allowed: number
  /** Least conductor that keeps to it, mm2; null where no current is stated. */
  readonly needed_mm2: number | null
}

export interface ChaseFill {
  readonly chase: string
  readonly name: string
  readonly wires: number
  /** Sum of the wires' outer sections over the section of the chase. */
  readonly fill: number
}

export interface WirePlan {
  readonly wires: readonly WireRun[]
  readonly fills: readonly ChaseFill[]
  readonly findings: readonly Finding[]
}

/**
 * Resistivity of copper wire as the trade's wire rule has it, ohm mm2/m: K = 10.75 ohm circular mil per foot (ABYC E-11, as
 * restated by two chandlers' pages), one circular mil 5.067e-4 mm2, one foot 0.3048 m.
 */
export const WIRE_OHM_MM2_PER_M = (10.75 * 5.067074790974977e-4) / 0.3048

/** More than this of a chase's section is hard to draw wires through (common practice, no source). */
const MOST_FILL = 0.4
/** Places along the way that are laid on the shell, mm apart. */
const STEP_MM = 20

/** Least section of a conductor that loses at most `drop_V` over a length out and back, mm2: A = ρ I L / E. */
export const neededSection_mm2 = (current_A: number, outAndBack_m: number, drop_V: number): number =>
  (WIRE_OHM_MM2_PER_M * current_A * outAndBack_m) / drop_V

export interface WireOptions {
  readonly placed: readonly PlacedFitting[]
  readonly chases: readonly Chase[]
  readonly plans: Readonly<Record<ShellName, PlanHeights>>
  /** Draft of a chase that states none, as tan. */
  readonly tanDraft: number
}

/** Every wire with its mirror image where it has one. */
export function wirePlan(wires: readonly Wire[], options: WireOptions): WirePlan {
  const runs: WireRun[] = []
  const findings: Finding[] = []
  const inside = new Map<string, { wires: number; section_mm2: number }>()
  for (const wire of wires)
    for (const twin of wire.mirror ? [false, true] : [false]) {
      const run = runOf(wire, twin, options)
      if (run === null) {
        findings.push(loose(wire, twin))
        continue
      }
      runs.push(run)
      findings.push(...lossFindings(wire, run))
      const chase = chaseOf(wire, twin, options)
      if (!chase) continue
      const key = `${chase.id}${twin ? ' twin' : ''}`
      const held = inside.get(key) ?? { wires: 0, section_mm2: 0 }
      const own = (Math.PI * wire.outside_mm * wire.outside_mm) / 4
      inside.set(key, { wires: held.wires + 1, section_mm2: held.section_mm2 + own })
    }
  const fills = [...inside].map(([key, held]): ChaseFill => {
    const chase = options.chases.find((c) => c.id === key.replace(/ twin$/, ''))!
    const twin = key.endsWith(' twin')
    return {
      chase: chase.id,
      name: twin ? `${chase.name}, mirror image` : chase.name,
      wires: held.wires,
      fill: held.section_mm2 / sectionOf(chase, options.tanDraft),
    }
  })
  for (const fill of fills) if (fill.fill > MOST_FILL) findings.push(fullFinding(fill))
  return { wires: runs, fills, findings }
}

/** The chase a wire runs in. A twin has one only where the chase has a mirror image; else it goes by its corners, or straight. */
const chaseOf = (wire: Wire, twin: boolean, { chases }: WireOptions): Chase | undefined =>
  chases.find((c) => c.id === wire.chase && (!twin || c.mirror))

/** Section of a chase, mm2: its floor, and the walls that open upwards at its own draft or that of the shells. */
function sectionOf({ width_mm, depth_mm, draft_deg }: Chase, tanDraft: number): number {
  return depth_mm * (width_mm + depth_mm * (draft_deg === null ? tanDraft : tanDeg(draft_deg)))
}

function runOf(wire: Wire, twin: boolean, options: WireOptions): WireRun | null {
  const side = twin ? -1 : 1
  const end = (id: string): PlacedFitting | undefined =>
    options.placed.find((p) => p.id === id && p.twin === twin) ?? options.placed.find((p) => p.id === id)
  const from = end(wire.from)
  const to = wire.to === null ? null : end(wire.to)
  if (!from || to === undefined || (to === null && wire.exit_mm === null)) return null
  const last: Point = to ? to.seat.at : [wire.exit_mm![0], side * wire.exit_mm![1], wire.exit_mm![2]]
  const chase = chaseOf(wire, twin, options)
  const through = (chase ? fromNearerEnd(chase.path_mm, from.seat.at, side) : wire.via_mm).map(
    ([x, y]) => [x, side * y] as const,
  )
  const plan = options.plans[chase?.on ?? from.on]
  const points = laidOn(plan, from.seat.at, through, last, to === null)
  const length_mm = lengthOf(points)
  const cut_mm = length_mm * (1 + wire.slack)
  const outAndBack_m = (2 * cut_mm) / 1000
  const known = wire.current_A !== null && wire.current_A > 0
  const drop_V = known ? (WIRE_OHM_MM2_PER_M * wire.current_A! * outAndBack_m) / wire.section_mm2 : null
  return {
    id: wire.id,
    name: wire.name,
    twin,
    from: from.name,
    to: to ? to.name : 'out through a leg',
    points,
    length_mm,
    cut_mm,
    drop_V,
    drop: drop_V === null ? null : drop_V / wire.supply_V,
    allowed: wire.allowedDrop,
    needed_mm2: known ? neededSection_mm2(wire.current_A!, outAndBack_m, wire.allowedDrop * wire.supply_V) : null,
  }
}

function fromNearerEnd(
  path: readonly (readonly [number, number])[],
  [x, y]: Point,
  side: number,
): readonly (readonly [number, number])[] {
  const away = ([px, py]: readonly [number, number]) => (px - x) * (px - x) + (side * py - y) * (side * py - y)
  return away(path[0]!) <= away(path.at(-1)!) ? path : [...path].reverse()
}

/** From seat to seat over the shell; one that leaves goes along the shell to above its end, then straight to it. */
function laidOn(
  plan: PlanHeights,
  first: Point,
  through: readonly (readonly [number, number])[],
  last: Point,
  leaves: boolean,
): readonly Point[] {
  const corners: (readonly [number, number])[] = [[first[0], first[1]], ...through, [last[0], last[1]]]
  const points: Point[] = [first]
  for (let k = 1; k < corners.length; k++) {
    const [ax, ay] = corners[k - 1]!
    const [bx, by] = corners[k]!
    const pieces = Math.max(1, Math.ceil(Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay)) / STEP_MM))
    for (let i = 1; i <= pieces; i++) {
      const t = i / pieces
      const [x, y] = [ax + t * (bx - ax), ay + t * (by - ay)]
      const z = highestAt(plan, x, y)
      const ends = k === corners.length - 1 && i === pieces
      // Past the edge of the top it goes on at the height it had.
      if (!ends || leaves) points.push([x, y, Number.isFinite(z) ? z : points.at(-1)![2]])
    }
  }
  points.push(last)
  return points
}

function lengthOf(points: readonly Point[]): number {
  let length = 0
  for (let k = 1; k < points.length; k++) {
    const [a, b] = [points[k - 1]!, points[k]!]
    length += Math.sqrt((b[0] - a[0]) * (b[0] - a[0]) + (b[1] - a[1]) * (b[1] - a[1]) + (b[2] - a[2]) * (b[2] - a[2]))
  }
  return length
}

const called = ({ name, twin }: { readonly name: string; readonly twin: boolean }): string =>
  twin ? `${name} (twin)` : name

function loose(wire: Wire, twin: boolean): Finding {
  return {
    id: `fitting.wire.loose.${wire.id}${twin ? '.twin' : ''}`,
    step: 'fitting',
    severity: 'warning',
    message: `The wire ${called({ name: wire.name, twin })} has no two ends.`,
    advice: 'Name a fitting that is there for each end, or the place where it leaves through a leg.',
  }
}

function lossFindings(wire: Wire, run: WireRun): Finding[] {
  const { drop, drop_V, needed_mm2, points } = run
  if (drop === null || drop_V === null || needed_mm2 === null || drop <= run.allowed) return []
  const at = points[0]!
  return [
    {
      id: `fitting.wire.drop.${run.id}${run.twin ? '.twin' : ''}`,
      step: 'fitting',
      severity: 'warning',
      message: `The wire ${called(run)} loses ${drop_V.toFixed(2)} V, ${(100 * drop).toFixed(1)} % of ${wire.supply_V} V; ${(100 * run.allowed).toFixed(0)} % is allowed.`,
      advice: `A conductor of ${needed_mm2.toFixed(2)} mm2 or more keeps to it; electrical work is for qualified people and local codes.`,
      where: [at[0], at[1], at[2]],
      value: 100 * drop,
      limit: 100 * run.allowed,
      unit: '%',
    },
  ]
}

const fullFinding = ({ chase, name, fill, wires }: ChaseFill): Finding => ({
  id: `fitting.wire.full.${chase}.${name}`,
  step: 'fitting',
  severity: 'warning',
  message: `${name} is filled to ${(100 * fill).toFixed(0)} % by ${wires} ${wires === 1 ? 'wire' : 'wires'}; over ${100 * MOST_FILL} % they are hard to draw.`,
  advice: 'Widen the chase, or take some another way.',
  value: 100 * fill,
  limit: 100 * MOST_FILL,
  unit: '%',
})
