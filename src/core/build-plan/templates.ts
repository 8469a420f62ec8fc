/**
 * Trim and drill: where the shells are cut and bored, as plain lines and points on the moulded faces. Nothing here draws; the
 * release writes them as full-size drawings.
 */
import { convexHull } from '../fitting'
import { type Point, transformDirection, transformPoint } from '../geometry/axes'
import { closestPoint, makeNearest } from '../geometry/closest-point'
import { type Steps, within } from '../geometry/kernel'
import { buildTriangleTree, type TriangleTree } from '../geometry/triangle-tree'
import type { Finding } from '../geometry/trouble'
import { cross, dot, plus, unit, type Vec } from '../geometry/vectors'
import { type ClosedLine, nearestOnLine, trimLine } from './trim-line'
import { tubeHoles } from './tube-fasteners'
import type { BuildFitting, BuildRequest, BuildShell, DrillMark, DrillTemplate, Templates } from './types'

/** How far off the base plane a vertex may be and still belong to the base's outline, mm. */
const TOUCHING_MM = 0.5

/** Trim lines of the shells asked, one drill template for every fitting, flat in the plane of its seat, and what goes into tubes. */
export function* templatesOf(
  request: BuildRequest,
): Steps<{ readonly templates: Templates; readonly findings: readonly Finding[] }> {
  const { shells, fittings, fasteners } = request
  const trims: { shell: BuildShell['name']; line: ClosedLine }[] = []
  const trees = new Map<BuildShell['name'], TriangleTree>()
  for (const shell of shells) {
    const line = yield* within(0, 0.3, 'trim line', trimLine(shell.face))
    if (line) trims.push({ shell: shell.name, line })
    trees.set(shell.name, yield* within(0.3, 0.8, 'search tree', buildTriangleTree(shell.face)))
  }
  const lineOf = (name: BuildShell['name']) => trims.find((t) => t.shell === name)?.line ?? null
  const drills = fittings.flatMap((f): DrillTemplate[] => {
    const tree = trees.get(f.on)
    return tree ? [drillTemplate(f, tree, lineOf(f.on))] : []
  })
  const tubes = fasteners.flatMap((f): DrillMark[] => {
    const tree = trees.get('underside')
    if (!tree) return []
    const [at] = onFace(tree, f.at)
    return [
      { name: f.name, diameter_mm: f.diameter_mm, at, u_mm: at[0], v_mm: at[1], ...measures(at, lineOf('underside')) },
    ]
  })
  const inner = shells.find((s) => s.name === 'underside')
  const pitched = inner
    ? yield* within(
        0.8,
        1,
        'fasteners',
        tubeHoles(request.fastenedTubes, inner.face, lineOf('underside'), request.bond_mm),
      )
    : { marks: [], findings: [] }
  return {
    templates: {
      trims: trims.map(({ shell, line }) => ({ shell, points: line.points, length_mm: line.length_mm })),
      drills,
      tubes: [...tubes, ...pitched.marks],
    },
    findings: pitched.findings,
  }
}

function drillTemplate(f: BuildFitting, tree: TriangleTree, trim: ClosedLine | null): DrillTemplate {
  const { normal } = f
  const ahead = aheadIn(normal)
  const left = cross(normal, ahead)
  const flat = (q: Point): [number, number] => {
    const from = plus(q, f.at, -1)
    return [dot(from, ahead), dot(from, left)]
  }
  const mark = (name: string, diameter_mm: number | null, from: Point): DrillMark => {
    const [at] = onFace(tree, from)
    const [u_mm, v_mm] = flat(at)
    return { name, diameter_mm, at, u_mm, v_mm, ...measures(at, trim) }
  }
  return {
    fitting: f.name,
    twin: f.twin,
    on: f.on,
    at: f.at,
    normal,
    ahead,
    outline: baseOutline(f, flat),
    marks: [mark('centre', null, f.at), ...f.holes.map((h) => mark(h.name, h.diameter_mm, h.at))],
  }
}

/** Straight ahead (+x) in the plane of a seat; to port where the seat looks ahead. */
function aheadIn(normal: Vec): Vec {
  const along = Math.abs(normal[0]) < 0.95 ? ([1, 0, 0] as const) : ([0, 1, 0] as const)
  return unit(plus(along, normal, -dot(along, normal)))
}

function onFace(tree: TriangleTree, from: Point): [Point<'job'>, number] {
  const near = makeNearest()
  closestPoint(tree, from[0], from[1], from[2], Infinity, near)
  return [[near.x, near.y, near.z], near.distance]
}

const measures = (at: Point, trim: ClosedLine | null) => {
  const near = trim ? nearestOnLine(trim, at) : { along_mm: 0, off_mm: 0 }
  return { toCentreline_mm: Math.abs(at[1]), toTrim_mm: near.off_mm, alongTrim_mm: near.along_mm }
}

/** Hull of what stands in the base plane, in the template's own coordinates. */
function baseOutline(f: BuildFitting, flat: (q: Point) => [number, number]): readonly (readonly [number, number])[] {
  const normal = unit(transformDirection(f.pose, f.base.normal))
  const level = dot(transformPoint(f.pose, f.base.at), normal)
  const { positions: p, origin: o } = f.mesh
  const touching: [number, number][] = []
  for (let i = 0; i < p.length; i += 3) {
    const q: Vec = [p[i]! + o[0], p[i + 1]! + o[1], p[i + 2]! + o[2]]
    if (level - dot(q, normal) <= TOUCHING_MM) touching.push(flat(q))
  }
  return convexHull(touching)
}
