/**
 * The slow obvious drop: on every triangle the largest of z − profile(distance from the axis), a concave function, by nested
 * searches. Shares no line with the program.
 */
import type { Mesh } from '../../../src/core/geometry/mesh'

export function slowProfile(R: number, r: number, rho: number): number {
  if (rho > R) return 1e6 + 1e6 * (rho - R) // convex, so that the search finds its way in
  return rho < R - r ? 0 : r - Math.sqrt(Math.max(0, r * r - (rho - R + r) ** 2))
}

const GOLD = (Math.sqrt(5) - 1) / 2

function largest(f: (t: number) => number, low: number, high: number, rounds: number): number {
  let a = low
  let b = high
  let c = b - GOLD * (b - a)
  let d = a + GOLD * (b - a)
  let fc = f(c)
  let fd = f(d)
  let best = Math.max(f(a), f(b), fc, fd)
  for (let k = 0; k < rounds; k++) {
    if (fc > fd) {
      b = d
      d = c
      fd = fc
      c = b - GOLD * (b - a)
      fc = f(c)
      best = Math.max(best, fc)
    } else {
      a = c
      c = d
      fc = fd
      d = a + GOLD * (b - a)
      fd = f(d)
      best = Math.max(best, fd)
    }
  }
  return best
}

/** Height of the tip over (x, y), mm, or `floor` if that is higher; below −1e5 where no triangle is under the cutter. */
export function slowDrop(
  mesh: Mesh,
  R: number,
  r: number,
  x: number,
  y: number,
  rounds = 45,
  floor = -Infinity,
): number {
  const { positions: p, indices } = mesh
  let best = floor
  for (let f = 0; f < indices.length; f += 3) {
    const [i, j, k] = [3 * indices[f]!, 3 * indices[f + 1]!, 3 * indices[f + 2]!]
    if (p[i + 2]! <= best && p[j + 2]! <= best && p[k + 2]! <= best) continue
    if (p[i]! > x + R && p[j]! > x + R && p[k]! > x + R) continue
    if (p[i]! < x - R && p[j]! < x - R && p[k]! < x - R) continue
    if (p[i + 1]! > y + R && p[j + 1]! > y + R && p[k + 1]! > y + R) continue
    if (p[i + 1]! < y - R && p[j + 1]! < y - R && p[k + 1]! < y - R) continue
    const corner = (v: number) => [p[v]!, p[v + 1]!, p[v + 2]!] as const
    const [a, b, c] = [corner(i), corner(j), corner(k)]
    const value = (s: number, t: number) => {
      const q = [0, 1, 2].map((k) => a[k]! + s * (b[k]! - a[k]! + t * (c[k]! - b[k]!))) as [number, number, number]
      return q[2] - slowProfile(R, r, Math.sqrt((q[0] - x) ** 2 + (q[1] - y) ** 2))
    }
    best = Math.max(
      best,
      largest((t) => largest((s) => value(s, t), 0, 1, rounds), 0, 1, rounds),
    )
  }
  return best
}
