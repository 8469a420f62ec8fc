import type { Mesh } from '../../src/core/geometry/mesh'

type P = readonly [number, number, number]

/**
 * How many pairs of an edge and a facet that share no corner pass through each other: signed volumes of tetrahedra, all pairs
 * in the same cells of a regular grid. Touching (volume 0) counts as passing. Nothing of the program's own search is used.
 */
export function selfIntersections(mesh: Mesh, cell_mm = 24): number {
  const { positions: p, indices } = mesh
  const facets = indices.length / 3
  const at = (v: number): P => [p[3 * v]!, p[3 * v + 1]!, p[3 * v + 2]!]
  const corners = (f: number): [number, number, number] => [indices[3 * f]!, indices[3 * f + 1]!, indices[3 * f + 2]!]
  const cells = new Map<number, number[]>()
  const each = (points: readonly P[], visit: (key: number) => void) => {
    const low = (k: 0 | 1 | 2) => Math.floor(points.reduce((m, q) => Math.min(m, q[k]), Infinity) / cell_mm)
    const high = (k: 0 | 1 | 2) => Math.floor(points.reduce((m, q) => Math.max(m, q[k]), -Infinity) / cell_mm)
    const [hx, hy, hz] = [high(0), high(1), high(2)]
    for (let x = low(0); x <= hx; x++)
      for (let y = low(1); y <= hy; y++)
        for (let z = low(2); z <= hz; z++) visit(((x + 2048) * 4096 + y + 2048) * 4096 + z + 2048)
  }
  for (let f = 0; f < facets; f++)
    each(corners(f).map(at), (key) => {
      const list = cells.get(key)
      if (list) list.push(f)
      else cells.set(key, [f])
    })
  const found = new Set<string>()
  for (let f = 0; f < facets; f++) {
    const mine = corners(f)
    for (let e = 0; e < 3; e++) {
      const a = mine[e]!
      const b = mine[(e + 1) % 3]!
      // Each edge belongs to two facets; the one in which its numbers rise asks.
      if (a > b) continue
      const [pa, pb] = [at(a), at(b)]
      each([pa, pb], (key) => {
        for (const g of cells.get(key) ?? []) {
          const theirs = corners(g)
          if (theirs.includes(a) || theirs.includes(b)) continue
          if (pierces(pa, pb, at(theirs[0]), at(theirs[1]), at(theirs[2]))) found.add(`${a} ${b} ${g}`)
        }
      })
    }
  }
  return found.size
}

function pierces(a: P, b: P, p: P, q: P, r: P): boolean {
  for (let k = 0; k < 3; k++) {
    if (Math.max(a[k]!, b[k]!) < Math.min(p[k]!, q[k]!, r[k]!)) return false
    if (Math.min(a[k]!, b[k]!) > Math.max(p[k]!, q[k]!, r[k]!)) return false
  }
  const above = volume(p, q, r, a)
  const below = volume(p, q, r, b)
  if (above * below > 0 || (above === 0 && below === 0)) return false
  const u = volume(a, b, p, q)
  const v = volume(a, b, q, r)
  const w = volume(a, b, r, p)
  return (u >= 0 && v >= 0 && w >= 0) || (u <= 0 && v <= 0 && w <= 0)
}

/** Six times the signed volume of a tetrahedron. */
function volume(a: P, b: P, c: P, d: P): number {
  const [ux, uy, uz] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]]
  const [vx, vy, vz] = [c[0] - a[0], c[1] - a[1], c[2] - a[2]]
  const [wx, wy, wz] = [d[0] - a[0], d[1] - a[1], d[2] - a[2]]
  return ux * (vy * wz - vz * wy) - uy * (vx * wz - vz * wx) + uz * (vx * wy - vy * wx)
}
