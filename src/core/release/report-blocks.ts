/** The printed report as plain blocks, in the order in which a shop reads it; `press/pdf.ts` lays them on pages. */

import { type FittingResult, kindWords } from '../fitting'
import type { Job, Role } from '../job'
import type { Range, ToolPlan } from '../tooling'
import type { NamedDrawing } from './drawing/all-drawings'
import type { Drawing } from './drawing/drawing'
import { standingHolds } from './holds'
import type { ManifestFile } from './manifest'
import { moreBuildBlocks } from './report-build'
import { roundedDown } from './rounded-down'
import type { ReleaseResults, Report } from './types'

export type Cell = string | { readonly text: string; readonly bad: boolean }

export interface TableBlock {
  readonly kind: 'table'
  readonly head: readonly string[] | null
  readonly rows: readonly (readonly Cell[])[]
  /** Shares of the width, one per column. */
  readonly widths: readonly number[]
  /** Columns that are set to the right: figures. */
  readonly figures: readonly number[]
  readonly small?: boolean
}

export type Block =
  | { readonly kind: 'heading'; readonly text: string; readonly newPage?: boolean }
  | { readonly kind: 'sub'; readonly text: string }
  | {
      readonly kind: 'text'
      readonly text: string
      readonly small?: boolean
      readonly bad?: boolean
      readonly bold?: boolean
    }
  | { readonly kind: 'drawings'; readonly drawings: readonly Drawing[] }
  | TableBlock

export interface BlocksInput {
  readonly job: Job
  readonly report: Report
  readonly results: ReleaseResults
  readonly drawings: readonly NamedDrawing[]
  /** The other files of the pack. */
  readonly files: readonly ManifestFile[]
}

export function reportBlocks(input: BlocksInput): readonly Block[] {
  const { report } = input
  return [
    ...firstPage(input),
    ...clearBlocks(input),
    ...sectionBlocks(input),
    ...liveBlocks(input),
    ...offBlocks(input),
    ...metalBlocks(input),
    ...toolBlocks(input),
    ...buildBlocks(input),
    ...findingBlocks(report),
    { kind: 'heading', text: 'Cautions' },
    ...report.cautions.map((text): Block => ({ kind: 'text', text })),
    ...tracedBlocks(input),
  ]
}

const minus = (text: string): string => text.replace('-', '−')
const mm = (v: number | null, digits = 2): string =>
  v !== null && Number.isFinite(v) ? `${minus(v.toFixed(digits))} mm` : 'not known'
const deg = (v: number): string => (Number.isFinite(v) ? `${minus(v.toFixed(2))}°` : 'not known')
const area = (mm2: number): string => (mm2 < 1e6 ? `${(mm2 / 100).toFixed(1)} cm²` : `${(mm2 / 1e6).toFixed(3)} m²`)
const place = (p: readonly number[]): string => p.map((v) => minus(v.toFixed(1))).join(', ')
const bad = (text: string, isBad: boolean): Cell => (isBad ? { text, bad: true } : text)
const range = (r: Range, digits: number): string =>
  `${r.likely.toFixed(digits)} (${r.low.toFixed(digits)} – ${r.high.toFixed(digits)})`

/** Label, figure, what it means. */
const facts = (rows: readonly (readonly Cell[])[]): Block => ({
  kind: 'table',
  head: null,
  rows,
  widths: [2.6, 3, 6.4],
  figures: [1],
})

const pick = (drawings: readonly NamedDrawing[], test: RegExp): Drawing[] =>
  drawings.filter((d) => test.test(d.name)).map((d) => d.drawing)

