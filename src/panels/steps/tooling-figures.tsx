/** What was worked out for the tools: figures of each, and cost over the number of tops. */
import type { Range, ToolClassChoice, ToolPlan } from '../../core/tooling'
import { areaText, lengthFigure, lengthText, massText, type ShownUnit } from '../../state/format'
import type { Stores } from '../../state/stores'
import { LinkRow } from '../fields/link-row'
import { Rows } from '../figures/rows'
import { toolingWords as words } from '../words'

const hoursText = (r: Range): string => words.hours(r.likely.toFixed(1), r.low.toFixed(0), r.high.toFixed(0))
const moneyText = (v: number): string => String(Math.round(v)).replace(/\B(?=(\d{3})+$)/g, ' ')

/** The unit once, behind the last. */
const sizeText = (sides: readonly number[], unit: ShownUnit): string =>
  `${sides.map((v) => lengthFigure(v, unit, { digits: 0 }).value).join(' × ')} ${unit}`

export function ToolRows({ tool, unit, stores }: { tool: ToolPlan; unit: ShownUnit; stores: Stores }) {
  const { cost, stock } = tool
  const last = tool.cutters.at(-1)
  const at = last?.deepestAt
  const reach = Math.max(...tool.cutters.map((c) => c.neededStickOut_mm))
  const heaviest = Math.max(...stock.sections.map((s) => s.blank_kg))
  const { figures } = words
  const rows: readonly (readonly [string, string])[] = [
    [figures.size, sizeText(tool.footprint_mm, unit)],
    [figures.finished, massText(tool.mass_kg, unit)],
    [figures.blank, massText(heaviest, unit)],
    [figures.boards, words.boardCount(stock.boards, stock.leastBoards.toFixed(1))],
    [figures.left, areaText(last?.left_mm2 ?? 0, unit)],
    [figures.deepest, lengthText(last?.deepest_mm ?? 0, unit, 2)],
    [figures.deepestZ, lengthText(last?.deepestZ_mm ?? 0, unit)],
    [figures.stickOut, lengthText(reach, unit, 0)],
    [figures.apart, lengthText(tool.stepOver_mm, unit, 2)],
    [figures.length, `${(tool.passLength_mm / 1e6).toFixed(2)} km`],
    ...tool.time_h.map((part) => [part.name, hoursText(part)] as const),
    [figures.together, hoursText(tool.total_h)],
    [figures.cost, words.money(moneyText(cost.likely), moneyText(cost.low), moneyText(cost.high))],
  ]
  return (
    <section className="slip-part">
      <h3>{words.tool(words.toolKind[tool.made], tool.role, tool.male)}</h3>
      <Rows testId={`tool-${tool.role}`} rows={rows} />
      {at && last.left_mm2 > 0 && (
        <LinkRow
          onClick={() =>
            stores.session.setState({
              question: 'off',
              section: { across: 'y', at_mm: at[1], spot: [at[0], at[1], at[2]] },
            })
          }
        >
          {words.showDeepest}
        </LinkRow>
      )}
    </section>
  )
}

export const ClassPart = ({ choice }: { choice: ToolClassChoice }) => (
  <section className="slip-part">
    <h3>{words.choice}</h3>
    <ClassPlot choice={choice} />
    <p className="field-hint" data-testid="tooling-choice">
      {choiceWords(choice)}
    </p>
  </section>
)

/** Cost over number of parts: solid direct, dashed plug; the number wanted and every crossing as lines. */
function ClassPlot({ choice }: { choice: ToolClassChoice }) {
  const shown = Math.min(
    choice.curve.direct.length,
    Math.max(20, 3 * choice.parts, ...choice.crossings.slice(0, 3).map((c) => 2 * c.parts)),
  )
  const most = Math.max(choice.curve.direct[shown - 1] ?? 1, choice.curve.plug[shown - 1] ?? 1)
  const x = (n: number) => 4 + (272 * (n - 1)) / Math.max(1, shown - 1)
  const y = (cost: number) => 92 - (86 * cost) / most
  const line = (curve: readonly number[]) =>
    curve
      .slice(0, shown)
      .map((c, i) => `${x(i + 1).toFixed(1)},${y(c).toFixed(1)}`)
      .join(' ')
  return (
    <svg viewBox="0 0 280 110" role="img" aria-label={words.plot} data-testid="tooling-plot">
      <polyline points={line(choice.curve.direct)} fill="none" stroke="var(--ink)" strokeWidth="1.5" />
      <polyline
        points={line(choice.curve.plug)}
        fill="none"
        stroke="var(--ink)"
        strokeWidth="1.5"
        strokeDasharray="5 3"
      />
      <line x1="4" x2="276" y1="92" y2="92" stroke="var(--ink)" strokeWidth="0.6" />
      <line x1={x(choice.parts)} x2={x(choice.parts)} y1="4" y2="92" stroke="var(--blue)" strokeWidth="1.5" />
      {choice.crossings
        .filter((c) => c.parts <= shown)
        .map((c) => (
          <line
            key={c.parts}
            x1={x(c.parts)}
            x2={x(c.parts)}
            y1="60"
            y2="92"
            stroke="var(--lead)"
            strokeDasharray="2 2"
          />
        ))}
      <text x="4" y="106" fontSize="13" fill="var(--ink2)">
        1
      </text>
      <text x="276" y="106" fontSize="13" textAnchor="end" fill="var(--ink2)">
        {words.tops(shown)}
      </text>
    </svg>
  )
}

const choiceWords = (choice: ToolClassChoice): string =>
  words.chosen({
    parts: choice.parts,
    direct: moneyText(choice.cost.direct),
    plug: moneyText(choice.cost.plug),
    best: words.cheaper[choice.best],
    changes: choice.crossings.slice(0, 3).map((c) => words.from(c.parts, words.cheaper[c.to])),
    days: choice.lead_days[choice.best],
  })
