import svgpath from 'svgpath'
import { atan2Deg, cosDeg, sinDeg, square } from '../../geometry/portable-math'
import { Refused } from '../../geometry/trouble'
import { type LengthUnit, MM_PER, XmlScanner } from '../../scan'
import type { DrawnFile, DrawnPath } from './dxf-paths'
import { arcPoints, cubicPoints, type XY } from './flatten'

/** CSS: 96 px to the inch, and what is drawn without a unit is in px. */
const MM_PER_CSS: Readonly<Record<string, number>> = {
  '': 25.4 / 96,
  px: 25.4 / 96,
  mm: 1,
  cm: 10,
  in: 25.4,
  pt: 25.4 / 72,
  pc: 25.4 / 6,
}

/** Elements whose contents are not drawn where they stand. */
const HIDDEN: ReadonlySet<string> = new Set(['defs', 'clipPath', 'mask', 'marker', 'pattern', 'symbol', 'metadata'])
const DRAWN: ReadonlySet<string> = new Set(['path', 'polygon', 'polyline', 'rect', 'circle', 'ellipse', 'line'])

/**
 * Lines of an SVG drawing (SVG 1.1 / 2): path, polygon, polyline, line, rect, circle, ellipse, under any groups and
 * transforms. Sizes come from width, height and viewBox; y is turned up, so that the drawing is seen as it is on paper.
 *
 * @param error_mm chord error of curves
 * @param unit     the user's word for the unit of the drawing's own numbers; `auto`: by width and viewBox
 * @throws Refused `file-damaged`, `file-unsupported`
 */
export function svgPaths(name: string, bytes: Uint8Array, error_mm: number, unit: 'auto' | LengthUnit): DrawnFile {
  const xml = new XmlScanner({ name, bytes: withoutDoctype(bytes) })
  const paths: DrawnPath[] = []
  const passedOver = new Map<string, number>()
  const moves: string[] = []
  const drawn: { path: string; moves: string }[] = []
  let scale: Scale | null = null
  let hidden = 0
  for (let tag = xml.next(); tag !== null; tag = xml.next()) {
    if (tag.kind === 'close') {
      if (hidden > 0) hidden--
      else moves.pop()
      continue
    }
    if (hidden > 0 || HIDDEN.has(tag.name)) {
      if (!tag.empty) hidden++
      continue
    }
    const own = xml.attribute('transform') ?? ''
    if (tag.name === 'svg' && scale === null) scale = scaleOf(name, xml, unit)
    else if (DRAWN.has(tag.name)) drawn.push({ path: pathData(name, xml, tag.name), moves: [...moves, own].join(' ') })
    else if (tag.name === 'use' || tag.name === 'text' || tag.name === 'image' || tag.name === 'svg')
      passedOver.set(tag.name, (passedOver.get(tag.name) ?? 0) + 1)
    if (!tag.empty) moves.push(own)
  }
  if (!scale) throw new Refused('file-damaged', `${name} has no svg element; export the outline again.`)
  const { perUnit, x0, y0, stated } = scale
  for (const { path, moves: transform } of drawn) {
    for (const p of subpaths(name, path, transform, error_mm / perUnit))
      paths.push({ ...p, points: p.points.map(([x, y]): XY => [(x - x0) * perUnit, -(y - y0) * perUnit]) })
  }
  return { paths, unit: stated, passedOver }
}

/** Old files declare a document type, which says nothing that is needed; it is blanked, lines kept. */
function withoutDoctype(bytes: Uint8Array): Uint8Array {
  const text = new TextDecoder().decode(bytes)
  const blank = text.replace(/<!DOCTYPE[^>[]*(\[[^\]]*\])?[^>]*>/i, (found) => found.replace(/[^\n]/g, ' '))
  return new TextEncoder().encode(blank)
}

interface Scale {
  readonly perUnit: number
  readonly x0: number
  readonly y0: number
  readonly stated: LengthUnit | null
}

