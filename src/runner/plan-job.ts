/**
 * Plans a job: runs whatever is stale, in the order that the flow table gives, as many steps at a time as the runner has
 * hands. The page and the command line both plan through here, so they give the same numbers.
 */

import type { PartReadResult } from '../core/fitting'
import {
  FLOW,
  FLOW_ORDER,
  type FlowMap,
  type FlowResults,
  type FlowStep,
  flowKeys,
  type Given,
  type MeshUse,
  seatedResults,
} from '../core/flow'
import { type Refusal, Refused } from '../core/geometry/trouble'
import type { Job } from '../core/job'
import { CANCELLED, type Outcome, type Runner, type RunProgress } from './runner'

/** Results by key. A cache: anything in it may be thrown away at any time. */
export interface ResultCache {
  get(key: string): unknown
  set(key: string, value: unknown): void
}

/** A step that is being worked out right now. */
export interface Going {
  readonly outcome: Promise<Outcome<unknown>>
  readonly stop: () => void
  /** Who hears of its progress: the plan that wants it now. */
  listen: (progress: RunProgress) => void
}

export interface PlanHost {
  readonly runner: Runner
  readonly cache: ResultCache
  /**
   * Steps under way, by key, shared by the plans that follow each other: a plan that wants what an earlier one began takes
   * it over instead of beginning again. Its owner stops those whose key nobody wants any more.
   */
  readonly going: Map<string, Going>
  /** @throws Refused `asset-missing` */
  readonly bytes: (asset: string) => Uint8Array
  readonly now: () => number
}

export interface PlanEvents {
  /** A step has begun; its earlier result, if there is one, is stale from now on. */
  readonly onStart?: (step: FlowStep, key: string) => void
  readonly onProgress?: (step: FlowStep, progress: RunProgress) => void
  readonly onDone?: <N extends FlowStep>(step: N, key: string, result: FlowMap[N]['result'], seconds: number) => void
  /** The step cannot be done; all that needs it is passed over with the same words. */
  readonly onRefused?: (step: FlowStep, key: string, refusal: Refusal) => void
}

export interface Plan {
  readonly results: FlowResults
  readonly keys: Readonly<Record<FlowStep, string>>
  readonly refused: { readonly [N in FlowStep]?: Refusal }
  /** Seconds of each step that was computed now; a step found in the cache keeps the time it once took. */
  readonly timings_s: { readonly [N in FlowStep]?: number }
}

interface Kept {
  readonly result: unknown
  readonly seconds: number
}

/** @throws only on a defect of ours */
export async function planJob(
  job: Job,
  host: PlanHost,
  events: PlanEvents = {},
  options: { readonly signal?: AbortSignal; readonly until?: FlowStep } = {},
): Promise<Plan> {
  const keys = flowKeys(job)
  const results: { [N in FlowStep]?: unknown } = {}
  const refused: { [N in FlowStep]?: Refusal } = {}
  const timings_s: { [N in FlowStep]?: number } = {}
  const wanted = stepsUntil(options.until)
  const running = new Map<FlowStep, Promise<void>>()
  const stop = options.signal ? { signal: options.signal } : {}

  const settle = (name: FlowStep, kept: Kept) => {
    results[name] = kept.result
    timings_s[name] = kept.seconds
    events.onDone?.(name, keys[name], kept.result as FlowMap[typeof name]['result'], kept.seconds)
  }
  const refuse = (name: FlowStep, refusal: Refusal) => {
    refused[name] = refusal
    events.onRefused?.(name, keys[name], refusal)
  }

  const run = async (name: FlowStep) => {
    const kept = host.cache.get(keys[name]) as Kept | undefined
    if (kept) return settle(name, kept)
    events.onStart?.(name, keys[name])
    const began = host.now()
    try {
      const parts = await readParts(FLOW[name].meshes?.(job) ?? [], host, stop)
      const given: Given = {
        bytes: host.bytes,
        part: (use) => parts.get(partKey(use))!.mesh,
        results: results as FlowResults,
      }
      const step = host.going.get(keys[name]) ?? begin(host, name, keys[name], FLOW[name].request(job, given))
      step.listen = (progress) => events.onProgress?.(name, progress)
      options.signal?.addEventListener('abort', () => resign(step), { once: true })
      const outcome = await step.outcome
      if (!outcome.ok) return refuse(name, outcome.refusal)
      const made: Kept = { result: outcome.value, seconds: (host.now() - began) / 1000 }
      host.cache.set(keys[name], made)
      settle(name, made)
    } catch (error) {
      if (!(error instanceof Refused)) throw error
      refuse(name, error.refusal)
    }
  }

  const givenUp = new Promise<void>((resolve) => {
    if (options.signal?.aborted) resolve()
    options.signal?.addEventListener('abort', () => resolve(), { once: true })
  })
  for (;;) {
    if (options.signal?.aborted) break
    for (const name of wanted) {
      if (name in results || name in refused || running.has(name)) continue
      const { after } = FLOW[name]
      const blocking = after.find((earlier) => earlier in refused)
      if (blocking) refuse(name, refused[blocking]!)
      else if (after.every((earlier) => earlier in results))
        running.set(
          name,
          run(name).finally(() => running.delete(name)),
        )
    }
    if (running.size === 0) break
    await Promise.race([givenUp, ...running.values()])
  }
  if (options.signal?.aborted)
    for (const name of wanted) if (!(name in results) && !(name in refused)) refused[name] = CANCELLED
  return { results: seatedResults(results as FlowResults), keys, refused, timings_s }
}

function begin(host: PlanHost, name: FlowStep, key: string, request: unknown): Going {
  const control = new AbortController()
  // A runner of this thread reports progress before `run` returns, so the listener stands before the step does.
  const ear = { listen: (_: RunProgress) => {} }
  const outcome = host.runner
    .run(name, request as never, { signal: control.signal, onProgress: (progress) => ear.listen(progress) })
    .finally(() => host.going.delete(key))
  const step: Going = Object.assign(ear, { outcome, stop: () => control.abort() })
  host.going.set(key, step)
  return step
}

/** The plan is given up: it no longer listens. Whether the step itself stops is its owner's word. */
function resign(step: Going): void {
  step.listen = () => {}
}

/** The step itself and all that it needs. */
function stepsUntil(until: FlowStep | undefined): readonly FlowStep[] {
  if (!until) return FLOW_ORDER
  const needed = new Set<FlowStep>([until])
  for (const name of [...FLOW_ORDER].reverse()) if (needed.has(name)) for (const e of FLOW[name].after) needed.add(e)
  return FLOW_ORDER.filter((name) => needed.has(name))
}

const partKey = (use: MeshUse): string => `part ${use.mesh.asset} ${use.unit}`

/** Reads each file once for as long as the cache keeps it: dragging a lamp never parses it again. */
async function readParts(
  uses: readonly MeshUse[],
  host: PlanHost,
  stop: { signal?: AbortSignal },
): Promise<ReadonlyMap<string, PartReadResult>> {
  const parts = new Map<string, PartReadResult>()
  for (const use of uses) {
    const key = partKey(use)
    if (parts.has(key)) continue
    let part = host.cache.get(key) as PartReadResult | undefined
    if (!part) {
      const file = { name: use.mesh.name, bytes: host.bytes(use.mesh.asset) }
      const outcome = await host.runner.run('readPart', { file, unit: use.unit }, stop)
      if (!outcome.ok) throw new Refused(outcome.refusal.code, outcome.refusal.message)
      part = outcome.value
      host.cache.set(key, part)
    }
    parts.set(key, part)
  }
  return parts
}
