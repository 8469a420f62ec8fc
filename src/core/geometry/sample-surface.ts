import { seededRandom } from './seeded-random'

/** Vertices that stand for a surface, evenly by area. */
export interface SurfaceSample {
  readonly vertex: Uint32Array
  /** Share of the surface each stands for, mean 1. */
  readonly weight: Float32Array
}

/**
 * Draws about `count` vertices evenly by area: one from each of `count` equal slices of the running area (a drawn place in the
 * slice), so that the sample is as even as the order of the vertices is local. Neighbouring entries are near each other on
 * the metal: every second one is a disjoint sample as even as the whole.
 *
 * @param area mm2, one per vertex; vertices without area are never drawn
 * @returns all vertices, weighted by area, when there are hardly more than asked for
 */
export function sampleSurface(area: Float32Array, count: number, seed: number): SurfaceSample {
  let total = 0
  let usable = 0
  for (let i = 0; i < area.length; i++) {
    total += area[i]!
    if (area[i]! > 0) usable++
  }
  if (usable <= 1.5 * count) {
    const vertex = new Uint32Array(usable)
    const weight = new Float32Array(usable)
    let n = 0
    for (let i = 0; i < area.length; i++) {
      if (!(area[i]! > 0)) continue
      vertex[n] = i
      weight[n++] = (area[i]! * usable) / total
    }
    return { vertex, weight }
  }
  const random = seededRandom(seed)
  const vertex = new Uint32Array(count)
  const slice = total / count
  let n = 0
  let gone = 0
  let drawn = 0
  let target = slice * random()
  for (let i = 0; i < area.length; i++) {
    gone += area[i]!
    if (gone <= target) continue
    // A vertex larger than a slice stands only once: the two halves of a sample must stay disjoint.
    if (n < count) vertex[n++] = i
    while (target < gone) target = slice * (++drawn + random())
  }
  return { vertex: vertex.subarray(0, n), weight: new Float32Array(n).fill(1) }
}
