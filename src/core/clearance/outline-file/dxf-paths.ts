import { atan2Deg, atanDeg, cosDeg, sinDeg, square } from '../../geometry/portable-math'
import { Refused } from '../../geometry/trouble'
import { type LengthUnit, MM_PER } from '../../scan'
import { arcPoints, splinePoints, type XY } from './flatten'

/** A drawn line, in mm; its last point is not its first again where it is closed. */
export interface DrawnPath {
  readonly points: readonly XY[]
  readonly closed: boolean
}

export interface DrawnFile {
  readonly paths: readonly DrawnPath[]
  /** What the file says its unit is; null: nothing. */
  readonly unit: LengthUnit | null
  /** Kinds of things in the file that are no line in plan, and how many of each. */
  readonly passedOver: ReadonlyMap<string, number>
}

/** Codes of the header variable for the drawing's unit; others are refused, 0 says nothing. */
const UNITS: Readonly<Record<number, LengthUnit>> = { 1: 'in', 2: 'ft', 4: 'mm', 5: 'cm', 6: 'm', 13: 'um' }
const DEEPEST_BLOCK = 8

interface Group {
  readonly code: number
  readonly value: string
  readonly line: number
}

interface Entity {
  readonly type: string
  readonly groups: readonly Group[]
  /** VERTEX records of an old polyline. */
  readonly corners: readonly Entity[]
}

/**
 * Lines of a drawing exchange file (text DXF): LINE, ARC, CIRCLE, ELLIPSE, LWPOLYLINE and POLYLINE with bulges, SPLINE with
 * control points, and blocks put in by INSERT. What lies on paper space is passed over.
 *
 * @param error_mm chord error of curves
 * @param unit     the user's word; `auto`: the file's, and mm where it says nothing
 * @throws Refused `file-damaged`, `file-unsupported`
 */
export function dxfPaths(name: string, text: string, error_mm: number, unit: 'auto' | LengthUnit): DrawnFile {
  const sections = sectionsOf(name, groupsOf(name, text))
  const stated = unit === 'auto' ? statedUnit(name, sections.get('HEADER') ?? []) : null
  const scale = MM_PER[unit === 'auto' ? (stated ?? 'mm') : unit]
  const reader = new Reader(name, blocksOf(sections.get('BLOCKS') ?? []), error_mm)
  reader.take(entitiesOf(sections.get('ENTITIES') ?? []), [scale, 0, 0, scale, 0, 0], 0)
  return { paths: reader.paths, unit: stated, passedOver: reader.passedOver }
}

function groupsOf(name: string, text: string): Group[] {
  const lines = text.split(/\r\n|\n|\r/)
  const groups: Group[] = []
  for (let k = 0; k + 1 < lines.length; k += 2) {
    const code = Number(lines[k]!.trim())
    if (lines[k]!.trim() === '' || !Number.isInteger(code))
      throw new Refused(
        'file-damaged',
        `${name} breaks off or is no drawing: line ${k + 1} should be a group code; export it again as a text DXF.`,
      )
    groups.push({ code, value: lines[k + 1]!.trim(), line: k + 2 })
    if (code === 0 && groups.at(-1)!.value === 'EOF') return groups
  }
  throw new Refused('file-damaged', `${name} ends before its end mark: it was cut off; export it again.`)
}

function sectionsOf(name: string, groups: readonly Group[]): Map<string, Group[]> {
  const sections = new Map<string, Group[]>()
  let open: Group[] | null = null
  for (let k = 0; k < groups.length; k++) {
    const g = groups[k]!
    if (g.code === 0 && g.value === 'SECTION') {
      open = []
      sections.set(groups[k + 1]?.code === 2 ? groups[++k]!.value : '', open)
    } else if (g.code === 0 && g.value === 'ENDSEC') open = null
    else open?.push(g)
  }
  if (!sections.has('ENTITIES'))
    throw new Refused('file-damaged', `${name} has no section of entities; export the outline again.`)
  return sections
}

function statedUnit(name: string, header: readonly Group[]): LengthUnit | null {
  const at = header.findIndex((g) => g.code === 9 && g.value === '$INSUNITS')
  const code = at < 0 ? 0 : Number(header[at + 1]?.value ?? 0)
  if (code === 0) return null
  const unit = UNITS[code]
  if (!unit)
    throw new Refused(
      'file-unsupported',
      `${name} is drawn in a unit that is not read ($INSUNITS ${code}); export it in millimetres or inches, or say the unit.`,
    )
  return unit
}

