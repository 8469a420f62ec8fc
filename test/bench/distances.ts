/**
 * One drag of a fitting among twenty of 82,000 facets each: the part moved, its search tree built, and its least distance to the
 * nineteen others, whose trees are kept; then the whole fitting step over a plate, from nothing and after each drag. CPU time,
 * the first (cold) round apart; distances held against the other library.
 *
 *   npx tsx test/bench/distances.ts
 */
import { fittingStep } from '../../src/core/fitting'
import { FASTENER_DEFAULTS } from '../../src/core/fitting/fastening-settings'
import { PEOPLE_DEFAULTS, VESSEL_DEFAULTS } from '../../src/core/fitting/settings'
import type { FittingItem } from '../../src/core/fitting/types'
import { drain } from '../../src/core/geometry/kernel'
import { leastDistance } from '../../src/core/geometry/least-distance'
import { bounds, type Mesh, transformMesh } from '../../src/core/geometry/mesh'
import { surfaceIndex } from '../../src/core/geometry/surface-index'
import { gridPlate, icosphere, inAxes } from '../support/solids'

const at = (mesh: ReturnType<typeof icosphere>, x: number, y: number, z: number) =>
  transformMesh(mesh, [1, 0, 0, x, 0, 1, 0, y, 0, 0, 1, z, 0, 0, 0, 1], 'job')
/** How far apart the boxes of two meshes are, mm. */
function boxGap(a: Mesh, b: Mesh): number {
  const [p, q] = [bounds(a), bounds(b)]
  return Math.hypot(...[0, 1, 2].map((k) => Math.max(0, p.min[k]! - q.max[k]!, q.min[k]! - p.max[k]!)))
}
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
// Only the nearest of them: what is farther than the best so far is passed over.
for (let round = 0; round < 6; round++) {
  const from = process.cpuUsage()
  const moved = at(all[7]!, round + 1, 251, 3)
  let least = Infinity
  for (const other of [...others].sort((a, b) => boxGap(moved, a) - boxGap(moved, b)))
    least = Math.min(least, drain(leastDistance(moved, other, least)).distance_mm)
  const { user } = process.cpuUsage(from)
  console.log(`nearest alone ${(user / 1000).toFixed(1)} ms, least ${least.toFixed(3)} mm`)
}
const apart = [1, 5, 12].map((k) =>
  Math.abs(
    surfaceIndex(all[7]!).leastDistance(surfaceIndex(all[k]!)).distance_mm -
      drain(leastDistance(all[7]!, all[k]!)).distance_mm,
  ),
)
console.log(`against the other library: ${Math.max(...apart)} mm`)

const plate = gridPlate(3000, 2000, 100, 80, 0)
const shell = { solid: plate, joint: new Uint8Array(plate.indices.length / 3).fill(1, 0, 100) }
const lamp = inAxes(ball, 'part')
const item = (k: number, dx: number): FittingItem => ({
  id: `lamp ${k}`,
  name: `lamp ${k}`,
  mesh: lamp,
  on: 'topside',
  at_mm: [200 + 250 * (k % 10) + dx, k < 10 ? 500 : 1200],
  turn_deg: 7 * k,
  upright: false,
  mirror: false,
  baseNormal: null,
  mass_kg: null,
  light: null,
  faces: null,
  fasteners: FASTENER_DEFAULTS,
  keepOuts: [],
  handle: false,
})
const frame = at(ball, 0, 0, -400)
const items = Array.from({ length: 20 }, (_, k) => item(k, 0))
for (let round = 0; round < 5; round++) {
  items[7] = item(7, round)
  const from = process.cpuUsage()
  drain(
    fittingStep({
      items,
      frame,
      topside: plate,
      underside: plate,
      shells: { topside: shell, underside: shell },
      tubes: [],
      gap_mm: 12,
      vessel: VESSEL_DEFAULTS,
      people: PEOPLE_DEFAULTS,
      wires: [],
      chases: [],
      draft_deg: 3,
    }),
  )
  console.log(
    `whole step, ${round === 0 ? 'from nothing' : 'one dragged'}: ${(process.cpuUsage(from).user / 1000).toFixed(0)} ms`,
  )
}
