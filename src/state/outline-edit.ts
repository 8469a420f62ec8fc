/** Moves of a drawn outline, point by point: what is tried while a hand drags, and the edit when it lets go. */
import { drawnOutline, filletRoom_mm } from '../core/clearance'
import type { OutlineSetting } from '../core/clearance/shape-types'
import { setOutline, tryEdit } from './edit'
import type { Stores } from './stores'

export type DrawnOutline = Extract<OutlineSetting, { from: 'polygon' }>
export type PlanPlace = readonly [number, number]

/** Fewer points enclose nothing: a half needs two, since the centreline closes it. */
const least = (outline: DrawnOutline): number => (outline.mirrored ? 2 : 3)

export const mayLose = (outline: DrawnOutline): boolean => outline.points.length > least(outline)

/** The outline as it is tried, else as it stands in the job; null: the frame draws it. */
export function outlineShown({ jobs, session }: Stores): DrawnOutline | null {
  const { outline } = { ...jobs.getState().history.job.clearance, ...session.getState().trial }
  return outline.from === 'polygon' ? outline : null
}

/** Radii that no longer fit their sides after a move become as large as fits: a hand that drags means the place. */
function fitted(outline: DrawnOutline): DrawnOutline {
  const { points, mirrored } = outline
  const n = points.length
  const at = (k: number): PlanPlace => {
    if (!mirrored) return points[(k + n) % n]!.at_mm
    const j = k < 0 ? -k : k >= n ? 2 * (n - 1) - k : k
    const [x, y] = points[j]!.at_mm
    return j === k ? [x, y] : [x, -y]
  }
  return {
    ...outline,
    points: points.map((point, k) => {
      const room = filletRoom_mm(at(k - 1), at(k), at(k + 1), HALF)
      return room > 0 && room < point.radius_mm ? { ...point, radius_mm: room } : point
    }),
  }
}

/** Two fillets share a side. */
const HALF = 0.499

/** Moves go out from here, so that a drag there and back leaves nothing behind. */
export function outlineInJob({ jobs }: Stores): DrawnOutline | null {
  const { outline } = jobs.getState().history.job.clearance
  return outline.from === 'polygon' ? outline : null
}

/** A point of a half stays on its side. */
export function withMoved(outline: DrawnOutline, number: number, [x, y]: PlanPlace): DrawnOutline {
  const at_mm = [x, outline.mirrored ? Math.max(0, y) : y] as const
  return fitted({ ...outline, points: outline.points.map((p, k) => (k === number ? { ...p, at_mm } : p)) })
}

export const withRadius = (outline: DrawnOutline, number: number, radius_mm: number): DrawnOutline => ({
  ...outline,
  points: outline.points.map((p, k) => (k === number ? { ...p, radius_mm } : p)),
})

/** Sides by the number of the point they begin at; the ends of a half are joined by the centreline, not by a side. */
export const sideCount = ({ points, mirrored }: DrawnOutline): number => points.length - (mirrored ? 1 : 0)

export function middleOfSide({ points }: DrawnOutline, side: number): PlanPlace {
  const [a, b] = [points[side]!.at_mm, points[(side + 1) % points.length]!.at_mm]
  return [Math.round((a[0] + b[0]) / 2), Math.round((a[1] + b[1]) / 2)]
}

export function withPoint(outline: DrawnOutline, side: number): DrawnOutline {
  const point = { at_mm: middleOfSide(outline, side), radius_mm: 0 }
  return fitted({
    ...outline,
    points: [...outline.points.slice(0, side + 1), point, ...outline.points.slice(side + 1)],
  })
}

export const withoutPoint = (outline: DrawnOutline, number: number): DrawnOutline =>
  mayLose(outline) ? fitted({ ...outline, points: outline.points.filter((_, k) => k !== number) }) : outline

/** @returns null, or what is wrong with it */
export const takeOutline = ({ jobs }: Stores, outline: DrawnOutline, title: string): string | null =>
  tryEdit(jobs, setOutline(outline, title))

/** Begins a drawing with the outline that was found. False: there is none yet. */
export function startOutline(stores: Stores, title: string): boolean {
  const { result } = stores.results.getState().steps.clearance
  const { symmetric, minRadius_mm } = stores.jobs.getState().history.job.clearance
  if (!result) return false
  stores.session.setState({ outlinePoint: 0, view: 'plan', viewAsked: stores.session.getState().viewAsked + 1 })
  return takeOutline(stores, drawnOutline(result.outline, symmetric, minRadius_mm), title) === null
}
