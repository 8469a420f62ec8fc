/** What the report says about the tools to be ordered. */
import type { ToolPlan } from '../tooling'
import { area, type Block, type BlocksInput, bad, type Cell, mm, pick, range } from './report-block'

export function toolBlocks({ results, drawings }: BlocksInput): Block[] {
  const { tooling } = results
  if (!tooling) return []
  return [
    { kind: 'heading', text: 'Tools to be ordered', newPage: true },
    {
      kind: 'text',
      text: 'The machine programmer checks all motion: stock, clamps, holder, limits and collisions are the shop’s own. Times are estimates from the rates of the job: likely, and from low to high.',
      small: true,
    },
    {
      kind: 'table',
      head: ['tool', 'size, mm', 'finished', 'boards', 'hours', 'cost'],
      rows: tooling.tools.map((t) => [
        toolName(t),
        t.footprint_mm.map((v) => v.toFixed(0)).join(' × '),
        `${t.mass_kg.toFixed(0)} kg`,
        String(t.stock.boards),
        range(t.total_h, 0),
        range(t.cost, 0),
      ]),
      widths: [4, 3.2, 1.8, 1.4, 3, 4],
      figures: [1, 2, 3, 4, 5],
    },
    { kind: 'sub', text: 'Cutters' },
    {
      kind: 'table',
      head: ['tool', 'cutter', 'stick-out needed', 'given', 'not reached', 'deepest left'],
      rows: tooling.tools.flatMap((t) =>
        t.cutters.map((c): Cell[] => [
          t.role,
          c.name,
          bad(mm(c.neededStickOut_mm, 0), c.neededStickOut_mm > c.stickOut_mm),
          mm(c.stickOut_mm, 0),
          bad(area(c.left_mm2), c.left_mm2 > 0),
          mm(c.deepest_mm, 2),
        ]),
      ),
      widths: [2, 3, 2.4, 2, 2, 2],
      figures: [2, 3, 4, 5],
    },
    { kind: 'sub', text: 'Hours' },
    {
      kind: 'table',
      head: ['tool', 'part', 'low', 'likely', 'high'],
      rows: tooling.tools.flatMap((t) =>
        [...t.time_h, { name: 'together', ...t.total_h }].map((p) => [
          t.role,
          p.name,
          p.low.toFixed(1),
          p.likely.toFixed(1),
          p.high.toFixed(1),
        ]),
      ),
      widths: [2, 5, 1.5, 1.5, 1.5],
      figures: [2, 3, 4],
    },
    {
      kind: 'text',
      text: `For ${tooling.choice.parts} ${tooling.choice.parts === 1 ? 'part' : 'parts'}: direct ${tooling.choice.cost.direct.toFixed(0)}, plug and production mould ${tooling.choice.cost.plug.toFixed(0)}, in the currency of the job. ${
        tooling.choice.crossings.length > 0
          ? `The cheaper one changes at ${tooling.choice.crossings
              .slice(0, 5)
              .map((c) => c.parts)
              .join(', ')} parts.`
          : 'The cheaper one does not change within the numbers looked at.'
      } The set-up at full width is in tooling-order.html.`,
    },
    { kind: 'drawings', drawings: pick(drawings, /^tool-cost$/) },
    { kind: 'drawings', drawings: pick(drawings, /^tool-.*-set-up$/) },
    { kind: 'drawings', drawings: pick(drawings, /^tool-.*-layers$/) },
    ...pick(drawings, /^(passes|boards)-/).map((d): Block => ({ kind: 'drawings', drawings: [d] })),
    {
      kind: 'text',
      text: 'Cutting board and laminate makes harmful dust: extraction at the tool. Blanks are heavy: lift them with certified gear.',
      small: true,
    },
  ]
}

const toolName = (t: ToolPlan): string =>
  `${t.made === 'plug' ? 'Plug' : 'Mould'} of the ${t.role}, ${t.male ? 'male' : 'female'}`
