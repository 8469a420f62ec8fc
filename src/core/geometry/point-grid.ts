/**
 * A hashed grid over points: nearest neighbour and ball queries without a tree.
 *
 * Points are sorted by the hash of their cell (counting sort), so memory follows the number of points and not the box: a dense
 * grid at 2.5 mm spacing over a 2.6 m frame spent 13–19 s on touching its memory. Two cells that fall on one bucket only cost
 * time: every point found is checked by its distance, and ball queries also by its cell.
 */
export interface PointGrid {
  readonly cell_mm: number
  readonly mask: number
  /** First place in `order` of each bucket, one more than there are buckets. */
  readonly start: Uint32Array
  /** Point numbers sorted by bucket. */
  readonly order: Uint32Array
  /** Places of the points in sorted order, three each: neighbours in space are neighbours in memory. */
  readonly sorted: Float32Array
}

const bucketOf = (ix: number, iy: number, iz: number, mask: number): number =>
  (Math.imul(ix, 73856093) ^ Math.imul(iy, 19349663) ^ Math.imul(iz, 83492791)) & mask

/**
 * @param points  three per point, mm
 * @param cell_mm edge of a cell: two to four point spacings serve nearest-neighbour queries best
 * @param subset  numbers of the points to use; default all
 */
export function pointGrid(points: Float32Array, cell_mm: number, subset: Uint32Array | null = null): PointGrid {
  if (!(cell_mm > 0)) throw new Error('geometry: a point grid needs cells of some size')
  const n = subset ? subset.length : points.length / 3
  let size = 1024
  while (size < n) size *= 2
  const mask = size - 1
  const inverse = 1 / cell_mm
  const bucket = new Uint32Array(n)
  const start = new Uint32Array(size + 1)
  for (let i = 0; i < n; i++) {
    const p = 3 * (subset ? subset[i]! : i)
    const b = bucketOf(
      Math.floor(points[p]! * inverse),
      Math.floor(points[p + 1]! * inverse),
      Math.floor(points[p + 2]! * inverse),
      mask,
    )
    bucket[i] = b
    start[b + 1]!++
  }
  for (let b = 0; b < size; b++) start[b + 1]! += start[b]!
  const next = start.slice(0, size)
  const order = new Uint32Array(n)
  const sorted = new Float32Array(3 * n)
  for (let i = 0; i < n; i++) {
    const at = next[bucket[i]!]!++
    const point = subset ? subset[i]! : i
    order[at] = point
    sorted[3 * at] = points[3 * point]!
    sorted[3 * at + 1] = points[3 * point + 1]!
    sorted[3 * at + 2] = points[3 * point + 2]!
  }
  return { cell_mm, mask, start, order, sorted }
}

/** A direction that a found point's normal must agree with. */
export interface NormalGate {
  /** Unit normals by point number, three each. */
  readonly normals: Float32Array
  /** Least cosine between the two. */
  readonly cosine: number
}

/**
 * The nearest point to x, y, z nearer than `reach_mm` whose normal agrees with nx, ny, nz.
 *
 * Cells are visited in shells around the query's own, until the nearest wall of the next shell is further off than what was
 * found. A good `reach_mm` (the distance to the last answer) makes it cheap.
 *
 * @returns the point's number, or −1
 */
