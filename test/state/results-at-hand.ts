/** Results with given figures, as the steps would make them: only what the page's words are made of. */
import type { Check, PartAnalysis, UndercutRegion } from '../../src/core/analysis/types'
import type { Certificate, ClearanceResult, Shell, Verdict } from '../../src/core/clearance/types'
import type { DatumResult } from '../../src/core/datum/types'
import type { FittingResult, PlacedFitting } from '../../src/core/fitting/types'
import { FLOW_ORDER, type FlowMap, type FlowStep, flowKeys } from '../../src/core/flow'
import type { FrameResult } from '../../src/core/frame/types'
import { IDENTITY } from '../../src/core/geometry/axes'
import { facetField } from '../../src/core/geometry/facet-field'
import { type Mesh, makeMesh } from '../../src/core/geometry/mesh'
import type { Finding } from '../../src/core/geometry/trouble'
import { adoptJob, type Job, parseJobValue, startHistory } from '../../src/core/job'
import type { ScanResult } from '../../src/core/scan/types'
import { createResults, type ResultsState, type ResultsStore } from '../../src/state/results'
import { noFittings } from '../support/fitting-result'

const SCAN = 'a'.repeat(64)

export function jobWith(more: object = {}): Job {
  return adoptJob(
    parseJobValue({
      format: 'mouldwright-job',
      version: 1,
      title: 'Trial top',
      scan: { files: ['frame.stl'] },
      ...more,
    }),
    (name) => ({ asset: SCAN, name }),
  )
}

const triangle = (height_mm = 0): Mesh<'job'> =>
  makeMesh('job', new Float32Array([0, 0, height_mm, 1, 0, height_mm, 0, 1, height_mm]), new Uint32Array([0, 1, 2]))

const field = (mesh: Mesh) => facetField(mesh, new Float32Array([0]), 'mm')

export function scanWith(findings: readonly Finding[] = [], holes = 12): ScanResult {
  const mesh = makeMesh('scan', new Float32Array([0, 0, 0, 1, 0, 0, 0, 1, 0]), new Uint32Array([0, 1, 2]))
  return {
    mesh,
    rimVertex: new Uint8Array(3),
    unseenFacet: new Uint8Array(1),
    unit: { unit: 'mm', from: 'job', alternatives: [], longest_mm: 2900 },
    health: {
      facets: 1_020_345,
      vertices: 510_000,
      welded: 0,
      rejected: { total: 0, notFinite: 0, zeroArea: 0, duplicate: 0, badIndex: 0 },
      boundaryEdges: 0,
      nonManifoldEdges: 0,
      inconsistentEdges: 0,
      boundaryLoops: 0,
      holeCount: holes,
      holes: Array.from({ length: holes }, () => ({ rim_mm: 100, at: [0, 0, 0] as const, loops: 1 })),
      islands: 1,
      islandsDropped: 0,
      facetsDropped: 345,
      area_mm2: 3.2e6,
      volume_mm3: 1,
      meanEdge_mm: 8,
      noise_mm: 0.3,
      noiseFrom: 'patches',
      closed: false,
    },
    places: { strays: [], crossing: [], turned: [] },
    findings,
  }
}

export function frameWith(): FrameResult {
  const tube = {
    id: 'tube-4',
    diameter_mm: 40,
    length_mm: 1800,
    rms_mm: 0.3,
    bow_mm: 0,
    closed: false,
    straight: true,
    axis: new Float64Array([600, -900, 0, 600, 900, 0]),
    from: [600, -900, 0] as const,
    to: [600, 900, 0] as const,
    coverage: 1,
    joins: [],
    clean: new Uint8Array([1, 1]),
    seats: [],
  }
  return { tubes: [tube], plates: [], tubeOfFacet: new Int32Array([0]), noise_mm: 0.3, findings: [] }
}

export function datumWith(port_mm = 5, canBeTold = true): DatumResult {
  const mesh = triangle()
  return {
    motion: IDENTITY,
    mesh,
    symmetry: {
      plane: { normal: [0, 1, 0], offset_mm: 0 },
      rms_mm: 0.212,
      p95_mm: 0.5,
      max_mm: 2,
      maxAt: [0, 0, 0],
      unseen_mm2: 0,
      portMinusStarboard_mm: -port_mm,
    },
    symmetryField: field(mesh),
    lowered: { port_mm, halfWidth_mm: 900, roll_deg: 0.1, told: 0.1, canBeTold },
    uncertainty: { offset_mm: 0.01, roll_deg: 0.001, yaw_deg: 0.001, lowered_mm: 0.05 },
    pitch: { from: 'plane', runnerUp: 'points', difference_deg: 0.1 },
    twist_mm: 0,
    planeFrom: 'tubes',
    matched: 1,
    pairs: [],
    score_mm: 0.1,
    runnerUpScore_mm: 3,
    findings: [],
  }
}

