import { BLOCK, type Steps } from '../geometry/kernel'
import { facetCount, type Mesh } from '../geometry/mesh'

/** Finds the height of a shell over a place in plan: facets binned by the box of their plan. */
export interface PlanHeights {
  readonly mesh: Mesh<'job'>
  readonly x0: number
  readonly y0: number
  readonly cell: number
  readonly nx: number
  readonly ny: number
  /** First entry of each bin in `facets`; one more than there are bins. */
  readonly start: Uint32Array
  readonly facets: Uint32Array
}

/** Facets per bin that a look-up should meet, about. */
const PER_BIN = 4

export function* planHeights(mesh: Mesh<'job'>): Steps<PlanHeights> {
  const { positions, indices, origin } = mesh
  const n = facetCount(mesh)
  let minX = Infinity
  let minY = Infinity
  let maxX = -Infinity
  let maxY = -Infinity
  for (let i = 0; i < positions.length; i += 3) {
    minX = Math.min(minX, positions[i]!)
    maxX = Math.max(maxX, positions[i]!)
    minY = Math.min(minY, positions[i + 1]!)
    maxY = Math.max(maxY, positions[i + 1]!)
  }
  const cell = Math.max(1, Math.sqrt((Math.max(1, maxX - minX) * Math.max(1, maxY - minY) * PER_BIN) / Math.max(1, n)))
  const nx = Math.max(1, Math.ceil((maxX - minX) / cell) || 1)
  const ny = Math.max(1, Math.ceil((maxY - minY) / cell) || 1)
  const binX = (x: number) => Math.min(nx - 1, Math.max(0, Math.floor((x - minX) / cell)))
  const binY = (y: number) => Math.min(ny - 1, Math.max(0, Math.floor((y - minY) / cell)))
  const start = new Uint32Array(nx * ny + 1)
  const eachBin = (f: number, visit: (bin: number) => void) => {
    const a = indices[3 * f]! * 3
    const b = indices[3 * f + 1]! * 3
    const c = indices[3 * f + 2]! * 3
    const i0 = binX(Math.min(positions[a]!, positions[b]!, positions[c]!))
    const i1 = binX(Math.max(positions[a]!, positions[b]!, positions[c]!))
    const j0 = binY(Math.min(positions[a + 1]!, positions[b + 1]!, positions[c + 1]!))
    const j1 = binY(Math.max(positions[a + 1]!, positions[b + 1]!, positions[c + 1]!))
    for (let j = j0; j <= j1; j++) for (let i = i0; i <= i1; i++) visit(j * nx + i)
  }
  for (let f = 0; f < n; f++) {
    eachBin(f, (bin) => {
      start[bin + 1]!++
    })
    if (f % BLOCK === 0) yield (0.5 * f) / n
  }
  for (let b = 0; b < nx * ny; b++) start[b + 1]! += start[b]!
  const facets = new Uint32Array(start[nx * ny]!)
  const next = start.slice(0, -1)
  for (let f = 0; f < n; f++) {
    eachBin(f, (bin) => {
      facets[next[bin]!++] = f
    })
    if (f % BLOCK === 0) yield 0.5 + (0.5 * f) / n
  }
  return { mesh, x0: minX + origin[0], y0: minY + origin[1], cell, nx, ny, start, facets }
}

/** Highest point of the shell over (x, y), mm in job axes; NaN where there is no shell. */
export function highestAt(plan: PlanHeights, x: number, y: number): number {
  const { mesh, cell, nx, ny } = plan
  // The bins reach a hair further than the mesh, so that a place on its very edge is found.
  const i = Math.floor((x - plan.x0) / cell)
  const j = Math.floor((y - plan.y0) / cell)
  if (i < -1 || j < -1 || i > nx || j > ny) return Number.NaN
  const bin = Math.min(ny - 1, Math.max(0, j)) * nx + Math.min(nx - 1, Math.max(0, i))
  const { positions, indices, origin } = mesh
  const px = x - origin[0]
  const py = y - origin[1]
  let highest = Number.NaN
  for (let k = plan.start[bin]!; k < plan.start[bin + 1]!; k++) {
    const f = plan.facets[k]! * 3
    const a = indices[f]! * 3
    const b = indices[f + 1]! * 3
    const c = indices[f + 2]! * 3
    const ux = positions[b]! - positions[a]!
    const uy = positions[b + 1]! - positions[a + 1]!
    const wx = positions[c]! - positions[a]!
    const wy = positions[c + 1]! - positions[a + 1]!
    const twice = ux * wy - uy * wx
    if (twice === 0) continue
    const qx = px - positions[a]!
    const qy = py - positions[a + 1]!
    const s = (qx * wy - qy * wx) / twice
    const t = (ux * qy - uy * qx) / twice
    if (s < -1e-9 || t < -1e-9 || s + t > 1 + 1e-9) continue
    const za = positions[a + 2]!
    const z = za + s * (positions[b + 2]! - za) + t * (positions[c + 2]! - za) + origin[2]
    if (!(z <= highest)) highest = z
  }
  return highest
}
