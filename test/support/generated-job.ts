/** Small whole jobs that differ in everything a shop may change; the same seed gives the same job. */
import { drain } from '../../src/core/geometry/kernel'
import { adoptJob, parseJobValue, sha256Hex, writeJobZip } from '../../src/core/job'
import { writeStl } from '../../src/core/release'
import { frameSolid, STRAIGHT_FRAME } from '../../src/demo/frame-solid'
import { seeded } from '../../src/demo/random'
import { scanSolid } from '../../src/demo/scan-solid'
import { box, frustum } from './solids'

/** A small frame, coarse samples: made to be planned often, not to be looked at. */
export function generatedJob(seed: number): Uint8Array {
  const chance = seeded(`job ${seed}`)
  const { between } = chance
  const { solid, truth } = frameSolid({ ...STRAIGHT_FRAME, seed, asymmetry_mm: between(0, 8) })
  const scan = scanSolid(solid, truth, { seed, facets: 12_000, noise_mm: 0.2, holes: 2, islands: 0, pose: 'random' })
  const meshes = new Map([
    ['frame.stl', writeStl(drain(scan).mesh)],
    ['lamp.stl', writeStl(frustum(40, 20, 90, 32))],
    ['case.stl', writeStl(box([0, 0, 0], [between(120, 260), between(90, 200), between(40, 120)]))],
  ])
  const job = adoptJob(
    parseJobValue({
      format: 'mouldwright-job',
      version: 1,
      title: `Two engines ${seed}`,
      scan: { files: ['frame.stl'], unit: 'mm' },
      clearance: {
        gap_mm: between(5, 30),
        draft_deg: between(1, 5),
        skirt_mm: between(30, 80),
        edgeRadius_mm: between(16, 40),
        sample_mm: 20,
        symmetric: seed % 3 !== 0,
        joint: seed % 2 === 0 ? 'flat' : 'shoebox',
      },
      tooling: { scallop_mm: 1, made: seed % 2 === 0 ? 'plug' : 'direct' },
      fittings: [
        { name: 'lamp', mesh: 'lamp.stl', unit: 'mm', at_mm: [between(300, 600), between(150, 300)], mirror: true },
        {
          name: 'case',
          mesh: 'case.stl',
          unit: 'mm',
          at_mm: [between(-500, 0), 0],
          turn_deg: between(0, 360),
          seat: { kind: seed % 4 === 1 ? 'pad' : 'none' },
        },
      ],
    }),
    (name) => ({ asset: sha256Hex(meshes.get(name)!), name }),
  )
  return writeJobZip(job, new Map([...meshes.values()].map((bytes) => [sha256Hex(bytes), bytes])))
}
