/** A field over a mesh as a map in plan: bands of colour in cells, contours between them, hatching where it is bad. */
import { BLOCK, type Steps } from '../../geometry/kernel'
import { type Mesh, makeMesh } from '../../geometry/mesh'
import { planeSection } from '../../geometry/plane-section'
import { area, type Box, INK, type Ink, type Place2, type Shape } from './drawing'

export interface Bands {
  /** Upper ends of the bands but the last, ascending. */
  readonly ends: readonly number[]
  /** One per band. */
  readonly inks: readonly Ink[]
  /** Bands that are hatched, so that nothing depends on hue. */
  readonly hatched: readonly boolean[]
}

const bandOf = (value: number, ends: readonly number[]): number => {
  let band = 0
  while (band < ends.length && value >= ends[band]!) band++
  return band
}

/**
 * Rectangles of one colour, each a run of cells along x.
 *
 * @param values one per facet; NaN: no answer, left blank; infinite counts as the last band
 */
export function* fieldCells(mesh: Mesh, values: ArrayLike<number>, box: Box, bands: Bands): Steps<Shape[]> {
  const cell = (box.x1 - box.x0) / 110
  const nx = Math.max(1, Math.ceil((box.x1 - box.x0) / cell))
  const ny = Math.max(1, Math.ceil((box.y1 - box.y0) / cell))
  const worst = new Float64Array(nx * ny).fill(Number.NaN)
  const { positions: p, indices, origin } = mesh
  const put = (x: number, y: number, value: number) => {
    const i = Math.floor((x - box.x0) / cell)
    const j = Math.floor((y - box.y0) / cell)
    if (i < 0 || j < 0 || i >= nx || j >= ny) return
    const k = j * nx + i
    // The lower value is the one that matters: the closest, the steepest.
    if (!(worst[k]! <= value)) worst[k] = value
  }
  for (let f = 0; f < values.length; f++) {
    if (f % BLOCK === 0) yield f / values.length
    const value = values[f]!
    if (Number.isNaN(value)) continue
    const [a, b, c] = [0, 1, 2].map((k) => {
      const v = 3 * indices[3 * f + k]!
      return [p[v]! + origin[0], p[v + 1]! + origin[1]] as const
    }) as unknown as [Place2, Place2, Place2]
    const long = Math.max(Math.abs(a[0] - b[0]), Math.abs(b[0] - c[0]), Math.abs(a[1] - b[1]), Math.abs(b[1] - c[1]))
    // Samples closer than a cell, inside the facet.
    const n = Math.min(200, Math.max(1, Math.ceil((2 * long) / cell)))
    for (let i = 0; i < n; i++)
      for (let j = 0; i + j < n; j++) {
        const [u, v] = [(i + 1 / 3) / n, (j + 1 / 3) / n]
        put(a[0] + u * (b[0] - a[0]) + v * (c[0] - a[0]), a[1] + u * (b[1] - a[1]) + v * (c[1] - a[1]), value)
      }
  }
  return runs(worst, nx, ny, cell, box, bands)
}

function runs(cells: Float64Array, nx: number, ny: number, cell: number, box: Box, bands: Bands): Shape[] {
  const rects: Place2[][][] = bands.inks.map(() => [])
  const strokes: Place2[][] = []
  for (let j = 0; j < ny; j++)
    for (let i = 0; i < nx; ) {
      const value = cells[j * nx + i]!
      if (Number.isNaN(value)) {
        i++
        continue
      }
      const band = bandOf(value, bands.ends)
      const from = i
      while (i < nx && bandOf(cells[j * nx + i]!, bands.ends) === band && !Number.isNaN(cells[j * nx + i]!)) i++
      const [x0, x1] = [box.x0 + from * cell, box.x0 + i * cell]
      const [y0, y1] = [box.y0 + j * cell, box.y0 + (j + 1) * cell]
      rects[band]!.push([
        [x0, y0],
        [x1, y0],
        [x1, y1],
        [x0, y1],
      ])
      if (bands.hatched[band])
        for (let k = from; k < i; k++)
          strokes.push([
            [box.x0 + k * cell, y0],
            [box.x0 + (k + 1) * cell, y1],
          ])
    }
  const shapes = rects.flatMap((parts, band) => (parts.length > 0 ? [area(parts, bands.inks[band]!)] : []))
  if (strokes.length > 0) shapes.push({ kind: 'path', parts: strokes, closed: false, stroke: INK, width: 0.15 })
  return shapes
}

/** Lines of equal value in plan. Vertex values are means of their facets; what is infinite stands at `beyond`. */
export function* contours(mesh: Mesh, values: ArrayLike<number>, levels: readonly number[], beyond: number) {
  const { positions: p, indices, origin } = mesh
  const n = p.length / 3
  const sum = new Float64Array(n)
  const count = new Uint32Array(n)
  for (let f = 0; f < values.length; f++) {
    const value = Math.min(values[f]!, beyond)
    if (Number.isNaN(value)) continue
    for (let k = 0; k < 3; k++) {
      sum[indices[3 * f + k]!]! += value
      count[indices[3 * f + k]!]!++
    }
    if (f % BLOCK === 0) yield (0.3 * f) / values.length
  }
  const flat = new Float32Array(p.length)
  for (let v = 0; v < n; v++) {
    flat[3 * v] = p[3 * v]!
    flat[3 * v + 1] = p[3 * v + 1]!
    flat[3 * v + 2] = count[v]! > 0 ? sum[v]! / count[v]! : beyond
  }
  const lifted = makeMesh(mesh.axes, flat, indices, [origin[0], origin[1], 0])
  const lines: { level: number; parts: Place2[][]; closed: boolean[] }[] = []
  for (const level of levels) {
    const chains = (yield* planeSection(lifted, { across: 'z', at_mm: level })).filter((c) => c.points.length > 16)
    lines.push({ level, parts: chains.map((c) => pairs(c.points, c.closed)), closed: chains.map((c) => c.closed) })
  }
  return lines
}

/** Flat pairs as places; a closed chain repeats its first. */
export function pairs(points: Float64Array, closed = false): Place2[] {
  const all: Place2[] = []
  for (let i = 0; i < points.length; i += 2) all.push([points[i]!, points[i + 1]!])
  if (closed && all.length > 0) all.push(all[0]!)
  return all
}
