import { type Steps, sideBySide } from '../geometry/kernel'
import { toolingFindings } from './findings'
import { checkToolingSettings } from './settings'
import { type ClassRates, chooseToolClass, type ToolClass } from './tool-class'
import { PLAN_TOOL, sum } from './tool-plan'
import type { ToolingRequest, ToolingResult, ToolingSettings } from './types'

/**
 * From moulded faces to an order: which kind of tool, the solids, boards, what the cutters reach, hours and cost as ranges.
 *
 * With `made: 'auto'` the direct moulds are planned first; where plug and production mould turn out cheaper for the parts
 * wanted, the plugs (the other half of each form) are planned and given instead.
 *
 * @throws Refused `setting-impossible`, `shape-impossible`
 * @example const { tools, choice } = drain(toolingStep({ shells, settings: TOOLING_DEFAULTS }))
 */
export function* toolingStep(request: ToolingRequest): Steps<ToolingResult> {
  const { settings, shells } = request
  checkToolingSettings(settings)
  const plan = (made: ToolClass, from: number, to: number) =>
    sideBySide(
      from,
      to,
      'tools',
      PLAN_TOOL,
      shells.map((shell) => ({ shell, made, settings })),
    )
  const first: ToolClass = settings.made === 'plug' ? 'plug' : 'direct'
  let tools = yield* plan(first, 0, settings.made === 'auto' ? 0.6 : 1)
  const machined = sum(tools.map((t) => t.cost)).likely
  const moulded_m2 = tools.reduce((area, t) => area + t.mouldedArea_mm2, 0) / 1e6
  const choice = chooseToolClass(
    {
      direct: rates(settings, 'direct', machined, moulded_m2),
      plug: rates(settings, 'plug', machined, moulded_m2),
    },
    settings.parts,
  )
  if (settings.made === 'auto' && choice.best === 'plug') tools = yield* plan('plug', 0.6, 1)
  return {
    choice,
    tools,
    boards: tools.reduce((n, t) => n + t.stock.boards, 0),
    boardsLeast: tools.reduce((n, t) => n + t.stock.leastBoards, 0),
    total_h: sum(tools.map((t) => t.total_h)),
    cost: sum(tools.map((t) => t.cost)),
    findings: toolingFindings(tools, settings),
  }
}

/** Plug and direct mould take the same machining; the plug has a mould laminated over it besides. */
function rates(settings: ToolingSettings, made: ToolClass, machined: number, moulded_m2: number): ClassRates {
  const { life_parts, part_cost, laminate_cost_m2, lead_days } = settings.classes[made]
  return { fixed: machined + laminate_cost_m2 * moulded_m2, life: life_parts, unit: part_cost, lead_days }
}
