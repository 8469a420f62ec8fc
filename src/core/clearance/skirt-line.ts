import { BLOCK, type Steps } from '../geometry/kernel'
import { facetCount, type Mesh } from '../geometry/mesh'
import { square } from '../geometry/portable-math'
import { Refused } from '../geometry/trouble'
import { crownDraft, crownFrom, type Sheet } from './crown'
import { type PlanGrid, type SheetPoint, sampleSheet } from './plan-grid'
import type { ClearanceSettings } from './types'

/** The height down to which the shell must hold the metal, as a sheet over the plan, and where that metal lies. */
export interface SkirtLine {
  readonly grid: PlanGrid
  /** Metal above this height must lie inside the outline, mm. One per node. */
  readonly height: Float64Array
  /** 1 where the shell will be: metal above the line and all it encloses. One per node. */
  readonly covered: Uint8Array
}

const COARSE_MM = 32
/** How far below the sheet metal is looked for, first to last, mm: a wide look finds the ring, a narrow one leaves the legs. */
const LOOKS_MM = [400, 200, 100, 0]
/** Gaps in the metal up to twice this many nodes (scan holes) are bridged when asking what is enclosed. */
const BRIDGE = 2
/** Slope of the crown between a tube and the wall beside it, taken as a plain allowance. */
const ALLOWANCE_MM = 2

/**
 * Finds the skirt line by turns: a coarse sheet over the metal, what lies within reach below that sheet, a sheet over only
 * that. The reach shrinks to the depth of edge and skirt, so legs and feet drop out and do not widen the outline.
 *
 * @throws Refused `shape-impossible` if the metal above the line falls into parts that one outline cannot hold
 */
export function* skirtLine(frame: Mesh<'job'>, gap_mm: number, settings: ClearanceSettings): Steps<SkirtLine> {
  const { grid, top } = yield* highestMetal(frame, settings.symmetric, gap_mm)
  const depth = lineDepth_mm(settings, gap_mm)
  let summit = -Infinity
  for (const z of top) if (z > summit) summit = z
  let level = new Float64Array(top.length).fill(summit - Math.max(LOOKS_MM[0]!, 2 * depth))
  let covered = enclosed(grid, top, level)
  for (const look of LOOKS_MM) {
    const obstacle = top.map((z, k) => (z > level[k]! ? z + gap_mm : -Infinity))
    const options = { ...settings, grid, obstacle, inside: covered }
    const sheet = yield* crownFrom(yield* crownDraft(options, false), options)
    const drop = Math.max(look, depth)
    level = sheet.height.map((z) => z - drop)
    covered = enclosed(grid, top, level)
  }
  refuseParts(grid, covered, top)
  return { grid, height: level, covered }
}

/** From the crown down to the foot, and as far below it as metal could still come within its gap of the flange. */
const lineDepth_mm = (settings: ClearanceSettings, gap_mm: number): number =>
  settings.edgeRadius_mm + settings.skirt_mm + gap_mm + ALLOWANCE_MM

/**
 * The line again, below a better sheet than the coarse one it was found with.
 *
 * @param gap_mm largest gap and guard
 */
export function lineBelow(line: SkirtLine, sheet: Sheet, settings: ClearanceSettings, gap_mm: number): SkirtLine {
  const { grid } = line
  const depth = lineDepth_mm(settings, gap_mm)
  const height = line.height.slice()
  const point: SheetPoint = { z: 0, dx: 0, dy: 0 }
  for (let j = 0; j < grid.ny; j++)
    for (let i = 0; i < grid.nx; i++) {
      const x = grid.x0 + i * grid.h
      const y = grid.y0 + j * grid.h
      const { grid: fine } = sheet
      if (x < fine.x0 || y < fine.y0 || x > fine.x0 + (fine.nx - 1) * fine.h || y > fine.y0 + (fine.ny - 1) * fine.h)
        continue
      sampleSheet(fine, sheet.height, x, y, point)
      height[j * grid.nx + i] = point.z - depth
    }
  return { ...line, height }
}

