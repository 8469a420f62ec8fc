import { square } from '../geometry/portable-math'
import type { PlanGrid } from './plan-grid'

/**
 * Raises a sheet until a ball that rolls on it from above touches everywhere near the marked nodes: no upward curve there is
 * tighter than the ball. A closing in the sense of mathematical morphology (J. Serra 1982, with the ball as structuring
 * function): it never lowers, and leaves planes and gentler curves as they are.
 *
 * @param where 1 at nodes whose neighbourhood (one ball's radius) may be raised
 * @returns the raised sheet; nodes further from a marked one than the ball are untouched
 */
export function ballClosing(grid: PlanGrid, height: Float64Array, where: Uint8Array, radius_mm: number): Float64Array {
  const { nx, ny, h, mirrored } = grid
  const reach = Math.floor(radius_mm / h)
  const offsets: { a: number; b: number; cap: number }[] = []
  for (let b = -reach; b <= reach; b++)
    for (let a = -reach; a <= reach; a++) {
      const d2 = square(a * h) + square(b * h)
      if (d2 <= radius_mm * radius_mm) offsets.push({ a, b, cap: Math.sqrt(radius_mm * radius_mm - d2) })
    }
  const at = (i: number, j: number): number => {
    const row = j < 0 && mirrored ? -j : j
    return i < 0 || i >= nx || row < 0 || row >= ny ? -1 : row * nx + i
  }
  const near = widened(grid, where, reach)
  const further = widened(grid, near, reach)
  const ball = new Float64Array(height.length).fill(Number.NaN)
  const each = (mask: Uint8Array, visit: (i: number, j: number, k: number) => void) => {
    for (let j = 0; j < ny; j++) for (let i = 0; i < nx; i++) if (mask[j * nx + i]) visit(i, j, j * nx + i)
  }
  each(further, (i, j, k) => {
    let most = -Infinity
    for (const { a, b, cap } of offsets) {
      const n = at(i + a, j + b)
      if (n >= 0) most = Math.max(most, height[n]! + cap)
    }
    ball[k] = most
  })
  const out = height.slice()
  each(near, (i, j, k) => {
    let least = Infinity
    for (const { a, b, cap } of offsets) {
      const n = at(i + a, j + b)
      if (n >= 0) least = Math.min(least, ball[n]! - cap)
    }
    out[k] = Math.max(height[k]!, least)
  })
  return out
}

/** The mask and everything within so many nodes of it, rows then columns. */
export function widened({ nx, ny, mirrored }: PlanGrid, mask: Uint8Array, by: number): Uint8Array {
  const rows = new Uint8Array(mask.length)
  for (let j = 0; j < ny; j++)
    for (let i = 0; i < nx; i++) {
      if (!mask[j * nx + i]) continue
      rows.fill(1, j * nx + Math.max(0, i - by), j * nx + Math.min(nx - 1, i + by) + 1)
    }
  const out = new Uint8Array(mask.length)
  for (let j = 0; j < ny; j++)
    for (let b = -by; b <= by; b++) {
      const from = j + b < 0 && mirrored ? -(j + b) : j + b
      if (from < 0 || from >= ny) continue
      for (let i = 0; i < nx; i++) if (rows[from * nx + i]) out[j * nx + i] = 1
    }
  return out
}

/**
 * Least upward-curved radius at the marked nodes, slopes taken in full: the larger eigenvalue of the shape operator of a
 * height field (M. do Carmo, Differential Geometry of Curves and Surfaces, 3-3), by central differences.
 */
export function leastRadiusWhere(grid: PlanGrid, height: Float64Array, where: Uint8Array): number {
  const { nx, ny, h, mirrored } = grid
  let largest = 0
  for (let j = mirrored ? 0 : 1; j < ny - 1; j++)
    for (let i = 1; i < nx - 1; i++) {
      const k = j * nx + i
      if (!where[k]) continue
      const up = k + nx
      const down = j === 0 ? k + nx : k - nx
      const p = (height[k + 1]! - height[k - 1]!) / (2 * h)
      const q = (height[up]! - height[down]!) / (2 * h)
      const r = (height[k + 1]! - 2 * height[k]! + height[k - 1]!) / (h * h)
      const t = (height[up]! - 2 * height[k]! + height[down]!) / (h * h)
      const s = j === 0 ? 0 : (height[up + 1]! - height[up - 1]! - height[down + 1]! + height[down - 1]!) / (4 * h * h)
      const w = 1 + p * p + q * q
      const gauss = (r * t - s * s) / (w * w)
      const mean = ((1 + q * q) * r - 2 * p * q * s + (1 + p * p) * t) / (2 * w * Math.sqrt(w))
      largest = Math.max(largest, mean + Math.sqrt(Math.max(0, mean * mean - gauss)))
    }
  return largest > 0 ? 1 / largest : Infinity
}
