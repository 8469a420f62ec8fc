/** The drawings of a pack: plan, profile, body, sections at stations, the closest place. Job axes, mm. */

import { transformPoint } from '../../geometry/axes'
import type { Steps } from '../../geometry/kernel'
import { bounds, type Mesh } from '../../geometry/mesh'
import { type AxisPlane, planeSection } from '../../geometry/plane-section'
import { roundedDown } from '../rounded-down'
import type { ReleaseResults } from '../types'
import { clipped } from './clip'
import {
  area,
  BLUE,
  type Box,
  boxOf,
  circle,
  corners,
  type Drawing,
  dimension,
  INK,
  INK_2,
  type Ink,
  LAMINATE,
  LEAD,
  line,
  METAL,
  numberText,
  outline,
  type Place2,
  padded,
  RULE,
  type Shape,
  scaleFor,
  WIDE,
  words,
} from './drawing'
import { pairs } from './field-plan'

/** Outline of the top in plan, or of the frame where there is no top yet. */
function planBox(results: ReleaseResults): Box | null {
  if (results.clearance) return boxOf(pairs(results.clearance.outline))
  if (!results.datum) return null
  const { min, max } = bounds(results.datum.mesh)
  return { x0: min[0], y0: min[1], x1: max[0], y1: max[1] }
}

function tubeShapes({ frame, datum }: ReleaseResults, drop: 'y' | 'z', scale: number, ink: Ink = METAL): Shape[] {
  if (!frame || !datum) return []
  return frame.tubes.map((tube): Shape => {
    const points: Place2[] = []
    for (let i = 0; i < tube.axis.length; i += 3) {
      const p = transformPoint(datum.motion, [tube.axis[i]!, tube.axis[i + 1]!, tube.axis[i + 2]!])
      points.push([p[0], drop === 'z' ? p[1] : p[2]])
    }
    if (tube.closed && points.length > 0) points.push(points[0]!)
    return line(points, ink, Math.max(0.2, tube.diameter_mm * scale))
  })
}

function fittingShapes({ fitting }: ReleaseResults, side: 'plan' | 'profile', scale: number): Shape[] {
  return (fitting?.placed ?? []).flatMap((f) => {
    const { min, max } = bounds(f.mesh)
    const v = side === 'plan' ? 1 : 2
    const box = { x0: min[0], y0: min[v]!, x1: max[0], y1: max[v]! }
    const above: Place2 = [(box.x0 + box.x1) / 2, box.y1 + 1 / scale]
    const label = side === 'plan' && !f.twin ? [words(above, f.name, { anchor: 'middle', size: 2.2, ink: BLUE })] : []
    return [outline(corners(box), BLUE, 0.3), ...label]
  })
}

/** Plan: outline, tubes, fittings, centreline, stations, the closest place, dimensions. Forward to the right. */
export function planSheet(results: ReleaseResults, stations: readonly number[] = []): Drawing | null {
  const box = planBox(results)
  if (!box) return null
  const scale = scaleFor(padded(box, 0.09 * (box.x1 - box.x0), 0), WIDE)
  const margin = 14 / scale
  const shapes: Shape[] = []
  const { clearance } = results
  if (clearance) shapes.push(area([pairs(clearance.outline)], '#f1ece0', INK, 0.4))
  shapes.push(...tubeShapes(results, 'z', scale, '#b9c1c6'))
  shapes.push(
    line(
      [
        [box.x0 - margin / 2, 0],
        [box.x1 + margin / 2, 0],
      ],
      BLUE,
      0.2,
      [6, 1.5, 1, 1.5],
    ),
  )
  for (const x of stations) {
    shapes.push(
      line(
        [
          [x, box.y0 - margin / 4],
          [x, box.y1 + margin / 4],
        ],
        INK_2,
        0.12,
        [2, 1],
      ),
    )
    shapes.push(words([x, box.y1 + margin / 3], numberText(x), { anchor: 'middle', size: 2, ink: INK_2 }))
  }
  shapes.push(...fittingShapes(results, 'plan', scale))
  if (clearance) {
    const [x, y] = clearance.certificate.at.shell
    shapes.push(outline(circle([x, y], 2 / scale), LEAD, 0.4))
    shapes.push(
      words(
        [x + 2.6 / scale, y + 1 / scale],
        `least gap ${numberText(roundedDown(clearance.certificate.min_mm, 1), 1)} mm`,
        {
          ink: LEAD,
        },
      ),
    )
  }
  shapes.push(
    ...dimension([box.x0, box.y0], [box.x1, box.y0], -margin * 0.7, `${numberText(box.x1 - box.x0)} mm`, scale),
    ...dimension([box.x0, box.y0], [box.x0, box.y1], -margin * 0.6, `${numberText(box.y1 - box.y0)} mm`, scale),
    words([box.x1 + margin * 0.1, box.y0 - margin * 0.7], 'forward →', { size: 2.4, ink: INK_2 }),
  )
  return { title: 'Plan', box: padded(box, margin, margin), scale, shapes }
}