function entitiesOf(groups: readonly Group[]): Entity[] {
  const flat: Entity[] = []
  for (let k = 0; k < groups.length; ) {
    if (groups[k]!.code !== 0) {
      k++
      continue
    }
    let end = k + 1
    while (end < groups.length && groups[end]!.code !== 0) end++
    flat.push({ type: groups[k]!.value, groups: groups.slice(k + 1, end), corners: [] })
    k = end
  }
  const out: Entity[] = []
  for (let k = 0; k < flat.length; k++) {
    const entity = flat[k]!
    if (entity.type !== 'POLYLINE') {
      if (entity.type !== 'SEQEND') out.push(entity)
      continue
    }
    const corners: Entity[] = []
    while (flat[k + 1]?.type === 'VERTEX') corners.push(flat[++k]!)
    out.push({ ...entity, corners })
  }
  return out
}

interface Block {
  readonly base: XY
  readonly entities: readonly Entity[]
}

function blocksOf(groups: readonly Group[]): Map<string, Block> {
  const blocks = new Map<string, Block>()
  const all = entitiesOf(groups)
  for (let k = 0; k < all.length; k++) {
    if (all[k]!.type !== 'BLOCK') continue
    const head = all[k]!
    const inside: Entity[] = []
    while (k + 1 < all.length && all[k + 1]!.type !== 'ENDBLK') inside.push(all[++k]!)
    blocks.set(textOf(head, 2), { base: [numberOf(head, 10, 0), numberOf(head, 20, 0)], entities: inside })
  }
  return blocks
}

const textOf = (e: Entity, code: number): string => e.groups.find((g) => g.code === code)?.value ?? ''
const numbersOf = (e: Entity, code: number): number[] =>
  e.groups.filter((g) => g.code === code).map((g) => Number(g.value))
const numberOf = (e: Entity, code: number, otherwise: number): number => numbersOf(e, code)[0] ?? otherwise

/** x' = a x + c y + e, y' = b x + d y + f */
type Affine = readonly [number, number, number, number, number, number]

class Reader {
  readonly paths: DrawnPath[] = []
  readonly passedOver = new Map<string, number>()
  readonly #name: string
  readonly #blocks: ReadonlyMap<string, Block>
  readonly #error_mm: number

  constructor(name: string, blocks: ReadonlyMap<string, Block>, error_mm: number) {
    this.#name = name
    this.#blocks = blocks
    this.#error_mm = error_mm
  }

  take(entities: readonly Entity[], to: Affine, depth: number): void {
    // The largest stretch of the motion: curves are cut before they are moved.
    const stretch = Math.max(Math.sqrt(square(to[0]) + square(to[1])), Math.sqrt(square(to[2]) + square(to[3])))
    const error = this.#error_mm / stretch
    for (const entity of entities) {
      if (numberOf(entity, 67, 0) === 1) continue
      if (entity.type === 'INSERT') {
        this.#insert(entity, to, depth)
        continue
      }
      const path = pathOf(entity, error)
      if (path === null) {
        this.passedOver.set(entity.type, (this.passedOver.get(entity.type) ?? 0) + 1)
        continue
      }
      // Drawn from behind: the extrusion direction −z turns x round.
      const turn = numberOf(entity, 230, 1) < 0 && entity.type !== 'LINE' && entity.type !== 'SPLINE' ? -1 : 1
      const points = path.points.map(
        ([x, y]): XY => [to[0] * turn * x + to[2] * y + to[4], to[1] * turn * x + to[3] * y + to[5]],
      )
      if (points.some(([x, y]) => !Number.isFinite(x) || !Number.isFinite(y)))
        throw new Refused(
          'file-damaged',
          `${this.#name} has a ${entity.type} with a number that cannot be read (line ${entity.groups[0]?.line ?? 0}); export it again.`,
        )
      this.paths.push({ points, closed: path.closed })
    }
  }

  #insert(entity: Entity, to: Affine, depth: number): void {
    const block = this.#blocks.get(textOf(entity, 2))
    if (!block || depth >= DEEPEST_BLOCK) {
      this.passedOver.set('INSERT', (this.passedOver.get('INSERT') ?? 0) + 1)
      return
    }
    const [sx, sy] = [numberOf(entity, 41, 1), numberOf(entity, 42, 1)]
    const cos = cosDeg(numberOf(entity, 50, 0))
    const sin = sinDeg(numberOf(entity, 50, 0))
    const own: Affine = [cos * sx, sin * sx, -sin * sy, cos * sy, numberOf(entity, 10, 0), numberOf(entity, 20, 0)]
    const base: Affine = [1, 0, 0, 1, -block.base[0], -block.base[1]]
    this.take(block.entities, times(to, times(own, base)), depth + 1)
  }
}

/** First b, then a. */
function times(a: Affine, b: Affine): Affine {
  return [
    a[0] * b[0] + a[2] * b[1],
    a[1] * b[0] + a[3] * b[1],
    a[0] * b[2] + a[2] * b[3],
    a[1] * b[2] + a[3] * b[3],
    a[0] * b[4] + a[2] * b[5] + a[4],
    a[1] * b[4] + a[3] * b[5] + a[5],
  ]
}

