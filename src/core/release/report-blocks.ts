/** The printed report as plain blocks, in the order in which a shop reads it; `press/pdf.ts` lays them on pages. */

import type { Job, Role } from '../job'
import { standingHolds } from './holds'
import { area, type Block, type BlocksInput, bad, type Cell, mm, pick, place } from './report-block'
import { buildBlocks } from './report-build'
import { liveBlocks } from './report-live'
import { clearBlocks, metalBlocks, offBlocks, sectionBlocks } from './report-shape'
import { toolBlocks } from './report-tools'
import { roundedDown } from './rounded-down'
import type { Report } from './types'

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
