import { describe, expect, it } from 'vitest'
import { polygonCurve } from '../../src/core/clearance/polygon-outline'
import { createJobStore } from '../../src/state/job-store'
import {
  type DrawnOutline,
  mayLose,
  middleOfSide,
  outlineShown,
  sideCount,
  takeOutline,
  withMoved,
  withoutPoint,
  withPoint,
} from '../../src/state/outline-edit'
import { createResults } from '../../src/state/results'
import { createSession } from '../../src/state/session-store'
import { jobWith } from './results-at-hand'

const half: DrawnOutline = {
  from: 'polygon',
  mirrored: true,
  points: [
    { at_mm: [500, 0], radius_mm: 0 },
    { at_mm: [500, 400], radius_mm: 60 },
    { at_mm: [-500, 401], radius_mm: 60 },
    { at_mm: [-500, 0], radius_mm: 0 },
  ],
}

describe('the points of a drawn outline', () => {
  it('are moved, added in the middle of a side and taken away; a half keeps to its side and to two points', () => {
    expect(withMoved(half, 1, [520, -30]).points[1]!.at_mm).toEqual([520, 0])
    // A side of 40 mm has no room for the fillet it had; as large as fits, the outline can be made.
    const tight = withMoved(half, 1, [500, 40])
    expect(tight.points[1]!.radius_mm).toBeLessThan(30)
    expect(tight.points[1]!.radius_mm).toBeGreaterThan(20)
    expect(() => polygonCurve(tight, true, 12)).not.toThrow()
    expect(withMoved(half, 1, [500, 300]).points[1]!.radius_mm).toBe(60)
    expect(withMoved({ ...half, mirrored: false }, 1, [520, -30]).points[1]!.at_mm).toEqual([520, -30])
    expect([sideCount(half), sideCount({ ...half, mirrored: false })]).toEqual([3, 4])
    expect(middleOfSide(half, 1)).toEqual([0, 401])
    const more = withPoint(half, 1)
    expect(more.points.map((p) => p.at_mm)).toEqual([
      [500, 0],
      [500, 400],
      [0, 401],
      [-500, 401],
      [-500, 0],
    ])
    expect(withoutPoint(more, 2)).toEqual(half)
    const two = withoutPoint(withoutPoint(half, 1), 1)
    expect(mayLose(two)).toBe(false)
    expect(withoutPoint(two, 0)).toBe(two)
  })

  it('are shown as they are tried, and are one undo when they are taken', () => {
    const stores = { jobs: createJobStore(jobWith(), new Map()), results: createResults(), session: createSession() }
    expect(outlineShown(stores)).toBeNull()
    expect(takeOutline(stores, half, 'drawn')).toBeNull()
    const tried = withMoved(half, 2, [-600, 400])
    stores.session.setState({ trial: { outline: tried } })
    expect(outlineShown(stores)).toBe(tried)
    expect(stores.jobs.getState().history.job.clearance.outline).toEqual(half)
    stores.session.setState({ trial: null })
    takeOutline(stores, tried, 'point 3 moved')
    stores.jobs.getState().undo()
    expect(outlineShown(stores)).toEqual(half)
    stores.jobs.getState().undo()
    expect(outlineShown(stores)).toBeNull()
  })
})
