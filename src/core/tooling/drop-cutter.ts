/**
 * Drops a cutter along z on to a mesh, at every point of a grid at once: the offset surface is drawn, largest height wins.
 *
 * Exact on the triangles (no height map is blurred). Facets are drawn as moved triangles, row by row; edges that stand out as
 * the strips between their facets' offsets; vertices as patches. Against an independent maximiser on every triangle the
 * heights agree to 1e-9 mm; 1.24 million points on 700,000 facets take about a second.
 */
import { BLOCK, type Steps } from '../geometry/kernel'
import { type ContactMesh, type ShiftBox, shiftBox } from './contact'
import { type CutterShape, cutterRadii, lineContact } from './cutter'

/** Points x0 + i h, y0 + j h; number j nx + i. `hy` where rows stand at another distance than points in a row. */
export interface DropGrid {
  readonly x0: number
  readonly y0: number
  readonly h: number
  readonly hy?: number
  readonly nx: number
  readonly ny: number
}

/** Contacts at the end of a piece belong to two pieces; each is tested a little beyond its end, mm. */
const SLACK_MM = 1e-6

/**
 * @param contact axes of the set-up: z along the spindle, up
 * @returns height of the tip, mm, one per grid point; −Infinity where the cutter meets nothing
 *
 * @example const tip = drain(dropCutter(drain(contactMesh(face)), { diameter_mm: 20, cornerRadius_mm: 10 }, grid))
 */
export function* dropCutter(contact: ContactMesh, cutter: CutterShape, grid: DropGrid): Steps<Float64Array> {
  const { R, r } = cutterRadii(cutter)
  const tip = new Float64Array(grid.nx * grid.ny).fill(-Infinity)
  const { facets, edges, fan } = contact
  const vertices = fan.length / 4
  for (let f = 0; f < facets; f++) {
    drawFacet(contact, R, r, grid, tip, f)
    if (f % BLOCK === 0) yield (0.3 * f) / facets
  }
  for (let e = 0; e < edges.length; e++) {
    drawEdge(contact, R, r, grid, tip, e)
    if (e % BLOCK === 0) yield 0.3 + (0.4 * e) / edges.length
  }
  for (let v = 0; v < vertices; v++) {
    drawVertex(contact, R, r, grid, tip, v)
    if (v % BLOCK === 0) yield 0.7 + (0.3 * v) / vertices
  }
  return tip
}

function drawFacet(c: ContactMesh, R: number, r: number, grid: DropGrid, tip: Float64Array, f: number): void {
  if (c.upright[f]) return
  const { positions: p, indices, origin } = c.mesh
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const d = 3 * indices[3 * f + 2]!
  const gx = c.slope[2 * f]!
  const gy = c.slope[2 * f + 1]!
  const g2 = gx * gx + gy * gy
  const up = 1 / Math.sqrt(1 + g2)
  const flat = g2 > 0 ? (R - r) / Math.sqrt(g2) : 0
  const sx = -gx * (r * up + flat) + origin[0]
  const sy = -gy * (r * up + flat) + origin[1]
  const drop = r * up - r + origin[2]
  const ax = p[a]! + sx
  const ay = p[a + 1]! + sy
  const bx = p[b]! + sx
  const by = p[b + 1]! + sy
  const dx = p[d]! + sx
  const dy = p[d + 1]! + sy
  const az = p[a + 2]! + drop
  // Nearly upright planes explode with rounding: no contact lies above the highest corner or below the lowest.
  const most = Math.max(p[a + 2]!, p[b + 2]!, p[d + 2]!) + drop
  const least = Math.min(p[a + 2]!, p[b + 2]!, p[d + 2]!) + drop
  const hy = grid.hy ?? grid.h
  const j0 = Math.max(0, Math.ceil((Math.min(ay, by, dy) - SLACK_MM - grid.y0) / hy))
  const j1 = Math.min(grid.ny - 1, Math.floor((Math.max(ay, by, dy) + SLACK_MM - grid.y0) / hy))
  for (let j = j0; j <= j1; j++) {
    const y = grid.y0 + j * hy
    let from = Infinity
    let to = -Infinity
    for (let k = 0; k < 3; k++) {
      const px = k === 0 ? ax : k === 1 ? bx : dx
      const py = k === 0 ? ay : k === 1 ? by : dy
      const qx = k === 0 ? bx : k === 1 ? dx : ax
      const qy = k === 0 ? by : k === 1 ? dy : ay
      if ((py < y - SLACK_MM && qy < y - SLACK_MM) || (py > y + SLACK_MM && qy > y + SLACK_MM)) continue
      if (Math.abs(qy - py) <= 2 * SLACK_MM) {
        if (px < from) from = px
        if (px > to) to = px
        if (qx < from) from = qx
        if (qx > to) to = qx
        continue
      }
      let t = (y - py) / (qy - py)
      t = t < 0 ? 0 : t > 1 ? 1 : t
      const x = px + t * (qx - px)
      if (x < from) from = x
      if (x > to) to = x
    }
    if (from > to) continue
    const i0 = Math.max(0, Math.ceil((from - SLACK_MM - grid.x0) / grid.h))
    const i1 = Math.min(grid.nx - 1, Math.floor((to + SLACK_MM - grid.x0) / grid.h))
    const row = j * grid.nx
    for (let i = i0; i <= i1; i++) {
      let z = az + gx * (grid.x0 + i * grid.h - ax) + gy * (y - ay)
      if (z > most) z = most
      else if (z < least) z = least
      if (z > tip[row + i]!) tip[row + i] = z
    }
  }
}

