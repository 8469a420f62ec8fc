/**
 * A sheet over the plan: heights on a square grid, read between the nodes by cubic convolution.
 *
 * A symmetric sheet is kept as one half: row 0 lies on y = 0 and the sheet at −y is the sheet at y, to the last bit.
 */
export interface PlanGrid {
  readonly nx: number
  readonly ny: number
  readonly x0: number
  readonly y0: number
  /** Spacing, mm. */
  readonly h: number
  /** Row 0 lies on y = 0 and stands for both sides. */
  readonly mirrored: boolean
}

/** Height and slope at one place, filled in by `sampleSheet` so that hot loops allocate nothing. */
export interface SheetPoint {
  z: number
  dx: number
  dy: number
}

export const nodeCount = (grid: PlanGrid): number => grid.nx * grid.ny

/**
 * Cubic convolution (Catmull-Rom weights, R. Keys 1981, "Cubic convolution interpolation for digital image processing"):
 * passes through the nodes with a continuous slope. Beyond the grid the border nodes are continued straight on.
 */
export function sampleSheet(grid: PlanGrid, height: Float64Array, x: number, y: number, out: SheetPoint): void {
  const { nx, ny, h } = grid
  const turned = grid.mirrored && y < 0
  const gx = (x - grid.x0) / h
  const gy = ((turned ? -y : y) - grid.y0) / h
  const i = Math.min(nx - 2, Math.max(0, Math.floor(gx)))
  const j = Math.min(ny - 2, Math.max(0, Math.floor(gy)))
  const u = gx - i
  const v = gy - j
  let z = 0
  let dx = 0
  let dy = 0
  for (let b = -1; b <= 2; b++) {
    const wy = weight(b, v)
    const sy = slope(b, v)
    let row = 0
    let rowSlope = 0
    for (let a = -1; a <= 2; a++) {
      const value = nodeOrBeyond(grid, height, i + a, j + b)
      row += weight(a, u) * value
      rowSlope += slope(a, u) * value
    }
    z += wy * row
    dx += wy * rowSlope
    dy += sy * row
  }
  out.z = z
  out.dx = dx / h
  out.dy = (turned ? -dy : dy) / h
}

function nodeOrBeyond(grid: PlanGrid, height: Float64Array, i: number, j: number): number {
  const { nx, ny } = grid
  if (j < 0) {
    if (grid.mirrored) return nodeOrBeyond(grid, height, i, -j)
    return 2 * nodeOrBeyond(grid, height, i, 0) - nodeOrBeyond(grid, height, i, -j)
  }
  if (j >= ny)
    return 2 * nodeOrBeyond(grid, height, i, ny - 1) - nodeOrBeyond(grid, height, i, Math.max(0, 2 * (ny - 1) - j))
  if (i < 0) return 2 * height[j * nx]! - height[j * nx + Math.min(nx - 1, -i)]!
  if (i >= nx) return 2 * height[j * nx + nx - 1]! - height[j * nx + Math.max(0, 2 * (nx - 1) - i)]!
  return height[j * nx + i]!
}

function weight(k: number, t: number): number {
  switch (k) {
    case -1:
      return ((-0.5 * t + 1) * t - 0.5) * t
    case 0:
      return (1.5 * t - 2.5) * t * t + 1
    case 1:
      return ((-1.5 * t + 2) * t + 0.5) * t
    default:
      return (0.5 * t - 0.5) * t * t
  }
}

function slope(k: number, t: number): number {
  switch (k) {
    case -1:
      return (-1.5 * t + 2) * t - 0.5
    case 0:
      return (4.5 * t - 5) * t
    case 1:
      return (-4.5 * t + 4) * t + 0.5
    default:
      return (1.5 * t - 1) * t
  }
}

/**
 * Marks the nodes inside a polygon (even-odd), row by row.
 *
 * @param px, py corners in order; on a mirrored grid an open chain from y = 0 to y = 0, closed along the centreline
 * @returns 1 inside, one per node
 */
export function fillPolygon(grid: PlanGrid, px: Float64Array, py: Float64Array): Uint8Array {
  const { nx, ny, x0, y0, h } = grid
  const inside = new Uint8Array(nx * ny)
  const count = px.length
  const crossings: number[][] = Array.from({ length: ny }, () => [])
  for (let k = 0; k < count; k++) {
    const n = (k + 1) % count
    const ya = py[k]!
    const yb = py[n]!
    if (ya === yb) continue
    const low = Math.min(ya, yb)
    const high = Math.max(ya, yb)
    const first = Math.max(0, Math.ceil((low - y0) / h))
    for (let j = first; j < ny; j++) {
      const y = y0 + j * h
      if (y < low) continue
      if (y >= high) break
      crossings[j]!.push(px[k]! + ((y - ya) / (yb - ya)) * (px[n]! - px[k]!))
    }
  }
  for (let j = 0; j < ny; j++) {
    const row = crossings[j]!.sort((a, b) => a - b)
    for (let c = 0; c + 1 < row.length; c += 2) {
      const from = Math.max(0, Math.ceil((row[c]! - x0) / h))
      const to = Math.min(nx - 1, Math.floor((row[c + 1]! - x0) / h))
      for (let i = from; i <= to; i++) inside[j * nx + i] = 1
    }
  }
  return inside
}
