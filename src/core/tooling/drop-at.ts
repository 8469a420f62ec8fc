/**
 * Drops a cutter at single places, with every facet under it tested: its plane, edges and corners.
 *
 * Slower a point than the grid and, without a `ContactMesh`, free of its short cuts, so the two can check each other. Facets lie in bins of a
 * plan grid; a facet whose highest corner is not above what is known already is skipped.
 */
import { BLOCK, type Steps } from '../geometry/kernel'
import { bounds, facetCount, type Mesh } from '../geometry/mesh'
import type { ContactMesh } from './contact'
import { type CutterRadii, lineContact } from './cutter'

export interface FacetBins {
  readonly mesh: Mesh
  readonly x0: number
  readonly y0: number
  readonly h: number
  readonly nx: number
  readonly ny: number
  /** Facets of bin b: `items[start[b]] … items[start[b + 1] − 1]`, highest first. */
  readonly start: Uint32Array
  readonly items: Uint32Array
  /**
   * Highest corner and plan box (x low, x high, y low, y high) of each of `items`, mm, rounded outwards. Five per item, in their
   * order: four of five facets near a place are passed over by these alone, without a look at their corners.
   */
  readonly boxes: Float32Array
  /** What of a facet is tested: bits 0–2 its edges, 3–5 its corners; the plane always. One per facet. */
  readonly parts: Uint8Array
  /** When each facet was last tested, so that one that lies in several bins is tested once. */
  readonly stamp: Uint32Array
  /** How much has been asked so far: places, and facets tested for them. */
  readonly count: { drops: number; tests: number }
}

/**
 * Bins of about two facets each; a facet lies in every bin that its box touches.
 *
 * @param contact of the same mesh: edges that do not stand out are then passed over, and every other edge and corner is tested
 *                with one of its facets only. Left out: everything is tested with every facet, twice and six times over.
 */
export function* facetBins(mesh: Mesh, contact?: ContactMesh): Steps<FacetBins> {
  const facets = facetCount(mesh)
  const { min, max } = bounds(mesh)
  const width = Math.max(1e-6, max[0] - min[0])
  const depth = Math.max(1e-6, max[1] - min[1])
  const h = Math.max(Math.sqrt((2 * width * depth) / Math.max(1, facets)), Math.max(width, depth) / 4000)
  const nx = Math.floor(width / h) + 1
  const ny = Math.floor(depth / h) + 1
  const start = new Uint32Array(nx * ny + 1)
  const top = new Float32Array(facets)
  const { positions: p, indices, origin } = mesh
  const range = (f: number, k: number, base: number, limit: number): [number, number] => {
    const a = p[3 * indices[3 * f]! + k]!
    const b = p[3 * indices[3 * f + 1]! + k]!
    const c = p[3 * indices[3 * f + 2]! + k]!
    const low = Math.floor((Math.min(a, b, c) + origin[k]! - base) / h)
    const high = Math.floor((Math.max(a, b, c) + origin[k]! - base) / h)
    return [Math.max(0, low), Math.min(limit - 1, high)]
  }
  for (let f = 0; f < facets; f++) {
    const [i0, i1] = range(f, 0, min[0], nx)
    const [j0, j1] = range(f, 1, min[1], ny)
    for (let j = j0; j <= j1; j++) for (let i = i0; i <= i1; i++) start[j * nx + i + 1]!++
    top[f] =
      Math.max(p[3 * indices[3 * f]! + 2]!, p[3 * indices[3 * f + 1]! + 2]!, p[3 * indices[3 * f + 2]! + 2]!) +
      origin[2] +
      1e-4 // more than Float32 may round down within ±1 m
    if (f % (4 * BLOCK) === 0) yield (0.4 * f) / facets
  }
  for (let b = 0; b < nx * ny; b++) start[b + 1]! += start[b]!
  const items = new Uint32Array(start[nx * ny]!)
  const boxes = new Float32Array(5 * items.length)
  const box = new Float32Array(5)
  const put = start.slice(0, nx * ny)
  const order = Uint32Array.from({ length: facets }, (_, f) => f).sort((f, g) => top[g]! - top[f]! || f - g)
  yield 0.7
  for (let n = 0; n < facets; n++) {
    const f = order[n]!
    const [i0, i1] = range(f, 0, min[0], nx)
    const [j0, j1] = range(f, 1, min[1], ny)
    box[0] = top[f]!
    planBox(mesh, f, box)
    for (let j = j0; j <= j1; j++)
      for (let i = i0; i <= i1; i++) {
        const to = put[j * nx + i]!++
        items[to] = f
        boxes.set(box, 5 * to)
      }
    if (n % (4 * BLOCK) === 0) yield 0.7 + (0.3 * n) / facets
  }
  return {
    mesh,
    x0: min[0],
    y0: min[1],
    h,
    nx,
    ny,
    start,
    items,
    boxes,
    parts: contact ? ownParts(contact) : new Uint8Array(facets).fill(63),
    stamp: new Uint32Array(facets),
    count: { drops: 0, tests: 0 },
  }
}