export function nearestPoint(
  grid: PointGrid,
  x: number,
  y: number,
  z: number,
  reach_mm: number,
  gate: NormalGate | null,
  nx: number,
  ny: number,
  nz: number,
): number {
  const { cell_mm, mask, start, order, sorted } = grid
  const inverse = 1 / cell_mm
  const cx = Math.floor(x * inverse)
  const cy = Math.floor(y * inverse)
  const cz = Math.floor(z * inverse)
  // Distance from the query to the nearest wall of its own cell: what lies beyond shell s is at least s cells more away.
  const fx = x - cx * cell_mm
  const fy = y - cy * cell_mm
  const fz = z - cz * cell_mm
  let wall = fx < fy ? fx : fy
  if (fz < wall) wall = fz
  if (cell_mm - fx < wall) wall = cell_mm - fx
  if (cell_mm - fy < wall) wall = cell_mm - fy
  if (cell_mm - fz < wall) wall = cell_mm - fz
  if (wall < 0) wall = 0
  const normals = gate ? gate.normals : null
  const cosine = gate ? gate.cosine : -2
  let best = -1
  let best2 = reach_mm * reach_mm
  for (let s = 0; ; s++) {
    if (s > 0) {
      const least = wall + (s - 1) * cell_mm
      if (least * least >= best2) break
    }
    for (let ix = -s; ix <= s; ix++) {
      const faceX = ix === -s || ix === s
      // Distance to this slab of cells along x alone; the same test for y below spares most cells of the outer shells.
      const dx = ix > 0 ? ix * cell_mm - fx : ix < 0 ? fx - (ix + 1) * cell_mm : 0
      if (dx * dx >= best2) continue
      for (let iy = -s; iy <= s; iy++) {
        const dy = iy > 0 ? iy * cell_mm - fy : iy < 0 ? fy - (iy + 1) * cell_mm : 0
        const dxy2 = dx * dx + dy * dy
        if (dxy2 >= best2) continue
        const step = faceX || iy === -s || iy === s || s === 0 ? 1 : 2 * s
        for (let iz = -s; iz <= s; iz += step) {
          const dz = iz > 0 ? iz * cell_mm - fz : iz < 0 ? fz - (iz + 1) * cell_mm : 0
          if (dxy2 + dz * dz >= best2) continue
          const b = bucketOf(cx + ix, cy + iy, cz + iz, mask)
          const end = start[b + 1]!
          for (let k = start[b]!; k < end; k++) {
            const ux = sorted[3 * k]! - x
            const uy = sorted[3 * k + 1]! - y
            const uz = sorted[3 * k + 2]! - z
            const d2 = ux * ux + uy * uy + uz * uz
            if (d2 >= best2) continue
            const point = order[k]!
            if (normals) {
              const o = 3 * point
              if (normals[o]! * nx + normals[o + 1]! * ny + normals[o + 2]! * nz < cosine) continue
            }
            best2 = d2
            best = point
          }
        }
      }
    }
  }
  return best
}

/**
 * All points within `radius_mm` of x, y, z, each once, written to `out` (as many as fit).
 *
 * @returns how many were found; more than `out.length` means that the list was cut short
 */
export function pointsWithin(
  grid: PointGrid,
  x: number,
  y: number,
  z: number,
  radius_mm: number,
  out: Uint32Array,
): number {
  const { cell_mm, mask, start, order, sorted } = grid
  const inverse = 1 / cell_mm
  const x0 = Math.floor((x - radius_mm) * inverse)
  const x1 = Math.floor((x + radius_mm) * inverse)
  const y0 = Math.floor((y - radius_mm) * inverse)
  const y1 = Math.floor((y + radius_mm) * inverse)
  const z0 = Math.floor((z - radius_mm) * inverse)
  const z1 = Math.floor((z + radius_mm) * inverse)
  const r2 = radius_mm * radius_mm
  let found = 0
  for (let ix = x0; ix <= x1; ix++)
    for (let iy = y0; iy <= y1; iy++)
      for (let iz = z0; iz <= z1; iz++) {
        const b = bucketOf(ix, iy, iz, mask)
        const end = start[b + 1]!
        for (let k = start[b]!; k < end; k++) {
          const px = sorted[3 * k]!
          const py = sorted[3 * k + 1]!
          const pz = sorted[3 * k + 2]!
          const ux = px - x
          const uy = py - y
          const uz = pz - z
          if (ux * ux + uy * uy + uz * uz > r2) continue
          // Two cells of the ball may share a bucket: a point counts only for its own cell.
          if (Math.floor(px * inverse) !== ix || Math.floor(py * inverse) !== iy || Math.floor(pz * inverse) !== iz)
            continue
          if (found < out.length) out[found] = order[k]!
          found++
        }
      }
  return found
}
