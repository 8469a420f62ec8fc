/** What each person signs: the steps at the end of what they answer for, by the hashes of all that those were made from. */
import { type FlowStep, flowKeys } from './flow'
import { hashOf, type Job, type Role } from './job'

export const SIGNED_STEPS: { readonly [R in Role]: readonly FlowStep[] } = {
  designer: ['clearance'],
  owner: ['fitting'],
  toolmaker: ['analysis', 'tooling', 'build'],
}

/** Hash of exactly what this role would sign now. */
export const coversNow = (job: Job, role: Role, keys = flowKeys(job)): string =>
  hashOf(SIGNED_STEPS[role].map((step) => keys[step]))