/** Height between the nodes of the skirt line, straight in both directions. */
export function skirtHeight(line: SkirtLine, x: number, y: number): number {
  const { grid, height } = line
  const gx = (x - grid.x0) / grid.h
  const gy = ((grid.mirrored && y < 0 ? -y : y) - grid.y0) / grid.h
  const i = Math.min(grid.nx - 2, Math.max(0, Math.floor(gx)))
  const j = Math.min(grid.ny - 2, Math.max(0, Math.floor(gy)))
  const u = Math.min(1, Math.max(0, gx - i))
  const v = Math.min(1, Math.max(0, gy - j))
  const k = j * grid.nx + i
  const low = height[k]! + u * (height[k + 1]! - height[k]!)
  const high = height[k + grid.nx]! + u * (height[k + grid.nx + 1]! - height[k + grid.nx]!)
  return low + v * (high - low)
}

/** Highest metal per node of a coarse grid; large facets are sampled so that none slips between the nodes. */
function* highestMetal(
  frame: Mesh<'job'>,
  symmetric: boolean,
  gap_mm: number,
): Steps<{ grid: PlanGrid; top: Float64Array }> {
  const { positions, indices } = frame
  let minX = Infinity
  let maxX = -Infinity
  let minY = Infinity
  let maxY = -Infinity
  for (let k = 0; k < positions.length; k += 3) {
    const x = positions[k]!
    const y = positions[k + 1]!
    if (x < minX) minX = x
    if (x > maxX) maxX = x
    if (y < minY) minY = y
    if (y > maxY) maxY = y
  }
  if (!(maxX >= minX)) throw new Refused('mesh-empty', 'clearance: the frame has no facet; load a scan first.')
  const border = gap_mm + 6 * COARSE_MM
  const h = COARSE_MM
  const x0 = minX - border
  const reachY = Math.max(Math.abs(minY), Math.abs(maxY)) + border
  const y0 = symmetric ? 0 : minY - border
  const nx = roundUp((maxX + border - x0) / h, 4) + 1
  const ny = roundUp(((symmetric ? reachY : maxY + border) - y0) / h, 4) + 1
  const grid: PlanGrid = { nx, ny, x0, y0, h, mirrored: symmetric }
  const top = new Float64Array(nx * ny).fill(-Infinity)
  const put = (x: number, y: number, z: number) => {
    const i = Math.round((x - x0) / h)
    const j = Math.round(((symmetric && y < 0 ? -y : y) - y0) / h)
    const k = j * nx + i
    if (z > top[k]!) top[k] = z
  }
  const facets = facetCount(frame)
  for (let f = 0; f < facets; f++) {
    const a = 3 * indices[3 * f]!
    const b = 3 * indices[3 * f + 1]!
    const c = 3 * indices[3 * f + 2]!
    const ax = positions[a]!
    const ay = positions[a + 1]!
    const az = positions[a + 2]!
    const ux = positions[b]! - ax
    const uy = positions[b + 1]! - ay
    const uz = positions[b + 2]! - az
    const vx = positions[c]! - ax
    const vy = positions[c + 1]! - ay
    const vz = positions[c + 2]! - az
    const longest = Math.max(ux * ux + uy * uy, vx * vx + vy * vy, square(ux - vx) + square(uy - vy))
    const cuts = Math.max(1, Math.ceil(Math.sqrt(longest) / (h / 3)))
    for (let p = 0; p <= cuts; p++)
      for (let q = 0; q <= cuts - p; q++) {
        const s = p / cuts
        const t = q / cuts
        put(ax + s * ux + t * vx, ay + s * uy + t * vy, az + s * uz + t * vz)
      }
    if (f % BLOCK === BLOCK - 1) yield f / facets
  }
  return { grid, top }
}

const roundUp = (value: number, to: number): number => Math.ceil(value / to) * to

/** Everything that cannot be reached from the border without crossing metal above the level, scan holes bridged. */
function enclosed(grid: PlanGrid, top: Float64Array, level: Float64Array): Uint8Array {
  const metal = new Uint8Array(top.length)
  for (let k = 0; k < top.length; k++) if (top[k]! > level[k]!) metal[k] = 1
  const open = grow(grid, metal, BRIDGE)
  const outside = floodOutside(grid, open)
  return grow(grid, outside, BRIDGE).map((v, k) => (v && !metal[k] ? 0 : 1))
}

