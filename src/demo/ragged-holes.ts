/**
 * What a scanner misses: facets inside noisy blobs at places it cannot see, which are undersides, the corners at joints and
 * under feet, and the inner sides of tubes. Metal seen from above or from outside stays.
 */
import type { RawMesh } from './iso-mesh'
import type { Vec3 } from './primitives'
import type { Random } from './random'
import { compact } from './thin-out'

export interface TrueHole {
  /** On the metal, job axes, mm. */
  readonly at: Vec3
  /** The blob reaches between 0.55 and 1.45 of this. */
  readonly radius_mm: number
}

/**
 * Cuts `count` holes; of what is left only the largest piece stays, so crumbs inside a hole go too.
 *
 * @param normals true outward unit normals, three per vertex
 * @param joints places where welds hide the metal; about half of the holes are near one
 */
export function cutHoles(
  mesh: RawMesh,
  normals: Float64Array,
  count: number,
  joints: readonly Vec3[],
  chance: Random,
): { mesh: RawMesh; holes: readonly TrueHole[] } {
  const { positions, indices } = mesh
  const vertices = positions.length / 3
  const dead = new Uint8Array(indices.length / 3)
  const holes: TrueHole[] = []
  const noise = lattice(chance.whole(0, 1 << 30))
  for (let tries = 0; holes.length < count && tries < count * 4000; tries++) {
    const v = chance.whole(0, vertices - 1) * 3
    const at: Vec3 = [positions[v]!, positions[v + 1]!, positions[v + 2]!]
    const n: Vec3 = [normals[v]!, normals[v + 1]!, normals[v + 2]!]
    if (!hidden(at, n)) continue
    const joint = joints.some((j) => distance(j, at) < 110)
    if (holes.length % 2 === 0 && !joint) continue
    // Two holes that run into one would make the count a lie.
    if (holes.some((hole) => distance(hole.at, at) < 200)) continue
    const radius_mm = chance.between(18, 42)
    let cut = 0
    for (let f = 0; f < dead.length; f++) {
      const [a, b, c] = [indices[f * 3]! * 3, indices[f * 3 + 1]! * 3, indices[f * 3 + 2]! * 3]
      const x = (positions[a]! + positions[b]! + positions[c]!) / 3
      const y = (positions[a + 1]! + positions[b + 1]! + positions[c + 1]!) / 3
      const z = (positions[a + 2]! + positions[b + 2]! + positions[c + 2]!) / 3
      const far = (x - at[0]) * (x - at[0]) + (y - at[1]) * (y - at[1]) + (z - at[2]) * (z - at[2])
      if (far > radius_mm * radius_mm * 2.2) continue
      // Only the side that was turned away: a blob must not cut a tube in two.
      const facing = normals[a]! * n[0] + normals[a + 1]! * n[1] + normals[a + 2]! * n[2]
      const limit = radius_mm * (0.55 + 0.9 * noise(x / 13, y / 13, z / 13))
      if (facing > 0.1 && normals[a + 2]! < 0.5 && far < limit * limit) {
        dead[f] = 1
        cut++
      }
    }
    if (cut > 0) holes.push({ at, radius_mm })
  }
  keepLargest(indices, vertices, dead)
  return { mesh: compact(positions, indices, dead), holes }
}

/** Turned down, or a side of high metal that does not look outwards. */
function hidden(at: Vec3, n: Vec3): boolean {
  if (n[2] < -0.6) return true
  const outwards = (at[0] * n[0] + at[1] * n[1]) / (Math.sqrt(at[0] * at[0] + at[1] * at[1]) + 1)
  return n[2] < 0.2 && outwards < 0
}

/** Marks as dead every facet that does not hang together by edges with the largest piece. */
export function keepLargest(indices: Uint32Array, vertices: number, dead: Uint8Array): void {
  const piece = pieces(indices, vertices, dead)
  const sizes: number[] = []
  for (const p of piece) if (p >= 0) sizes[p] = (sizes[p] ?? 0) + 1
  const largest = sizes.indexOf(sizes.reduce((a, b) => Math.max(a, b), 0))
  for (let f = 0; f < dead.length; f++) if (piece[f] !== largest) dead[f] = 1
}

/** Number of the edge-connected piece of each facet, -1 for dead ones. */
export function pieces(indices: Uint32Array, vertices: number, dead: Uint8Array): Int32Array {
  const first = new Int32Array(vertices).fill(-1)
  const next = new Int32Array(indices.length)
  for (let c = 0; c < indices.length; c++) {
    const v = indices[c]!
    next[c] = first[v]!
    first[v] = c
  }
  const piece = new Int32Array(dead.length).fill(-1)
  const stack: number[] = []
  let count = 0
  for (let start = 0; start < dead.length; start++) {
    if (dead[start] || piece[start] !== -1) continue
    piece[start] = count
    stack.push(start)
    for (let f = stack.pop(); f !== undefined; f = stack.pop())
      for (let e = 0; e < 3; e++) {
        const v = indices[f * 3 + ((e + 1) % 3)]!
        for (let c = first[indices[f * 3 + e]!]!; c !== -1; c = next[c]!) {
          const g = (c - (c % 3)) / 3
          if (dead[g] || piece[g] !== -1) continue
          if (indices[g * 3] !== v && indices[g * 3 + 1] !== v && indices[g * 3 + 2] !== v) continue
          piece[g] = count
          stack.push(g)
        }
      }
    count++
  }
  return piece
}

/** Smooth noise from 0 to 1 over space: numbers at whole coordinates, blended between. */
export function lattice(seed: number): (x: number, y: number, z: number) => number {
  const at = (i: number, j: number, k: number): number => {
    let h = Math.imul(i, 0x9e3779b1) ^ Math.imul(j, 0x85ebca6b) ^ Math.imul(k, 0xc2b2ae35) ^ seed
    h = Math.imul(h ^ (h >>> 15), 0x2c1b3c6d)
    h = Math.imul(h ^ (h >>> 12), 0x297a2d39)
    return ((h ^ (h >>> 15)) >>> 0) / 4294967296
  }
  const ease = (t: number) => t * t * (3 - 2 * t)
  return (x, y, z) => {
    const [i, j, k] = [Math.floor(x), Math.floor(y), Math.floor(z)]
    const [u, v, w] = [ease(x - i), ease(y - j), ease(z - k)]
    const along = (b: number, c: number) => at(i, j + b, k + c) * (1 - u) + at(i + 1, j + b, k + c) * u
    const near = along(0, 0) * (1 - v) + along(1, 0) * v
    const far = along(0, 1) * (1 - v) + along(1, 1) * v
    return near * (1 - w) + far * w
  }
}

const distance = (a: Vec3, b: Vec3): number =>
  Math.sqrt((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]) + (a[2] - b[2]) * (a[2] - b[2]))