function scaleOf(name: string, xml: XmlScanner, unit: 'auto' | LengthUnit): Scale {
  const size = (key: string) => {
    const found = /^\s*([0-9.eE+-]+)\s*([a-z%]*)\s*$/.exec(xml.attribute(key) ?? '')
    const per = found ? MM_PER_CSS[found[2]!] : undefined
    return found && per !== undefined ? { mm: Number(found[1]) * per, real: /mm|cm|in|pt|pc/.test(found[2]!) } : null
  }
  const box = (xml.attribute('viewBox') ?? '')
    .trim()
    .split(/[\s,]+/)
    .map(Number)
  const viewBox = box.length === 4 && box.every(Number.isFinite) && box[2]! > 0 && box[3]! > 0 ? box : null
  const [x0, y0] = viewBox ? [viewBox[0]!, viewBox[1]!] : [0, 0]
  if (unit !== 'auto') return { perUnit: MM_PER[unit], x0, y0, stated: unit }
  const width = size('width')
  const height = size('height')
  if (viewBox && width && height) {
    const [sx, sy] = [width.mm / viewBox[2]!, height.mm / viewBox[3]!]
    // A box that does not fill the page is not stretched (preserveAspectRatio meet), unless the file asks for it.
    if (Math.abs(sx / sy - 1) > 0.01 && /none/.test(xml.attribute('preserveAspectRatio') ?? ''))
      throw new Refused(
        'file-unsupported',
        `${name} is stretched unevenly (preserveAspectRatio none); export the outline at its true proportions.`,
      )
    return { perUnit: Math.min(sx, sy), x0, y0, stated: width.real ? 'mm' : null }
  }
  if (viewBox && width) return { perUnit: width.mm / viewBox[2]!, x0, y0, stated: width.real ? 'mm' : null }
  return { perUnit: MM_PER_CSS['']!, x0, y0, stated: null }
}

/** Any basic shape as path data (SVG 2, "Basic Shapes"). */
function pathData(name: string, xml: XmlScanner, shape: string): string {
  const number = (key: string): number => {
    const text = xml.attribute(key)
    if (text === null) return 0
    const value = Number(text.trim().replace(/px$/, ''))
    if (Number.isFinite(value)) return value
    throw new Refused(
      'file-unsupported',
      `${name} has a ${shape} with ${key}="${text}", which is no plain number; export the outline as a path.`,
    )
  }
  switch (shape) {
    case 'path':
      return xml.attribute('d') ?? ''
    case 'polygon':
      return `M${xml.attribute('points') ?? ''}Z`
    case 'polyline':
      return `M${xml.attribute('points') ?? ''}`
    case 'line':
      return `M${number('x1')} ${number('y1')}L${number('x2')} ${number('y2')}`
    case 'rect': {
      const [x, y, w, h] = [number('x'), number('y'), number('width'), number('height')]
      const r = [xml.attribute('rx') === null ? number('ry') : number('rx'), 0] as [number, number]
      r[1] = Math.min(h / 2, xml.attribute('ry') === null ? r[0] : number('ry'))
      r[0] = Math.min(w / 2, r[0])
      if (!(r[0] > 0 && r[1] > 0)) return `M${x} ${y}h${w}v${h}h${-w}Z`
      const corner = (dx: number, dy: number) => `a${r[0]} ${r[1]} 0 0 1 ${dx} ${dy}`
      return `M${x + r[0]} ${y}h${w - 2 * r[0]}${corner(r[0], r[1])}v${h - 2 * r[1]}${corner(-r[0], r[1])}h${2 * r[0] - w}${corner(-r[0], -r[1])}v${2 * r[1] - h}${corner(r[0], -r[1])}Z`
    }
    default: {
      const rx = shape === 'circle' ? number('r') : number('rx')
      const ry = shape === 'circle' ? rx : number('ry')
      const [cx, cy] = [number('cx'), number('cy')]
      return `M${cx - rx} ${cy}a${rx} ${ry} 0 1 0 ${2 * rx} 0a${rx} ${ry} 0 1 0 ${-2 * rx} 0Z`
    }
  }
}

