import type { Steps } from '../../geometry/kernel'
import { square } from '../../geometry/portable-math'
import { Refused } from '../../geometry/trouble'
import { guessUnit, type LengthUnit } from '../../scan'
import type { OutlinePoint, OutlineSetting } from '../shape-types'
import { type DrawnFile, type DrawnPath, dxfPaths } from './dxf-paths'
import type { XY } from './flatten'
import { svgPaths } from './svg-paths'

export interface OutlineFileRequest {
  readonly file: { readonly name: string; readonly bytes: Uint8Array }
  readonly unit: 'auto' | LengthUnit
  /** Where the middle of the drawing is put, job axes, mm; `null`: it stays where it was drawn. */
  readonly middle_mm: readonly [number, number] | null
}

export interface OutlineFile {
  readonly outline: Extract<OutlineSetting, { from: 'polygon' }>
  readonly unit: LengthUnit
  readonly unitFrom: 'file' | 'job' | 'size'
  readonly size_mm: readonly [number, number]
  /** Closed lines in the file besides the one that was taken, and things that are no line in plan. */
  readonly others: number
  readonly passedOver: readonly (readonly [string, number])[]
}

/** Curves become chords that lie within this of them, mm. */
export const CHORD_ERROR_MM = 0.05
/** Ends this near to each other are one point; ends this near to y = 0 lie on the centreline. */
const MEETS_MM = 0.1
const ON_CENTRE_MM = 0.5
export const MOST_POINTS = 4000

/**
 * Reads an outline drawn elsewhere: the closed line with the largest area in a DXF or SVG file. Lines and arcs that meet end
 * to end count as one. A closed line with a side on the centreline, or an open one from centreline to centreline, is taken
 * for the port (or starboard) half.
 *
 * @throws Refused `file-empty`, `file-unknown`, `file-damaged`, `file-unsupported`, `too-large`
 */
export function* readOutline(request: OutlineFileRequest): Steps<OutlineFile> {
  const { file, middle_mm } = request
  yield { fraction: 0, label: file.name }
  let unit = request.unit
  let unitFrom: OutlineFile['unitFrom'] = unit === 'auto' ? 'file' : 'job'
  let drawn = drawnFile(file, unit)
  yield { fraction: 0.4, label: file.name }
  if (unit === 'auto' && drawn.unit === null) {
    // Read as millimetres; the longest side then is its number in the file's own unit.
    const own = drawnFile(file, 'mm')
    const [w, h] = sizeOf(own.paths.flatMap((p) => p.points))
    unit = guessUnit(Math.max(w, h), 'frame').unit
    unitFrom = 'size'
    drawn = drawnFile(file, unit)
  }
  yield { fraction: 0.7, label: file.name }
  const loops = joined(drawn.paths)
  const closed = loops.filter((l) => l.closed && l.points.length > 2).sort((a, b) => area(b.points) - area(a.points))
  const open = loops.filter((l) => !l.closed && l.points.length > 1)
  const chain = closed.length === 0 ? open.find((l) => [l.points[0]!, l.points.at(-1)!].every(onCentre)) : undefined
  const taken = closed[0] ?? chain
  if (!taken)
    throw new Refused(
      'file-unsupported',
      open.length > 0
        ? `${file.name} has no closed line: the nearest ends of its ${open.length} open line${open.length > 1 ? 's' : ''} lie ${nearestEnds(open).toFixed(2)} mm apart; close the outline and export it again.`
        : `${file.name} has no line in plan${passedWords(drawn)}; export the outline as a polyline or path.`,
    )
  const size = sizeOf(taken.points)
  const points = halfOf(taken)
  const placed = middle_mm && !points.half ? moved(points.points, middle_mm) : points.points
  if (placed.length > MOST_POINTS)
    throw new Refused(
      'too-large',
      `${file.name} has an outline of ${placed.length} points, more than ${MOST_POINTS}; draw it with fewer, or with arcs.`,
    )
  return {
    outline: { from: 'polygon', mirrored: points.half, points: placed.map(asPoint) },
    unit: unit === 'auto' ? (drawn.unit ?? 'mm') : unit,
    unitFrom,
    size_mm: size,
    others: Math.max(0, closed.length - 1),
    passedOver: [...drawn.passedOver],
  }
}

function drawnFile(file: OutlineFileRequest['file'], unit: 'auto' | LengthUnit): DrawnFile {
  const { name, bytes } = file
  if (bytes.length === 0) throw new Refused('file-empty', `${name} is empty; export the outline again.`)
  const head = new TextDecoder('latin1').decode(bytes.subarray(0, 4096))
  if (/<svg[\s>]/.test(head) || /^\s*(\uFEFF|ï»¿)?<\?xml/.test(head)) return svgPaths(name, bytes, CHORD_ERROR_MM, unit)
  if (bytes.subarray(0, 4096).includes(0))
    throw new Refused('file-unsupported', `${name} is a binary file; export the outline as a text DXF or as SVG.`)
  if (/^\s*(999[\s\S]*?\n\s*)?0\s*\r?\n\s*SECTION/.test(head))
    return dxfPaths(name, new TextDecoder().decode(bytes), CHORD_ERROR_MM, unit)
  throw new Refused('file-unknown', `${name} is neither DXF nor SVG; export the outline in one of the two.`)
}

