/** Tubes found against the tubes that a generated frame truly has. */
import type { Tube } from '../../src/core/frame'

/** Distance of a point from a polyline. */
export function fromLine(p: readonly number[], line: ArrayLike<number>, closed: boolean): number {
  const n = line.length / 3
  const [x, y, z] = [p[0]!, p[1]!, p[2]!]
  let best = Infinity
  for (let i = 0; i + (closed ? 0 : 1) < n; i++) {
    const a = 3 * i
    const b = 3 * ((i + 1) % n)
    const ux = line[b]! - line[a]!
    const uy = line[b + 1]! - line[a + 1]!
    const uz = line[b + 2]! - line[a + 2]!
    const wx = x - line[a]!
    const wy = y - line[a + 1]!
    const wz = z - line[a + 2]!
    const uu = ux * ux + uy * uy + uz * uz
    const t = uu > 0 ? Math.min(1, Math.max(0, (ux * wx + uy * wy + uz * wz) / uu)) : 0
    best = Math.min(best, Math.hypot(wx - t * ux, wy - t * uy, wz - t * uz))
  }
  return best
}

export interface TubeTruth {
  readonly name: string
  readonly diameter_mm: number
  readonly closed: boolean
  readonly axis: readonly (readonly number[])[]
}

/** The tube found that holds most of a true one, with the share of it that lies within 2 mm. */
export function partner(truth: TubeTruth, tubes: readonly Tube[]) {
  let best = { tube: tubes[0]!, share: 0 }
  for (const tube of tubes) {
    if (Math.abs(tube.diameter_mm - truth.diameter_mm) > 3) continue
    const share = truth.axis.filter((p) => fromLine(p, tube.axis, tube.closed) < 2).length / truth.axis.length
    if (share > best.share) best = { tube, share }
  }
  return best
}