function subpaths(name: string, data: string, transform: string, error: number): DrawnPath[] {
  const read = svgpath(data)
  // The package keeps what it could read before a fault and says so only here.
  const fault: unknown = Reflect.get(read, 'err')
  if (typeof fault === 'string' && fault !== '')
    throw new Refused('file-damaged', `${name} has a path that cannot be read (${fault}); export it again.`)
  const out: DrawnPath[] = []
  let points: XY[] = []
  let start: XY = [0, 0]
  const finish = (closed: boolean) => {
    if (points.length > 1) {
      const first = points[0]!
      const last = points.at(-1)!
      const meets = Math.abs(first[0] - last[0]) + Math.abs(first[1] - last[1]) < 1e-9 * (1 + Math.abs(first[0]))
      out.push({
        points: closed && meets ? points.slice(0, -1) : points,
        closed: closed || (meets && points.length > 3),
      })
    }
    points = []
  }
  read
    .transform(transform)
    .abs()
    .unshort()
    .iterate((segment, _, x, y) => {
      const here: XY = [x, y]
      if (points.length === 0 && segment[0] !== 'M') points.push(here)
      const n = segment as readonly (string | number)[]
      const v = (k: number): number => Number(n[k])
      switch (segment[0]) {
        case 'M':
          finish(false)
          start = [v(1), v(2)]
          points.push(start)
          break
        case 'L':
          points.push([v(1), v(2)])
          break
        case 'H':
          points.push([v(1), y])
          break
        case 'V':
          points.push([x, v(1)])
          break
        case 'C':
          points.push(...cubicPoints(here, [v(1), v(2)], [v(3), v(4)], [v(5), v(6)], error))
          break
        case 'Q': {
          // A parabola as the cubic it is.
          const c: XY = [v(1), v(2)]
          const q: XY = [v(3), v(4)]
          const a: XY = [x + (2 / 3) * (c[0] - x), y + (2 / 3) * (c[1] - y)]
          const b: XY = [q[0] + (2 / 3) * (c[0] - q[0]), q[1] + (2 / 3) * (c[1] - q[1])]
          points.push(...cubicPoints(here, a, b, q, error))
          break
        }
        case 'A':
          points.push(...ellipseArc(here, n, error))
          break
        case 'Z':
        case 'z':
          finish(true)
          break
        default:
          throw new Refused('file-damaged', `${name} has a path with the unknown command ${n[0]}; export it again.`)
      }
    })
  finish(false)
  return out
}

/** From end points to the middle (SVG 1.1, appendix F.6.5 and F.6.6). */
function ellipseArc(from: XY, n: readonly (string | number)[], error: number): XY[] {
  let rx = Math.abs(Number(n[1]))
  let ry = Math.abs(Number(n[2]))
  const to: XY = [Number(n[6]), Number(n[7])]
  if (rx === 0 || ry === 0) return [to]
  const cos = cosDeg(Number(n[3]))
  const sin = sinDeg(Number(n[3]))
  const hx = (from[0] - to[0]) / 2
  const hy = (from[1] - to[1]) / 2
  const px = cos * hx + sin * hy
  const py = -sin * hx + cos * hy
  const large = square(px / rx) + square(py / ry)
  if (large === 0) return []
  if (large > 1) {
    rx *= Math.sqrt(large)
    ry *= Math.sqrt(large)
  }
  const side = Number(n[4]) !== Number(n[5]) ? 1 : -1
  const root = side * Math.sqrt(Math.max(0, 1 / large - 1))
  const qx = (root * rx * py) / ry
  const qy = (-root * ry * px) / rx
  const middle: XY = [cos * qx - sin * qy + (from[0] + to[0]) / 2, sin * qx + cos * qy + (from[1] + to[1]) / 2]
  const start = atan2Deg((py - qy) / ry, (px - qx) / rx)
  let sweep = atan2Deg((-py - qy) / ry, (-px - qx) / rx) - start
  const turnsLeft = Number(n[5]) !== 0
  if (turnsLeft && sweep < 0) sweep += 360
  if (!turnsLeft && sweep > 0) sweep -= 360
  const arc = arcPoints(middle, [cos * rx, sin * rx], [-sin * ry, cos * ry], start, start + sweep, error)
  return [...arc.slice(0, -1), to]
}
