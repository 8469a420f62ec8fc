import type { Mesh } from '../geometry/mesh'
import { Remembered } from '../geometry/remembered'
import { cross, dot, plus, scaled, type Vec } from '../geometry/vectors'
import type { Footprint } from './place'
import { partReference } from './place'
import type { BasePlane } from './types'

/** How far from the base plane a vertex may be and still count as touching, mm. */
const TOUCHING_MM = 0.5
/** Samples along each side of the footprint's box. */
const SIDE = 9

/**
 * Sample places of the base as offsets from its middle: the hull's corners and a grid inside, so that crown and camber
 * under a wide base are met in the middle as well as at the rim.
 */
export function footprintOf(mesh: Mesh<'part'>, base: BasePlane): Footprint {
  const key = [...base.normal, ...base.at].join(' ')
  return footprints.get(mesh, key) ?? footprints.set(mesh, key, sampled(mesh, base), FOOTPRINTS)
}

const footprints = new Remembered<Footprint>()
const FOOTPRINTS = 8

function sampled(mesh: Mesh<'part'>, base: BasePlane): Footprint {
  const up = scaled(base.normal, -1)
  const ahead = partReference(base.normal)
  const left = cross(up, ahead)
  const level = dot(base.at, base.normal)
  const touching: [number, number][] = []
  const { positions: p, origin: o } = mesh
  for (let i = 0; i < p.length; i += 3) {
    const at: Vec = [p[i]! + o[0], p[i + 1]! + o[1], p[i + 2]! + o[2]]
    if (level - dot(at, base.normal) > TOUCHING_MM) continue
    const from = plus(at, base.at, -1)
    touching.push([dot(from, ahead), dot(from, left)])
  }
  const hull = convexHull(touching)
  if (hull.length < 3) return hull.length > 0 ? hull : [[0, 0]]
  let minU = Infinity
  let maxU = -Infinity
  let minV = Infinity
  let maxV = -Infinity
  for (const [u, v] of hull) {
    minU = Math.min(minU, u)
    maxU = Math.max(maxU, u)
    minV = Math.min(minV, v)
    maxV = Math.max(maxV, v)
  }
  const samples: [number, number][] = hull.map(([u, v]) => [u, v])
  for (let i = 0; i < SIDE; i++)
    for (let j = 0; j < SIDE; j++) {
      const u = minU + ((maxU - minU) * (i + 0.5)) / SIDE
      const v = minV + ((maxV - minV) * (j + 0.5)) / SIDE
      if (insideConvex(hull, u, v)) samples.push([u, v])
    }
  return samples
}

/** Andrew's monotone chain (Inf. Proc. Letters 9, 1979), counter-clockwise, without points on its sides. */
export function convexHull(points: readonly (readonly [number, number])[]): [number, number][] {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1])
  const half = (list: readonly (readonly [number, number])[]): [number, number][] => {
    const chain: [number, number][] = []
    for (const [x, y] of list) {
      for (;;) {
        const b = chain.at(-1)
        const a = chain.at(-2)
        if (!a || !b || (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]) > 1e-9) break
        chain.pop()
      }
      const last = chain.at(-1)
      if (!last || last[0] !== x || last[1] !== y) chain.push([x, y])
    }
    return chain
  }
  const lower = half(sorted)
  const upper = half(sorted.reverse())
  return [...lower.slice(0, -1), ...upper.slice(0, -1)]
}

function insideConvex(hull: readonly (readonly [number, number])[], x: number, y: number): boolean {
  for (let i = 0; i < hull.length; i++) {
    const [ax, ay] = hull[i]!
    const [bx, by] = hull[(i + 1) % hull.length]!
    if ((bx - ax) * (y - ay) - (by - ay) * (x - ax) < 0) return false
  }
  return true
}
