/** Who stands under the top: headroom at the helm, and whether the handles can be reached: from the deck, and from the helm. */
import type { Point } from '../geometry/axes'
import type { Mesh } from '../geometry/mesh'
import { closestOnTriangle } from '../geometry/point-triangle'
import type { Finding } from '../geometry/trouble'
import { bodySizes, OVERHEAD_REACH_MM, STATURE_MM } from './body-sizes'
import { highestAt, type PlanHeights } from './plan-heights'
import { HELMSMEN, type Helmsman, type PeopleSettings } from './settings'
import type { PlacedFitting } from './types'

/** Over a bare head for shoes, a cap and the vessel's motion (common practice, no source). */
const OVER_HEAD_MM = 60

export interface HandleReach {
  readonly id: string
  readonly name: string
  readonly twin: boolean
  /** Lowest place of it over the deck, mm. */
  readonly height_mm: number
  /** From the helm; null: no helm is stated. */
  readonly fromHelm: HelmReach | null
}

/** How far a handle is from one who stands upright at the helm, the shoulder over the middle of the feet. */
export interface HelmReach {
  /** In plan, from the helm to its nearest place, mm. */
  readonly across_mm: number
  /** From the shoulder of the helmsman stated to its nearest place, and the length of that arm to the fingertips, mm. */
  readonly shoulder_mm: number
  readonly arm_mm: number
  /** Who of the six sizes touches it with the fingertips without leaning. */
  readonly reachedBy: readonly Helmsman[]
}

export interface PeopleCheck {
  /** z of the deck, job axes, mm. */
  readonly deck_mm: number
  /** From the deck to the lowest of the top over the helm, mm; null: no helm is stated, or nothing is over it. */
  readonly headroom_mm: number | null
  readonly handles: readonly HandleReach[]
}

export interface PeopleOptions {
  readonly people: PeopleSettings
  /** z of the lowest metal: where people stand if nothing else is stated. */
  readonly lowest_mm: number
  readonly underside: PlanHeights
  readonly placed: readonly PlacedFitting[]
  /** Ids of the fittings that are held on to. */
  readonly handles: ReadonlySet<string>
}

export function peopleCheck(options: PeopleOptions): PeopleCheck & { readonly findings: readonly Finding[] } {
  const { people, lowest_mm, underside, placed, handles } = options
  const deck_mm = people.deck_mm ?? lowest_mm
  const over = people.helm_mm ? highestAt(underside, people.helm_mm[0], people.helm_mm[1]) : Number.NaN
  const headroom_mm = Number.isFinite(over) ? over - deck_mm : null
  const held = placed
    .filter((p) => handles.has(p.id))
    .map(
      (p): HandleReach => ({
        id: p.id,
        name: p.name,
        twin: p.twin,
        height_mm: lowestOf(p) - deck_mm,
        fromHelm: helmReach(p.mesh, people, deck_mm),
      }),
    )
  const findings: Finding[] = []
  if (headroom_mm !== null && people.helm_mm) findings.push(...headFinding(headroom_mm, people.helm_mm, over))
  for (const handle of held) findings.push(...reachFinding(handle, placed))
  findings.push(...helmFinding(held, people, placed))
  return { deck_mm, headroom_mm, handles: held, findings }
}

/** Under the inner surface where nobody says how high the deck is, mm (common practice, no source). */
const EYE_UNDER_TOP_MM = 330
/** Where one steers if nobody says: so far along the top from aft (common practice, no source). */
const HELM_FROM_AFT = 0.3

/**
 * Where the helmsman's eyes are: over the helm as the job states it, else on the centreline under the after part of the top.
 *
 * @param deck_mm z of the deck people stand on; null: not known
 * @param top     box of the inner surface; null: there is none yet
 */
export function eyePlace(
  people: PeopleSettings,
  deck_mm: number | null,
  top: { readonly min: readonly number[]; readonly max: readonly number[] } | null,
): Point<'job'> {
  const [aft, forward] = [top?.min[0] ?? 0, top?.max[0] ?? 0]
  const [x, y] = people.helm_mm ?? [aft + HELM_FROM_AFT * (forward - aft), 0]
  // Without a helm the lowest metal is a guess too far: the deck counts where somebody stated it.
  const deck = people.helm_mm ? deck_mm : people.deck_mm
  return [x, y, deck === null ? (top?.max[2] ?? 0) - EYE_UNDER_TOP_MM : deck + eyeHeight_mm(people)]
}

export const eyeHeight_mm = ({ eye_mm, helmsman }: PeopleSettings): number => eye_mm ?? bodySizes(helmsman).eye_mm

function helmReach(mesh: Mesh<'job'>, { helm_mm, helmsman }: PeopleSettings, deck_mm: number): HelmReach | null {
  if (helm_mm === null) return null
  const [x, y] = helm_mm
  const from = (who: Helmsman) => nearestTo(mesh, [x, y, deck_mm + bodySizes(who).shoulder_mm])
  const own = from(helmsman)
  return {
    across_mm: own.across_mm,
    shoulder_mm: own.distance_mm,
    arm_mm: bodySizes(helmsman).arm_mm,
    reachedBy: HELMSMEN.filter((who) => from(who).distance_mm <= bodySizes(who).arm_mm),
  }
}