function firstPage({ job, report, results, drawings }: BlocksInput): Block[] {
  const holds = standingHolds(report.findings)
  const c = results.clearance?.certificate
  const locked = Object.values(report.analysis).reduce((sum, part) => sum + part.undercut.area_mm2, 0)
  const rows: Cell[][] = [
    [
      'Does it clear?',
      c
        ? bad(
            `${c.verdict.replace('-', ' ')}; least gap ${mm(roundedDown(c.min_mm, 2))} of ${mm(c.required_mm, 1)} asked`,
            c.verdict === 'fails' || c.verdict === 'not-proven',
          )
        : 'not worked out',
    ],
    ['Can I live with it?', results.fitting ? `${results.fitting.placed.length} fittings placed` : 'not worked out'],
    [
      'Will it come off, and can it be cut?',
      Object.keys(report.analysis).length > 0
        ? bad(locked > 0 ? `${area(locked)} locked` : 'nothing is locked', locked > 0)
        : 'not worked out',
    ],
    [
      'Holds',
      bad(
        holds.length === 0 ? 'none stands' : `${holds.length} ${holds.length === 1 ? 'stands' : 'stand'}`,
        holds.length > 0,
      ),
    ],
  ]
  return [
    { kind: 'table', head: null, rows, widths: [4, 8], figures: [] },
    { kind: 'sub', text: 'Signed' },
    signatureTable(report),
    ...waiverBlocks(report),
    ...(holds.length > 0
      ? [
          { kind: 'sub', text: 'Holds that stand' } as const,
          ...holds.map((h): Block => ({ kind: 'text', text: h.message, bad: true })),
        ]
      : []),
    { kind: 'drawings', drawings: pick(drawings, /^plan$/) },
    ...(job.comments.length > 0 ? commentBlocks(job) : []),
    { kind: 'text', text: report.cautions[0] ?? '', small: true },
  ]
}

function signatureTable({ signatures }: Report): Block {
  const roles: readonly Role[] = ['designer', 'owner', 'toolmaker']
  const rows = roles.map((role): Cell[] => {
    const s = signatures.find((x) => x.role === role)
    if (!s) return [role, bad('has not signed', true), '', '']
    const state = s.stands === false ? bad('lifted: changed since', true) : s.stands === null ? '' : 'stands'
    return [
      role,
      s.name,
      s.at.slice(0, 16).replace('T', ' '),
      `${s.covers.slice(0, 8)}, ${s.publicKey ? `key ${s.publicKey.slice(0, 8)}` : 'by name'}`,
      state,
    ]
  })
  return {
    kind: 'table',
    head: ['role', 'name', 'signed (UTC)', 'over', ''],
    rows: rows.map((r) => (r.length < 5 ? [...r, ''] : r)),
    widths: [2, 3, 3, 4, 3],
    figures: [],
  }
}

function waiverBlocks({ findings }: Report): Block[] {
  const waived = findings.filter((f) => f.waived)
  if (waived.length === 0) return []
  return [
    { kind: 'sub', text: 'Waived' },
    {
      kind: 'table',
      head: ['what', 'by', 'reason', 'when'],
      rows: waived.map((f) => [f.message, f.waived!.by, f.waived!.reason, f.waived!.at.slice(0, 16).replace('T', ' ')]),
      widths: [5, 2, 4, 2],
      figures: [],
    },
  ]
}

function commentBlocks(job: Job): Block[] {
  return [
    { kind: 'sub', text: 'Remarks' },
    {
      kind: 'table',
      head: ['who', 'what', 'about', 'state'],
      rows: job.comments.map((c) => [c.author, c.text, c.fitting ?? (c.where ? place(c.where) : ''), c.state]),
      widths: [2, 6, 3, 1.5],
      figures: [],
    },
  ]
}

