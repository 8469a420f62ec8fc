import { beforeEach, describe, expect, it, vi } from 'vitest'
import type { PlacedFitting } from '../../../src/core/fitting/types'
import { IDENTITY } from '../../../src/core/geometry/axes'
import { adoptJob, type Job, parseJobValue } from '../../../src/core/job'
import { createJobStore } from '../../../src/state/job-store'
import { changeStep, createResults } from '../../../src/state/results'
import { createSession } from '../../../src/state/session-store'
import type { Stores } from '../../../src/state/stores'
import { createEyeRig } from '../../../src/view/camera/eye-rig'
import { nudgeFitting, startFittingDrag } from '../../../src/view/picking/move-fitting'
import type { Picked, PickRegister } from '../../../src/view/picking/pick'
import { noFittings } from '../../support/fitting-result'
import { box } from '../../support/solids'

const asset = (digit: string) => ({ asset: digit.repeat(64), name: `${digit}.stl` })

function job(): Job {
  const file = parseJobValue({
    format: 'mouldwright-job',
    version: 1,
    scan: { files: [asset('a')] },
    fittings: [{ id: 'lamp', name: 'lamp', mesh: asset('b'), at_mm: [300, 200], mirror: true }],
  })
  return adoptJob(file, () => asset('a'))
}

const placed = (twin: boolean): PlacedFitting => ({
  id: 'lamp',
  name: 'lamp',
  twin,
  on: 'topside',
  pose: IDENTITY,
  mesh: box([0, 0, 0], [1, 1, 1]),
  base: { normal: [0, 0, -1], at: [0, 0, 0], area_mm2: 1 },
  seat: { at: [300, twin ? -200 : 200, 0], normal: [0, 0, 1] },
  gapUnderBase_mm: 0,
  toFrame: { min_mm: 50, part: [0, 0, 0], frame: [0, 0, -50] },
})

/** Answers with the plane z = 0 where the sheet's pixels are millimetres of the job. */
const flat: PickRegister = {
  add: () => () => undefined,
  pick: (_, x, y, keep) =>
    keep('topside', [x, y, 0])
      ? { kind: 'topside', id: null, facet: 0, at: [x, y, 0], shown: [x, y, 0], meshId: 'top' }
      : null,
  hold: () => null,
  nearestOn: () => null,
  hides: () => false,
  heightOf: () => 0,
  dispose: () => undefined,
}

let stores: Stores
let frames: (() => void)[]
const place = () => stores.jobs.getState().history.job.fittings[0]!.at_mm

beforeEach(() => {
  frames = []
  vi.stubGlobal('requestAnimationFrame', (f: () => void) => frames.push(f))
  vi.stubGlobal('cancelAnimationFrame', (n: number) => {
    frames[n - 1] = () => undefined
  })
  stores = { jobs: createJobStore(job(), new Map()), results: createResults(), session: createSession() }
  changeStep(stores.results, 'fitting', {
    is: 'done',
    result: {
      ...noFittings,
      placed: [placed(false), placed(true)],
      distances_mm: new Float64Array(4),
    },
  } as Parameters<typeof changeStep<'fitting'>>[2])
})

const grabbed = (x: number, y: number): Picked => ({
  kind: 'fitting',
  id: 'lamp',
  facet: 0,
  at: [x, y, 40],
  shown: [x, y, 40],
  meshId: 'lamp',
})
const moment = createEyeRig().now()

describe('moving a fitting on the sheet', () => {
  it('follows the pointer with the offset of the grab, at most one edit a picture, one undo for all', () => {
    const drag = startFittingDrag(stores, flat, grabbed(310, 190), moment, 310, 190)!
    drag.move(moment, 350.4, 190)
    drag.move(moment, 360.4, 170.2)
    expect(place()).toEqual([300, 200])
    frames.splice(0).forEach((f) => {
      f()
    })
    expect(place()).toEqual([350, 180])
    drag.move(moment, 400, 170)
    drag.end()
    expect(place()).toEqual([390, 180])
    stores.jobs.getState().undo()
    expect(place()).toEqual([300, 200])
  })

  it('moves the place by its mirror image when the twin is dragged', () => {
    const drag = startFittingDrag(stores, flat, grabbed(300, -200), moment, 300, -200)!
    drag.move(moment, 320, -260)
    drag.end()
    expect(place()).toEqual([320, 260])
  })

  it('a click without a move is no edit, and what is not in the job cannot be dragged', () => {
    startFittingDrag(stores, flat, grabbed(300, 200), moment, 300, 200)!.end()
    expect(stores.jobs.getState().history.past).toHaveLength(0)
    expect(startFittingDrag(stores, flat, { ...grabbed(0, 0), id: 'hatch' }, moment, 0, 0)).toBeNull()
  })

  it('nudges by a millimetre, by a tenth with Shift, forward, aft, port, starboard', () => {
    expect(nudgeFitting(stores, 'ArrowUp', false)).toBe(false)
    stores.session.setState({ fitting: 'lamp' })
    expect(nudgeFitting(stores, 'ArrowUp', false)).toBe(true)
    expect(place()).toEqual([301, 200])
    for (let i = 0; i < 3; i++) nudgeFitting(stores, 'ArrowRight', true)
    expect(place()).toEqual([301, 199.7])
    nudgeFitting(stores, 'ArrowLeft', false)
    nudgeFitting(stores, 'ArrowDown', true)
    expect(place()).toEqual([300.9, 200.7])
    expect(nudgeFitting(stores, 'Enter', false)).toBe(false)
  })
})
