/** Further set-ups: what the holder keeps the cutter from when the spindle stands upright is reached when it leans away. */
import { expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { facetCount } from '../../../src/core/geometry/mesh'
import { TOOLING_DEFAULTS, type ToolingSettings, toolingStep } from '../../../src/core/tooling'
import { heightFace } from './faces'

/** A floor with a wall of 60 mm on its +x side; the cutter sticks out 45 mm and its holder is 60 mm wide. */
const face = heightFace(160, 100, 4, (x) => (x > 0 ? 60 : x > -4 ? 15 * (x + 4) : 0))
const finish = TOOLING_DEFAULTS.cutters.find((c) => c.use === 'finish')!

function deepest(directions: ToolingSettings['directions']): number {
  const { tools } = drain(
    toolingStep({
      shells: [{ role: 'underside', face, edge: new Uint8Array(facetCount(face)) }],
      settings: {
        ...TOOLING_DEFAULTS,
        made: 'direct',
        scallop_mm: 2,
        directions,
        cutters: [
          ...TOOLING_DEFAULTS.cutters.filter((c) => c.use === 'rough'),
          { ...finish, stickOut_mm: 45, holderDiameter_mm: 60 },
        ],
      },
    }),
  )
  let most = 0
  for (let f = 0; f < facetCount(face); f++) {
    const corners = [0, 1, 2].map((k) => face.positions[3 * face.indices[3 * f + k]!]!)
    // Beside the wall, but out of the corner that a ball cannot fill from any side.
    if (corners.every((x) => x > -40 && x < -16)) most = Math.max(most, tools[0]!.left.values[f]!)
  }
  return most
}

it('a lean away from the wall reaches the floor beside it, a lean into the wall does not', () => {
  const upright = deepest([])
  expect(upright).toBeGreaterThan(10)
  // Deeper than this would count as not reached.
  expect(deepest([[-0.5, 0, 0.8660254037844386]])).toBeLessThan(TOOLING_DEFAULTS.leftLimit_mm + 0.02)
  expect(deepest([[0.5, 0, 0.8660254037844386]])).toBeCloseTo(upright, 6)
})