const onCentre = (p: XY): boolean => Math.abs(p[1]) <= ON_CENTRE_MM

/** Open lines put together where an end of one meets an end of another; nearest ends first. */
function joined(paths: readonly DrawnPath[]): DrawnPath[] {
  const done = paths.filter((p) => p.closed)
  const open = paths.filter((p) => !p.closed && p.points.length > 1).map((p) => [...p.points])
  while (open.length > 0) {
    const chain = open.pop()!
    for (let grown = true; grown; ) {
      grown = false
      if (chain.length > 2 && apart(chain[0]!, chain.at(-1)!) <= MEETS_MM) break
      for (let k = 0; k < open.length && !grown; k++) {
        const other = open[k]!
        const end = chain.at(-1)!
        const start = chain[0]!
        if (apart(end, other[0]!) <= MEETS_MM) chain.push(...other.slice(1))
        else if (apart(end, other.at(-1)!) <= MEETS_MM) chain.push(...other.reverse().slice(1))
        else if (apart(start, other.at(-1)!) <= MEETS_MM) chain.unshift(...other.slice(0, -1))
        else if (apart(start, other[0]!) <= MEETS_MM) chain.unshift(...other.reverse().slice(0, -1))
        else continue
        open.splice(k, 1)
        grown = true
      }
    }
    const closed = chain.length > 3 && apart(chain[0]!, chain.at(-1)!) <= MEETS_MM
    done.push({ points: closed ? chain.slice(0, -1) : chain, closed })
  }
  return done
}

const apart = (a: XY, b: XY): number => Math.sqrt(square(a[0] - b[0]) + square(a[1] - b[1]))

function nearestEnds(open: readonly DrawnPath[]): number {
  let least = Infinity
  open.forEach((a, i) => {
    const ends = [a.points[0]!, a.points.at(-1)!]
    least = Math.min(least, apart(ends[0]!, ends[1]!))
    for (const b of open.slice(i + 1))
      for (const p of ends) for (const q of [b.points[0]!, b.points.at(-1)!]) least = Math.min(least, apart(p, q))
  })
  return least
}

/** The half on one side, opened along the centreline and laid to port; anything else as it is. */
function halfOf(path: DrawnPath): { points: readonly XY[]; half: boolean } {
  const { points, closed } = path
  const side = points.reduce((sum, p) => sum + Math.sign(onCentre(p) ? 0 : p[1]), 0)
  const oneSided = points.every((p) => onCentre(p) || Math.sign(p[1]) === Math.sign(side))
  if (!oneSided) return { points, half: false }
  const toPort = (p: XY): XY => [p[0], onCentre(p) ? 0 : Math.abs(p[1])]
  if (!closed) return { points: points.map(toPort), half: true }
  const n = points.length
  // The side along y = 0 is what the mirror image closes.
  for (let k = 0; k < n; k++) {
    if (!onCentre(points[k]!) || !onCentre(points[(k + 1) % n]!)) continue
    const chain = Array.from({ length: n }, (_, i) => toPort(points[(k + 1 + i) % n]!))
    while (chain.length > 2 && chain[1]![1] === 0) chain.shift()
    while (chain.length > 2 && chain.at(-2)![1] === 0) chain.pop()
    return { points: chain, half: true }
  }
  return { points, half: false }
}

function moved(points: readonly XY[], middle: readonly [number, number]): XY[] {
  const box = boxOf(points)
  const dx = middle[0] - (box[0] + box[2]) / 2
  const dy = middle[1] - (box[1] + box[3]) / 2
  return points.map((p) => [p[0] + dx, p[1] + dy])
}

function boxOf(points: readonly XY[]): [number, number, number, number] {
  const box: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const [x, y] of points) {
    box[0] = Math.min(box[0], x)
    box[1] = Math.min(box[1], y)
    box[2] = Math.max(box[2], x)
    box[3] = Math.max(box[3], y)
  }
  return box
}

function sizeOf(points: readonly XY[]): [number, number] {
  const box = boxOf(points)
  return points.length === 0 ? [0, 0] : [box[2] - box[0], box[3] - box[1]]
}

function area(points: readonly XY[]): number {
  let sum = 0
  points.forEach((p, k) => {
    const q = points[(k + 1) % points.length]!
    sum += p[0] * q[1] - p[1] * q[0]
  })
  return Math.abs(sum) / 2
}

/** A thousandth of a millimetre is finer than the chord error, and reads well in a job file. */
const rounded = (v: number): number => Math.round(v * 1000) / 1000 + 0
const asPoint = (p: XY): OutlinePoint => ({ at_mm: [rounded(p[0]), rounded(p[1])], radius_mm: 0 })

const passedWords = ({ passedOver }: DrawnFile): string =>
  passedOver.size === 0 ? '' : ` (passed over: ${[...passedOver].map(([kind, n]) => `${n} ${kind}`).join(', ')})`
