import { expect, test } from 'vitest'
import type { PlacedFitting } from '../../src/core/fitting/types'
import { adoptJob, parseJobValue } from '../../src/core/job'
import { answerHelm, answerPlace } from '../../src/state/asked-place'
import { addComment } from '../../src/state/edit'
import { createJobStore } from '../../src/state/job-store'
import { changeStep, createResults } from '../../src/state/results'
import { createSession } from '../../src/state/session-store'
import type { Stores } from '../../src/state/stores'
import { box } from '../support/solids'

const asset = { asset: 'a'.repeat(64), name: 'a.stl' }

/** A box turned by 90 degrees about z (part x is job y), and mirrored about y = 0 for its twin. */
function stores(): { all: Stores; own: PlacedFitting; twin: PlacedFitting } {
  const job = adoptJob(
    parseJobValue({
      format: 'mouldwright-job',
      version: 1,
      scan: { files: [asset] },
      fittings: [{ id: 'lamp', name: 'lamp', mesh: asset, at_mm: [0, 200], mirror: true }],
    }),
    () => asset,
  )
  const all: Stores = { jobs: createJobStore(job, new Map()), results: createResults(), session: createSession() }
  const turned = [0, -1, 0, 0, 1, 0, 0, 200, 0, 0, 1, 0, 0, 0, 0, 1]
  const mirrored = [0, -1, 0, 0, -1, 0, 0, -200, 0, 0, 1, 0, 0, 0, 0, 1]
  const own = {
    id: 'lamp',
    twin: false,
    mesh: box([-20, 190, 0], [0, 240, 30]),
    pose: turned,
  } as unknown as PlacedFitting
  const twin = {
    id: 'lamp',
    twin: true,
    mesh: box([-20, -240, 0], [0, -190, 30]),
    pose: mirrored,
  } as unknown as PlacedFitting
  changeStep(all.results, 'fitting', {
    is: 'done',
    result: { placed: [own, twin] },
  } as unknown as Parameters<typeof changeStep<'fitting'>>[2])
  return { all, own, twin }
}

/** A facet of a box whose outward normal is this. */
function facetOf({ mesh }: PlacedFitting, normal: readonly [number, number, number]): number {
  const { positions: p, indices } = mesh
  for (let f = 0; f < indices.length / 3; f++) {
    const [a, b, c] = [0, 1, 2].map((k) => 3 * indices[3 * f + k]!) as [number, number, number]
    const u = [0, 1, 2].map((k) => p[b + k]! - p[a + k]!) as [number, number, number]
    const v = [0, 1, 2].map((k) => p[c + k]! - p[a + k]!) as [number, number, number]
    const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]]
    const size = Math.hypot(...n)
    if (n.every((x, k) => Math.abs(x / size - normal[k]!) < 1e-9)) return f
  }
  throw new Error('the box has no such side')
}

test('the face that was pointed at becomes the base, told in the axes of the file; on the twin as well', () => {
  for (const side of ['own', 'twin'] as const) {
    const made = stores()
    const placed = made[side]
    made.all.session.setState({ asked: { for: 'base', fitting: 'lamp' } })
    // Job y is part x where it was turned; the twin's is the other way.
    const normal = side === 'own' ? ([0, 1, 0] as const) : ([0, -1, 0] as const)
    const pointed = { meshId: placed.mesh.id, facet: facetOf(placed, normal), at: [0, 0, 0] as const, id: 'lamp' }
    expect(answerPlace(made.all, pointed)).toBe(true)
    expect(made.all.jobs.getState().history.job.fittings[0]!.baseNormal).toEqual([1, 0, 0])
    expect(made.all.session.getState().asked).toBeNull()
  }
})

test('another part is no answer, and nothing is taken that was not asked for', () => {
  const { all, own } = stores()
  const pointed = { meshId: own.mesh.id, facet: 0, at: [1, 2, 3] as const, id: 'lamp' }
  expect(answerPlace(all, pointed)).toBe(false)
  all.session.setState({ asked: { for: 'base', fitting: 'hatch' } })
  expect(answerPlace(all, pointed)).toBe(false)
  expect(all.jobs.getState().history.past).toHaveLength(0)
})

test('a remark is pinned where one pointed, to a tenth, and to the fitting that stands there', () => {
  const { all, own } = stores()
  all.session.setState({ asked: { for: 'remark' } })
  answerPlace(all, { meshId: own.mesh.id, facet: 0, at: [1.26, -2.04, 3.5], id: 'lamp' })
  expect(all.session.getState()).toMatchObject({
    asked: null,
    remarkAt: { where: [1.3, -2, 3.5], fitting: 'lamp' },
  })
})

test('the helm takes a place of the deck in plan, one edit that can be undone; a part is no such place', () => {
  const { all } = stores()
  all.session.setState({ asked: { for: 'helm' } })
  expect(answerPlace(all, { meshId: 'x', facet: 0, at: [1, 2, 3], id: null })).toBe(false)
  expect(all.session.getState().asked).toEqual({ for: 'helm' })
  answerHelm(all, [-812.4, 119.6, -1900])
  expect(all.session.getState().asked).toBeNull()
  expect(all.jobs.getState().history.job.people.helm_mm).toEqual([-812, 120])
  all.jobs.getState().undo()
  expect(all.jobs.getState().history.job.people.helm_mm).toBeNull()
})

test('a remark that was made is pinned anew: on a fitting it is about that one, elsewhere it stays what it was', () => {
  const { all, own } = stores()
  const said = {
    author: 'A',
    text: 'nearer',
    state: 'open',
    at: '2026-01-02T03:04:05Z',
    where: null,
    fitting: null,
  } as const
  all.jobs.getState().edit(addComment(said))
  const only = () => all.jobs.getState().history.job.comments[0]!
  all.session.setState({ asked: { for: 'remark', remark: only().id } })
  expect(answerPlace(all, { meshId: own.mesh.id, facet: 0, at: [10.04, 210, 30], id: 'lamp' })).toBe(true)
  expect(only()).toMatchObject({ ...said, where: [10, 210, 30], fitting: 'lamp' })
  expect(all.session.getState()).toMatchObject({ asked: null, remarkAt: null })
  all.session.setState({ asked: { for: 'remark', remark: only().id } })
  answerPlace(all, { meshId: 'shell', facet: 3, at: [-400, 0, 55], id: null })
  expect(only()).toMatchObject({ where: [-400, 0, 55], fitting: 'lamp' })
})
