/** Parts for the analysis whose answers are known on paper, or that are rough on purpose. Millimetres, outward facets. */
import type { Mesh } from '../../src/core/geometry/mesh'
import { random } from './random'
import { Builder, bent, box, icosphere, joined, moved } from './solids'

/**
 * An inside fillet of radius `r` between two flat faces along x (a floor z = 0 and a wall y = 0), facets of about `step`, each
 * vertex moved by `noise` (1 sigma). Open sheet; the free side is inside the corner.
 */
export function fillet(r: number, step: number, noise: number, seed: number, reach = 60, length = 80): Mesh<'job'> {
  const profile: [number, number][] = []
  const arcs = Math.round((r * Math.PI) / 2 / step)
  for (let y = reach; y > r; y -= step) profile.push([y, 0])
  for (let i = 0; i <= arcs; i++) {
    const a = arcs > 0 ? ((Math.PI / 2) * i) / arcs : 0
    profile.push([r - r * Math.sin(a), r - r * Math.cos(a)])
  }
  for (let z = r + step; z < reach; z += step) profile.push([0, z])
  const nx = Math.round(length / step)
  const chance = random(seed)
  const b = new Builder()
  const jog = () => (noise > 0 ? noise * chance.gaussian() : 0)
  for (let i = 0; i <= nx; i++) for (const [y, z] of profile) b.vertex(i * step + jog(), y + jog(), z + jog())
  const m = profile.length
  for (let i = 0; i < nx; i++)
    for (let j = 0; j + 1 < m; j++) b.quad(i * m + j, i * m + j + 1, (i + 1) * m + j + 1, (i + 1) * m + j)
  return b.mesh()
}

/** A lumpy closed ball: waves of the size of a fist on a sphere of radius 100. */
export const lump = (seed: number, levels = 4): Mesh<'job'> => {
  const chance = random(seed)
  const waves = Array.from({ length: 5 }, () => ({
    d: chance.direction(),
    k: chance.between(2, 6),
    p: chance.between(0, 6),
  }))
  return bent(icosphere(100, levels), (x, y, z) => {
    let s = 1
    for (const { d, k, p } of waves) s += 0.1 * Math.sin((k * (d[0] * x + d[1] * y + d[2] * z)) / 100 + p)
    return [s * x, s * y, s * z]
  })
}

/** Boxes thrown together at random, passing through each other: few facets, every one of them large. */
export function heap(seed: number, count = 14): Mesh<'job'> {
  const chance = random(seed)
  return joined(
    ...Array.from({ length: count }, () => {
      const size = [chance.between(20, 120), chance.between(20, 120), chance.between(10, 60)] as const
      return moved(box([0, 0, 0], size), chance.motion(90))
    }),
  )
}
