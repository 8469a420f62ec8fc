/**
 * Three kinds of trouble, kept apart: a *finding* (the metal or shape is wrong), a *refusal* (we cannot do what was asked),
 * and a defect (we are wrong: a plain `throw new Error('step: …')`).
 */
import type { Point } from './axes'

export type StepName =
  | 'scan'
  | 'frame'
  | 'datum'
  | 'clearance'
  | 'fitting'
  | 'analysis'
  | 'tooling'
  | 'build'
  | 'release'

/** What a step found to be wrong with metal, shape or data. Never thrown. */
export interface Finding {
  /** Stable and unique within a job: step, cause and, where there are several, a number. `clearance.fails`, `scan.hole.3` */
  readonly id: string
  readonly step: StepName
  /** A hold stops the release until it is cleared or waived by a named person with a reason. */
  readonly severity: 'note' | 'warning' | 'hold'
  /** What is wrong, by how much and where: one sentence for a person. */
  readonly message: string
  /** What to do about it: one sentence. */
  readonly advice?: string
  /** Scan axes for `scan`, `frame` and `datum` unless the step says otherwise; job axes for all later steps. mm */
  readonly where?: Point
  readonly value?: number
  readonly limit?: number
  readonly unit?: string
  /** An edit that would cure it, offered beside it. */
  readonly remedy?: Remedy
}

/** Settings of the clearance step, by their keys in the job; whoever makes the edit checks them as any other. */
export interface Remedy {
  /** What the button says: the order to be given. */
  readonly words: string
  readonly clearance: Readonly<Record<string, unknown>>
}

/** Why something cannot be done: a closed list, so that every place that meets one can be tested. */
export type RefusalCode =
  | 'cancelled'
  | 'file-empty' // no bytes, or nothing but white space
  | 'file-unknown' // no format that we read
  | 'file-damaged' // a known format, broken
  | 'file-unsupported' // a known format in a kind we do not read
  | 'mesh-empty' // a whole file without a usable facet
  | 'too-large' // beyond a stated budget
  | 'job-invalid' // the job breaks its schema, or is of a newer version
  | 'asset-missing' // the job names a mesh that is not there
  | 'datum-unclear' // no mirror plane can be found or is asked for
  | 'register-unclear' // one mesh cannot be brought on to another, or in more than one way
  | 'shape-impossible' // the settings leave no shell
  | 'setting-impossible' // a setting out of range

export interface Refusal {
  readonly code: RefusalCode
  /** One sentence: what, where, what to do. */
  readonly message: string
}

/** Thrown by kernels and readers, turned into a plain `Refusal` by the runner; later steps pass it on untouched. */
export class Refused extends Error {
  readonly refusal: Refusal
  constructor(code: RefusalCode, message: string) {
    super(message)
    this.name = 'Refused'
    this.refusal = { code, message }
  }
}

/** Text out of a file, fit to stand in a sentence: one line, nothing that does not print, at most so many characters. */
export function plainWords(text: string, most: number): string {
  const line = text.replace(/[\p{C}\p{Z}\s]+/gu, ' ').trim()
  return line.length > most ? `${line.slice(0, most)}…` : line
}

/** For the end of a switch over a union: reached only by a defect. */
export function assertNever(value: never): never {
  throw new Error(`defect: a case was forgotten: ${JSON.stringify(value)}`)
}
