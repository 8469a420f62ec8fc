/**
 * Closes one rim with the set of triangles over its own vertices that has the least area, by dynamic programming over the
 * rim (G. Barequet and M. Sharir, "Filling gaps in the boundary of a polyhedron", CAGD 12, 1995). No vertex is added: what
 * the scanner did not see is not invented, only spanned.
 */

/** Work grows with the third power: 300 corners cost 4.5 million triangle areas. */
export const MOST_RIM_CORNERS = 300

/**
 * @param p   positions, three per vertex
 * @param rim vertex numbers in the order of the rim's own half-edges (as the facets beside it run)
 * @returns three vertex numbers per facet, turned so that they match the facets beside the rim
 */
export function fillHole(p: Float32Array, rim: readonly number[]): number[] {
  const n = rim.length
  if (n > MOST_RIM_CORNERS || n < 3) throw new Error('scan: fillHole takes rims of 3 to 300 corners')
  const least = new Float64Array(n * n) // least area between corners i and j
  const split = new Int32Array(n * n)
  for (let span = 2; span < n; span++)
    for (let i = 0; i + span < n; i++) {
      const j = i + span
      let best = Infinity
      let at = i + 1
      for (let k = i + 1; k < j; k++) {
        const cost = least[i * n + k]! + least[k * n + j]! + twiceArea(p, rim[i]!, rim[k]!, rim[j]!)
        if (cost < best) {
          best = cost
          at = k
        }
      }
      least[i * n + j] = best
      split[i * n + j] = at
    }
  const out: number[] = []
  const stack = [[0, n - 1]]
  for (let next = stack.pop(); next; next = stack.pop()) {
    const [i, j] = next as [number, number]
    if (j - i < 2) continue
    const k = split[i * n + j]!
    // The rim runs with its facets, so the fill runs against it.
    out.push(rim[i]!, rim[j]!, rim[k]!)
    stack.push([i, k], [k, j])
  }
  return out
}

function twiceArea(p: Float32Array, a: number, b: number, c: number): number {
  const i = a * 3
  const j = b * 3
  const k = c * 3
  const ux = p[j]! - p[i]!
  const uy = p[j + 1]! - p[i + 1]!
  const uz = p[j + 2]! - p[i + 2]!
  const vx = p[k]! - p[i]!
  const vy = p[k + 1]! - p[i + 1]!
  const vz = p[k + 2]! - p[i + 2]!
  const x = uy * vz - uz * vy
  const y = uz * vx - ux * vz
  const z = ux * vy - uy * vx
  return Math.sqrt(x * x + y * y + z * z)
}
