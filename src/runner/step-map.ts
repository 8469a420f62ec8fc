/**
 * The wall as a table: everything that may be asked of the other side, with what it takes and what it gives. Only plain
 * objects and typed arrays cross.
 */

import {
  ANALYSE_PART,
  type MovedRequest,
  type MovedSurface,
  movedSurface,
  type PullMap,
  type PullMapRequest,
  type PullStudy,
  type PullStudyRequest,
  pullMap,
  pullStudy,
} from '../core/analysis'
import {
  type MetalMap,
  type MetalMapRequest,
  metalMap,
  type OutlineFile,
  type OutlineFileRequest,
  type RoughRequest,
  type RoughUnderside,
  readOutline,
  roughUnderside,
  type ThinFrame,
  type ThinFrameRequest,
  thinFrame,
} from '../core/clearance'
import { type PartReadRequest, type PartReadResult, readPart } from '../core/fitting'
import { FLOW, type FlowMap } from '../core/flow'
import { type DisplayCopy, displayCopy } from '../core/geometry/display-copy'
import type { Steps } from '../core/geometry/kernel'
import type { Mesh } from '../core/geometry/mesh'
import { PLAN_TOOL } from '../core/tooling'

type Named<K> = K extends { run: (request: infer Q) => Steps<infer R> } ? { request: Q; result: R } : never

export interface KernelMap extends FlowMap {
  /** Pieces that steps offer to other threads. */
  planTool: Named<typeof PLAN_TOOL>
  analysePart: Named<typeof ANALYSE_PART>
  /** Reads a supplier's mesh file. */
  readPart: { request: PartReadRequest; result: PartReadResult }
  /** Reads an outline drawn elsewhere. */
  readOutline: { request: OutlineFileRequest; result: OutlineFile }
  /** A frame with few facets, and the underside over it roughly, while a setting is being chosen; no result comes of them. */
  thinFrame: { request: ThinFrameRequest; result: ThinFrame }
  roughUnderside: { request: RoughRequest; result: RoughUnderside }
  /** The gap of every facet of the metal, made when somebody looks at it. */
  metalMap: { request: MetalMapRequest; result: MetalMap }
  /** Few facets of a large mesh, to be drawn; no figure comes of them. */
  displayCopy: { request: { readonly mesh: Mesh; readonly keep: number }; result: DisplayCopy }
  /** Locked area over all pulls, and the best split; made when somebody asks, never a part of the plan. */
  pullMap: { request: PullMapRequest; result: PullMap }
  /** What one pull would lock. */
  pullStudy: { request: PullStudyRequest; result: PullStudy }
  /** How far a face has moved since an earlier release. */
  movedSurface: { request: MovedRequest; result: MovedSurface }
}

export type KernelName = keyof KernelMap
export type RequestOf<N extends KernelName> = KernelMap[N]['request']
export type ResultOf<N extends KernelName> = KernelMap[N]['result']

export type Kernels = { readonly [N in KernelName]: (request: RequestOf<N>) => Steps<ResultOf<N>> }

export const KERNELS: Kernels = {
  scan: FLOW.scan.run,
  frame: FLOW.frame.run,
  datum: FLOW.datum.run,
  clearance: FLOW.clearance.run,
  seats: FLOW.seats.run,
  fitting: FLOW.fitting.run,
  analysis: FLOW.analysis.run,
  tooling: FLOW.tooling.run,
  build: FLOW.build.run,
  [PLAN_TOOL.name]: PLAN_TOOL.run,
  [ANALYSE_PART.name]: ANALYSE_PART.run,
  readPart,
  readOutline,
  thinFrame,
  roughUnderside,
  metalMap,
  displayCopy,
  pullMap,
  pullStudy,
  movedSurface,
}