function clearBlocks({ results, drawings }: BlocksInput): Block[] {
  const { clearance } = results
  if (!clearance) return []
  const c = clearance.certificate
  return [
    { kind: 'heading', text: 'Does it clear?', newPage: true },
    facts([
      [
        'least gap',
        bad(mm(roundedDown(c.min_mm, 3), 3), c.margin_mm < 0),
        `${mm(c.required_mm, 1)} asked; exact distance between the triangles of surface and scan`,
      ],
      [
        'margin',
        bad(mm(c.margin_mm, 3), c.margin_mm < c.guard_mm),
        `guard band ${mm(c.guard_mm, 3)}: coverage factor × noise of the scan (ISO 14253-1)`,
      ],
      ['verdict', bad(c.verdict.replace('-', ' '), c.verdict !== 'proven'), `closest at ${place(c.at.shell)} mm`],
      ['proven', area(c.proven_mm2), 'margin at least the guard band'],
      [
        'not proven',
        bad(area(c.notProven_mm2), c.notProven_mm2 > 0),
        'margin within the guard band: the scan cannot tell',
      ],
      ['fails', bad(area(c.fails_mm2), c.fails_mm2 > 0), 'closer than asked'],
      ['unseen', area(c.unseen_mm2), 'the nearest metal is the rim of a hole in the scan'],
      [
        'excess lift',
        `${mm(c.excessLift.p50_mm, 1)} / ${mm(c.excessLift.p95_mm, 1)}`,
        'median and 95th percentile above the obstacle',
      ],
      [
        'least concave radius',
        clearance.leastConcaveRadius_mm === null ? 'not known' : mm(clearance.leastConcaveRadius_mm, 0),
        'measured on the sheet of the crown',
      ],
      [
        'laminate',
        `${mm(clearance.underside.thickness_mm, 1)} / ${mm(clearance.topside.thickness_mm, 1)}`,
        'underside, topside',
      ],
    ]),
    { kind: 'drawings', drawings: pick(drawings, /^map-gap$/) },
    { kind: 'drawings', drawings: pick(drawings, /^closest$/) },
  ]
}

function sectionBlocks({ drawings }: BlocksInput): Block[] {
  const sections = pick(drawings, /^section-/)
  const sides = pick(drawings, /^(profile|body)$/)
  if (sides.length === 0) return []
  const pairs: Block[] = []
  for (let i = 0; i < sections.length; i += 2) pairs.push({ kind: 'drawings', drawings: sections.slice(i, i + 2) })
  return [
    { kind: 'heading', text: 'Profile, body and stations', newPage: true },
    ...sides.map((d): Block => ({ kind: 'drawings', drawings: [d] })),
    ...pairs,
  ]
}

/** What hides each navigation light, at its worst elevation. */
function lightBlocks(lights: FittingResult['lights']): Block[] {
  if (lights.length === 0) return []
  const degrees = (v: number) => `${(Math.ceil(v * 10 - 1e-6) / 10).toFixed(1)}°`
  return [
    { kind: 'sub', text: 'Navigation lights' },
    {
      kind: 'table',
      head: ['light', 'kind', 'widest hidden', 'allowed', 'hidden in all', 'by'],
      rows: lights.map(({ name, kind, worst, limit_deg, verdict }) => [
        name,
        kindWords(kind),
        bad(degrees(worst.widest_deg), verdict === 'hidden'),
        limit_deg === null ? 'no limit' : degrees(limit_deg),
        degrees(worst.sum_deg),
        [...new Set(worst.sectors.map((s) => s.by))].join(', '),
      ]),
      widths: [2, 2, 2, 1.6, 2, 4],
      figures: [2, 3, 4],
    },
    {
      kind: 'text',
      text: 'Arcs of COLREGS Rule 21, obscured sectors of Annex I 9(b), on the shapes as placed; the rules of the flag state decide.',
      small: true,
    },
  ]
}

function remarkBlocks(comments: Job['comments']): Block[] {
  if (comments.length === 0) return []
  return [
    { kind: 'sub', text: 'Remarks' },
    {
      kind: 'table',
      head: ['who', 'what', 'state'],
      rows: comments.map((c) => [c.author, c.text, c.state]),
      widths: [2, 8, 1.5],
      figures: [],
    },
  ]
}

function liveBlocks({ results, job }: BlocksInput): Block[] {
  const { fitting } = results
  if (!fitting) return []
  const comment = new Map(job.fittings.map((f) => [f.id, f.comment]))
  return [
    { kind: 'heading', text: 'Can I live with it?', newPage: true },
    fitting.placed.length === 0
      ? { kind: 'text', text: 'No fittings.' }
      : {
          kind: 'table',
          head: ['fitting', 'on', 'x, y, z mm', 'gap under base', 'to the frame', 'remark'],
          rows: fitting.placed.map((p) => [
            p.twin ? `${p.name}, twin` : p.name,
            p.on,
            place(p.seat.at),
            mm(p.gapUnderBase_mm, 1),
            mm(p.toFrame.min_mm, 1),
            comment.get(p.id) ?? '',
          ]),
          widths: [3, 1.6, 3.2, 2, 2, 4],
          figures: [2, 3, 4],
        },
    ...lightBlocks(fitting.lights),
    ...remarkBlocks(job.comments),
    { kind: 'text', text: 'Electrical work is for licensed people and local codes.', small: true },
  ]
}

