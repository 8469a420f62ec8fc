/**
 * The report as one page that opens anywhere: no script, no network, prints on A4. Every text from files or people is
 * escaped; names never become markup.
 */

import { transformPoint } from '../../geometry/axes'
import { bounds } from '../../geometry/mesh'
import type { NamedDrawing } from '../drawing/all-drawings'
import { svgOf } from '../drawing/svg'
import { standingHolds } from '../holds'
import { roundedDown } from '../rounded-down'
import type { ReleaseResults, Report, ReportFinding } from '../types'

export function reportHtml(report: Report, results: ReleaseResults, drawings: readonly NamedDrawing[] = []): string {
  const holds = standingHolds(report.findings)
  const verdict =
    holds.length === 0 ? 'No hold stands.' : `${holds.length} ${holds.length === 1 ? 'hold stands' : 'holds stand'}.`
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(report.job.title)}</title><style>${STYLE}</style></head><body>
<header><h1>${escaped(report.job.title)}</h1>
<p>revision ${escaped(report.job.revision)} · job ${report.hash.slice(0, 8)} · ${escaped(report.program)}</p>
<p class="verdict">${verdict}</p></header>
${section('Does it clear?', clearRows(results), planDrawing(results))}
${section('Can I live with it?', fittingTable(results))}
${section('Will it come off, and can it be cut?', offRows(report))}
${section('The metal', metalRows(results))}
${drawings.length > 0 ? section('Drawings and maps', ...drawings.map(({ drawing }) => `<h3>${escaped(drawing.title)}</h3>${svgOf(drawing)}`)) : ''}
${section('Findings', findingsList(report.findings))}
${section('Signed', signedTable(report))}
${section('Cautions', `<ul>${report.cautions.map((c) => `<li>${escaped(c)}</li>`).join('')}</ul>`)}
${section('Traced', tracedRows(report))}
</body></html>
`
}

const STYLE = `
:root{--paper:#f4efe4;--ink:#1e2428;--ink2:#565b5c;--rule:#cfc8b9;--blue:#1b5a94;--lead:#b0381a}
*{box-sizing:border-box}body{margin:0 auto;max-width:900px;padding:28px;background:var(--paper);color:var(--ink);font:16px/1.4 'Alegreya Sans',Candara,'Gill Sans',sans-serif;font-variant-numeric:lining-nums tabular-nums}
h1{font-size:30px;margin:0}h2{font-size:22px;margin:36px 0 12px;padding-bottom:6px;border-bottom:2px solid var(--blue)}
header p{margin:4px 0;color:var(--ink2)}header .verdict{color:var(--ink);font-size:18px}
table{border-collapse:collapse;width:100%}th,td{text-align:left;padding:5px 8px 5px 0;border-bottom:1px solid var(--rule);font-weight:400;vertical-align:top}
td.n,th.n{text-align:right}th{color:var(--ink2)}.bad{color:var(--lead);font-weight:700}small{color:var(--ink2)}
ol{padding-left:22px}li{margin:0 0 8px}svg{width:100%;height:auto;margin-top:14px;border:1px solid var(--ink);background:#fbf8f1}
@media print{body{background:#fff;padding:0}h2{break-after:avoid}tr,li,svg{break-inside:avoid}}`

export const escaped = (text: string): string =>
  text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;')

const section = (title: string, ...body: string[]): string => `<section><h2>${title}</h2>${body.join('')}</section>`

const mm = (value: number, digits = 2): string =>
  Number.isFinite(value) ? `${value.toFixed(digits).replace('-', '−')} mm` : 'not known'
const area = (mm2: number): string => (mm2 < 1e6 ? `${(mm2 / 100).toFixed(1)} cm²` : `${(mm2 / 1e6).toFixed(3)} m²`)
const deg = (value: number): string => `${value.toFixed(3).replace('-', '−')}°`

/** Label, value, what the value means, and whether it is bad. */
type Row = readonly [string, string, string?, boolean?]

function rows(list: readonly Row[]): string {
  const body = list
    .map(
      ([label, value, note = '', bad = false]) =>
        `<tr><td>${label}</td><td class="n${bad ? ' bad' : ''}">${value}</td><td><small>${note}</small></td></tr>`,
    )
    .join('')
  return `<table>${body}</table>`
}

const missing = '<p>Not worked out.</p>'

function clearRows({ clearance }: ReleaseResults): string {
  if (!clearance) return missing
  const c = clearance.certificate
  return rows([
    [
      'least gap',
      mm(roundedDown(c.min_mm, 3), 3),
      `${mm(c.required_mm, 1)} asked; exact distance between the triangles of the inner surface and of the scan`,
      c.margin_mm < 0,
    ],
    [
      'margin',
      mm(roundedDown(c.margin_mm, 3), 3),
      `guard band ${mm(c.guard_mm, 3)}: coverage factor × noise of the scan (ISO 14253-1)`,
      c.margin_mm < c.guard_mm,
    ],
    ['verdict', c.verdict.replace('-', ' '), `at ${point(c.at.shell)}`, c.verdict !== 'proven'],
    ['proven', area(c.proven_mm2), 'margin at least the guard band'],
    ['not proven', area(c.notProven_mm2), 'margin within the guard band: the scan cannot tell', c.notProven_mm2 > 0],
    ['fails', area(c.fails_mm2), 'closer than asked', c.fails_mm2 > 0],
    ['unseen', area(c.unseen_mm2), 'the nearest metal is the rim of a hole in the scan'],
    [
      'excess lift',
      `${mm(c.excessLift.p50_mm)} / ${mm(c.excessLift.p95_mm)}`,
      'median and 95th percentile above the obstacle where the sheet rests',
    ],
    ...(clearance.leastConcaveRadius_mm === null
      ? []
      : [
          [
            'least concave radius of the crown',
            mm(clearance.leastConcaveRadius_mm, 0),
            'measured on the sheet',
          ] satisfies Row,
        ]),
    ...clearance.lowering.map(
      (way): Row => [
        `${way.shell} on to the ${way.on}, ${way.along === 'pull' ? 'straight down' : 'along its approach'}`,
        way.free ? 'free' : `touches ${mm(way.before_mm ?? 0, 1)} above its seat`,
        way.free
          ? way.before_mm === null
            ? 'nothing lies over it'
            : `${mm(-way.before_mm, 1)} left along the way`
          : `at ${point(way.at ?? [0, 0, 0])}`,
        !way.free,
      ],
    ),
  ])
}

const point = (p: readonly number[]): string => p.map((v) => v.toFixed(1).replace('-', '−')).join(', ')

function fittingTable({ fitting }: ReleaseResults): string {
  if (!fitting || fitting.placed.length === 0) return '<p>No fittings.</p>'
  const body = fitting.placed
    .map(
      (p) =>
        `<tr><td>${escaped(p.name)}${p.twin ? ' <small>twin</small>' : ''}</td><td>${p.on}</td><td class="n">${point(p.seat.at)}</td><td class="n">${mm(p.gapUnderBase_mm, 1)}</td><td class="n">${mm(p.toFrame.min_mm, 1)}</td></tr>`,
    )
    .join('')
  return `<table><tr><th>fitting</th><th>on</th><th class="n">x, y, z mm</th><th class="n">gap under base</th><th class="n">to the frame</th></tr>${body}</table>`
}

function offRows(report: Report): string {
  const parts = Object.entries(report.analysis)
  if (parts.length === 0) return missing
  return parts
    .map(
      ([name, check]) =>
        `<h3>${escaped(name)}</h3>${rows([
          [
            'locked',
            area(check.undercut.area_mm2),
            `${check.undercut.regions.length} regions; pull ${point(check.draft.pull)}`,
            check.undercut.area_mm2 > 0,
          ],
          [
            'least draft',
            deg(check.draft.min_deg),
            `at ${point(check.draft.minAt)}; 0 is a wall`,
            check.draft.negative_mm2 > 0,
          ],
          [
            'leans in / low / good',
            `${area(check.draft.negative_mm2)} / ${area(check.draft.low_mm2)} / ${area(check.draft.good_mm2)}`,
            'by area',
          ],
          [
            'mirror error',
            `${mm(check.symmetry.rms_mm, 3)} rms, ${mm(check.symmetry.max_mm, 3)} largest`,
            'about the centreline plane',
          ],
          [
            'least radius',
            mm(check.radius.min_mm, 1),
            `first percentile ${mm(check.radius.p01_mm, 1)}; looked for up to ${mm(check.radius.limit_mm, 0)}`,
          ],
          ['area', area(check.mesh.area_mm2), `${check.mesh.facets} facets`],
        ])}`,
    )
    .join('')
}

function metalRows({ scan, datum, frame }: ReleaseResults): string {
  if (!scan) return missing
  const h = scan.health
  const list: (readonly [string, string, string?, boolean?])[] = [
    ['facets', String(h.facets), `${h.rejected.total} could not be used, ${h.facetsDropped} dropped with stray pieces`],
    [
      'unit',
      scan.unit.unit,
      { file: 'stated by the file', size: 'guessed from the size: confirm it', job: 'confirmed' }[scan.unit.from],
    ],
    [
      'noise, 1 sigma',
      mm(h.noise_mm, 3),
      h.noiseFrom === 'user' ? 'scanner’s certificate' : 'noise and facet roughness, from local quadrics',
    ],
    ['holes', String(h.holes.length), `longest rim ${mm(h.holes[0]?.rim_mm ?? 0, 0)}`],
  ]
  if (datum) {
    const s = datum.symmetry
    list.push(
      [
        'mirror error of the frame',
        `${mm(s.rms_mm)} rms, ${mm(s.p95_mm)} at 95 %`,
        `largest ${mm(s.max_mm)}; ${area(s.unseen_mm2)} unseen left out`,
      ],
      [
        'lowered side',
        `port ${mm(datum.lowered.port_mm)}`,
        datum.lowered.canBeTold
          ? `at half width ${mm(datum.lowered.halfWidth_mm, 0)}; levelled by a roll of ${deg(datum.lowered.roll_deg)}`
          : 'roll and lowered side cannot be told apart on this frame',
      ],
    )
  }
  if (frame) list.push(['tubes', String(frame.tubes.length), `${frame.plates.length} plates`])
  return rows(list)
}

function findingsList(findings: readonly ReportFinding[]): string {
  if (findings.length === 0) return '<p>None.</p>'
  const word = { hold: 'hold', warning: 'check', note: 'note' }
  return `<ol>${findings
    .map((f) => {
      const waived = f.waived
        ? `<br><small>waived by ${escaped(f.waived.by)}, ${escaped(f.waived.at)}: ${escaped(f.waived.reason)}</small>`
        : ''
      const kind = f.waived ? 'waived' : word[f.severity]
      return `<li><b class="${f.severity === 'hold' && !f.waived ? 'bad' : ''}">${kind}</b> ${escaped(f.message)}<br><small>${escaped(f.advice ?? '')}</small>${waived}</li>`
    })
    .join('')}</ol>`
}

function signedTable({ signatures }: Report): string {
  if (signatures.length === 0) return '<p>Nobody has signed.</p>'
  const body = signatures
    .map((s) => {
      const stands = s.stands === null ? '' : s.stands ? 'stands' : 'lifted: what was signed has changed since'
      const key = s.publicKey === null ? 'by name' : `key ${escaped(s.publicKey.slice(0, 8))}`
      return `<tr><td>${s.role}</td><td>${escaped(s.name)}</td><td>${escaped(s.at)}</td><td>${key}</td><td class="${s.stands === false ? 'bad' : ''}">${stands}</td></tr>`
    })
    .join('')
  return `<table>${body}</table>`
}

function tracedRows(report: Report): string {
  return rows([['job hash', report.hash, 'SHA-256 of the job, signatures and waivers left out']])
}

/** Plan of the top: trim in the skirt, tubes, fittings, centreline and the place of the least gap. Forward to the right. */
function planDrawing({ clearance, datum, frame, fitting }: ReleaseResults): string {
  if (!clearance) return ''
  const o = clearance.outline
  let minX = Infinity
  let maxX = -Infinity
  let minY = Infinity
  let maxY = -Infinity
  for (let i = 0; i < o.length; i += 2) {
    minX = Math.min(minX, o[i]!)
    maxX = Math.max(maxX, o[i]!)
    minY = Math.min(minY, o[i + 1]!)
    maxY = Math.max(maxY, o[i + 1]!)
  }
  const pad = 0.08 * (maxX - minX)
  // y is to port, which is up in a plan with forward to the right: the drawing's y runs down.
  const line = (points: readonly (readonly [number, number])[]) =>
    points.map(([x, y]) => `${x.toFixed(1)},${(-y).toFixed(1)}`).join(' ')
  const outline: [number, number][] = []
  for (let i = 0; i < o.length; i += 2) outline.push([o[i]!, o[i + 1]!])
  const shapes = [`<polygon points="${line(outline)}" fill="#e9e6dd" stroke="#1e2428" stroke-width="5"/>`]
  if (frame && datum)
    for (const tube of frame.tubes) {
      const axis: [number, number][] = []
      for (let i = 0; i < tube.axis.length; i += 3) {
        const p = transformPoint(datum.motion, [tube.axis[i]!, tube.axis[i + 1]!, tube.axis[i + 2]!])
        axis.push([p[0], p[1]])
      }
      const tag = tube.closed ? 'polygon' : 'polyline'
      shapes.push(
        `<${tag} points="${line(axis)}" fill="none" stroke="#8d989f" stroke-opacity="0.55" stroke-width="${tube.diameter_mm.toFixed(1)}" stroke-linejoin="round"/>`,
      )
    }
  for (const f of fitting?.placed ?? []) {
    const b = bounds(f.mesh)
    shapes.push(
      `<rect x="${b.min[0].toFixed(1)}" y="${(-b.max[1]).toFixed(1)}" width="${(b.max[0] - b.min[0]).toFixed(1)}" height="${(b.max[1] - b.min[1]).toFixed(1)}" fill="none" stroke="#1e2428" stroke-width="3"/>`,
      `<text x="${f.seat.at[0].toFixed(1)}" y="${(-b.max[1] - 14).toFixed(1)}" font-size="42" text-anchor="middle" fill="#1e2428">${escaped(f.name)}</text>`,
    )
  }
  const [lx, ly] = clearance.certificate.at.shell
  shapes.push(
    `<line x1="${(minX - pad).toFixed(1)}" x2="${(maxX + pad).toFixed(1)}" y1="0" y2="0" stroke="#1b5a94" stroke-width="3" stroke-dasharray="60 14 12 14"/>`,
    `<circle cx="${lx.toFixed(1)}" cy="${(-ly).toFixed(1)}" r="26" fill="none" stroke="#b0381a" stroke-width="5"/>`,
    `<text x="${(lx + 36).toFixed(1)}" y="${(-ly - 20).toFixed(1)}" font-size="46" fill="#b0381a">${roundedDown(clearance.certificate.min_mm, 1).toFixed(1)} mm</text>`,
    `<text x="${minX.toFixed(1)}" y="${(-minY + 0.75 * pad).toFixed(1)}" font-size="46" fill="#1e2428">${(maxX - minX).toFixed(0)} × ${(maxY - minY).toFixed(0)} mm over the skirt, forward to the right</text>`,
  )
  const box = [minX - pad, -maxY - pad, maxX - minX + 2 * pad, maxY - minY + 2 * pad].map((v) => v.toFixed(1)).join(' ')
  return `<svg viewBox="${box}" role="img" aria-label="Plan of the top with frame, fittings and the place of the least gap">${shapes.join('')}</svg>`
}
