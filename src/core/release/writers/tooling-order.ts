/**
 * The order for a tool path: one sheet that a router shop can quote from. What, from what stock, how it is set up, which cutters
 * reach, what they leave, how long, and the hashes of the geometry. Never a program for a machine.
 */

import type { Job } from '../../job'
import type { Range, ToolingResult, ToolPlan } from '../../tooling'
import { boardSheet } from '../drawing/board-sheets'
import { svgOf } from '../drawing/svg'
import { costSheet, setupSheet } from '../drawing/tool-sheets'
import { escaped } from './html'

export interface OrderInput {
  readonly job: Job
  readonly tooling: ToolingResult
  /** Hash of the job, hex. */
  readonly hash: string
  readonly program: string
  /** Names and SHA-256 of the files that go with the order. */
  readonly files: readonly { readonly path: string; readonly sha256: string }[]
}

export function toolingOrderHtml(input: OrderInput): string {
  const { job, tooling, hash, program } = input
  const s = job.tooling
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(job.title)}: order for tooling</title><style>${STYLE}</style></head><body>
<header><h1>Order for tooling</h1>
<p>${escaped(job.title)} · revision ${escaped(job.release.revision)} · job ${hash.slice(0, 8)} · ${escaped(program)}</p>
<p class="caution">The machine programmer checks all motion: stock, clamps, holder, limits and collisions are the shop’s own. This sheet
is no machine program; times are estimates from the rates of the job.</p></header>
${section('What', whatTable(tooling))}
${tooling.tools.map((tool) => toolSection(tool, s)).join('')}
${section('Direct or plug', svgOf(costSheet(tooling)), '<p><small>Solid: direct mould. Dashed: plug and production mould. Red: where the cheaper one changes.</small></p>', classWords(tooling))}
${section('Terms', termsTable(job))}
${section('Geometry', filesTable(input))}
</body></html>
`
}

const STYLE = `
*{box-sizing:border-box}body{margin:0 auto;max-width:900px;padding:28px;background:#fff;color:#1e2428;font:15px/1.4 'Alegreya Sans',Candara,'Gill Sans',sans-serif;font-variant-numeric:lining-nums tabular-nums}
h1{font-size:28px;margin:0}h2{font-size:20px;margin:32px 0 10px;padding-bottom:5px;border-bottom:2px solid #1b5a94}h3{font-size:16px;margin:18px 0 6px}
header p{margin:4px 0;color:#565b5c}.caution{color:#b0381a;font-weight:700}table{border-collapse:collapse;width:100%}
th,td{text-align:left;padding:4px 8px 4px 0;border-bottom:1px solid #cfc8b9;font-weight:400;vertical-align:top}td.n,th.n{text-align:right}th{color:#565b5c}
svg{width:100%;height:auto;margin:8px 0;border:1px solid #1e2428;background:#fbf8f1}.set-up{max-width:560px}small{color:#565b5c}.bad{color:#b0381a;font-weight:700}
@media print{body{padding:0}h2{break-after:avoid}tr,svg{break-inside:avoid}}`

const section = (title: string, ...body: string[]): string => `<section><h2>${title}</h2>${body.join('')}</section>`
const mm = (v: number, digits = 0): string => `${v.toFixed(digits).replace('-', '−')} mm`
const hours = (r: Range): string =>
  `${r.likely.toFixed(1)} h <small>(${r.low.toFixed(1)} – ${r.high.toFixed(1)})</small>`
const money = (v: number): string => String(Math.round(v)).replace(/\B(?=(\d{3})+$)/g, ' ')
const area = (mm2: number): string => (mm2 < 1e6 ? `${(mm2 / 100).toFixed(1)} cm²` : `${(mm2 / 1e6).toFixed(2)} m²`)

const nameOf = (tool: ToolPlan): string =>
  `${tool.made === 'plug' ? 'Plug' : 'Mould'} of the ${tool.role}, ${tool.male ? 'male (crown up)' : 'female (hollow up)'}`

function whatTable(t: ToolingResult): string {
  const body = t.tools
    .map(
      (tool) =>
        `<tr><td>${nameOf(tool)}</td><td class="n">${tool.footprint_mm.map((v) => v.toFixed(0)).join(' × ')} mm</td><td class="n">${tool.mass_kg.toFixed(0)} kg</td><td class="n">${tool.stock.boards}</td><td class="n">${hours(tool.total_h)}</td><td class="n">${money(tool.cost.likely)} <small>(${money(tool.cost.low)} – ${money(tool.cost.high)})</small></td></tr>`,
    )
    .join('')
  return `<table><tr><th>tool</th><th class="n">size</th><th class="n">finished</th><th class="n">boards</th><th class="n">hours</th><th class="n">cost</th></tr>${body}</table><p><small>Likely, and from low to high. Currency and rates are those of the job.</small></p>`
}

function toolSection(tool: ToolPlan, s: Job['tooling']): string {
  return section(
    nameOf(tool),
    '<h3>Set-up and datum</h3>',
    `<div class="set-up">${svgOf(setupSheet(tool))}</div>`,
    marksTable(tool),
    '<h3>Stock</h3>',
    stockWords(tool, s),
    svgOf(boardSheet(tool)),
    '<p><small>The number on a piece is that of the board it is sawn from; numbers of slivers stand in boards.csv. Blue is the slice that the layer has to cover.</small></p>',
    '<h3>Cutters</h3>',
    cutterTable(tool),
    finishWords(tool, s),
    '<h3>Time</h3>',
    timeTable(tool),
  )
}

function marksTable(tool: ToolPlan): string {
  const body = tool.marks
    .map(
      (m) =>
        `<tr><td>${escaped(m.name)}</td><td class="n">${m.at.map((v) => v.toFixed(2).replace('-', '−')).join(', ')}</td><td class="n">${mm(m.ball_mm)}</td></tr>`,
    )
    .join('')
  return `<table><tr><th>datum ball on the flange, outside the trim</th><th class="n">x, y, z mm, tool axes</th><th class="n">ball</th></tr>${body}</table><p><small>Tool axes: z along the spindle, up; ${tool.matrix[5]! < 0 ? 'the top turned over by half a turn about its own x (forward)' : 'as the top lies in job axes'}; shrinkage factor ${tool.matrix[0]!} included. Mark D stands off the axes so that the tool cannot be turned by mistake.</small></p>`
}

function stockWords(tool: ToolPlan, s: Job['tooling']): string {
  const { stock } = tool
  const pieces = stock.sections
    .map(
      (c, i) =>
        `<tr><td>piece ${i + 1}</td><td class="n">${(c.x1 - c.x0).toFixed(0)} × ${(c.y1 - c.y0).toFixed(0)} × ${(c.z1 - c.z0).toFixed(0)} mm</td><td class="n${c.blank_kg > s.machine.liftLimit_kg ? ' bad' : ''}">${c.blank_kg.toFixed(0)} kg blank</td><td class="n">${c.finished_kg.toFixed(0)} kg finished</td></tr>`,
    )
    .join('')
  return `<p><b>${stock.boards} boards</b> of ${mm(s.board.length_mm)} × ${mm(s.board.width_mm)} × ${mm(s.board.thickness_mm)}, ${s.board.density_kg_m3} kg/m³; ${stock.leastBoards.toFixed(1)} by volume without waste. Allowance ${mm(s.board.allowance_mm)} on every layer. Glue lines at z ${stock.glue_mm.map((z) => z.toFixed(0).replace('-', '−')).join(', ') || 'none'} mm${stock.glueOnEdge_mm > 0 ? `, of which ${(stock.glueOnEdge_mm / 1000).toFixed(1)} m come to the surface on the edge radius` : ', none on the edge radius'}.</p><table>${pieces}</table>`
}

function cutterTable(tool: ToolPlan): string {
  const body = tool.cutters
    .map(
      (c) =>
        `<tr><td>${escaped(c.name)}</td><td class="n">${mm(c.diameter_mm)}, corner ${mm(c.cornerRadius_mm, 1)}</td><td class="n${c.neededStickOut_mm > c.stickOut_mm ? ' bad' : ''}">${mm(c.neededStickOut_mm)} needed, ${mm(c.stickOut_mm)} given</td><td class="n${c.left_mm2 > 0 ? ' bad' : ''}">${area(c.left_mm2)} not reached</td><td class="n">${mm(c.deepest_mm, 2)} <small>normal</small>, ${mm(c.deepestZ_mm, 1)} <small>along z</small></td></tr>`,
    )
    .join('')
  return `<table><tr><th>finishing cutter</th><th class="n">size</th><th class="n">stick-out</th><th class="n">after it</th><th class="n">deepest left</th></tr>${body}</table>`
}

const finishWords = (tool: ToolPlan, s: Job['tooling']): string =>
  `<p>Passes ${mm(tool.stepOver_mm, 2)} apart for a scallop of ${mm(s.scallop_mm, 2)} (${mm(tool.scallop_mm, 3)} on 95 % of the area that is flatter than 40°), level passes on the walls; ${(tool.passLength_mm / 1e6).toFixed(2)} km of cutting to finish ${area(tool.area_mm2)}. Profile tolerance of the finished face ${mm(s.profileTolerance_mm, 2)} all over, datum A–D.</p>`

function timeTable(tool: ToolPlan): string {
  const rows = [...tool.time_h, { name: 'together', ...tool.total_h }]
    .map(
      (p) =>
        `<tr><td>${p.name}</td><td class="n">${p.low.toFixed(1)}</td><td class="n"><b>${p.likely.toFixed(1)}</b></td><td class="n">${p.high.toFixed(1)}</td></tr>`,
    )
    .join('')
  return `<table><tr><th>hours</th><th class="n">low</th><th class="n">likely</th><th class="n">high</th></tr>${rows}</table>`
}

function classWords({ choice }: ToolingResult): string {
  const turns = choice.crossings
    .slice(0, 8)
    .map((c) => `from ${c.parts} ${c.to === 'plug' ? 'plug and mould' : 'direct'}`)
    .join(', ')
  return `<p>For ${choice.parts} ${choice.parts === 1 ? 'part' : 'parts'}: direct ${money(choice.cost.direct)} (${choice.tools.direct} ${choice.tools.direct === 1 ? 'set' : 'sets'} of moulds, first part in about ${choice.lead_days.direct} days), plug and production mould ${money(choice.cost.plug)} (${choice.lead_days.plug} days). ${turns ? `Cheaper: ${choice.curve.direct[0]! <= choice.curve.plug[0]! ? 'direct' : 'plug and mould'} from one part on; ${turns}.` : 'The cheaper one never changes within the scan.'} A direct mould assumes that the board and its coating stand the parts; the plug assumes that the mould is laminated over it in the shop.</p>`
}

function termsTable(job: Job): string {
  const s = job.tooling
  return `<table>
<tr><td>machine</td><td class="n">${s.machine.travel_mm.join(' × ')} mm travel, ${s.machine.acceleration_mm_s2.join(' / ')} mm/s²</td></tr>
<tr><td>shrinkage factor</td><td class="n">${s.shrinkage}</td></tr>
<tr><td>left on by roughing</td><td class="n">${mm(s.roughLeave_mm, 1)}</td></tr>
<tr><td>what reckoned machine time is multiplied with</td><td class="n">${s.timeFactors.join(' / ')}</td></tr>
</table><p><small>Cutting board and laminate makes harmful dust: extraction at the tool. Blanks are heavy: lift them with certified gear.</small></p>`
}

function filesTable({ files, hash }: OrderInput): string {
  const body = files.map((f) => `<tr><td>${escaped(f.path)}</td><td><small>${f.sha256}</small></td></tr>`).join('')
  return `<table><tr><td>job</td><td><small>${hash}</small></td></tr>${body}</table>`
}
