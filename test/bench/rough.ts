/**
 * The rough underside that answers while a setting is chosen: thinning once, then each answer, and how far the answers are from
 * the exact sheet.
 *
 *   npx tsx test/bench/rough.ts [facets] [answers]
 */
import { CLEARANCE_DEFAULTS, type RoughUnderside, roughUnderside, thinFrame } from '../../src/core/clearance'
import { drawShells } from '../../src/core/clearance/clearance'
import { drain } from '../../src/core/geometry/kernel'
import { surfaceIndex } from '../../src/core/geometry/surface-index'
import { scannedFrame } from './scanned-frame'

const facets = Number(process.argv[2] ?? 1_000_000)
const answers = Number(process.argv[3] ?? 8)
const { frame, rimVertex } = scannedFrame({ seed: 5, asymmetry_mm: 4, bent_mm: 0, facets })

function timed<T>(what: string, run: () => T): T {
  const from = performance.now()
  const cpu = process.cpuUsage()
  const made = run()
  const { user, system } = process.cpuUsage(cpu)
  // Of this process, so that it can be told on a busy machine too; collector and compiler run beside and count in it.
  console.log(
    `${what}: ${(performance.now() - from).toFixed(0)} ms, ${((user + system) / 1000).toFixed(0)} ms of processor`,
  )
  return made
}

const thin = timed(`${frame.indices.length / 3} facets thinned`, () => drain(thinFrame({ frame, rimVertex })))
console.log(`  to ${thin.facetFrom.length}`)
let line: RoughUnderside['line'] | null = null
for (let k = 0; k < answers; k++) {
  // As somebody drags: the gap goes up millimetre by millimetre and ends at 12.
  const settings = { ...CLEARANCE_DEFAULTS, gap_mm: 13 - answers + k }
  const request = { frame: thin.mesh, rimVertex: thin.rimVertex, unseenFacet: null, noise_mm: 0.3, settings, line }
  const made: RoughUnderside = timed(line ? 'rough underside' : 'rough underside, first, skirt line included', () =>
    drain(roughUnderside({ ...request, facetGap_mm: null })),
  )
  line = made.line
  if (k < answers - 1) continue
  const whole = { frame, rimVertex, unseenFacet: null, noise_mm: 0.3, settings, facetGap_mm: null }
  const exact = surfaceIndex(timed('both shells exactly', () => drain(drawShells(whole))).underside.face)
  const { positions } = made.underside.face
  const off: number[] = []
  for (let v = 0; v < positions.length; v += 3)
    off.push(exact.closestPoint([positions[v]!, positions[v + 1]!, positions[v + 2]!])!.distance_mm)
  off.sort((a, b) => a - b)
  const at = (share: number) => off[Math.min(off.length - 1, Math.floor(share * off.length))]!.toFixed(2)
  console.log(`rough against exact: half within ${at(0.5)} mm, 95 % within ${at(0.95)}, all within ${at(1)}`)
}