export function shellsWith(
  figures: Partial<Certificate> & { verdict: Verdict },
  findings: readonly Finding[] = [],
  crown_mm = 300,
): ClearanceResult {
  const face = triangle(crown_mm)
  const shell: Shell = {
    face,
    zone: new Uint8Array(1),
    solid: face,
    thickness_mm: 4,
    pull: [0, 0, -1],
  }
  return {
    underside: shell,
    topside: { ...shell, pull: [0, 0, 1] },
    outline: new Float64Array([-1200, -900, 1200, -900, 1200, 900, -1200, 900]),
    outlineHeight_mm: 0,
    water: null,
    bearing: [],
    regions: [],
    bosses: [],
    certificate: {
      required_mm: 12,
      guard_mm: 0.6,
      min_mm: 12.64,
      margin_mm: 0.64,
      at: { shell: [600, -400, 33], frame: [600, -400, 20] },
      marginAt: { shell: [600, -400, 33], frame: [600, -400, 20] },
      proven_mm2: 6e6,
      notProven_mm2: 0,
      fails_mm2: 0,
      unseen_mm2: 31_000,
      excessLift: { p50_mm: 20, p95_mm: 60 },
      gap: field(face),
      gapLimit_mm: 80,
      verdictOfFacet: new Uint8Array(1),
      ...figures,
    },
    leastConcaveRadius_mm: 2500,
    lifts: 0,
    lowering: [],
    imported: { underside: null, topside: null },
    betweenShells: null,
    findings,
  } as ClearanceResult
}

export function placedWith(
  parts: readonly (readonly [name: string, toFrame_mm: number])[],
  findings: readonly Finding[] = [],
  between_mm = 146,
): FittingResult {
  const placed = parts.map(
    ([name, min_mm]): PlacedFitting => ({
      id: name.replaceAll(' ', '-'),
      name,
      twin: false,
      on: 'topside',
      pose: IDENTITY,
      mesh: triangle(),
      base: { normal: [0, 0, -1], at: [0, 0, 0], area_mm2: 100 },
      seat: { at: [0, 0, 0], normal: [0, 0, 1] },
      gapUnderBase_mm: 1.5,
      toFrame: { min_mm, part: [0, 0, 0], frame: [0, 0, -min_mm] },
    }),
  )
  const n = placed.length
  const distances_mm = Float64Array.from({ length: n * n }, (_, i) => (i % (n + 1) === 0 ? 0 : between_mm))
  return {
    ...noFittings,
    placed,
    distances_mm,
    findings,
  } as FittingResult
}

export function partWith(
  name: string,
  figures: {
    minDraft_deg?: number
    locked_mm2?: number
    regions?: readonly UndercutRegion[]
    minRadius_mm?: number
  } = {},
): PartAnalysis {
  const mesh = triangle()
  const locked_mm2 = figures.locked_mm2 ?? 0
  const check: Check = {
    mesh: {
      facets: 1,
      vertices: 3,
      unit: 'mm',
      closed: false,
      area_mm2: 6e6,
      volume_mm3: 0,
      boundaryLoops: 1,
      islands: 1,
      nonManifoldEdges: 0,
      rejected: { total: 0 },
    },
    draft: {
      pull: [0, 0, 1],
      min_deg: figures.minDraft_deg ?? 3,
      minAt: [0, 0, 0],
      negative_mm2: 0,
      low_mm2: 0,
      good_mm2: 6e6,
      limit_deg: 3,
      unsureAtZero_mm2: 0,
      unsureAtLimit_mm2: 0,
      regions: [],
    },
    undercut: {
      area_mm2: locked_mm2,
      facingAway_mm2: locked_mm2,
      blocked_mm2: 0,
      depth_mm: 3,
      bound_mm2: 0,
      estimate_mm2: 0,
      regionCount: figures.regions?.length ?? 0,
      regions: figures.regions ?? [],
    },
    symmetry: {
      plane: { normal: [0, 1, 0], offset_mm: 0 },
      rms_mm: 0,
      p95_mm: 0,
      max_mm: 0,
      maxAt: [0, 0, 0],
      unseen_mm2: 0,
      portMinusStarboard_mm: 0,
    },
    radius: {
      min_mm: figures.minRadius_mm ?? 20,
      minAt: [0, 0, 0],
      p01_mm: figures.minRadius_mm ?? 20,
      limit_mm: 50,
      minDoubt_mm: 0,
      sharpInside: { edges: 0, length_mm: 0, worst_deg: 0, at: null },
    },
  }
  return {
    name,
    check,
    draft: field(mesh),
    undercut_mm2: field(mesh),
    undercutClass: new Uint8Array(1),
    symmetry: field(mesh),
    radius: field(mesh),
  } as PartAnalysis
}

export type Made = { readonly [N in FlowStep]?: FlowMap[N]['result'] }

/** A store in which the given steps were made of `job`; all others are still to do. */
export function storeWith(job: Job, made: Made): ResultsStore {
  const store = createResults()
  putResults(store, job, made)
  return store
}

export function putResults(store: ResultsStore, job: Job, made: Made): void {
  const keys = flowKeys(job)
  const steps = Object.fromEntries(
    FLOW_ORDER.map((name) => [
      name,
      made[name]
        ? { result: made[name], key: keys[name], is: 'done', progress: null, refusal: null, seconds: 1 }
        : store.getState().steps[name],
    ]),
  ) as unknown as ResultsState['steps']
  store.setState({ steps })
}

export const inputOf = (job: Job, results: ResultsStore, unit: 'mm' | 'in' = 'mm') => ({
  results: results.getState(),
  history: startHistory(job),
  unit,
})

export const hold = (id: string, step: Finding['step'], message: string): Finding => ({
  id,
  step,
  severity: 'hold',
  message,
})
