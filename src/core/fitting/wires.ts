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
  /** Of its conductor. */
  readonly section_mm2: number
  /** Names of the chases it runs in, in their order. */
  readonly through: readonly string[]
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
      findings.push(...lossFindings(wire, run), ...(twin ? [] : goneFindings(wire, options)))
      const own = (Math.PI * wire.outside_mm * wire.outside_mm) / 4
      for (const chase of new Set(chasesOf(wire, twin, options))) {
        const key = `${chase.id}${twin ? ' twin' : ''}`
        const held = inside.get(key) ?? { wires: 0, section_mm2: 0 }
        inside.set(key, { wires: held.wires + 1, section_mm2: held.section_mm2 + own })
      }
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

/**
 * The chases a wire runs in, in order. A twin has those that have a mirror image; where none has, it goes by its corners,
 * or straight.
 */
const chasesOf = (wire: Wire, twin: boolean, { chases }: WireOptions): readonly Chase[] =>
  wire.chases.flatMap((id) => chases.find((c) => c.id === id && (!twin || c.mirror)) ?? [])

/** Section of a chase, mm2: its floor, and the walls that open upwards at its own draft or that of the shells. */
function sectionOf({ width_mm, depth_mm, draft_deg }: Chase, tanDraft: number): number {
  return depth_mm * (width_mm + depth_mm * (draft_deg === null ? tanDraft : tanDeg(draft_deg)))
}

function runOf(wire: Wire, twin: boolean, options: WireOptions): WireRun | null {
  const side: 1 | -1 = twin ? -1 : 1
  const end = (id: string): PlacedFitting | undefined =>
    options.placed.find((p) => p.id === id && p.twin === twin) ?? options.placed.find((p) => p.id === id)
  const from = end(wire.from)
  const to = wire.to === null ? null : end(wire.to)
  if (!from || to === undefined || (to === null && wire.exit_mm === null)) return null
  const last: Point = to ? to.seat.at : [wire.exit_mm![0], side * wire.exit_mm![1], wire.exit_mm![2]]
  const chases = chasesOf(wire, twin, options)
  const points = wayOf(wire, chases, { from, last, leaves: to === null, side }, options.plans)
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
    section_mm2: wire.section_mm2,
    through: chases.map((c) => c.name),
    points,
    length_mm,
    cut_mm,
    drop_V,
    drop: drop_V === null ? null : drop_V / wire.supply_V,
    allowed: wire.allowedDrop,
    needed_mm2: known ? neededSection_mm2(wire.current_A!, outAndBack_m, wire.allowedDrop * wire.supply_V) : null,
  }
}

interface Ends {
  readonly from: PlacedFitting
  readonly last: Point
  /** It goes out through a leg. */
  readonly leaves: boolean
  readonly side: 1 | -1
}

/** Over each shell that its chases lie on, from chase to chase; one that leaves goes along to above its end, then straight to it. */
function wayOf(
  wire: Wire,
  chases: readonly Chase[],
  { from, last, leaves, side }: Ends,
  plans: WireOptions['plans'],
): readonly Point[] {
  const points: Point[] = [from.seat.at]
  let at: readonly [number, number] = [from.seat.at[0], from.seat.at[1]]
  let on = from.on
  const go = (to: readonly [number, number]): void => {
    lay(plans[on], at, to, points)
    at = to
  }
  for (const chase of chases) {
    on = chase.on
    for (const place of fromNearerEnd(chase.path_mm, at, side)) go(place)
  }
  if (chases.length === 0) for (const [x, y] of wire.via_mm) go([x, side * y])
  go([last[0], last[1]])
  // At a seat it ends on the base; out through a leg it goes down from the shell.
  if (!leaves && points.length > 1) points.pop()
  points.push(last)
  return points
}

/** In plan on its own side, begun at the end that is nearer to where the wire comes from. */
function fromNearerEnd(
  path: readonly (readonly [number, number])[],
  [x, y]: readonly [number, number],
  side: 1 | -1,
): readonly (readonly [number, number])[] {
  const own = path.map(([px, py]) => [px, side * py] as const)
  const away = ([px, py]: readonly [number, number]) => (px - x) * (px - x) + (py - y) * (py - y)
  return away(own[0]!) <= away(own.at(-1)!) ? own : own.reverse()
}

/** Places along a straight piece of the way in plan, laid on the shell; past the edge of the top it goes on at the height it had. */
function lay(
  plan: PlanHeights,
  [ax, ay]: readonly [number, number],
  [bx, by]: readonly [number, number],
  points: Point[],
): void {
  const pieces = Math.max(1, Math.ceil(Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay)) / STEP_MM))
  for (let i = 1; i <= pieces; i++) {
    const t = i / pieces
    const [x, y] = [ax + t * (bx - ax), ay + t * (by - ay)]
    const z = highestAt(plan, x, y)
    points.push([x, y, Number.isFinite(z) ? z : points.at(-1)![2]])
  }
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

/** A chase that was taken away, or one that the twin has no mirror image of. */
function goneFindings(wire: Wire, { chases }: WireOptions): Finding[] {
  return wire.chases.flatMap((id): Finding[] => {
    const chase = chases.find((c) => c.id === id)
    if (chase && (chase.mirror || !wire.mirror)) return []
    return [
      {
        id: `fitting.wire.chase.${wire.id}.${id}`,
        step: 'fitting',
        severity: 'note',
        message: chase
          ? `The wire ${wire.name} has a twin, but its chase ${chase.name} has no mirror image: the twin lies without it.`
          : `The wire ${wire.name} names a chase that is not there (${id}); its way and length are without it.`,
        advice: chase ? 'Mirror the chase, or lay the other wire by itself.' : 'Choose its chases anew.',
      },
    ]
  })
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
