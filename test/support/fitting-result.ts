/** A fitting step's answer over a job without fittings; tests put in what they are about. */
import type { FittingResult } from '../../src/core/fitting'

export const noFittings: FittingResult = {
  placed: [],
  distances_mm: new Float64Array(0),
  shared: [],
  edges: [],
  bodies: [],
  fasteners: [],
  rooms: [],
  lights: [],
  people: { deck_mm: 0, headroom_mm: null, handles: [] },
  wires: [],
  fills: [],
  findings: [],
}
