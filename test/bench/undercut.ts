/**
 * Undercut, one pull, search structure included: ours against three-mesh-bvh used the obvious way (a tree, and one ray from each
 * facet that faces the pull), in the same run and in alternated pairs; and what else the check of a part costs.
 *
 *   npx tsx test/bench/undercut.ts [facets] [pairs]
 */
import { undercut } from '../../src/core/analysis'
import { draftInView } from '../../src/core/analysis/draft'
import { blockedAtMiddle } from '../../src/core/analysis/plan-bins'
import { facetSides, planView, SIDE } from '../../src/core/analysis/plan-view'
import { drain } from '../../src/core/geometry/kernel'
import { makeMesh } from '../../src/core/geometry/mesh'
import { surfaceIndex } from '../../src/core/geometry/surface-index'
import { frameSolid, STRAIGHT_FRAME } from '../../src/demo/frame-solid'
import { scanSolid } from '../../src/demo/scan-solid'
import { pointOn } from '../support/cast-rays'

const facets = Number(process.argv[2] ?? 1_000_000)
const pairs = Number(process.argv[3] ?? 3)
const pull = [0, 0, 1] as const

const { solid, truth } = frameSolid({ ...STRAIGHT_FRAME, seed: 5, asymmetry_mm: 4 })
const scan = drain(
  scanSolid(solid, truth, { seed: 5, facets, noise_mm: 0.3, holes: 5, islands: 3, pose: 'random' }),
).mesh
const mesh = makeMesh('job', scan.positions, scan.indices)

function timed<T>(run: () => T): { ms: number; value: T } {
  const from = performance.now()
  const value = run()
  return { ms: performance.now() - from, value }
}

function ours(): Uint8Array {
  const view = drain(planView(mesh, pull))
  return drain(blockedAtMiddle(view, drain(facetSides(view))))
}

function naive(side: Uint8Array): Uint8Array {
  const index = surfaceIndex(mesh)
  const out = new Uint8Array(side.length)
  for (let f = 0; f < side.length; f++) {
    if (side[f] !== SIDE.front) continue
    const p = pointOn(mesh, f, 1 / 3, 1 / 3)
    if (index.firstHit([p[0], p[1], p[2] + 0.005], pull)) out[f] = 1
  }
  return out
}

const view = drain(planView(mesh, pull))
const side = drain(facetSides(view))
const ratios: number[] = []
for (let i = 0; i < pairs; i++) {
  const a = timed(ours)
  const b = timed(() => naive(side))
  let different = 0
  for (let f = 0; f < side.length; f++) if (a.value[f] !== b.value[f]) different++
  ratios.push(b.ms / a.ms)
  console.log(
    `${side.length} facets: ours ${a.ms.toFixed(0)} ms, one ray a facet ${b.ms.toFixed(0)} ms, ratio ${(b.ms / a.ms).toFixed(1)}; ${different} facets judged differently`,
  )
}
ratios.sort((x, y) => x - y)
console.log(`median ratio ${ratios[ratios.length >> 1]!.toFixed(1)} (must be 6 or more)`)
for (let i = 0; i < 3; i++)
  console.log(
    `draft ${timed(() => drain(draftInView(view, side, 3))).ms.toFixed(0)} ms; undercut with regions and depths ${timed(() => drain(undercut(mesh, pull))).ms.toFixed(0)} ms`,
  )
