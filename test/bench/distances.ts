/**
 * One drag of a fitting among twenty of 82,000 facets each: the part moved, its search tree built, and its least distance to the
 * nineteen others, whose trees are kept. CPU time, the first (cold) round apart; held against the other library.
 *
 *   npx tsx test/bench/distances.ts
 */
import { drain } from '../../src/core/geometry/kernel'
import { leastDistance } from '../../src/core/geometry/least-distance'
import { transformMesh } from '../../src/core/geometry/mesh'
import { surfaceIndex } from '../../src/core/geometry/surface-index'
import { icosphere } from '../support/solids'

const at = (mesh: ReturnType<typeof icosphere>, x: number, y: number, z: number) =>
  transformMesh(mesh, [1, 0, 0, x, 0, 1, 0, y, 0, 0, 1, z, 0, 0, 0, 1], 'job')
const ball = icosphere(60, 6)
const all = Array.from({ length: 20 }, (_, k) => at(ball, k * 150 - 1400, (k % 3) * 140, 0))
const others = all.filter((_, k) => k !== 7)
for (const other of others) drain(leastDistance(other, others[0]!))
for (let round = 0; round < 6; round++) {
  const from = process.cpuUsage()
  const moved = at(all[7]!, round + 1, 250, 3)
  const least = Math.min(...others.map((other) => drain(leastDistance(moved, other)).distance_mm))
  const { user } = process.cpuUsage(from)
  console.log(`${round === 0 ? 'cold' : 'drag'} ${(user / 1000).toFixed(1)} ms, least ${least.toFixed(3)} mm`)
}
const apart = [1, 5, 12].map((k) =>
  Math.abs(
    surfaceIndex(all[7]!).leastDistance(surfaceIndex(all[k]!)).distance_mm -
      drain(leastDistance(all[7]!, all[k]!)).distance_mm,
  ),
)
console.log(`against the other library: ${Math.max(...apart)} mm`)