/** Plan box of a facet into places 1 to 4, each a step of Float32 further out than it may have been rounded. */
function planBox({ positions: p, indices, origin }: Mesh, f: number, box: Float32Array): void {
  for (let k = 0; k < 2; k++) {
    const a = p[3 * indices[3 * f]! + k]!
    const b = p[3 * indices[3 * f + 1]! + k]!
    const c = p[3 * indices[3 * f + 2]! + k]!
    const low = Math.min(a, b, c) + origin[k]!
    const high = Math.max(a, b, c) + origin[k]!
    box[1 + 2 * k] = low - 2e-7 * Math.abs(low)
    box[2 + 2 * k] = high + 2e-7 * Math.abs(high)
  }
}

/**
 * Height of the cutter's tip over one place, mm; `known` (default −Infinity) is returned where nothing stands higher.
 *
 * @param ceiling the caller has no use for heights above this: the first one found is returned
 * @param everyBin no bin is passed over as a whole. The height is the same; `count.tests` is what budgets are set in
 */
export function dropAt(
  bins: FacetBins,
  radii: CutterRadii,
  x: number,
  y: number,
  known = -Infinity,
  ceiling = Infinity,
  everyBin = false,
): number {
  const { R, r } = radii
  const { h, nx, ny, x0, y0, start, boxes } = bins
  bins.count.drops++
  const i0 = Math.max(0, Math.floor((x - R - x0) / h))
  const i1 = Math.min(nx - 1, Math.floor((x + R - x0) / h))
  const j0 = Math.max(0, Math.floor((y - R - y0) / h))
  const j1 = Math.min(ny - 1, Math.floor((y + R - y0) / h))
  if (i1 < i0 || j1 < j0) return known
  const flat = R - r
  const R2 = R * R * (1 + 1e-12)
  // The bin under the axis first: what stands there is most often the answer, and the rest is then passed over quickly.
  const iOwn = Math.min(i1, Math.max(i0, Math.floor((x - x0) / h)))
  const jOwn = Math.min(j1, Math.max(j0, Math.floor((y - y0) / h)))
  const own = jOwn * nx + iOwn
  let best = binContact(bins, R, r, own, 0, x, y, known, ceiling)
  for (let j = j0; j <= j1 && best <= ceiling; j++)
    for (let i = i0; i <= i1; i++) {
      if (j === j0 && i === i0) continue // its place in the order is taken by the bin under the axis, and the other way round
      const turned = j === jOwn && i === iOwn
      const bi = turned ? i0 : i
      const bj = turned ? j0 : j
      const bin = bj * nx + bi
      const first = start[bin]!
      if (first === start[bin + 1]!) continue
      let rise = 0
      if (!everyBin) {
        // So far out the cutter's lower side stands that much above its tip. What of a facet is nearer lies in a nearer bin, too.
        const gapX = Math.max(x0 + bi * h - x, 0, x - x0 - (bi + 1) * h)
        const gapY = Math.max(y0 + bj * h - y, 0, y - y0 - (bj + 1) * h)
        const gap2 = gapX * gapX + gapY * gapY
        if (gap2 > R2) continue
        if (gap2 > flat * flat) rise = riseAt(r, Math.sqrt(gap2) - flat)
        if (boxes[5 * first]! - rise <= best) continue
      }
      best = binContact(bins, R, r, bin, rise, x, y, best, ceiling)
      if (best > ceiling) break
    }
  return best
}

