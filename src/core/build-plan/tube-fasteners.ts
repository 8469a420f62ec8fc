/** Fasteners down through the inner shell on to the crests of tubes, at a pitch: the marks to drill by, and what speaks against them. */
import { fastenerPlaces } from '../frame'
import { type Steps, within } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'
import { cross, dot, plus, type Vec } from '../geometry/vectors'
import { type ClosedLine, nearestOnLine } from './trim-line'
import type { DrillMark, FastenedTube } from './types'

/** The inner surface is looked for this far above the axis, mm. */
const REACH_MM = 200
/** A hole nearer to the trimmed edge than this many of its diameters tears out. (Common practice, no source.) */
const EDGE_DIAMETERS = 3
/** A hole wider than this share of the tube takes too much of it, and its drill wanders. (Common practice, no source.) */
const WIDEST_SHARE = 1 / 3
/** Room between shell and tube beyond the bond line, mm: tightened over more, the shell is drawn down. (Common practice, no source.) */
const SPACER_MM = 1

export interface TubeHoles {
  readonly marks: readonly DrillMark[]
  readonly findings: readonly Finding[]
}

/** @param face the moulded face of the underside shell, job axes; @param trim its trim line */
export function* tubeHoles(
  tubes: readonly FastenedTube[],
  face: Mesh<'job'>,
  trim: ClosedLine | null,
  bond_mm: number,
): Steps<TubeHoles> {
  const marks: DrillMark[] = []
  const findings: Finding[] = []
  for (const [i, tube] of tubes.entries()) {
    const made = yield* within(i / tubes.length, (i + 1) / tubes.length, tube.name, holesOf(tube, face, trim, bond_mm))
    marks.push(...made.marks)
    findings.push(...made.findings)
  }
  return { marks, findings }
}

function* holesOf(tube: FastenedTube, face: Mesh<'job'>, trim: ClosedLine | null, bond_mm: number): Steps<TubeHoles> {
  const { diameter_mm } = tube.fasteners
  const places = fastenerPlaces(tube.axis, tube.closed, tube.fasteners)
  const marks: DrillMark[] = []
  const missed: Vec[] = []
  let widest = { gap_mm: 0, at: null as Vec | null }
  let nearest = { off_mm: Infinity, at: null as Vec | null }
  for (const [k, { at, up }] of places.entries()) {
    yield k / places.length
    const height = up && firstAbove(face, at, up)
    if (!up || height === null) {
      missed.push(at)
      continue
    }
    const on = plus(at, up, height)
    const edge = trim ? nearestOnLine(trim, on) : { along_mm: 0, off_mm: 0 }
    marks.push({
      name: `${tube.name} hole ${k + 1}`,
      diameter_mm,
      at: on,
      u_mm: on[0],
      v_mm: on[1],
      toCentreline_mm: Math.abs(on[1]),
      toTrim_mm: edge.off_mm,
      alongTrim_mm: edge.along_mm,
    })
    if (height - tube.radius_mm > widest.gap_mm) widest = { gap_mm: height - tube.radius_mm, at: on }
    if (trim && edge.off_mm < nearest.off_mm) nearest = { off_mm: edge.off_mm, at: on }
  }
  return { marks, findings: judged(tube, { missed, widest, nearest, places: places.length }, bond_mm) }
}

interface Met {
  readonly places: number
  readonly missed: readonly Vec[]
  readonly widest: { readonly gap_mm: number; readonly at: Vec | null }
  readonly nearest: { readonly off_mm: number; readonly at: Vec | null }
}

function judged({ id, name, radius_mm, fasteners }: FastenedTube, met: Met, bond_mm: number): Finding[] {
  const { diameter_mm } = fasteners
  const found: Finding[] = []
  const say = (kind: string, rest: Omit<Finding, 'id' | 'step'>) =>
    found.push({ id: `build.tube-hole.${kind}.${id}`, step: 'build', ...rest })
  if (met.places === 0)
    say('short', {
      severity: 'warning',
      message: `${name} is too short for a fastener with free ends.`,
      advice: 'Take its fasteners away, or begin nearer to the end.',
    })
  if (met.missed.length > 0)
    say('missed', {
      severity: 'warning',
      message: `${met.missed.length} of ${met.places} fasteners of ${name} are left out: there the tube is steeper than 60° or has no inner surface above it.`,
      advice: 'Fasten that part from the side by hand, or change pitch and start.',
      where: met.missed[0]!,
      value: met.missed.length,
      limit: 0,
    })
  const edge_mm = EDGE_DIAMETERS * diameter_mm
  if (met.nearest.at && met.nearest.off_mm < edge_mm)
    say('edge', {
      severity: 'warning',
      message: `A fastener of ${name} stands ${met.nearest.off_mm.toFixed(1)} mm from the trimmed edge; ${edge_mm.toFixed(1)} mm, three diameters, keeps it from tearing out.`,
      advice: 'Change its start or its pitch.',
      where: met.nearest.at,
      value: met.nearest.off_mm,
      limit: edge_mm,
      unit: 'mm',
    })
  if (met.widest.at && met.widest.gap_mm > bond_mm + SPACER_MM)
    say('gap', {
      severity: 'warning',
      message: `Between the inner surface and ${name} are up to ${met.widest.gap_mm.toFixed(1)} mm at its fasteners: tightened, they draw the shell down.`,
      advice: 'Let the top bear on this tube, or put a spacer of that height round each fastener.',
      where: met.widest.at,
      value: met.widest.gap_mm,
      limit: bond_mm + SPACER_MM,
      unit: 'mm',
    })
  if (diameter_mm > WIDEST_SHARE * 2 * radius_mm)
    say('wide', {
      severity: 'warning',
      message: `Holes of ${diameter_mm.toFixed(1)} mm take more than a third of ${name}, which is ${(2 * radius_mm).toFixed(1)} mm thick.`,
      advice: 'Take a thinner fastener, or ask whoever answers for the frame.',
      value: diameter_mm,
      limit: WIDEST_SHARE * 2 * radius_mm,
      unit: 'mm',
    })
  return found
}

/** Distance along a ray to the first facet, mm; null: none within reach. (Möller and Trumbore, Journal of Graphics Tools 2(1), 1997.) */
function firstAbove({ positions: p, indices, origin }: Mesh, from: Vec, way: Vec): number | null {
  const start = plus(from, origin, -1)
  let best = REACH_MM
  let met = false
  const corner = (i: number): Vec => {
    const v = 3 * indices[i]!
    return [p[v]! - start[0], p[v + 1]! - start[1], p[v + 2]! - start[2]]
  }
  for (let f = 0; f < indices.length; f += 3) {
    const a = corner(f)
    const b = corner(f + 1)
    const c = corner(f + 2)
    const u = plus(b, a, -1)
    const v = plus(c, a, -1)
    const h = cross(way, v)
    const det = dot(u, h)
    if (det === 0) continue
    const s = -dot(a, h) / det
    if (s < 0 || s > 1) continue
    const q = cross(a, u)
    const t = -dot(way, q) / det
    if (t < 0 || s + t > 1) continue
    const along = -dot(v, q) / det
    if (along < 0 || along >= best) continue
    best = along
    met = true
  }
  return met ? best : null
}
