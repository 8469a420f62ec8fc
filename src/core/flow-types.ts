/** The shape of the order of the work: what each step is asked and answers, and what a row of the table holds. */
import type { AnalysisRequest, AnalysisResult } from './analysis'
import type { BuildRequest, BuildResult } from './build-plan'
import type { ClearanceRequest, ClearanceResult } from './clearance'
import type { DatumRequest, DatumResult } from './datum'
import type { FittingRequest, FittingResult, SeatsRequest, SeatsResult } from './fitting'
import type { FrameRequest, FrameResult } from './frame'
import type { Steps } from './geometry/kernel'
import type { Mesh } from './geometry/mesh'
import type { Job, MeshAsset } from './job/job'
import type { LengthUnit, ScanRequest, ScanResult } from './scan'
import type { ToolingRequest, ToolingResult } from './tooling'

export interface FlowMap {
  scan: { request: ScanRequest; result: ScanResult }
  frame: { request: FrameRequest; result: FrameResult }
  datum: { request: DatumRequest; result: DatumResult }
  clearance: { request: ClearanceRequest; result: ClearanceResult }
  /** Of the fitting folder: what is set into the shells for what stands on them. (docs/decisions/0004) */
  seats: { request: SeatsRequest; result: SeatsResult }
  fitting: { request: FittingRequest; result: FittingResult }
  analysis: { request: AnalysisRequest; result: AnalysisResult }
  tooling: { request: ToolingRequest; result: ToolingResult }
  build: { request: BuildRequest; result: BuildResult }
}

export type FlowStep = keyof FlowMap
export type FlowResults = { readonly [N in FlowStep]?: FlowMap[N]['result'] }

/** A mesh file that a step reads besides the scan. */
export interface MeshUse {
  readonly mesh: MeshAsset
  readonly unit: 'auto' | LengthUnit
}

/** What a request is put together from, besides the job. */
export interface Given {
  /** Bytes of an asset. @throws Refused `asset-missing` */
  readonly bytes: (asset: string) => Uint8Array
  /** A mesh that the step's `meshes` named, read beforehand. */
  readonly part: (use: MeshUse) => Mesh<'part'>
  readonly results: FlowResults
}

export interface FlowRow<N extends FlowStep> {
  readonly name: N
  /** Raised when the step's mathematics change, so that kept results of older programs are not taken for new ones. */
  readonly version: number
  readonly after: readonly FlowStep[]
  readonly reads: (job: Job) => unknown
  /** Mesh files of the job that the request needs; each is read once. Left out: none. */
  readonly meshes?: (job: Job) => readonly MeshUse[]
  readonly request: (job: Job, given: Given) => FlowMap[N]['request']
  readonly run: (request: FlowMap[N]['request']) => Steps<FlowMap[N]['result']>
}

export type FlowTable = { readonly [N in FlowStep]: FlowRow<N> }