/** Of the cutter's lower side over its tip, `q` beyond its flat floor. */
const riseAt = (r: number, q: number): number => r - Math.sqrt(Math.max(0, r * r - q * q))

/** @param rise the least height of the cutter's lower side over its tip in this bin */
function binContact(
  bins: FacetBins,
  R: number,
  r: number,
  bin: number,
  rise: number,
  x: number,
  y: number,
  known: number,
  ceiling: number,
): number {
  const { start, items, boxes, stamp, count } = bins
  const now = count.drops
  const end = start[bin + 1]!
  const flat = R - r
  const flat2 = flat * flat
  const R2 = R * R * (1 + 1e-12)
  let best = known
  for (let n = start[bin]!, at = 5 * n; n < end; n++, at += 5) {
    const top = boxes[at]!
    if (top - rise <= best) break // the rest of the bin is lower
    const f = items[n]!
    if (stamp[f] === now) continue
    stamp[f] = now
    count.tests++
    const gapX = Math.max(boxes[at + 1]! - x, 0, x - boxes[at + 2]!)
    const gapY = Math.max(boxes[at + 3]! - y, 0, y - boxes[at + 4]!)
    const gap2 = gapX * gapX + gapY * gapY
    if (gap2 > R2) continue
    if (gap2 > flat2 && top - riseAt(r, Math.sqrt(gap2) - flat) <= best) continue
    best = facetContact(bins.mesh, R, r, f, bins.parts[f]!, x, y, best)
    if (best > ceiling) return best
  }
  return best
}

function ownParts({ mesh, facets, edges }: ContactMesh): Uint8Array {
  const parts = new Uint8Array(facets)
  for (let e = 0; e < edges.length; e++) parts[(edges[e]! / 3) | 0]! |= 1 << (edges[e]! % 3)
  const seen = new Uint8Array(mesh.positions.length / 3)
  for (let h = 0; h < 3 * facets; h++) {
    const v = mesh.indices[h]!
    if (seen[v]) continue
    seen[v] = 1
    parts[(h / 3) | 0]! |= 8 << (h % 3)
  }
  return parts
}

