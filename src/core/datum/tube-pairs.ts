import type { Tube } from '../frame'
import { type Matrix4, transformDirection, transformPoint } from '../geometry/axes'
import type { Vec } from '../geometry/vectors'
import { meetAxis, tubeStations } from './tube-mirror'
import type { TubePair } from './types'

/** How far the mirror image of a tube may lie from its partner, mm. */
const REACH_mm = 60
/** A pair of which fewer stations meet is a chance crossing. */
const LEAST_STATIONS = 4

/** Port against starboard, tube by tube: each station on the starboard side mirrored in y = 0 on to the axis it meets. */
export function tubePairs(tubes: readonly Tube[], motion: Matrix4): TubePair[] {
  const inJob = tubes.map((t): Tube => {
    const axis = new Float64Array(t.axis.length)
    for (let i = 0; i < axis.length; i += 3)
      axis.set(transformPoint(motion, [t.axis[i]!, t.axis[i + 1]!, t.axis[i + 2]!]), i)
    return { ...t, axis }
  })
  const s = tubeStations(inJob, [0, 0, 0])
  const sums = new Map<string, { port: number; starboard: number; out: number; up: number; most: number; n: number }>()
  for (let i = 0; i < s.count; i++) {
    if (!s.clean[i] || s.at[3 * i + 1]! >= 0) continue
    const y: Vec = [s.at[3 * i]!, -s.at[3 * i + 1]!, s.at[3 * i + 2]!]
    const along: Vec = [s.along[3 * i]!, -s.along[3 * i + 1]!, s.along[3 * i + 2]!]
    const met = meetAxis(s, y, along, s.radius_mm[i]!, REACH_mm)
    if (!met) continue
    const dx = met.at[0] - y[0]
    const dy = met.at[1] - y[1]
    const dz = met.at[2] - y[2]
    const key = `${met.tube} ${s.tube[i]}`
    const sum = sums.get(key) ?? { port: met.tube, starboard: s.tube[i]!, out: 0, up: 0, most: 0, n: 0 }
    sum.out += dy
    sum.up += dz
    sum.most = Math.max(sum.most, Math.sqrt(dx * dx + dy * dy + dz * dz))
    sum.n++
    sums.set(key, sum)
  }
  return [...sums.values()]
    .filter((p) => p.n >= LEAST_STATIONS)
    .map((p) => ({
      port: tubes[p.port]!.id,
      starboard: tubes[p.starboard]!.id,
      outward_mm: p.out / p.n,
      up_mm: p.up / p.n,
      largest_mm: p.most,
      stations: p.n,
    }))
}

/** Mean height (along `up` from `middle`) and half width of a closed tube. */
export function rimOf(tube: Tube, forward: Vec, port: Vec, up: Vec, middle: Vec) {
  const n = tube.axis.length / 3
  let z = 0
  let most = -Infinity
  let least = Infinity
  const m = [...forward, 0, ...port, 0, ...up, 0, 0, 0, 0, 1]
  for (let i = 0; i < n; i++) {
    const p = transformDirection(m, [
      tube.axis[3 * i]! - middle[0],
      tube.axis[3 * i + 1]! - middle[1],
      tube.axis[3 * i + 2]! - middle[2],
    ])
    z += p[2] / n
    most = Math.max(most, p[1])
    least = Math.min(least, p[1])
  }
  return { z, halfWidth_mm: (most - least) / 2 }
}
