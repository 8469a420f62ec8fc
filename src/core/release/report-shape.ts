/** What the report says about the shells and the metal: the certificate, sections, draft and undercut, the frame. */

import type { Tube } from '../frame'
import type { Finding } from '../geometry/trouble'
import { allowanceRow, bearingBlocks, bossBlocks, regionBlocks, waterBlocks } from './report-bedding'
import { area, type Block, type BlocksInput, bad, type Cell, deg, facts, mm, pick, place } from './report-block'
import { roundedDown } from './rounded-down'
import type { ReleaseResults } from './types'

export function clearBlocks({ results, drawings, job }: BlocksInput): Block[] {
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
        bad(mm(roundedDown(c.margin_mm, 3), 3), c.margin_mm < c.guard_mm),
        `guard band ${mm(c.guard_mm, 3)}: coverage factor × noise of the scan (ISO 14253-1)`,
      ],
      ...allowanceRow(job.clearance.allowance),
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
    ...regionBlocks(clearance),
    ...bossBlocks(clearance),
    ...bearingBlocks(clearance, drawings),
    ...waterBlocks(clearance),
    { kind: 'drawings', drawings: pick(drawings, /^map-gap$/) },
    { kind: 'drawings', drawings: pick(drawings, /^closest$/) },
  ]
}

export function sectionBlocks({ drawings }: BlocksInput): Block[] {
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

export function offBlocks({ report, drawings }: BlocksInput): Block[] {
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
    ]),
    // Side by side: the eye compares them, and no page is left half empty.
    { kind: 'drawings', drawings: parts.flatMap(([name]) => pick(drawings, new RegExp(`^map-draft-${name}$`))) },
  ]
}

export function metalBlocks({ results, drawings }: BlocksInput): Block[] {
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

function sectionText({ id, section }: Tube, findings: readonly Finding[]): string {
  if (section) return `${section.kind}, ${section.wide_mm.toFixed(1)} × ${mm(section.narrow_mm, 1)}`
  return findings.some((f) => f.id === `frame.not-round.${id}`) ? 'not round' : 'round'
}

function tubeTable({ frame }: ReleaseResults): Block[] {
  return [
    {
      kind: 'table',
      head: ['tube', 'diameter', 'section', 'length', 'rms', 'bow', '', 'joins'],
      rows: (frame?.tubes ?? []).map((t) => [
        t.id,
        mm(t.diameter_mm),
        sectionText(t, frame!.findings),
        mm(t.length_mm, 0),
        mm(t.rms_mm, 3),
        mm(t.bow_mm, 1),
        t.closed ? 'ring' : t.straight ? 'straight' : 'bent',
        t.joins.map((id) => id.replace('tube-', '')).join(', '),
      ]),
      widths: [2, 2, 3, 2, 2, 2, 2, 3],
      figures: [1, 3, 4, 5],
    },
  ]
}