function offBlocks({ report, drawings }: BlocksInput): Block[] {
  const parts = Object.entries(report.analysis)
  if (parts.length === 0) return []
  return [
    { kind: 'heading', text: 'Will it come off, and can it be cut?', newPage: true },
    ...parts.flatMap(([name, check]): Block[] => [
      { kind: 'sub', text: name },
      facts([
        [
          'locked',
          bad(area(check.undercut.area_mm2), check.undercut.area_mm2 > 0),
          `${check.undercut.regions.length} regions; pull ${place(check.draft.pull)}`,
        ],
        [
          'least draft',
          bad(deg(check.draft.min_deg), check.draft.negative_mm2 > 0),
          `at ${place(check.draft.minAt)} mm; 0 is a wall`,
        ],
        [
          'leans in / low / good',
          `${area(check.draft.negative_mm2)} / ${area(check.draft.low_mm2)} / ${area(check.draft.good_mm2)}`,
          `by area; limit ${deg(check.draft.limit_deg)}`,
        ],
        [
          'mirror error',
          `${mm(check.symmetry.rms_mm, 3)} rms`,
          `${mm(check.symmetry.max_mm, 3)} largest, about the centreline plane`,
        ],
        [
          'least radius',
          mm(check.radius.min_mm, 1),
          `first percentile ${mm(check.radius.p01_mm, 1)}; looked for up to ${mm(check.radius.limit_mm, 0)}`,
        ],
        ['area', area(check.mesh.area_mm2), `${check.mesh.facets} facets`],
      ]),
      { kind: 'drawings', drawings: pick(drawings, new RegExp(`^map-draft-${name}$`)) },
    ]),
  ]
}

function metalBlocks({ results, drawings }: BlocksInput): Block[] {
  const { scan, datum, frame } = results
  if (!scan) return []
  const h = scan.health
  const rows: Cell[][] = [
    ['facets', String(h.facets), `${h.rejected.total} could not be used, ${h.facetsDropped} dropped with stray pieces`],
    [
      'unit',
      scan.unit.unit,
      { file: 'stated by the file', size: 'guessed from the size: confirm it', job: 'confirmed' }[scan.unit.from],
    ],
    ['noise, 1 sigma', mm(h.noise_mm, 3), h.noiseFrom === 'user' ? 'scanner’s certificate' : 'from local fits'],
    ['holes', String(h.holeCount), `longest rim ${mm(h.holes[0]?.rim_mm ?? 0, 0)}`],
  ]
  if (datum) {
    const s = datum.symmetry
    rows.push(
      [
        'mirror error',
        `${mm(s.rms_mm)} rms`,
        `${mm(s.p95_mm)} at 95 %, largest ${mm(s.max_mm)}; ${area(s.unseen_mm2)} unseen left out`,
      ],
      [
        'lowered side',
        `port ${mm(datum.lowered.port_mm)}`,
        datum.lowered.canBeTold
          ? `at half width ${mm(datum.lowered.halfWidth_mm, 0)}`
          : 'cannot be told apart from roll on this frame: ask for a level',
      ],
    )
  }
  const tubes = results.frame && datum ? tubeTable(results) : []
  return [
    { kind: 'heading', text: 'The metal', newPage: true },
    facts(rows),
    { kind: 'drawings', drawings: pick(drawings, /^map-mirror$/) },
    ...(frame ? [{ kind: 'sub', text: `${frame.tubes.length} tubes, ${frame.plates.length} plates` } as const] : []),
    ...tubes,
  ]
}

function tubeTable({ frame }: ReleaseResults): Block[] {
  return [
    {
      kind: 'table',
      head: ['tube', 'diameter', 'length', 'rms', 'bow', ''],
      rows: (frame?.tubes ?? []).map((t) => [
        t.id,
        mm(t.diameter_mm),
        mm(t.length_mm, 0),
        mm(t.rms_mm, 3),
        mm(t.bow_mm, 1),
        t.closed ? 'ring' : t.straight ? 'straight' : 'bent',
      ]),
      widths: [2, 2, 2, 2, 2, 2],
      figures: [1, 2, 3, 4],
    },
  ]
}

