import type { Passes } from '../../core/tooling'

/** More passes than this lie closer together on the sheet than a line is wide. */
const MOST_PASSES = 160

/** Of passes side by side every so many are drawn. */
export const passesShown = ({ start }: Passes): number => Math.max(1, Math.ceil((start.length - 1) / MOST_PASSES))