/** What a plane cuts: metal as lines, laminate filled, fittings in blue. */
function* sectionShapes(results: ReleaseResults, plane: AxisPlane): Steps<Shape[]> {
  const shapes: Shape[] = []
  const cut = function* (mesh: Mesh) {
    const chains = yield* planeSection(mesh, plane)
    return { closed: chains.filter((c) => c.closed), open: chains.filter((c) => !c.closed) }
  }
  const { clearance, datum, fitting } = results
  if (datum) {
    const { closed, open } = yield* cut(datum.mesh)
    shapes.push(...[...closed, ...open].map((c) => line(pairs(c.points, c.closed), INK_2, 0.3)))
  }
  if (clearance)
    for (const [name, ink] of [
      ['underside', LAMINATE],
      ['topside', '#efe7d2'],
    ] as const) {
      const { closed } = yield* cut(clearance[name].solid)
      if (closed.length > 0)
        shapes.push(
          area(
            closed.map((c) => pairs(c.points)),
            ink,
            INK,
            0.15,
          ),
        )
    }
  for (const f of fitting?.placed ?? []) {
    const { closed, open } = yield* cut(f.mesh)
    shapes.push(...[...closed, ...open].map((c) => line(pairs(c.points, c.closed), BLUE, 0.25)))
  }
  return shapes
}

const placesOf = (shapes: readonly Shape[]): Place2[] =>
  shapes.flatMap((s) => (s.kind === 'path' ? s.parts.flat() : [s.at]))

/** Profile: the section on the centreline before the tubes beyond it, with height and depth of the skirt. */
export function* profileSheet(results: ReleaseResults): Steps<Drawing | null> {
  const cut = yield* sectionShapes(results, { across: 'y', at_mm: 0 })
  if (cut.length === 0) return null
  const box = boxOf(placesOf(cut))
  const solid = results.clearance ? heights(results.clearance) : null
  if (solid) {
    box.y0 = Math.min(box.y0, solid.low)
    box.y1 = Math.max(box.y1, solid.high)
  }
  const scale = scaleFor(padded(box, 0.12 * (box.x1 - box.x0), 0), WIDE)
  const margin = 14 / scale
  const shapes = [
    ...tubeShapes(results, 'y', scale, '#d5dadd'),
    ...fittingShapes(results, 'profile', scale),
    ...cut,
    ...dimension([box.x0, box.y0], [box.x1, box.y0], -margin * 0.7, `${numberText(box.x1 - box.x0)} mm`, scale),
    ...(solid
      ? dimension(
          [box.x0, solid.low],
          [box.x0, solid.high],
          -margin * 0.6,
          `${numberText(solid.high - solid.low)} mm`,
          scale,
        )
      : []),
    words([box.x1 + margin * 0.1, box.y0 - margin * 0.7], 'forward →', { size: 2.4, ink: INK_2 }),
  ]
  return {
    title: 'Profile: section on the centreline',
    box: padded(box, margin, margin, margin, margin / 2),
    scale,
    shapes,
  }
}

