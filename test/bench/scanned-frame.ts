import { adjacency, RIM } from '../../src/core/geometry/adjacency'
import { drain } from '../../src/core/geometry/kernel'
import { type Mesh, makeMesh } from '../../src/core/geometry/mesh'
import { frameSolid, STRAIGHT_FRAME } from '../../src/demo/frame-solid'
import { scanSolid } from '../../src/demo/scan-solid'

/** A noisy scan with holes of a generated frame, in the generator's own axes, which are those of the job. */
export function scannedFrame(options: {
  readonly seed: number
  readonly asymmetry_mm: number
  readonly bent_mm: number
  readonly facets: number
}): { frame: Mesh<'job'>; rimVertex: Uint8Array } {
  const { seed, asymmetry_mm, bent_mm: bentLeg_mm, facets } = options
  const { solid, truth } = frameSolid({ ...STRAIGHT_FRAME, seed, asymmetry_mm, bentLeg_mm })
  const scan = drain(scanSolid(solid, truth, { seed, facets, noise_mm: 0.3, holes: 4, islands: 0, pose: 'none' })).mesh
  const frame = makeMesh('job', scan.positions, scan.indices)
  return { frame, rimVertex: rims(frame) }
}

/** 1 at the ends of edges that belong to one facet. */
function rims({ indices, positions }: Mesh): Uint8Array {
  const rim = new Uint8Array(positions.length / 3)
  const { across } = drain(adjacency(indices, rim.length))
  across.forEach((beyond, e) => {
    if (beyond !== RIM) return
    rim[indices[e]!] = 1
    rim[indices[e % 3 === 2 ? e - 2 : e + 1]!] = 1
  })
  return rim
}
