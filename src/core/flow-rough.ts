/** What a rough underside is made from: the request of the clearance step, over a thinned frame. */
import type { RoughRequest, RoughUnderside, ThinFrame } from './clearance'
import { FLOW } from './flow'
import { made } from './flow-readings'
import type { FlowResults } from './flow-types'
import { hashOf } from './job/canonical'
import type { Job } from './job/job'

/**
 * @param results scan, frame and datum of the job
 * @param line    of an earlier rough sheet, where `lineKey` has not changed since
 */
export function roughRequest(
  job: Job,
  results: FlowResults,
  thin: ThinFrame,
  line: RoughUnderside['line'] | null,
): RoughRequest {
  const frame = made(results, 'frame')
  const thinned: FlowResults = {
    scan: { ...made(results, 'scan'), rimVertex: thin.rimVertex, unseenFacet: new Uint8Array(thin.facetFrom.length) },
    frame: { ...frame, tubeOfFacet: Int32Array.from(thin.facetFrom, (f) => frame.tubeOfFacet[f]!) },
    datum: { ...made(results, 'datum'), mesh: thin.mesh },
  }
  const drawn: Job = { ...job, clearance: { ...job.clearance, imported: { underside: null, topside: null } } }
  const request = FLOW.clearance.request(drawn, {
    results: thinned,
    bytes: () => new Uint8Array(),
    part: () => {
      throw new Error('flow: a rough underside takes no imported mesh')
    },
  })
  return { ...request, line }
}

/** Equal for jobs whose rough sheets may share their skirt line: what decides which metal the skirt has to hold. */
export const lineKey = ({ clearance: { skirt_mm, edgeRadius_mm, symmetric } }: Job, thin: ThinFrame): string =>
  hashOf({ frame: thin.mesh.id, skirt_mm, edgeRadius_mm, symmetric })
