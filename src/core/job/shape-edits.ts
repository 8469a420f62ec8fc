/** Edits of what the shell does apart from its plain settings: regions, allowance, trims, and cures that a finding offers. */
import type { ShapeSettings } from '../clearance/shape-types'
import type { Remedy } from '../geometry/trouble'
import type { Edit } from './edits'

/** @param title what was done, in a few words */
export const setShape = (change: Partial<ShapeSettings>, title: string): Edit => ({
  title,
  apply: (job) => ({ ...job, clearance: { ...job.clearance, ...change } }),
})

/** What a finding offers; the guard in front of all edits checks it as any other. */
export const takeRemedy = ({ words, clearance }: Remedy): Edit => setShape(clearance as Partial<ShapeSettings>, words)
