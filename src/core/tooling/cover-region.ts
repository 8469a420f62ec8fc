/** A region in plan covered by rectangles of board, with as little waste as straight strips allow. */
import { areaPathsD, type PathsD } from 'clipper2-ts'

/** A piece of board in plan, mm. */
export interface BoardRect {
  readonly x0: number
  readonly y0: number
  readonly x1: number
  readonly y1: number
}

export interface CoverOptions {
  /** Boards lie along x, or along y. */
  readonly along: 'x' | 'y'
  readonly length_mm: number
  readonly width_mm: number
  /** Strips begin and end on multiples of this, mm; finer wastes less and takes longer. */
  readonly band_mm: number
  /** Two pieces of a strip nearer than this are one. */
  readonly join_mm: number
}

interface Band {
  readonly spans: readonly (readonly [number, number])[]
  readonly low: number
  readonly high: number
}

/**
 * Strips across the region, their widths chosen by dynamic programming over bands: a strip costs the area of the pieces that
 * cover it, so it may be ripped narrower where that saves more than it costs. Every piece is then cut to board length.
 */
export function coverRegion(region: PathsD, options: CoverOptions): BoardRect[] {
  const swapped = options.along === 'y'
  const paths = swapped ? region.map((path) => path.map(({ x, y }) => ({ x: y, y: x }))) : region
  let [minX, maxX, minY, maxY] = [Infinity, -Infinity, Infinity, -Infinity]
  for (const path of paths)
    for (const { x, y } of path) {
      minX = Math.min(minX, x)
      maxX = Math.max(maxX, x)
      minY = Math.min(minY, y)
      maxY = Math.max(maxY, y)
    }
  if (!(maxX > minX && maxY > minY)) return []
  const band = options.band_mm
  const count = Math.max(1, Math.ceil((maxY - minY) / band - 1e-9))
  const edges = edgesOf(paths)
  const bands = Array.from({ length: count }, (_, k) =>
    bandOf(edges, minY + k * band, Math.min(maxY, minY + (k + 1) * band), options.join_mm),
  )
  const reach = Math.max(1, Math.floor(options.width_mm / band + 1e-9))
  const cost = new Float64Array(count + 1).fill(Infinity)
  const from = new Int32Array(count + 1)
  cost[0] = 0
  for (let j = 1; j <= count; j++)
    for (let i = Math.max(0, j - reach); i < j; i++) {
      const strip = stripOf(bands, i, j, options.join_mm)
      let area = 0
      for (const [a, b] of strip.spans) area += (b - a) * (strip.high - strip.low) + CUT_MM2
      if (strip.high - strip.low > options.width_mm + 1e-9) continue
      if (cost[i]! + area < cost[j]!) {
        cost[j] = cost[i]! + area
        from[j] = i
      }
    }
  const rects: BoardRect[] = []
  for (let j = count; j > 0; j = from[j]!) {
    const strip = stripOf(bands, from[j]!, j, options.join_mm)
    for (const [a, b] of strip.spans) {
      const parts = Math.max(1, Math.ceil((b - a) / options.length_mm - 1e-9))
      // Whole boards and a rest go into the saw better than equal parts.
      for (let k = 0; k < parts; k++) {
        const x0 = a + k * options.length_mm
        const x1 = Math.min(b, x0 + options.length_mm)
        rects.push(
          swapped ? { x0: strip.low, y0: x0, x1: strip.high, y1: x1 } : { x0, y0: strip.low, x1, y1: strip.high },
        )
      }
    }
  }
  return rects
}

/** What one more cut and one more joint are worth, in board area. */
const CUT_MM2 = 2000

/** Edges of the region's borders, lower end first: x0 y0 x1 y1, four per edge, by rising y0. */
function edgesOf(paths: PathsD): Float64Array {
  const list: [number, number, number, number][] = []
  for (const path of paths)
    for (let k = 0, j = path.length - 1; k < path.length; j = k++) {
      const [a, b] = [path[j]!, path[k]!]
      list.push(a.y <= b.y ? [a.x, a.y, b.x, b.y] : [b.x, b.y, a.x, a.y])
    }
  list.sort((p, q) => p[1] - q[1])
  return Float64Array.from(list.flat())
}

/**
 * What a band across the region covers in x, exactly: the pieces of border within it, and what lies inside at its two sides.
 * Every part of the region in the band is bordered by those.
 */
function bandOf(edges: Float64Array, y0: number, y1: number, join_mm: number): Band {
  const spans: [number, number][] = []
  const below: number[] = []
  const above: number[] = []
  let low = Infinity
  let high = -Infinity
  for (let e = 0; e < edges.length; e += 4) {
    const [xa, ya, xb, yb] = [edges[e]!, edges[e + 1]!, edges[e + 2]!, edges[e + 3]!]
    if (ya > y1) break
    if (yb < y0) continue
    const at = (y: number) => (yb > ya ? xa + ((xb - xa) * (y - ya)) / (yb - ya) : xa)
    const from = Math.max(y0, ya)
    const to = Math.min(y1, yb)
    const [p, q] = [at(from), yb > ya ? at(to) : xb]
    spans.push([Math.min(p, q), Math.max(p, q)])
    low = Math.min(low, from)
    high = Math.max(high, to)
    if (ya <= y0 && yb > y0) below.push(at(y0))
    if (ya <= y1 && yb > y1) above.push(at(y1))
  }
  for (const [crossings, y] of [
    [below, y0],
    [above, y1],
  ] as const) {
    crossings.sort((p, q) => p - q)
    for (let k = 0; k + 1 < crossings.length; k += 2) spans.push([crossings[k]!, crossings[k + 1]!])
    if (crossings.length > 0) {
      low = Math.min(low, y)
      high = Math.max(high, y)
    }
  }
  return { spans: merged(spans, join_mm), low, high }
}

function stripOf(bands: readonly Band[], i: number, j: number, join_mm: number): Band {
  const spans: (readonly [number, number])[] = []
  let low = Infinity
  let high = -Infinity
  for (let k = i; k < j; k++) {
    const band = bands[k]!
    spans.push(...band.spans)
    low = Math.min(low, band.low)
    high = Math.max(high, band.high)
  }
  return { spans: merged(spans, join_mm), low, high }
}

function merged(spans: readonly (readonly [number, number])[], join_mm: number): (readonly [number, number])[] {
  const sorted = [...spans].sort((p, q) => p[0] - q[0])
  const out: [number, number][] = []
  for (const [a, b] of sorted) {
    const last = out.at(-1)
    if (last && a <= last[1] + join_mm) last[1] = Math.max(last[1], b)
    else out.push([a, b])
  }
  return out
}

/** Area of a region with holes, mm². */
export const regionArea_mm2 = (region: PathsD): number => Math.abs(areaPathsD(region))
