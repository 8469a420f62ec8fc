/** What the report says about allowances, regions, bedding and rain. */
import type { ClearanceResult, ClearanceSettings } from '../clearance'
import type { NamedDrawing } from './drawing/all-drawings'
import { area, type Block, bad, type Cell, deg, mm, pick, place } from './report-block'
import { roundedDown } from './rounded-down'

export const allowanceRow = ({ laminate_mm, shrinkage_percent }: ClearanceSettings['allowance']): Cell[][] =>
  laminate_mm === 0 && shrinkage_percent === 0
    ? []
    : [
        [
          'allowance',
          `${mm(laminate_mm, 2)} and ${shrinkage_percent} %`,
          'laminate, and linear shrinkage about the middle of the plan: held in the asked gaps above, proven with them',
        ],
      ]

export function regionBlocks({ regions }: ClearanceResult): Block[] {
  if (regions.length === 0) return []
  return [
    { kind: 'sub', text: 'regions with their own gap' },
    {
      kind: 'table',
      head: ['region', 'asked', 'measured', 'at, mm'],
      rows: regions.map((r) => [
        r.name,
        mm(r.gap_mm, 1),
        r.min_mm === null
          ? bad(r.facets === 0 ? 'no metal' : 'out of reach', true)
          : bad(mm(roundedDown(r.min_mm, 2), 2), r.min_mm < r.gap_mm),
        r.at ? place(r.at.frame) : '',
      ]),
      widths: [4, 2, 2, 4],
      figures: [1, 2],
    },
  ]
}

export function bearingBlocks({ bearing }: ClearanceResult, drawings: readonly NamedDrawing[]): Block[] {
  if (bearing.length === 0) return []
  return [
    { kind: 'sub', text: 'gap along the bearing tubes' },
    {
      kind: 'table',
      head: ['tube', 'asked', 'least', 'mean', 'largest', 'under the top'],
      rows: bearing.map((b) => [
        b.name,
        mm(b.asked_mm),
        b.least_mm === null ? 'out of reach' : mm(roundedDown(b.least_mm, 2)),
        mm(b.mean_mm),
        mm(b.largest_mm),
        `${Math.round(100 * b.under)} %`,
      ]),
      widths: [3, 2, 2, 2, 2, 2],
      figures: [1, 2, 3, 4, 5],
    },
    { kind: 'drawings', drawings: pick(drawings, /^bearing-/) },
  ]
}

export function waterBlocks({ water }: ClearanceResult): Block[] {
  if (!water) return []
  return [
    { kind: 'sub', text: 'rain on the topside' },
    {
      kind: 'table',
      head: ['trim', 'bow up', 'starboard down', 'ponds', 'area', 'deepest'],
      rows: water.map(({ trim, ponds, area_mm2, depth_mm }) => [
        trim?.name ?? 'level',
        deg(trim?.pitch_deg ?? 0),
        deg(trim?.heel_deg ?? 0),
        bad(String(ponds.length), ponds.length > 0),
        area(area_mm2),
        ponds[0] ? `${mm(depth_mm, 1)} at ${place(ponds[0].at.slice(0, 2))}` : mm(0, 1),
      ]),
      widths: [3, 2, 2, 1.5, 2, 4],
      figures: [1, 2, 3, 4],
    },
  ]
}

export function bossBlocks({ bosses }: ClearanceResult): Block[] {
  if (bosses.length === 0) return []
  return [
    { kind: 'sub', text: 'bosses' },
    {
      kind: 'table',
      head: ['boss', 'at, mm', 'rise', 'top, z'],
      rows: bosses.map((b) => [b.name, place(b.at_mm), mm(b.rise_mm, 1), mm(b.top_mm, 1)]),
      widths: [4, 3, 2, 2],
      figures: [1, 2, 3],
    },
  ]
}