const toolName = (t: ToolPlan): string =>
  `${t.made === 'plug' ? 'Plug' : 'Mould'} of the ${t.role}, ${t.male ? 'male' : 'female'}`

function toolBlocks({ results }: BlocksInput): Block[] {
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
      } Set-up, boards and layers are drawn in tooling-order.html.`,
    },
    {
      kind: 'text',
      text: 'Cutting board and laminate makes harmful dust: extraction at the tool. Blanks are heavy: lift them with certified gear.',
      small: true,
    },
  ]
}

function buildBlocks({ results, drawings }: BlocksInput): Block[] {
  const { build } = results
  if (!build) return []
  return [
    { kind: 'heading', text: 'How it is built', newPage: true },
    {
      kind: 'table',
      head: ['shell', 'thickness', 'drawn', 'fibre by volume', 'gelcoat', 'mass'],
      rows: build.shells.map((s) => [
        s.name,
        mm(s.thickness_mm, 1),
        mm(s.drawn_mm, 1),
        `${(100 * s.vf).toFixed(0)} %`,
        `${s.gelcoat_kg.toFixed(1)} kg`,
        `${s.mass_kg.toFixed(1)} kg`,
      ]),
      widths: [3, 2, 2, 2.4, 2, 2],
      figures: [1, 2, 3, 4, 5],
    },
    {
      kind: 'text',
      text: `Together ${build.mass_kg.toFixed(1)} kg, centre at ${place(build.centre)} mm${build.unweighed.length > 0 ? `; without ${build.unweighed.join(', ')}, whose mass is not given` : ''}. Weight added high up lowers stability: that is for licensed people.`,
    },
    { kind: 'sub', text: 'To order, waste included' },
    {
      kind: 'table',
      head: ['what', 'amount', 'unit'],
      rows: build.order.map((l) => [l.what, l.amount.toFixed(1), l.unit]),
      widths: [6, 2, 2],
      figures: [1],
    },
    ...moreBuildBlocks(build),
    { kind: 'drawings', drawings: pick(drawings, /^map-filling-/) },
    { kind: 'sub', text: 'In this order' },
    {
      kind: 'table',
      head: ['', 'stage', 'what', 'done'],
      rows: build.traveller.map((l, i) => [
        String(i + 1),
        l.stage,
        l.caution ? `${l.text} Caution: ${l.caution}` : l.text,
        '☐',
      ]),
      widths: [0.6, 1.8, 9, 0.9],
      figures: [0],
    },
  ]
}

function findingBlocks({ findings }: Report): Block[] {
  const word = { hold: 'hold', warning: 'check', note: 'note' }
  return [
    { kind: 'heading', text: 'Findings', newPage: true },
    findings.length === 0
      ? { kind: 'text', text: 'None.' }
      : {
          kind: 'table',
          head: ['', 'what', 'what to do'],
          rows: findings.map((f) => [
            bad(f.waived ? 'waived' : word[f.severity], f.severity === 'hold' && !f.waived),
            f.message,
            f.waived ? `waived by ${f.waived.by}: ${f.waived.reason}` : (f.advice ?? ''),
          ]),
          widths: [1.2, 6, 5],
          figures: [],
        },
  ]
}

function tracedBlocks({ report, files }: BlocksInput): Block[] {
  return [
    { kind: 'heading', text: 'Traced', newPage: true },
    {
      kind: 'text',
      text: `Job ${report.hash}: SHA-256 of the job, less what people say, sign and waive. Made by ${report.program}.`,
    },
    {
      kind: 'table',
      head: ['file', 'bytes', 'SHA-256'],
      rows: files.filter((f) => f.path !== 'report.json').map((f) => [f.path, String(f.bytes), f.sha256]),
      widths: [4.6, 1.4, 8],
      figures: [1],
      small: true,
    },
    {
      kind: 'text',
      text: 'report.json holds the seconds of the run, so its hash stands in SHA256SUMS and manifest.json alone, beside that of this report.',
      small: true,
    },
  ]
}
