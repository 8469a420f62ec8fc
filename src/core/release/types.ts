import type { AnalysisResult, Check } from '../analysis'
import type { BuildResult } from '../build-plan'
import type { ClearanceResult } from '../clearance'
import type { DatumResult } from '../datum'
import type { FittingResult, SeatsResult } from '../fitting'
import type { FrameResult } from '../frame'
import type { Finding } from '../geometry/trouble'
import type { Job, Role, Waiver } from '../job'
import type { ScanResult } from '../scan'
import type { ToolingResult } from '../tooling'

/** One file of the pack; `path` uses forward slashes and never leaves the folder. */
export interface PackFile {
  readonly path: string
  readonly bytes: Uint8Array
}

/** Everything that has been worked out, by step; a step that could not be done is left out. */
export interface ReleaseResults {
  readonly scan?: ScanResult
  readonly frame?: FrameResult
  readonly datum?: DatumResult
  readonly clearance?: ClearanceResult
  readonly seats?: SeatsResult
  readonly fitting?: FittingResult
  readonly analysis?: AnalysisResult
  readonly tooling?: ToolingResult
  readonly build?: BuildResult
}

export interface ReleaseInput {
  readonly job: Job
  readonly results: ReleaseResults
  readonly timings_s: { readonly [step: string]: number }
  /** Version of the program that made the results. */
  readonly program: string
  /** What each role would sign now (`coversNow`): a signature over anything else is lifted. Left out: not judged. */
  readonly covers?: { readonly [R in Role]: string }
}

export interface ReportSignature {
  readonly role: Role
  readonly name: string
  readonly at: string
  readonly covers: string
  /** Public half of the key it was sealed with; null: by name alone. */
  readonly publicKey: string | null
  /** Whether it covers what is there now; null: not judged. */
  readonly stands: boolean | null
}

export interface ReportTube {
  readonly id: string
  /** Chord direction of an open tube, normal of the mean plane of a closed one. */
  readonly axis: readonly [number, number, number]
  readonly from: readonly [number, number, number]
  readonly to: readonly [number, number, number]
  readonly diameter_mm: number
  readonly rms_mm: number
  readonly length_mm: number
  readonly bow_mm: number
  readonly closed: boolean
}

export interface ReportFinding extends Finding {
  readonly waived?: Omit<Waiver, 'finding'>
}

/** `report.json`. Lengths mm, areas mm2, angles degrees, times s; places in job axes once there is a datum. */
export interface Report {
  readonly program: string
  readonly job: { readonly title: string; readonly revision: string; readonly settings: Job['clearance'] }
  readonly hash: string
  readonly scan: object | null
  readonly datum: object | null
  readonly frame: { readonly tubes: readonly ReportTube[]; readonly plates: number }
  readonly clearance: object | null
  readonly fitting: object | null
  /** Scans of moulds and parts against the planned faces. */
  readonly asMade: readonly object[]
  readonly analysis: { readonly [part: string]: Check }
  readonly tooling: object | null
  readonly build: object | null
  readonly findings: readonly ReportFinding[]
  /** Ids of the holds that stand: not cleared, not waived. */
  readonly holds: readonly string[]
  readonly cautions: readonly string[]
  readonly signatures: readonly ReportSignature[]
  readonly timings_s: { readonly [step: string]: number }
}
