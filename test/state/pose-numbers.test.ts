import { describe, expect, it } from 'vitest'
import { handedness, transformPoint } from '../../src/core/geometry/axes'
import { datumKey, moveOnEdit, poseEdit, turnDatum } from '../../src/state/datum-moves'
import { createJobStore } from '../../src/state/job-store'
import { motionOf, movedOn, poseOf } from '../../src/state/pose-numbers'
import { createSession } from '../../src/state/session-store'
import type { Stores } from '../../src/state/stores'
import { random } from '../support/random'
import { datumWith, jobWith, storeWith } from './results-at-hand'

const STILL = { x_mm: 0, y_mm: 0, z_mm: 0, roll_deg: 0, pitch_deg: 0, yaw_deg: 0 }

describe('a pose in numbers', () => {
  // Exact by definition; signs as of the trim (docs/axes-and-units.md).
  it.each([
    ['roll lifts port', { roll_deg: 90 }, [0, 1, 0], [0, 0, 1]],
    ['pitch lifts the bow', { pitch_deg: 90 }, [1, 0, 0], [0, 0, 1]],
    ['yaw takes the bow to port', { yaw_deg: 90 }, [1, 0, 0], [0, 1, 0]],
    ['roll comes first', { roll_deg: 90, yaw_deg: 90 }, [0, 1, 0], [0, 0, 1]],
    ['the origin is put last', { x_mm: 5, yaw_deg: 90 }, [0, 0, 0], [5, 0, 0]],
  ] as const)('%s', (_, change, from, to) => {
    transformPoint(motionOf({ ...STILL, ...change }), from).forEach((v, k) => {
      expect(v).toBeCloseTo(to[k]!, 12)
    })
  })

  it('comes back from its matrix, in any pose, and the matrix from it', () => {
    const chance = random(31)
    for (let i = 0; i < 200; i++) {
      const pose = {
        x_mm: 4000 * chance.next() - 2000,
        y_mm: 4000 * chance.next() - 2000,
        z_mm: 4000 * chance.next() - 2000,
        roll_deg: 360 * chance.next() - 180,
        pitch_deg: 178 * chance.next() - 89,
        yaw_deg: 360 * chance.next() - 180,
      }
      const motion = motionOf(pose)
      expect(handedness(motion)).toBeCloseTo(1, 12)
      for (const [name, value] of Object.entries(poseOf(motion)))
        expect(value).toBeCloseTo(pose[name as keyof typeof pose], 7)
    }
  })

  it('stands on its end without losing its matrix', () => {
    for (const pitch_deg of [90, -90]) {
      const motion = motionOf({ ...STILL, roll_deg: 20, pitch_deg, yaw_deg: 35 })
      motionOf(poseOf(motion)).forEach((v, k) => {
        expect(v).toBeCloseTo(motion[k]!, 9)
      })
    }
  })

  it('is turned on about the axes of the job, not of the scan', () => {
    const motion = motionOf({ ...STILL, yaw_deg: 90, z_mm: 100 })
    // The scan's x lies athwart: a roll of the job must lift it.
    const there = transformPoint(movedOn(motion, { roll_deg: 90 }), [1, 0, 0])
    ;[0, -100, 1].forEach((v, k) => {
      expect(there[k]).toBeCloseTo(v, 12)
    })
  })
})

describe('edits of the datum', () => {
  const storesWith = (datum: object): Stores => {
    const job = jobWith({ datum })
    const session = createSession()
    return { jobs: createJobStore(job, new Map()), results: storeWith(job, { datum: datumWith() }), session }
  }
  const datumOf = (stores: Stores) => stores.jobs.getState().history.job.datum

  it('turn an automatic datum by its own switches, by key only while its slip is open', () => {
    const stores = storesWith({})
    expect(datumKey(stores, 'b')).toBe(false)
    stores.session.setState({ slip: 'datum' })
    expect(datumKey(stores, 'x')).toBe(false)
    expect(datumKey(stores, 'b')).toBe(true)
    expect(datumKey(stores, 'U')).toBe(true)
    expect(datumOf(stores)).toMatchObject({ matrix: 'auto', forwardFlipped: true, upFlipped: true })
  })

  it('turn a datum by hand as it stands, and twice is not at all', () => {
    const matrix = motionOf({ ...STILL, roll_deg: 10, yaw_deg: 20, x_mm: 100 })
    for (const way of ['round', 'over'] as const) {
      const stores = storesWith({ matrix: [...matrix] })
      turnDatum(stores, way)
      expect(handedness(datumOf(stores).matrix as number[])).toBeCloseTo(1, 12)
      expect(transformPoint(datumOf(stores).matrix as number[], [0, 0, 0])[0]).toBe(way === 'round' ? -100 : 100)
      turnDatum(stores, way)
      expect(datumOf(stores).matrix).toEqual(matrix)
    }
  })

  it('set one number and keep the others; the title says which', () => {
    const motion = motionOf({ ...STILL, roll_deg: 10, x_mm: 100 })
    const edit = poseEdit(motion, { roll_deg: 12.5 })
    expect(edit.title).toBe('datum: roll 12.5°')
    const matrix = edit.apply(jobWith()).datum.matrix as number[]
    expect(poseOf(matrix).roll_deg).toBeCloseTo(12.5, 9)
    expect(poseOf(matrix).x_mm).toBe(100)
    expect(moveOnEdit(motion, { z_mm: 3 }).title).toBe('datum: further by z 3 mm')
  })
})
