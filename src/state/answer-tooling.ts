/** What tooling adds to "Will it come off, and can it be cut?": what the cutters leave, and out of how many boards. */
import type { ToolingResult } from '../core/tooling/types'
import type { AnswerFigure, TellInput } from './answer-types'
import { counted } from './answer-types'
import { areaFigure } from './format'

/** Moulded area of all tools that is left uncut beyond the limit, mm². */
export const outOfReach_mm2 = (made: ToolingResult): number =>
  made.tools.reduce((sum, tool) => sum + (tool.cutters.at(-1)?.left_mm2 ?? 0), 0)

/** The figure of the cutters' reach, in place of the last one; without a result the figures stay as they are. */
export function withReach(
  figures: readonly AnswerFigure[],
  { steps, unit }: Pick<TellInput, 'steps' | 'unit'>,
): readonly AnswerFigure[] {
  const made = steps.tooling.result
  if (!made) return figures
  const left = outOfReach_mm2(made)
  return [
    ...figures.slice(0, 3),
    {
      id: 'out-of-reach',
      ...areaFigure(left, unit, { round: 'up' }),
      label: 'out of cutter’s reach',
      sub: counted(made.boards, 'board'),
      bad: left > 0,
    },
  ]
}
