import type { Finding } from '../geometry/trouble'
import { TOOLING_DEFAULTS } from './settings'
import type { ToolingSettings, ToolPlan } from './types'

/** Less than this is left to the sander without a word, mm². */
const SMALL_MM2 = 100

export function toolingFindings(tools: readonly ToolPlan[], settings: ToolingSettings): Finding[] {
  const out: Finding[] = []
  for (const tool of tools) out.push(...ofTool(tool, settings))
  if (settings.shrinkage === 1)
    out.push({
      id: 'tooling.shrinkage',
      step: 'tooling',
      severity: 'note',
      message: 'The tools are made to size: no shrinkage of the laminate is allowed for.',
      advice: 'Measure what your laminate shrinks by and set shrinkage, for example 1.002 for 0.2 %.',
      value: 1,
    })
  const demo =
    settings.machine.cost_h === TOOLING_DEFAULTS.machine.cost_h && settings.board.cost === TOOLING_DEFAULTS.board.cost
  if (demo)
    out.push({
      id: 'tooling.rates',
      step: 'tooling',
      severity: 'note',
      message: 'Rates, speeds, boards and machine are invented figures for show; hours and costs mean nothing yet.',
      advice: 'Replace them with your own in the tooling settings.',
    })
  return out
}

function ofTool(tool: ToolPlan, settings: ToolingSettings): Finding[] {
  const out: Finding[] = []
  const last = tool.cutters.at(-1)
  const name = `tool of the ${tool.role}`
  if (last && last.left_mm2 > SMALL_MM2)
    out.push({
      id: `tooling.reach.${tool.role}`,
      step: 'tooling',
      // Deep left-over changes the part; shallow left-over is an hour with a scraper.
      severity: last.deepest_mm > 3 * settings.leftLimit_mm ? 'hold' : 'warning',
      message: `On the ${name} ${(last.left_mm2 / 100).toFixed(1)} cm² is out of the cutters’ reach, up to ${last.deepest_mm.toFixed(2)} mm left along the normal (${last.deepestZ_mm.toFixed(1)} mm along z).`,
      advice: `Add a smaller or longer cutter, enlarge the radius there, or waive it and finish by hand.`,
      ...(last.deepestAt ? { where: last.deepestAt } : {}),
      value: last.deepest_mm,
      limit: settings.leftLimit_mm,
      unit: 'mm',
    })
  tool.cutters.forEach((cutter, c) => {
    if (cutter.neededStickOut_mm <= cutter.stickOut_mm) return
    out.push({
      id: `tooling.stick-out.${tool.role}.${c + 1}`,
      step: 'tooling',
      severity: 'warning',
      message: `The holder of ${cutter.name} would touch the ${name}: ${Math.ceil(cutter.neededStickOut_mm)} mm of stick-out are needed, it has ${cutter.stickOut_mm} mm.`,
      advice: 'Use a longer tool or a slimmer holder; the area it cannot come near is counted as not reached.',
      ...(cutter.holderAt ? { where: cutter.holderAt } : {}),
      value: cutter.neededStickOut_mm,
      limit: cutter.stickOut_mm,
      unit: 'mm',
    })
  })
  const limit = settings.machine.liftLimit_kg
  tool.stock.sections.forEach((section, s) => {
    if (section.blank_kg <= limit) return
    out.push({
      id: `tooling.lift.${tool.role}.${s + 1}`,
      step: 'tooling',
      severity: 'warning',
      message: `${tool.stock.sections.length > 1 ? `Piece ${s + 1} of the ` : 'The '}blank for the ${name} weighs ${Math.round(section.blank_kg)} kg before machining; your lifting limit is ${limit} kg.`,
      advice: 'Split it, hollow it out, or plan the lift with certified gear; nobody stands under it.',
      value: section.blank_kg,
      limit,
      unit: 'kg',
    })
  })
  if (tool.narrowestFlange_mm < settings.flange_mm - 0.5)
    out.push({
      id: `tooling.flange.${tool.role}`,
      step: 'tooling',
      severity: 'note',
      message: `The flange of the ${name} is ${tool.narrowestFlange_mm.toFixed(0)} mm wide where the outline turns in; ${settings.flange_mm} mm is asked.`,
      advice: 'Check that bag and clamps find room there.',
      value: tool.narrowestFlange_mm,
      limit: settings.flange_mm,
      unit: 'mm',
    })
  if (tool.stock.glueOnEdge_mm > 0)
    out.push({
      id: `tooling.glue.${tool.role}`,
      step: 'tooling',
      severity: 'note',
      message: `Glue lines of the ${name} come to the surface along ${(tool.stock.glueOnEdge_mm / 1000).toFixed(1)} m of the edge radius.`,
      advice: 'Another base thickness or board may move them; otherwise fill and seal them before the last pass.',
      value: tool.stock.glueOnEdge_mm,
      unit: 'mm',
    })
  return out
}