function facetContact(
  mesh: Mesh,
  R: number,
  r: number,
  f: number,
  parts: number,
  x: number,
  y: number,
  best: number,
): number {
  const { positions: p, indices, origin } = mesh
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const c = 3 * indices[3 * f + 2]!
  const px = x - origin[0]
  const py = y - origin[1]
  const ax = p[a]! - px
  const ay = p[a + 1]! - py
  const az = p[a + 2]! + origin[2]
  const bx = p[b]! - px
  const by = p[b + 1]! - py
  const bz = p[b + 2]! + origin[2]
  const cx = p[c]! - px
  const cy = p[c + 1]! - py
  const cz = p[c + 2]! + origin[2]
  // Plan distance of the facet's box: so far out the cutter's lower side stands at least q²/2r above its tip.
  const lowX = Math.min(ax, bx, cx)
  const highX = Math.max(ax, bx, cx)
  const lowY = Math.min(ay, by, cy)
  const highY = Math.max(ay, by, cy)
  const gapX = lowX > 0 ? lowX : highX < 0 ? -highX : 0
  const gapY = lowY > 0 ? lowY : highY < 0 ? -highY : 0
  const gap2 = gapX * gapX + gapY * gapY
  if (gap2 > R * R) return best
  if (r > 0 && gap2 > (R - r) * (R - r)) {
    const q = Math.sqrt(gap2) - (R - r)
    if (Math.max(az, bz, cz) - (q * q) / (2 * r) <= best) return best
  }
  const nx = (by - ay) * (cz - az) - (bz - az) * (cy - ay)
  const ny = (bz - az) * (cx - ax) - (bx - ax) * (cz - az)
  const nz = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
  const flat2 = nx * nx + ny * ny
  if (nz !== 0 && Math.abs(nz) * 1e9 > Math.sqrt(flat2)) {
    const gx = -nx / nz
    const gy = -ny / nz
    const g2 = gx * gx + gy * gy
    const up = 1 / Math.sqrt(1 + g2)
    const size = r * up + (g2 > 0 ? (R - r) / Math.sqrt(g2) : 0)
    const qx = gx * size // contact point, seen from the axis
    const qy = gy * size
    const turn = nz > 0 ? 1 : -1
    if (
      turn * ((bx - ax) * (qy - ay) - (by - ay) * (qx - ax)) >= 0 &&
      turn * ((cx - bx) * (qy - by) - (cy - by) * (qx - bx)) >= 0 &&
      turn * ((ax - cx) * (qy - cy) - (ay - cy) * (qx - cx)) >= 0
    ) {
      const z = az + gx * (qx - ax) + gy * (qy - ay)
      const clamped = Math.min(Math.max(z, Math.min(az, bz, cz)), Math.max(az, bz, cz))
      best = Math.max(best, clamped + r * (up - 1))
      // A flat floor over a plane that is not level touches the rest of the facet no higher than its edges do.
    }
  }
  if (parts & 1) best = edgeContact(R, r, ax, ay, az, bx, by, bz, best)
  if (parts & 2) best = edgeContact(R, r, bx, by, bz, cx, cy, cz, best)
  if (parts & 4) best = edgeContact(R, r, cx, cy, cz, ax, ay, az, best)
  if (parts & 8) best = pointContact(R, r, ax, ay, az, best)
  if (parts & 16) best = pointContact(R, r, bx, by, bz, best)
  if (parts & 32) best = pointContact(R, r, cx, cy, cz, best)
  return best
}

function pointContact(R: number, r: number, x: number, y: number, z: number, best: number): number {
  if (z <= best) return best
  const rho2 = x * x + y * y
  if (rho2 > R * R) return best
  const out = Math.sqrt(rho2) - (R - r)
  return Math.max(best, out > 0 ? z - r + Math.sqrt(Math.max(0, r * r - out * out)) : z)
}

/** The line a–b, seen from the axis. */
function edgeContact(
  R: number,
  r: number,
  ax: number,
  ay: number,
  az: number,
  bx: number,
  by: number,
  bz: number,
  best: number,
): number {
  if (az <= best && bz <= best) return best
  const ex = bx - ax
  const ey = by - ay
  const ez = bz - az
  const length = Math.sqrt(ex * ex + ey * ey)
  if (length * 1e9 <= Math.abs(ez)) return best
  const ux = ex / length
  const uy = ey / length
  const d = uy * ax - ux * ay // of the axis, to the left
  if (d > R || d < -R) return best
  const s2 = (ez * ez) / (ez * ez + length * length)
  const cos = Math.sqrt(1 - s2)
  const w = lineContact(R, r, d, s2)
  const side = Math.sqrt(Math.max(0, 1 - w * w))
  const nu = (-side * cos * ez) / length
  const flat2 = w * w + nu * nu
  const along = nu * r + (flat2 > 0 ? (nu * (R - r)) / Math.sqrt(flat2) : 0)
  const at = -(ux * ax + uy * ay) - along
  if (at < 0 || at > length) return best
  return Math.max(best, az + (ez * at) / length + r * (side * cos - 1))
}