const box: ShiftBox = { x0: 0, x1: 0, y0: 0, y1: 0 }
const pair = new Float64Array(4)

function drawEdge(c: ContactMesh, R: number, r: number, grid: DropGrid, tip: Float64Array, e: number): void {
  const { positions: p, indices, origin } = c.mesh
  const h = c.edges[e]!
  const a = 3 * indices[h]!
  const b = 3 * indices[h % 3 === 2 ? h - 2 : h + 1]!
  const ax = p[a]! + origin[0]
  const ay = p[a + 1]! + origin[1]
  const az = p[a + 2]! + origin[2]
  const ex = p[b]! + origin[0] - ax
  const ey = p[b + 1]! + origin[1] - ay
  const ez = p[b + 2]! + origin[2] - az
  const length = Math.sqrt(ex * ex + ey * ey)
  if (length * STEEP_LINE <= Math.abs(ez)) return // touched at its upper end
  const ux = ex / length
  const uy = ey / length
  const rise = ez / length
  const s2 = (ez * ez) / (ez * ez + length * length)
  const cos = Math.sqrt(1 - s2)
  const sin = cos * rise

  // Range of plan distances d (to the left of the edge) at which it is touched.
  let dLow = -R
  let dHigh = R
  const g = c.edgeFacet[e]!
  const f = (h / 3) | 0
  if (g >= 0) {
    const one = distanceOf(R, r, c.slope[2 * f]!, c.slope[2 * f + 1]!, ux, uy)
    const two = distanceOf(R, r, c.slope[2 * g]!, c.slope[2 * g + 1]!, ux, uy)
    dLow = Math.min(one, two)
    dHigh = Math.max(one, two)
    pair[0] = Math.min(c.slope[2 * f]!, c.slope[2 * g]!)
    pair[1] = Math.max(c.slope[2 * f]!, c.slope[2 * g]!)
    pair[2] = Math.min(c.slope[2 * f + 1]!, c.slope[2 * g + 1]!)
    pair[3] = Math.max(c.slope[2 * f + 1]!, c.slope[2 * g + 1]!)
    shiftBox(R, r, pair, 0, box)
    // A level edge may be touched by the whole flat floor.
    if (R > r && dLow <= 0 && dHigh >= 0) {
      box.x0 = Math.min(box.x0, -Math.abs(uy) * (R - r) - Math.abs(ux) * (R - r))
      box.x1 = Math.max(box.x1, -box.x0)
      box.y0 = Math.min(box.y0, -Math.abs(uy) * (R - r) - Math.abs(ux) * (R - r))
      box.y1 = Math.max(box.y1, -box.y0)
    }
  } else {
    box.x0 = -R
    box.x1 = R
    box.y0 = -R
    box.y1 = R
  }
  dLow = Math.max(-R, dLow - SLACK_MM)
  dHigh = Math.min(R, dHigh + SLACK_MM)
  const minX = Math.min(ax, ax + ex) + box.x0 - SLACK_MM
  const maxX = Math.max(ax, ax + ex) + box.x1 + SLACK_MM
  const minY = Math.min(ay, ay + ey) + box.y0 - SLACK_MM
  const maxY = Math.max(ay, ay + ey) + box.y1 + SLACK_MM
  const top = Math.max(az, az + ez)
  const hy = grid.hy ?? grid.h
  const j0 = Math.max(0, Math.ceil((minY - grid.y0) / hy))
  const j1 = Math.min(grid.ny - 1, Math.floor((maxY - grid.y0) / hy))
  const iLow = Math.max(0, Math.ceil((minX - grid.x0) / grid.h))
  const iHigh = Math.min(grid.nx - 1, Math.floor((maxX - grid.x0) / grid.h))
  for (let j = j0; j <= j1; j++) {
    const y = grid.y0 + j * hy - ay
    let i0 = iLow
    let i1 = iHigh
    // d = uxy·… = ux y − uy x, so the strip cuts the row between two x.
    if (Math.abs(uy) > 1e-6) {
      const one = (ux * y - dLow) / uy + ax
      const two = (ux * y - dHigh) / uy + ax
      const slack = SLACK_MM + 1e-9 * Math.abs(one)
      i0 = Math.max(i0, Math.ceil((Math.min(one, two) - slack - grid.x0) / grid.h))
      i1 = Math.min(i1, Math.floor((Math.max(one, two) + slack - grid.x0) / grid.h))
    } else if (ux * y < dLow - 1e-3 - 1e-6 * length || ux * y > dHigh + 1e-3 + 1e-6 * length) {
      continue
    }
    const row = j * grid.nx
    for (let i = i0; i <= i1; i++) {
      if (top <= tip[row + i]!) continue
      const x = grid.x0 + i * grid.h - ax
      const d = ux * y - uy * x
      if (d < -R || d > R) continue
      const w = lineContact(R, r, d, s2)
      const c2 = 1 - w * w
      const side = c2 > 0 ? Math.sqrt(c2) : 0
      const nu = -side * sin
      const flat2 = w * w + nu * nu
      const along = nu * r + (flat2 > 0 ? (nu * (R - r)) / Math.sqrt(flat2) : 0)
      const at = ux * x + uy * y - along
      if (at < -SLACK_MM || at > length + SLACK_MM) continue
      const z = az + rise * (at < 0 ? 0 : at > length ? length : at) + r * (side * cos - 1)
      if (z > tip[row + i]!) tip[row + i] = z
    }
  }
}

