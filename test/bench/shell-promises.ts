/**
 * Promises 1 and 2 of the clearance step on ten scanned frames of the generator, gaps of 3 to 40 mm: the least distance by
 * three-mesh-bvh against the asked gap, excess lift, drafts, self-intersections, and volumes. Some minutes; prints a table.
 *
 *   npx tsx test/bench/shell-promises.ts [facets]
 */
import manifold from 'manifold-3d'
import { CLEARANCE_DEFAULTS, clearanceStep, type Shell } from '../../src/core/clearance'
import { drain } from '../../src/core/geometry/kernel'
import { surfaceIndex } from '../../src/core/geometry/surface-index'
import { selfIntersections } from '../support/self-intersections'
import { plainVolume } from '../support/solids'
import { scannedFrame } from './scanned-frame'

const facets = Number(process.argv[2] ?? 100_000)
const NOISE_MM = 0.3
const GAPS_MM = [3, 6, 9, 12, 15, 20, 25, 30, 35, 40]
const wasm = await manifold()
wasm.setup()

/** Genus and volume by the general solid library, against the divergence theorem's. */
function judged({ solid }: Shell): string {
  const made = new wasm.Manifold(
    new wasm.Mesh({ numProp: 3, vertProperties: solid.positions.slice(), triVerts: solid.indices.slice() }),
  )
  const off = Math.abs(made.volume() / plainVolume(solid) - 1)
  const text = `${made.status()}, genus ${made.genus()}, ${off.toExponential(0)}`
  made.delete()
  return text
}

console.log(
  '| seed | low, mm | gap | verdict | least (three-mesh-bvh) | ours − theirs | excess p50 / p95 | least draft | pierced | solids: status, genus, volume off |',
)
console.log('| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |')
for (let seed = 1; seed <= 10; seed++) {
  const gap_mm = GAPS_MM[(seed * 7) % 10]!
  const asymmetry_mm = (seed % 3) * 4
  const { frame, rimVertex } = scannedFrame({ seed, asymmetry_mm, bent_mm: seed % 2 ? 6 : 0, facets })
  const { certificate, underside, topside } = drain(
    clearanceStep({
      frame,
      rimVertex,
      unseenFacet: null,
      noise_mm: NOISE_MM,
      settings: { ...CLEARANCE_DEFAULTS, gap_mm },
      facetGap_mm: null,
    }),
  )
  const theirs = surfaceIndex(underside.face).leastDistance(surfaceIndex(frame)).distance_mm
  const { p50_mm, p95_mm } = certificate.excessLift
  const pierced = selfIntersections(underside.solid) + selfIntersections(topside.solid)
  console.log(
    `| ${seed} | ${asymmetry_mm} | ${gap_mm} | ${certificate.verdict} | ${theirs.toFixed(4)} | ${(certificate.min_mm - theirs).toExponential(0)} | ${p50_mm.toFixed(2)} / ${p95_mm.toFixed(2)} | ${Math.min(leastDraft(underside), leastDraft(topside)).toFixed(4)} | ${pierced} | ${judged(underside)}; ${judged(topside)} |`,
  )
}

function leastDraft({ face: { positions: p, indices }, pull }: Shell): number {
  let least = Infinity
  for (let f = 0; f < indices.length; f += 3) {
    const [a, b, c] = [3 * indices[f]!, 3 * indices[f + 1]!, 3 * indices[f + 2]!]
    const u = [0, 1, 2].map((k) => p[b + k]! - p[a + k]!)
    const v = [0, 1, 2].map((k) => p[c + k]! - p[a + k]!)
    const n = [u[1]! * v[2]! - u[2]! * v[1]!, u[2]! * v[0]! - u[0]! * v[2]!, u[0]! * v[1]! - u[1]! * v[0]!]
    least = Math.min(least, (n[0]! * pull[0] + n[1]! * pull[1] + n[2]! * pull[2]) / Math.hypot(...n))
  }
  return (Math.asin(least) * 180) / Math.PI
}
