import { BLOCK, type Steps } from '../geometry/kernel'
import { facetCount, type Mesh, vertexCount } from '../geometry/mesh'
import { nearestPoint, pointGrid } from '../geometry/point-grid'
import { weightedQuantile } from '../geometry/weighted-quantile'
import type { EndedTube } from './tube-ends'

/** Least cosine between a vertex normal and the direction away from the axis: 37°. */
const RADIAL = 0.8

/** Shares of a bell within so many sigmas. */
const SIGMAS = [
  { share: 0.5, sigmas: 0.67449 },
  { share: 0.6827, sigmas: 1 },
  { share: 0.9, sigmas: 1.64485 },
] as const

/** Correlation of neighbours' errors from which a scan counts as smoothed, and the margin then. */
const SMOOTHED = 0.5
const MARGIN = 0.2

export interface Labelled {
  /** Number of the tube, −1 for none (fillets, plates, inside of ends), one per facet. */
  readonly tubeOfFacet: Int32Array
  /**
   * 1 sigma of the vertices about the tubes, mm: the largest of three quantiles of their distance. The tubes are held to one radius and to the
   * walked axis here: a fit that follows each window takes 10 % off the noise of a scanner that smooths.
   */
  readonly sigma_mm: number
}

/**
 * Which tube each facet lies on: its corners stand at the radius from the tube's axis, facing away from it.
 */
export function* labelFacets(
  mesh: Mesh,
  vertexNormals: Float32Array,
  tubes: readonly EndedTube[],
  noise_mm: number,
  edge_mm: number,
): Steps<Labelled> {
  const facets = facetCount(mesh)
  const out = new Int32Array(facets).fill(-1)
  if (tubes.length === 0) return { tubeOfFacet: out, sigma_mm: Number.NaN }
  const places = tubes.flatMap((t) => t.axis.map((p) => [...p]))
  const flat = Float32Array.from(places.flat())
  const owner = Int32Array.from(tubes.flatMap((t, i) => t.axis.map(() => i)))
  const tangent = Float32Array.from(tubes.flatMap((t) => t.axis.flatMap((_, k) => tangentAt(t, k))))
  const largest = Math.max(...tubes.map((t) => t.piece.radius_mm))
  const reach = 1.6 * largest
  const grid = pointGrid(flat, largest)
  const { positions, indices } = mesh
  const vertices = vertexCount(mesh)
  const label = new Int16Array(vertices).fill(-1)
  const off = new Float32Array(vertices).fill(Number.NaN)
  for (let v = 0; v < vertices; v++) {
    const x = positions[3 * v]!
    const y = positions[3 * v + 1]!
    const z = positions[3 * v + 2]!
    const near = nearestPoint(grid, x, y, z, reach, null, 0, 0, 0)
    if (near >= 0) {
      const tube = owner[near]!
      const r = tubes[tube]!.piece.radius_mm
      const q = 3 * near
      let dx = x - flat[q]!
      let dy = y - flat[q + 1]!
      let dz = z - flat[q + 2]!
      const along = dx * tangent[q]! + dy * tangent[q + 1]! + dz * tangent[q + 2]!
      dx -= along * tangent[q]!
      dy -= along * tangent[q + 1]!
      dz -= along * tangent[q + 2]!
      const rho = Math.sqrt(dx * dx + dy * dy + dz * dz)
      const gate = Math.max(0.1 * r, 4 * noise_mm) + (edge_mm * edge_mm) / (4 * r)
      const radial = dx * vertexNormals[3 * v]! + dy * vertexNormals[3 * v + 1]! + dz * vertexNormals[3 * v + 2]!
      if (Math.abs(rho - r) < gate && Math.abs(along) < r && radial > RADIAL * rho) {
        label[v] = tube
        off[v] = rho - r
      }
    }
    if (v % BLOCK === 0) yield (0.9 * v) / vertices
  }
  for (let f = 0; f < facets; f++) {
    const a = label[indices[3 * f]!]!
    const b = label[indices[3 * f + 1]!]!
    const c = label[indices[3 * f + 2]!]!
    out[f] = a === b || a === c ? a : b === c ? b : -1
  }
  return { tubeOfFacet: out, sigma_mm: sigmaOf(off, indices, label) }
}

function tangentAt({ axis, piece }: EndedTube, k: number): number[] {
  const n = axis.length
  const a = axis[piece.closed ? (k + n - 1) % n : Math.max(0, k - 1)]!
  const b = axis[piece.closed ? (k + 1) % n : Math.min(n - 1, k + 1)]!
  const d = [b[0] - a[0], b[1] - a[1], b[2] - a[2]]
  const l = Math.sqrt(d[0]! * d[0]! + d[1]! * d[1]! + d[2]! * d[2]!) || 1
  return d.map((x) => x / l)
}

/**
 * Noise about the tubes, with a margin where neighbours err together. A scanner that smooths leaves longer tails than the middle of
 * its errors promises: after one, two and four rounds of neighbour averages the quantiles read 0.93, 0.85 and 0.87 of the rms.
 */
function sigmaOf(off: Float32Array, indices: Uint32Array, label: Int16Array): number {
  const size = off.map(Math.abs)
  const sigma = Math.max(...SIGMAS.map(({ share, sigmas }) => weightedQuantile(size, null, share) / sigmas))
  const most = 3 * sigma
  let together = 0
  let squares = 0
  for (let f = 0; f < indices.length; f += 3) {
    const a = indices[f]!
    const b = indices[f + 1]!
    if (label[a]! < 0 || label[a] !== label[b] || size[a]! > most || size[b]! > most) continue
    together += off[a]! * off[b]!
    squares += (off[a]! * off[a]! + off[b]! * off[b]!) / 2
  }
  const alike = squares > 0 ? Math.max(0, together / squares) : 0
  return sigma * (1 + MARGIN * Math.min(1, alike / SMOOTHED))
}
