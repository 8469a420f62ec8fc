import { expect, test } from 'vitest'
import { createJobStore } from '../../../src/state/job-store'
import { chooseTube, flyToScan, lightTubes } from '../../../src/state/session-moves'
import { createSession } from '../../../src/state/session-store'
import type { Stores } from '../../../src/state/stores'
import { tubeUnder } from '../../../src/view/picking/pick-tube'
import { datumWith, frameWith, jobWith, storeWith } from '../../state/results-at-hand'

function storesWith(tubeOfFacet: readonly number[]): Stores {
  const job = jobWith()
  const datum = datumWith()
  const motion = [0, -1, 0, 10, 1, 0, 0, 20, 0, 0, 1, 30, 0, 0, 0, 1]
  const made = { frame: { ...frameWith(), tubeOfFacet: new Int32Array(tubeOfFacet) }, datum: { ...datum, motion } }
  const session = createSession()
  session.setState({ slip: 'frame' })
  return { jobs: createJobStore(job, new Map()), results: storeWith(job, made), session }
}

test('a facet tells its tube while the frame slip is open, and only on the metal that the tubes were found on', () => {
  const stores = storesWith([0])
  expect(tubeUnder(stores, { kind: 'frame', facet: 0 })).toBe('tube-4')
  expect(tubeUnder(stores, { kind: 'topside', facet: 0 })).toBeNull()
  expect(tubeUnder(stores, null)).toBeNull()
  expect(tubeUnder(storesWith([-1]), { kind: 'frame', facet: 0 })).toBeNull()
  // Two facets were told apart, one is drawn: results of two scans.
  expect(tubeUnder(storesWith([0, 0]), { kind: 'frame', facet: 0 })).toBeNull()
  stores.session.setState({ slip: 'clearance' })
  expect(tubeUnder(stores, { kind: 'frame', facet: 0 })).toBeNull()
})

test('a tube is chosen and let go by the same move; pointing at the same ones changes nothing', () => {
  const { session } = storesWith([0])
  chooseTube(session, 'tube-4')
  expect(session.getState().tube).toBe('tube-4')
  chooseTube(session, 'tube-4')
  expect(session.getState().tube).toBeNull()
  lightTubes(session, ['tube-1', 'tube-2'])
  const before = session.getState().tubesLit
  lightTubes(session, ['tube-1', 'tube-2'])
  expect(session.getState().tubesLit).toBe(before)
})

test('a place of the scan is flown to where it stands in the job', () => {
  const stores = storesWith([0])
  flyToScan(stores, [1, 2, 3])
  expect(stores.session.getState().lookAt).toEqual([8, 21, 33])
})