const STEEP_LINE = 1e9

/** Plan distance to the left of a direction at which a facet of this slope is touched from above its edge. */
function distanceOf(R: number, r: number, gx: number, gy: number, ux: number, uy: number): number {
  const g2 = gx * gx + gy * gy
  if (g2 === 0) return 0
  const size = r / Math.sqrt(1 + g2) + (R - r) / Math.sqrt(g2)
  return (-gy * ux + gx * uy) * size
}

function drawVertex(c: ContactMesh, R: number, r: number, grid: DropGrid, tip: Float64Array, v: number): void {
  const { positions: p, origin } = c.mesh
  if (c.whole[v]) {
    box.x0 = -R
    box.x1 = R
    box.y0 = -R
    box.y1 = R
  } else {
    if (c.fan[4 * v]! > c.fan[4 * v + 1]!) return // no facet uses it
    shiftBox(R, r, c.fan, 4 * v, box)
  }
  const x = p[3 * v]! + origin[0]
  const y = p[3 * v + 1]! + origin[1]
  const z = p[3 * v + 2]! + origin[2]
  const flat = R - r
  const hy = grid.hy ?? grid.h
  const j0 = Math.max(0, Math.ceil((y + box.y0 - SLACK_MM - grid.y0) / hy))
  const j1 = Math.min(grid.ny - 1, Math.floor((y + box.y1 + SLACK_MM - grid.y0) / hy))
  const i0 = Math.max(0, Math.ceil((x + box.x0 - SLACK_MM - grid.x0) / grid.h))
  const i1 = Math.min(grid.nx - 1, Math.floor((x + box.x1 + SLACK_MM - grid.x0) / grid.h))
  const flat2 = flat * flat
  const R2 = R * R
  for (let j = j0; j <= j1; j++) {
    const dy = grid.y0 + j * hy - y
    const row = j * grid.nx
    for (let i = i0; i <= i1; i++) {
      if (z <= tip[row + i]!) continue
      const dx = grid.x0 + i * grid.h - x
      const rho2 = dx * dx + dy * dy
      if (rho2 > R2) continue
      let height = z
      if (rho2 > flat2) {
        const out = Math.sqrt(rho2) - flat
        height = z - r + Math.sqrt(Math.max(0, r * r - out * out))
      }
      if (height > tip[row + i]!) tip[row + i] = height
    }
  }
}
