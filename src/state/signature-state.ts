/** What each person signs, and whether a signature still covers what is there. */
import { coversNow as covers } from '../core/covers'
import { difference, differenceText, type History, type Job, plannedOf, type Role, type Signature } from '../core/job'
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
  const because = signed ? describeChange(signed.job, job, signed.leftBy, unit) : sinceRelease(job, signature)
  return { role, signature, lifted: true, because }
}

/** The history of another day is gone; the releases kept in the job still know what was asked then. */
function sinceRelease(job: Job, signature: Signature): string {
  const kept = job.release.revisions.findLast(
    (r) => covers({ ...job, ...(r.planned as Partial<Job>) }, signature.role) === signature.covers,
  )
  if (!kept) return 'what was signed has changed since'
  const changes = difference(kept.planned, JSON.parse(JSON.stringify(plannedOf(job)))).map(differenceText)
  return changes.slice(0, 3).join(', ') + (changes.length > 3 ? `, and ${changes.length - 3} more` : '')
}

export const signatureStates = (history: History, unit: ShownUnit): readonly SignatureState[] =>
  ROLES.map((role) => signatureState(history, role, unit))
