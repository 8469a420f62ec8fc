/** What a scanner picks up besides the frame: bits of floor under it, and lumps in the air between, each a ragged patch. */
import type { RawMesh } from './iso-mesh'
import type { Vec3 } from './primitives'
import { keepLargest, lattice } from './ragged-holes'
import type { Random } from './random'
import { compact } from './thin-out'

export interface TrueIsland {
  readonly kind: 'floor' | 'lump'
  /** Job axes, mm. */
  readonly at: Vec3
  readonly facets: number
}

export interface IslandSite {
  /** Half the frame's length and width, mm. */
  readonly half: readonly [number, number]
  /** Height of the floor, job axes, mm. */
  readonly floor: number
  /** Distance from the metal, mm; large where it is far. */
  readonly toMetal: (x: number, y: number, z: number) => number
}

/** @param edge_mm mean edge of the scan: the islands' facets are as large as the frame's */
export function* strayIslands(
  count: number,
  edge_mm: number,
  noise_mm: number,
  site: IslandSite,
  chance: Random,
): Generator<{ mesh: RawMesh; island: TrueIsland }> {
  for (let n = 0; n < count; n++) {
    const kind = n % 3 === 2 ? 'lump' : 'floor'
    const place = (): Vec3 => [
      chance.between(-1, 1) * (site.half[0] + 60),
      chance.between(-1, 1) * (site.half[1] + 60),
      kind === 'floor' ? site.floor - chance.between(0, 4) : site.floor + chance.between(150, 650),
    ]
    let at = place()
    // An island that touched the frame would be no island.
    while (Math.min(...corners(at, 70).map((c) => site.toMetal(...c))) < 12) at = place()
    const mesh = patch(kind, at, edge_mm, noise_mm, chance)
    yield { mesh, island: { kind, at, facets: mesh.indices.length / 3 } }
  }
}

/** A jittered triangle lattice within a noisy outline, flat for floor and bulging for a lump, in any direction in plan. */
function patch(kind: TrueIsland['kind'], at: Vec3, edge_mm: number, noise_mm: number, chance: Random): RawMesh {
  const radius = Math.max(chance.between(16, 34), 2.4 * edge_mm)
  const rings = Math.ceil((radius * 1.5) / edge_mm)
  const wide = 2 * rings + 1
  const [dx, dy] = chance.direction()
  const length = Math.sqrt(dx * dx + dy * dy) || 1
  const [ux, uy] = [dx / length, dy / length]
  const bulge = kind === 'lump' ? chance.between(0.5, 0.9) / radius : 0
  const tilt = kind === 'lump' ? chance.rotation() : [1, 0, 0, 0, 1, 0, 0, 0, 1]
  const rough = lattice(chance.whole(0, 1 << 30))
  const positions = new Float64Array(wide * wide * 3)
  const inside = new Uint8Array(wide * wide)
  for (let j = 0; j < wide; j++)
    for (let i = 0; i < wide; i++) {
      const n = j * wide + i
      const a = (i - rings + (j - rings) / 2 + chance.between(-0.22, 0.22)) * edge_mm
      const b = ((j - rings) * 0.866 + chance.between(-0.22, 0.22)) * edge_mm
      const limit = radius * (0.6 + 0.8 * rough(a / 11, b / 11, 7.5))
      inside[n] = a * a + b * b < limit * limit ? 1 : 0
      const [p, q] = [ux * a - uy * b, uy * a + ux * b]
      const r = (kind === 'floor' ? 0.8 * rough(a / 6, b / 6, 0) : -bulge * (a * a + b * b)) + noise_mm * chance.gauss()
      for (let k = 0; k < 3; k++)
        positions[n * 3 + k] = at[k]! + tilt[k * 3]! * p + tilt[k * 3 + 1]! * q + tilt[k * 3 + 2]! * r
    }
  const indices: number[] = []
  const put = (a: number, b: number, c: number) => {
    if (inside[a] && inside[b] && inside[c]) indices.push(a, b, c)
  }
  for (let j = 0; j + 1 < wide; j++)
    for (let i = 0; i + 1 < wide; i++) {
      const n = j * wide + i
      put(n, n + 1, n + wide)
      put(n + 1, n + wide + 1, n + wide)
    }
  const corner = Uint32Array.from(indices)
  const dead = new Uint8Array(corner.length / 3)
  keepLargest(corner, wide * wide, dead)
  return compact(positions, corner, dead)
}

const corners = ([x, y, z]: Vec3, by: number): Vec3[] => [
  [x, y, z],
  [x - by, y - by, z],
  [x + by, y - by, z],
  [x - by, y + by, z],
  [x + by, y + by, z],
  [x, y, z + by],
  [x, y, z - by],
]