/** The entity's line in its own axes; null for what is none. */
function pathOf(e: Entity, error: number): DrawnPath | null {
  const at = (x: number, y: number): XY => [numberOf(e, x, 0), numberOf(e, y, 0)]
  switch (e.type) {
    case 'LINE':
      return { points: [at(10, 20), at(11, 21)], closed: false }
    case 'CIRCLE':
      return { points: turn(at(10, 20), numberOf(e, 40, 0), 0, 360, error), closed: true }
    case 'ARC': {
      const from = numberOf(e, 50, 0)
      let to = numberOf(e, 51, 360)
      while (to <= from) to += 360
      const r = numberOf(e, 40, 0)
      const start = turn(at(10, 20), r, from, from, error)
      return { points: [...start, ...turn(at(10, 20), r, from, to, error)], closed: false }
    }
    case 'ELLIPSE': {
      const major = at(11, 21)
      const ratio = numberOf(e, 40, 1)
      const minor: XY = [-major[1] * ratio, major[0] * ratio]
      const from = (numberOf(e, 41, 0) * 180) / Math.PI
      let to = (numberOf(e, 42, 2 * Math.PI) * 180) / Math.PI
      while (to <= from) to += 360
      const whole = to - from > 360 - 1e-6
      const points = arcPoints(at(10, 20), major, minor, from, to, error)
      return whole
        ? { points, closed: true }
        : { points: [...arcPoints(at(10, 20), major, minor, from, from, error).slice(-1), ...points], closed: false }
    }
    case 'LWPOLYLINE':
      return polyline(lightCorners(e), (numberOf(e, 70, 0) & 1) === 1, error)
    case 'POLYLINE':
      // 8, 16, 64: lines and meshes in space, which have no plan of their own.
      return (numberOf(e, 70, 0) & (16 | 64)) !== 0
        ? null
        : polyline(
            e.corners
              // 16: control points of a curve whose fitted corners stand beside them.
              .filter((v) => (numberOf(v, 70, 0) & 16) === 0)
              .map((v) => [numberOf(v, 10, 0), numberOf(v, 20, 0), numberOf(v, 42, 0)]),
            (numberOf(e, 70, 0) & 1) === 1,
            error,
          )
    case 'SPLINE':
      return spline(e, error)
    default:
      return null
  }
}

function spline(e: Entity, error: number): DrawnPath | null {
  const x = numbersOf(e, 10)
  const y = numbersOf(e, 20)
  const knots = numbersOf(e, 40)
  const weights = numbersOf(e, 41)
  const degree = numberOf(e, 71, 3)
  const control = x.map((v, k): XY => [v, y[k] ?? Number.NaN])
  // Without control points only the points it was fitted through are known, not the curve between them.
  if (degree < 1 || degree > 10 || control.length < degree + 1 || knots.length !== control.length + degree + 1)
    return null
  const points = splinePoints(control, weights.length === x.length ? weights : null, knots, degree, error)
  return { points, closed: false }
}

function lightCorners(e: Entity): [number, number, number][] {
  const corners: [number, number, number][] = []
  for (const g of e.groups) {
    if (g.code === 10) corners.push([Number(g.value), 0, 0])
    else if (g.code === 20 && corners.length > 0) corners.at(-1)![1] = Number(g.value)
    else if (g.code === 42 && corners.length > 0) corners.at(-1)![2] = Number(g.value)
  }
  return corners
}

/** A bulge is the tangent of a quarter of the arc's angle, positive to the left of the way. */
function polyline(corners: readonly (readonly number[])[], closed: boolean, error: number): DrawnPath | null {
  if (corners.length < 2) return null
  const points: XY[] = [[corners[0]![0]!, corners[0]![1]!]]
  const last = closed ? corners.length : corners.length - 1
  for (let k = 0; k < last; k++) {
    const [ax, ay, bulge] = corners[k] as [number, number, number]
    const [bx, by] = corners[(k + 1) % corners.length] as [number, number, number]
    if (bulge === 0) points.push([bx, by])
    else {
      const mx = (ax + bx) / 2 - ((by - ay) * (1 - bulge * bulge)) / (4 * bulge)
      const my = (ay + by) / 2 + ((bx - ax) * (1 - bulge * bulge)) / (4 * bulge)
      const from = atan2Deg(ay - my, ax - mx)
      const r = Math.sqrt(square(ax - mx) + square(ay - my))
      points.push(...turn([mx, my], r, from, from + 4 * atanDeg(bulge), error).slice(0, -1), [bx, by])
    }
  }
  if (closed) points.pop()
  return { points, closed }
}

const turn = (middle: XY, r: number, from: number, to: number, error: number): XY[] =>
  from === to
    ? arcPoints(middle, [r, 0], [0, r], from, from, error).slice(-1)
    : arcPoints(middle, [r, 0], [0, r], from, to, error)
