/** What the glass of a section shows: chains of frame and shell round a spot, the least distance between them, a round scale. */
import type { ClearanceResult, Shell } from '../../core/clearance/types'
import type { Mesh } from '../../core/geometry/mesh'
import type { Section } from '../../state/session-store'
import { type Chain, cutMesh, type SectionPlane } from '../section/cut-mesh'

/** CSS has 96 px to the inch. */
const PX_PER_MM = 96 / 25.4

/** Scales a drawing may have, larger first. */
const RATIOS = [
  [5, 1],
  [4, 1],
  [3, 1],
  [2, 1],
  [3, 2],
  [1, 1],
  [1, 2],
  [1, 3],
  [1, 5],
  [1, 10],
  [1, 20],
  [1, 25],
  [1, 50],
  [1, 60],
  [1, 75],
  [1, 100],
] as const

export interface GlassScale {
  readonly ratio: readonly [number, number]
  readonly pxPerMm: number
}

/** The largest round scale at which so many millimetres are not longer than so many px. */
export function glassScale(mm: number, px: number): GlassScale {
  const ratio = RATIOS.find(([a, b]) => mm * (a / b) * PX_PER_MM <= px) ?? RATIOS[RATIOS.length - 1]!
  return { ratio, pxPerMm: (ratio[0] / ratio[1]) * PX_PER_MM }
}

export interface SectionView {
  readonly plane: SectionPlane
  /** Middle of the glass in the plane, mm. */
  readonly middle: readonly [number, number]
  readonly scale: GlassScale
  readonly frame: readonly Chain[]
  readonly laminate: readonly Chain[]
  /** The dimension: from the shell to the metal, in the plane. Null where the glass shows no pair. */
  readonly dimension: {
    readonly shell: readonly [number, number]
    readonly frame: readonly [number, number]
    readonly mm: number
  } | null
}

/** Gaps up to this are drawn so that the asked one takes about a fifth of the glass, px per radius. */
const ASKED_SHARE = 0.68

/** @param rough the underside while it is only known roughly: drawn, and not measured */
export function sectionView(
  section: Section,
  { certificate, underside }: Pick<ClearanceResult, 'certificate' | 'underside'>,
  frame: Mesh,
  radius_px: number,
  rough: Shell | null = null,
): SectionView {
  const along = section.across === 'x' ? 1 : 0
  const plane: SectionPlane = { across: section.across, at_mm: section.at_mm }
  const scale = glassScale(Math.max(certificate.required_mm, 4), radius_px * ASKED_SHARE)
  const reach = radius_px / scale.pxPerMm
  // The whole section, not only what lies in the glass: chains must close to be hatched.
  const frameChains = cutMesh(frame, plane)
  const laminate = cutMesh((rough ?? underside).solid, plane)
  const common = { plane, scale, frame: frameChains, laminate }
  if (rough) {
    const [u, z] = section.spot
      ? [section.spot[along]!, section.spot[2]]
      : [certificate.at.shell[along]!, certificate.at.shell[2]]
    return { ...common, middle: [u, z - reach * 0.12], dimension: null }
  }
  if (section.spot === null) {
    // A plane that somebody chose: what it shows is where shell and metal come closest in it.
    const face = cutMesh(underside.face, plane)
    const rough = closestInPlane(thinned(face), thinned(frameChains), [0, 0], Infinity)
    if (!rough) return { ...common, middle: [0, certificate.at.shell[2]], dimension: null }
    const near: [number, number] = [(rough.shell[0] + rough.frame[0]) / 2, (rough.shell[1] + rough.frame[1]) / 2]
    const best = closestInPlane(face, frameChains, near, Math.max(reach, rough.mm)) ?? rough
    return {
      ...common,
      middle: [(best.shell[0] + best.frame[0]) / 2, (best.shell[1] + best.frame[1]) / 2 - reach * 0.12],
      dimension: best,
    }
  }
  const { spot } = section
  const atLeast = Math.hypot(...spot.map((v, k) => v - certificate.at.shell[k]!)) < 0.01
  const pair = certificate.at
  const middle: [number, number] = atLeast
    ? [(pair.shell[along]! + pair.frame[along]!) / 2, (pair.shell[2] + pair.frame[2]) / 2 - reach * 0.12]
    : [spot[along]!, spot[2] - reach * 0.15]
  return {
    ...common,
    middle,
    dimension: atLeast
      ? {
          shell: [pair.shell[along]!, pair.shell[2]],
          frame: [pair.frame[along]!, pair.frame[2]],
          mm: certificate.min_mm,
        }
      : closestInPlane(cutMesh(underside.face, plane), frameChains, middle, reach),
  }
}

/** Points that a first search goes through; the second looks at all of them near what it found. */
const ROUGH_POINTS = 600

/** Every so many points of chains, so that a search over the whole plane stays within a picture. */
function thinned(chains: readonly Chain[]): Chain[] {
  const all = chains.reduce((sum, c) => sum + c.points.length / 2, 0)
  const step = Math.max(1, Math.ceil(all / ROUGH_POINTS))
  return chains.map(({ points, closed }) => {
    const count = Math.ceil(points.length / 2 / step)
    const some = new Float64Array(count * 2)
    for (let i = 0; i < count; i++) {
      some[i * 2] = points[i * step * 2]!
      some[i * 2 + 1] = points[i * step * 2 + 1]!
    }
    return { points: some, closed }
  })
}

/** The closest pair of points of two sets of chains inside the circle: a dimension of this section, not of the space. */
export function closestInPlane(
  a: readonly Chain[],
  b: readonly Chain[],
  middle: readonly [number, number],
  reach: number,
): SectionView['dimension'] {
  // Of two runs of segments that do not cross, the closest pair has a corner of one of them.
  const from = cornersTo(a, b, middle, reach)
  const back = cornersTo(b, a, middle, reach)
  const best = back && (!from || back.mm < from.mm) ? { shell: back.frame, frame: back.shell, mm: back.mm } : from
  return best && Math.hypot(best.frame[0] - middle[0], best.frame[1] - middle[1]) <= reach ? best : null
}

/** From the corners of `a` inside the circle to the segments of `b`. */
function cornersTo(
  a: readonly Chain[],
  b: readonly Chain[],
  middle: readonly [number, number],
  reach: number,
): SectionView['dimension'] {
  let best: SectionView['dimension'] = null
  for (const from of a)
    for (let i = 0; i < from.points.length; i += 2) {
      const u = from.points[i]!
      const v = from.points[i + 1]!
      if (Math.hypot(u - middle[0], v - middle[1]) > reach) continue
      for (const to of b) {
        const count = to.points.length / 2
        for (let j = 0; j < (to.closed ? count : count - 1); j++) {
          const k = (j + 1) % count
          const [x, y] = onSegment(
            u,
            v,
            to.points[j * 2]!,
            to.points[j * 2 + 1]!,
            to.points[k * 2]!,
            to.points[k * 2 + 1]!,
          )
          const mm = Math.hypot(x - u, y - v)
          if (!best || mm < best.mm) best = { shell: [u, v], frame: [x, y], mm }
        }
      }
    }
  return best
}

function onSegment(u: number, v: number, ax: number, ay: number, bx: number, by: number): [number, number] {
  const dx = bx - ax
  const dy = by - ay
  const t = Math.min(Math.max(((u - ax) * dx + (v - ay) * dy) / (dx * dx + dy * dy || 1), 0), 1)
  return [ax + dx * t, ay + dy * t]
}
