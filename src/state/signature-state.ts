/** What each person signs, and whether a signature still covers what is there. */
import { coversNow as covers } from '../core/covers'
import type { History, Job, Role, Signature } from '../core/job'
import { describeChange, jobWhere, stepKeys } from './describe-change'
import type { ShownUnit } from './format'
import type { Question } from './session-store'

export const ROLES: readonly Role[] = ['designer', 'owner', 'toolmaker']

export const QUESTION_OF: { readonly [R in Role]: Exclude<Question, 'release'> } = {
  designer: 'clear',
  owner: 'live',
  toolmaker: 'off',
}

/** Hash of exactly what this role would sign now. */
export const coversNow = (job: Job, role: Role): string => covers(job, role, stepKeys(job))

export interface SignatureState {
  readonly role: Role
  readonly signature: Signature | null
  readonly lifted: boolean
  /** Why it was lifted, in words. */
  readonly because: string | null
}

export function signatureState(history: History, role: Role, unit: ShownUnit): SignatureState {
  const { job } = history
  const signature = job.release.signatures.find((s) => s.role === role) ?? null
  if (!signature) return { role, signature, lifted: false, because: null }
  if (signature.covers === coversNow(job, role)) return { role, signature, lifted: false, because: null }
  const signed = jobWhere(history, (then) => coversNow(then, role) === signature.covers)
  const because = signed ? describeChange(signed.job, job, signed.leftBy, unit) : 'what was signed has changed since'
  return { role, signature, lifted: true, because }
}

export const signatureStates = (history: History, unit: ShownUnit): readonly SignatureState[] =>
  ROLES.map((role) => signatureState(history, role, unit))