/** The place of a mesh nearest to a point: how far, and how far off the plumb line through the point. */
function nearestTo({ positions: p, indices, origin }: Mesh<'job'>, to: Point<'job'>) {
  const [x, y, z] = [to[0] - origin[0], to[1] - origin[1], to[2] - origin[2]]
  const out = new Float64Array(5)
  let distance_mm = Infinity
  let across_mm = Infinity
  for (let f = 0; f < indices.length; f += 3) {
    const [a, b, c] = [3 * indices[f]!, 3 * indices[f + 1]!, 3 * indices[f + 2]!]
    closestOnTriangle(
      x,
      y,
      z,
      p[a]!,
      p[a + 1]!,
      p[a + 2]!,
      p[b]!,
      p[b + 1]!,
      p[b + 2]!,
      p[c]!,
      p[c + 1]!,
      p[c + 2]!,
      out,
    )
    const [dx, dy, dz] = [out[0]! - x, out[1]! - y, out[2]! - z]
    const distance = Math.sqrt(dx * dx + dy * dy + dz * dz)
    if (distance >= distance_mm) continue
    distance_mm = distance
    across_mm = Math.sqrt(dx * dx + dy * dy)
  }
  return { distance_mm, across_mm }
}

/** One handle within everybody's reach is enough at the helm; the others are for those who stand elsewhere. */
function helmFinding(
  handles: readonly HandleReach[],
  people: PeopleSettings,
  placed: readonly PlacedFitting[],
): Finding[] {
  const reached = handles.flatMap((h) => (h.fromHelm ? [{ handle: h, ...h.fromHelm }] : []))
  if (reached.length === 0 || reached.some((r) => r.reachedBy.length === HELMSMEN.length)) return []
  const nearest = reached.reduce((a, b) => (b.shoulder_mm - b.arm_mm < a.shoulder_mm - a.arm_mm ? b : a))
  const { handle, shoulder_mm, arm_mm, reachedBy } = nearest
  const at = placed.find((p) => p.id === handle.id && p.twin === handle.twin)?.seat.at
  return [
    {
      id: 'fitting.helm-reach',
      step: 'fitting',
      severity: 'note',
      message: `From the helm no handle is in reach of everybody: ${handle.name}${handle.twin ? ' (twin)' : ''} is ${Math.ceil(shoulder_mm)} mm from the shoulder of ${helmsmanWords(people.helmsman)}, whose arm is ${arm_mm} mm long; ${reachedBy.length} of the six sizes touch it.`,
      advice: 'Put a handle nearer to the helm, or lower.',
      ...(at && { where: [at[0], at[1], at[2]] as const }),
      value: shoulder_mm,
      limit: arm_mm,
      unit: 'mm',
    },
  ]
}

/** @example helmsmanWords('man-95') // 'a tall man' */
export function helmsmanWords(who: Helmsman): string {
  const size = who.endsWith('-5') ? 'small' : who.endsWith('-50') ? 'middling' : 'tall'
  return `a ${size} ${who.startsWith('woman') ? 'woman' : 'man'}`
}

function lowestOf({ mesh }: PlacedFitting): number {
  let low = Infinity
  for (let i = 2; i < mesh.positions.length; i += 3) low = Math.min(low, mesh.positions[i]!)
  return low + mesh.origin[2]
}

function headFinding(headroom_mm: number, [x, y]: readonly [number, number], z: number): Finding[] {
  const tall = STATURE_MM.men[2] + OVER_HEAD_MM
  if (headroom_mm >= tall) return []
  return [
    {
      id: 'fitting.headroom',
      step: 'fitting',
      severity: headroom_mm < STATURE_MM.men[1] ? 'warning' : 'note',
      message: `Headroom at the helm is ${headroom_mm.toFixed(0)} mm; a tall man (95 of 100 are shorter) stands ${STATURE_MM.men[2]} mm bare foot and wants about ${tall}.`,
      advice: 'Lower the deck there, raise the frame, or say who steers.',
      where: [x, y, z],
      value: headroom_mm,
      limit: tall,
      unit: 'mm',
    },
  ]
}

function reachFinding(handle: HandleReach, placed: readonly PlacedFitting[]): Finding[] {
  const [small] = OVERHEAD_REACH_MM.women
  if (handle.height_mm <= small) return []
  const at: Point<'job'> | undefined = placed.find((p) => p.id === handle.id && p.twin === handle.twin)?.seat.at
  return [
    {
      id: `fitting.reach.${handle.id}${handle.twin ? '.twin' : ''}`,
      step: 'fitting',
      severity: handle.height_mm > OVERHEAD_REACH_MM.men[2] ? 'warning' : 'note',
      message: `${handle.name}${handle.twin ? ' (twin)' : ''} is ${handle.height_mm.toFixed(0)} mm over the deck; a small woman (5 of 100 are shorter) reaches about ${small} with her fingertips.`,
      advice: 'A handle that all can hold hangs lower, or has a step beneath it.',
      ...(at && { where: [at[0], at[1], at[2]] as const }),
      value: handle.height_mm,
      limit: small,
      unit: 'mm',
    },
  ]
}
