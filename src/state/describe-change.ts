/** What differs between two jobs, in words: for "last change", for "as of", and for why a signature was lifted. */
import type { ClearanceSettings } from '../core/clearance/types'
import { FLOW_ORDER, type FlowStep, flowKeys } from '../core/flow'
import type { Refusal } from '../core/geometry/trouble'
import type { History, Job } from '../core/job'
import { angleText, type ShownUnit, settingText, trimmed } from './format'

/** What the shop calls each setting of the clearance step. */
export const SETTING_WORDS: { readonly [K in keyof ClearanceSettings]: string } = {
  gap_mm: 'gap',
  symmetric: 'symmetric',
  draft_deg: 'draft',
  skirt_mm: 'skirt',
  overhang_mm: 'overhang',
  minRadius_mm: 'least radius',
  edgeRadius_mm: 'edge radius',
  flange_mm: 'flange',
  fairRadius_mm: 'fair radius',
  tautness: 'tautness',
  camberAlong_mm: 'camber fore and aft',
  camberAcross_mm: 'camber athwart',
  sample_mm: 'sample spacing',
  underside_mm: 'underside laminate',
  topside_mm: 'topside laminate',
  cavity_mm: 'cavity',
  bond_mm: 'bond line',
  coverage: 'coverage factor',
  joint: 'joint',
  outline: 'outline',
  regions: 'regions with their own gap',
  allowance: 'allowance',
  trims: 'trims',
  bosses: 'bosses',
  lands: 'landing strips',
}

/** A refusal as the page says it: the step is in sight, and settings have the shop's names, not those of `job.json`. */
export function refusalWords({ message }: Refusal): string {
  const named = Object.entries(SETTING_WORDS).reduce(
    (text, [key, word]) => text.replaceAll(new RegExp(`\\b${key}\\b`, 'g'), word),
    message,
  )
  return named.replace(/^[a-z]+: /, '')
}

/** The unit is in the key's name. */
export function settingValueText(key: string, value: unknown, unit: ShownUnit): string {
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  if (key === 'outline') return outlineWords(value as ClearanceSettings['outline'])
  if (Array.isArray(value)) return value.length === 0 ? 'none' : String(value.length)
  if (key === 'allowance') return allowanceWords(value as ClearanceSettings['allowance'], unit)
  if (key === 'lands') return landWords(value as ClearanceSettings['lands'], unit)
  if (typeof value !== 'number') return String(value)
  if (key.endsWith('_mm')) return settingText(value, unit)
  return key.endsWith('_deg') ? angleText(value, value % 1 === 0 ? 0 : 1) : trimmed(value, 3)
}

const outlineWords = (outline: ClearanceSettings['outline']): string =>
  outline.from === 'silhouette' ? 'the silhouette' : `drawn, ${outline.points.length} points`

const allowanceWords = ({ laminate_mm, shrinkage_percent }: ClearanceSettings['allowance'], unit: ShownUnit): string =>
  `${settingText(laminate_mm, unit)} and ${trimmed(shrinkage_percent, 2)} %`

const landWords = ({ kind, width_mm }: ClearanceSettings['lands'], unit: ShownUnit): string =>
  kind === 'none' ? 'none' : `${kind}, ${settingText(width_mm, unit)} wide`

const changedSettings = (before: Job, after: Job): readonly (keyof ClearanceSettings)[] =>
  (Object.keys(SETTING_WORDS) as (keyof ClearanceSettings)[]).filter((k) => before.clearance[k] !== after.clearance[k])

/** @example describeChange(before, after, 'gap 12', 'mm') // 'gap 14 mm → 12 mm' */
export function describeChange(before: Job, after: Job, title: string, unit: ShownUnit): string {
  const [key, ...more] = changedSettings(before, after)
  if (!key || more.length > 0) return title
  const from = settingValueText(key, before.clearance[key], unit)
  return `${SETTING_WORDS[key]} ${from} → ${settingValueText(key, after.clearance[key], unit)}`
}

const keysOf = new WeakMap<Job, Readonly<Record<FlowStep, string>>>()

/** Keys of all steps for a job, worked out once per job. */
export function stepKeys(job: Job): Readonly<Record<FlowStep, string>> {
  let keys = keysOf.get(job)
  if (!keys) {
    keys = flowKeys(job)
    keysOf.set(job, keys)
  }
  return keys
}

/** How far back an earlier job is looked for. */
const LOOK_BACK = 60

/**
 * The words for a result that was made of an earlier job: what that job asked.
 *
 * @example asOfWords(history, 'analysis', key, 'mm') // 'as of 14 mm gap'
 */
export function asOfWords(history: History, step: FlowStep, key: string | null, unit: ShownUnit): string {
  const found = jobWhere(history, (then) => stepKeys(then)[step] === key)
  if (!found) return 'as of an earlier job'
  const changed = changedSettings(found.job, history.job)
  const [name] = changed
  if (name && changed.length === 1) {
    const value = settingValueText(name, found.job.clearance[name], unit)
    return typeof found.job.clearance[name] === 'number'
      ? `as of ${value} ${SETTING_WORDS[name]}`
      : `as of ${SETTING_WORDS[name]}: ${value}`
  }
  return `as of before “${found.leftBy}”`
}

/** The last job of the history that passes a test, and the title of the edit that led away from it. */
export function jobWhere(history: History, test: (job: Job) => boolean): { job: Job; leftBy: string } | null {
  const past = history.past.slice(-LOOK_BACK)
  for (let i = past.length - 1; i >= 0; i--)
    if (test(past[i]!.before)) return { job: past[i]!.before, leftBy: past[i]!.title }
  for (const later of history.future.slice(0, LOOK_BACK))
    if (test(later.after)) return { job: later.after, leftBy: `undo ${later.title}` }
  return null
}

/** Steps whose inputs differ between two jobs, in the order of the work. */
export const stepsChanged = (a: Job, b: Job): readonly FlowStep[] =>
  FLOW_ORDER.filter((name) => stepKeys(a)[name] !== stepKeys(b)[name])
