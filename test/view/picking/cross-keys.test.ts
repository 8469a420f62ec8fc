import { expect, test } from 'vitest'
import { adoptJob, parseJobValue } from '../../../src/core/job'
import { createJobStore } from '../../../src/state/job-store'
import { createResults } from '../../../src/state/results'
import { createSession } from '../../../src/state/session-store'
import { createEyeRig } from '../../../src/view/camera/eye-rig'
import { crossKey } from '../../../src/view/picking/cross-keys'
import type { PickKind, PickRegister } from '../../../src/view/picking/pick'
import { clickAt, type Pointing } from '../../../src/view/picking/point-at'
import { createSheetStore } from '../../../src/view/sheet-store'

const asset = { asset: 'a'.repeat(64), name: 'a.stl' }

/** A drawing whose pixels are millimetres of one part, in the plane z = 0. */
function pointing(kind: PickKind, id: string | null = null): Pointing {
  const file = parseJobValue({ format: 'mouldwright-job', version: 1, scan: { files: [asset] } })
  const job = adoptJob(file, () => asset)
  const at = (x: number, y: number) => ({ kind, id, facet: 0, at: [x, y, 0], shown: [x, y, 0], meshId: 'm' }) as const
  const picks: PickRegister = {
    add: () => () => undefined,
    pick: (_, x, y, keep) => (keep(kind, [x, y, 0]) ? at(x, y) : null),
    hold: (_, x, y, keep) => (keep(kind, [x, y, 0]) ? { ...at(x, y), hold: 'face' } : null),
    nearestOn: () => null,
    hides: () => false,
    heightOf: () => 0,
    dispose: () => undefined,
  }
  return {
    stores: { jobs: createJobStore(job, new Map()), results: createResults(), session: createSession() },
    sheet: createSheetStore(),
    rig: createEyeRig(),
    picks,
    cut: null,
  }
}

/** Enter on the cross, and a click of the pointer, at the same place. */
const ways: readonly (readonly [string, (p: Pointing, place: { x: number; y: number }) => void])[] = [
  ['pointer', (p, place) => void clickAt(p, place)],
  [
    'keys',
    (p, place) => {
      p.sheet.setState({ cross: place })
      expect(crossKey(p, 'Enter', false)).toBe(true)
    },
  ],
]

test.each(ways)('the %s sets an inlet, pins a remark, takes a dimension and chooses a fitting', (_, click) => {
  const inlet = pointing('topside')
  inlet.stores.session.setState({ placing: { kind: 'point', shell: 'topside', points: [] } })
  click(inlet, { x: 30, y: 40 })
  const { feeds } = inlet.stores.jobs.getState().history.job.build
  expect(feeds.map((f) => [f.shell, f.points])).toEqual([['topside', [[30, 40, 0]]]])

  const remark = pointing('frame')
  remark.stores.session.setState({ asked: { for: 'remark' } })
  click(remark, { x: 12, y: 34 })
  expect(remark.stores.session.getState().remarkAt).toEqual({ where: [12, 34, 0], fitting: null })

  const measure = pointing('frame')
  measure.stores.session.setState({ measuring: true })
  click(measure, { x: 0, y: 0 })
  click(measure, { x: 3, y: 4 })
  expect(measure.sheet.getState().measures).toHaveLength(1)

  const choose = pointing('fitting', 'lamp')
  choose.stores.session.setState({ question: 'live' })
  click(choose, { x: 1, y: 1 })
  expect(choose.stores.session.getState().fitting).toBe('lamp')
})

test('Enter without a cross, or where a click means nothing, is left to the drawing', () => {
  const p = pointing('frame')
  expect(crossKey(p, 'Enter', false)).toBe(false)
  p.sheet.setState({ cross: { x: 1, y: 1 } })
  expect(crossKey(p, 'Enter', false)).toBe(false)
})
