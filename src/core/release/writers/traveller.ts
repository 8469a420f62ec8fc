/**
 * The traveller: the checklist that goes with the parts through the shop. One page that prints on A4, no script, no network.
 * Every number has a mark; hovering says its formula and inputs, and so does the footnote of the mark in print.
 */
import type { BuildResult, TracedFigure } from '../../build-plan'
import { CAUTIONS } from '../cautions'
import { escaped } from './html'

export interface TravellerHead {
  readonly title: string
  readonly revision: string
  /** Hash of the job, hex; shown by its first eight digits. */
  readonly hash: string
  readonly program: string
  /** Sentences of holds that stand; the checklist begins with them. */
  readonly holds: readonly string[]
}

const EMPTY: TravellerHead = { title: 'Traveller', revision: '', hash: '', program: '', holds: [] }

/** @param head what the sheet is of; may be left out where only the checklist is wanted */
export function travellerHtml(build: BuildResult, head: Partial<TravellerHead> = {}): string {
  const { title, revision, hash, program, holds } = { ...EMPTY, ...head }
  const notes = footnotes(build)
  const stages = [...new Set(build.traveller.map((l) => l.stage))]
  const of = [revision && `revision ${revision}`, hash && `job ${hash.slice(0, 8)}`, program]
    .filter(Boolean)
    .join(' · ')
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(title)}: traveller</title><style>${STYLE}</style></head><body>
<header><h1>Traveller</h1><p>${escaped(title)}${of ? ` · ${escaped(of)}` : ''}</p>${holdsList(holds)}
<p class="caution">${escaped(CAUTIONS.resin)}</p><p class="caution">${escaped(CAUTIONS.exotherm)}</p></header>
${stages.map((stage) => stageSection(build, stage, notes)).join('')}
<section class="notes"><h2>What each number is from</h2><ol>${notes.list.map((f) => `<li>${escaped(f.formula)}: ${escaped(f.inputs)}</li>`).join('')}</ol></section>
<p class="caution">${escaped(CAUTIONS.dust)} ${escaped(CAUTIONS.lifting)}</p><p><small>${escaped(CAUTIONS.scope)}</small></p>
</body></html>
`
}

const STYLE = `
*{box-sizing:border-box}body{margin:0 auto;max-width:860px;padding:28px;background:#fff;color:#1e2428;font:15px/1.45 'Alegreya Sans',Candara,'Gill Sans',sans-serif;font-variant-numeric:lining-nums tabular-nums}
h1{font-size:28px;margin:0}h2{font-size:19px;margin:26px 0 8px;padding-bottom:5px;border-bottom:2px solid #1b5a94}header p{margin:4px 0;color:#565b5c}
.caution,small.caution{color:#b0381a}table{border-collapse:collapse;width:100%}td,th{padding:7px 10px 7px 0;border-bottom:1px solid #cfc8b9;vertical-align:top;text-align:left;font-weight:400}
th{color:#565b5c;font-size:13px}td.no{width:34px;color:#565b5c}td.sign{width:150px;border-left:1px solid #1e2428;border-right:1px solid #1e2428}td.box{width:30px}td.box i{display:block;width:16px;height:16px;margin-top:2px;border:1.5px solid #1e2428}
b{font-weight:700;white-space:nowrap}sup{font-size:10px;color:#1b5a94;padding-left:1px}.notes{font-size:12.5px}.notes ol{columns:2;column-gap:28px;padding-left:26px;margin:0}.notes li{margin:0 0 4px;break-inside:avoid}
small{color:#565b5c}
@page{size:A4;margin:14mm}@media print{body{padding:0;font-size:12.5px}h2{break-after:avoid}tr{break-inside:avoid}thead{display:table-header-group}}`

interface Notes {
  readonly list: readonly TracedFigure[]
  readonly numberOf: ReadonlyMap<string, number>
}

/** Each pair of formula and inputs once, in the order of the checklist. */
function footnotes(build: BuildResult): Notes {
  const numberOf = new Map<string, number>()
  const list: TracedFigure[] = []
  for (const line of build.traveller)
    for (const part of line.parts) {
      if (typeof part === 'string' || numberOf.has(keyOf(part))) continue
      list.push(part)
      numberOf.set(keyOf(part), list.length)
    }
  return { list, numberOf }
}

const keyOf = (f: TracedFigure): string => `${f.formula}\n${f.inputs}`

function holdsList(holds: readonly string[]): string {
  if (holds.length === 0) return ''
  return `<p class="caution">Holds stand; nothing is laid up before they are cleared or waived:</p><ul>${holds.map((h) => `<li>${escaped(h)}</li>`).join('')}</ul>`
}

function stageSection(build: BuildResult, stage: string, notes: Notes): string {
  const rows = build.traveller.flatMap((line, i) => {
    if (line.stage !== stage) return []
    const words = line.parts.map((p) => (typeof p === 'string' ? escaped(p) : tracedWords(p, notes))).join('')
    const caution = line.caution ? `<br><small class="caution">${escaped(line.caution)}</small>` : ''
    return [
      `<tr><td class="no">${i + 1}</td><td class="box"><i></i></td><td>${words}${caution}</td><td class="sign"></td></tr>`,
    ]
  })
  return `<section><h2>${escaped(stage.charAt(0).toUpperCase() + stage.slice(1))}</h2><table><thead><tr><th></th><th>done</th><th>what</th><th>name, date</th></tr></thead><tbody>${rows.join('')}</tbody></table></section>`
}

const tracedWords = (f: TracedFigure, { numberOf }: Notes): string =>
  `<b title="${escaped(`${f.formula}: ${f.inputs}`)}">${escaped(f.shown)}</b><sup>${numberOf.get(keyOf(f)) ?? ''}</sup>`