/** All nodes within `steps` of a marked one (square steps). */
export function grow(grid: PlanGrid, mark: Uint8Array, steps: number): Uint8Array {
  const { nx, ny } = grid
  let current = mark
  for (let s = 0; s < steps; s++) {
    const next = current.slice()
    for (let j = 0; j < ny; j++)
      for (let i = 0; i < nx; i++) {
        if (!current[j * nx + i]) continue
        for (let b = Math.max(0, j - 1); b <= Math.min(ny - 1, j + 1); b++)
          for (let a = Math.max(0, i - 1); a <= Math.min(nx - 1, i + 1); a++) next[b * nx + a] = 1
      }
    current = next
  }
  return current
}

/** Nodes that can be reached from the border over unmarked nodes (the centreline of a mirrored grid is no border). */
export function floodOutside(grid: PlanGrid, wall: Uint8Array): Uint8Array {
  const { nx, ny } = grid
  const outside = new Uint8Array(nx * ny)
  const stack = new Int32Array(nx * ny)
  let depth = 0
  const reach = (k: number) => {
    if (outside[k] || wall[k]) return
    outside[k] = 1
    stack[depth++] = k
  }
  for (let i = 0; i < nx; i++) {
    if (!grid.mirrored) reach(i)
    reach((ny - 1) * nx + i)
  }
  for (let j = 0; j < ny; j++) {
    reach(j * nx)
    reach(j * nx + nx - 1)
  }
  while (depth > 0) {
    const k = stack[--depth]!
    const i = k % nx
    if (i > 0) reach(k - 1)
    if (i < nx - 1) reach(k + 1)
    if (k >= nx) reach(k - nx)
    if (k < (ny - 1) * nx) reach(k + nx)
  }
  return outside
}

/** Parts of the covered area that do not hang together, on a mirrored grid through y = 0. */
function refuseParts(grid: PlanGrid, covered: Uint8Array, top: Float64Array): void {
  const { nx, ny, h } = grid
  // Grown by the bridge, so that two pieces of one ring seen through a hole count as one.
  const wide = grow(grid, covered, BRIDGE)
  const part = new Int32Array(nx * ny)
  const parts: { nodes: number; x: number; y: number; top: number; onCentre: boolean }[] = []
  const stack: number[] = []
  for (let start = 0; start < wide.length; start++) {
    if (!wide[start] || part[start]) continue
    const found = { nodes: 0, x: 0, y: 0, top: -Infinity, onCentre: false }
    parts.push(found)
    part[start] = parts.length
    stack.push(start)
    while (stack.length > 0) {
      const k = stack.pop()!
      const i = k % nx
      const j = (k - i) / nx
      found.nodes++
      found.x += grid.x0 + i * h
      found.y += grid.y0 + j * h
      if (j === 0) found.onCentre = true
      if (top[k]! > found.top) found.top = top[k]!
      const visit = (n: number) => {
        if (wide[n] && !part[n]) {
          part[n] = parts.length
          stack.push(n)
        }
      }
      if (i > 0) visit(k - 1)
      if (i < nx - 1) visit(k + 1)
      if (j > 0) visit(k - nx)
      if (j < ny - 1) visit(k + nx)
    }
  }
  const alone = grid.mirrored && parts.length === 1 && !parts[0]!.onCentre
  if (parts.length > 1 || alone) {
    const places = parts
      .sort((a, b) => b.nodes - a.nodes)
      .slice(0, 3)
      .map((p) => `x ${Math.round(p.x / p.nodes)}, y ${Math.round(p.y / p.nodes)}, top at z ${Math.round(p.top)}`)
    throw new Refused(
      'shape-impossible',
      alone
        ? `clearance: the metal above the skirt line lies beside the centreline (about ${places[0]}) and its mirror image does not meet it; correct the datum, or set symmetric to false.`
        : `clearance: the metal above the skirt line falls into ${parts.length} parts that one outline cannot hold (about ${places.join('; ')}); plan each by itself, remove the stray part in the scan step, or, where metal stands far above the rest, deepen the skirt or cut it off.`,
    )
  }
}
