import type { PlanGrid } from './plan-grid'

/**
 * Stencils of the sheet's energy, one per kind of place: 25 classes (distance to the border in x and in y: 0, 1, inner, and
 * the same from the other side) of 25 coefficients.
 *
 * Energy over the whole rectangle, times h²: ½ Σ (dxx² + dyy² + 2 dxy²) + ½ τh² Σ (dx² + dy²), every difference that fits.
 * Leaving out the differences that do not fit is what makes a border natural (free). The table is read off a 7 × 7 sheet
 * assembled by brute force, so that no border formula was ever derived by hand.
 *
 * @param tension τh²: 1/(length² ) of the membrane times the square of the spacing
 * @returns [(classY · 5 + classX) · 25 + (b + 2) · 5 + (a + 2)]
 */
export function plateStencils(tension: number, mirrored: boolean): Float64Array {
  const n = 7
  const hessian = new Float64Array(n * n * n * n)
  const add = (nodes: readonly number[], weights: readonly number[], factor: number) => {
    for (let p = 0; p < nodes.length; p++)
      for (let q = 0; q < nodes.length; q++)
        hessian[nodes[p]! * n * n + nodes[q]!]! += factor * weights[p]! * weights[q]!
  }
  const at = (i: number, j: number) => j * n + i
  for (let j = 0; j < n; j++)
    for (let i = 0; i < n; i++) {
      if (i > 0 && i < n - 1) add([at(i - 1, j), at(i, j), at(i + 1, j)], [1, -2, 1], 1)
      if (j > 0 && j < n - 1) add([at(i, j - 1), at(i, j), at(i, j + 1)], [1, -2, 1], 1)
      if (i < n - 1 && j < n - 1) add([at(i, j), at(i + 1, j), at(i, j + 1), at(i + 1, j + 1)], [1, -1, -1, 1], 2)
      if (i < n - 1) add([at(i, j), at(i + 1, j)], [1, -1], tension)
      if (j < n - 1) add([at(i, j), at(i, j + 1)], [1, -1], tension)
    }
  const place = [0, 1, 3, 5, 6] as const
  const table = new Float64Array(25 * 25)
  for (let cy = 0; cy < 5; cy++)
    for (let cx = 0; cx < 5; cx++) {
      // At the centreline the inner stencil holds, folded: what it asks of row −1 is what row 1 holds.
      const folded = mirrored && cy < 2
      const i = place[cx]!
      const j = folded ? 3 : place[cy]!
      for (let b = -2; b <= 2; b++)
        for (let a = -2; a <= 2; a++) {
          if (i + a < 0 || i + a >= n || j + b < 0 || j + b >= n) continue
          const value = hessian[at(i, j) * n * n + at(i + a, j + b)]!
          const target = folded && cy + b < 0 ? -(cy + b) - cy : b
          table[(cy * 5 + cx) * 25 + (target + 2) * 5 + a + 2]! += value
        }
    }
  return table
}

/** The sheet in padded rows (two nodes all round), so that no stencil has to ask where it stands. */
export interface Relaxation {
  readonly grid: PlanGrid
  /** Heights, padded. */
  readonly u: Float64Array
  /** Height below which the node may not sink (−Infinity: free), padded. */
  readonly floor: Float64Array
  /** Load of the node times h⁴ (times h² from the energy's scaling), padded. */
  readonly load: Float64Array
}

export const PAD = 2
export const paddedIndex = (grid: PlanGrid, i: number, j: number): number => (j + PAD) * (grid.nx + 2 * PAD) + i + PAD

/**
 * Projected over-relaxation (C. W. Cryer 1971, "The solution of a quadratic programming problem using systematic
 * overrelaxation"): one pass over all nodes, forwards or backwards.
 */
export function relax(state: Relaxation, table: Float64Array, omega: number, backwards: boolean): void {
  const { grid, u, floor, load } = state
  const { nx, ny } = grid
  const width = nx + 2 * PAD
  const inner = (2 * 5 + 2) * 25
  const c0 = table[inner + 12]!
  const c1 = table[inner + 13]!
  const c2 = table[inner + 14]!
  const d1 = table[inner + 18]!
  const factor = omega / c0
  for (let row = 0; row < ny; row++) {
    const j = backwards ? ny - 1 - row : row
    const cy = j < 2 ? j : j >= ny - 2 ? j - ny + 5 : 2
    const base = (j + PAD) * width + PAD
    for (let column = 0; column < nx; column++) {
      const i = backwards ? nx - 1 - column : column
      const k = base + i
      let next: number
      if (cy === 2 && i >= 2 && i < nx - 2) {
        const residual =
          c0 * u[k]! +
          c1 * (u[k - 1]! + u[k + 1]! + u[k - width]! + u[k + width]!) +
          d1 * (u[k - width - 1]! + u[k - width + 1]! + u[k + width - 1]! + u[k + width + 1]!) +
          c2 * (u[k - 2]! + u[k + 2]! + u[k - 2 * width]! + u[k + 2 * width]!) +
          load[k]!
        next = u[k]! - factor * residual
      } else {
        const cx = i < 2 ? i : i >= nx - 2 ? i - nx + 5 : 2
        const at = (cy * 5 + cx) * 25
        let residual = load[k]!
        for (let b = 0; b < 5; b++)
          for (let a = 0; a < 5; a++) residual += table[at + b * 5 + a]! * u[k + (b - 2) * width + a - 2]!
        next = u[k]! - (omega * residual) / table[at + 12]!
      }
      const least = floor[k]!
      u[k] = next > least ? next : least
    }
  }
}