function heights({ underside, topside }: NonNullable<ReleaseResults['clearance']>): { low: number; high: number } {
  const [a, b] = [bounds(underside.solid), bounds(topside.solid)]
  return { low: Math.min(a.min[2], b.min[2]), high: Math.max(a.max[2], b.max[2]) }
}

/** Body: one station as seen from forward, hence port to the right. */
export function* stationSheet(
  results: ReleaseResults,
  x_mm: number,
  wide = WIDE,
  dimensioned = true,
): Steps<Drawing | null> {
  const cut = yield* sectionShapes(results, { across: 'x', at_mm: x_mm })
  const top = cut.filter((s) => s.kind === 'path' && s.fill)
  if (top.length === 0) return null
  const box = boxOf(placesOf(top))
  const frame = boxOf(placesOf(cut))
  // The frame goes on downwards; a hand's breadth below the skirt is enough to see what stands there.
  const low = Math.max(frame.y0, box.y0 - 0.12 * (box.x1 - box.x0))
  const scale = scaleFor(padded(box, 0.12 * (box.x1 - box.x0), 0), wide)
  const margin = (dimensioned ? 13 : 6) / scale
  const kept = cut.filter((s) => boxOf(placesOf([s])).y1 > low)
  const view = padded({ ...box, y0: low, y1: Math.max(box.y1, frame.y1) }, margin, margin, margin, margin / 2)
  const shapes = [
    ...clipped(kept, view),
    line(
      [
        [0, view.y0 + margin / 3],
        [0, view.y1],
      ],
      BLUE,
      0.15,
      [6, 1.5, 1, 1.5],
    ),
    words([view.x1 - 1 / scale, view.y0 + 1 / scale], 'port →', { size: 2, ink: INK_2, anchor: 'end' }),
    ...(dimensioned
      ? [
          ...dimension([box.x0, low], [box.x1, low], -margin * 0.6, `${numberText(box.x1 - box.x0)} mm`, scale),
          ...dimension([box.x0, box.y0], [box.x0, box.y1], -margin * 0.5, `${numberText(box.y1 - box.y0)} mm`, scale),
        ]
      : []),
  ]
  return { title: `Section at x = ${numberText(x_mm)} mm, seen from forward`, box: view, scale, shapes }
}

/** Stations at which the top is cut: five inside its length, and the closest place. */
export function stationsOf(results: ReleaseResults): readonly number[] {
  const box = planBox(results)
  if (!box || !results.clearance) return []
  const length = box.x1 - box.x0
  return [0.1, 0.3, 0.5, 0.7, 0.9].map((s) => Math.round(box.x0 + s * length))
}

/** The closest place at a large scale: the section through it, and the two points. */
export function* closestSheet(results: ReleaseResults): Steps<Drawing | null> {
  const at = results.clearance?.certificate.at
  if (!at || !results.clearance) return null
  const cut = yield* sectionShapes(results, { across: 'x', at_mm: at.shell[0] })
  const [y, z] = [at.shell[1], at.shell[2]]
  const scale = 1
  const view: Box = { x0: y - 80, x1: y + 80, y0: z - 30, y1: z + 30 }
  const [fy, fz] = [at.frame[1], at.frame[2]]
  const shapes: Shape[] = [
    ...clipped(cut, view),
    line(
      [
        [y, z],
        [fy, fz],
      ],
      LEAD,
      0.4,
    ),
    outline(circle([y, z], 0.9), LEAD, 0.3),
    outline(circle([fy, fz], 0.9), LEAD, 0.3),
    words(
      [Math.max(y, fy) + 2.5, (z + fz) / 2 - 0.8],
      `${numberText(roundedDown(results.clearance.certificate.min_mm, 2), 2)} mm`,
      {
        ink: LEAD,
        bold: true,
        size: 3,
      },
    ),
    words([view.x0 + 2, view.y0 + 2], 'scale 1:1 on A4', { ink: INK_2, size: 2 }),
    outline(corners(view), RULE, 0.2),
  ]
  return {
    title: `The closest place: section at x = ${numberText(at.shell[0], 1)} mm`,
    box: padded(view, 2, 2),
    scale,
    shapes,
  }
}
