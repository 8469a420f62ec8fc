/** What the report says about the fittings and their lights. */
import { type Fastener, type FittingResult, kindWords } from '../fitting'
import { type Block, type BlocksInput, bad, mm, place } from './report-block'
import { roundedDown } from './rounded-down'

export function liveBlocks({ results, job }: BlocksInput): Block[] {
  const { fitting } = results
  if (!fitting) return []
  const comment = new Map(job.fittings.map((f) => [f.id, f.comment]))
  return [
    { kind: 'heading', text: 'Can I live with it?', newPage: true },
    fitting.placed.length === 0
      ? { kind: 'text', text: 'No fittings.' }
      : {
          kind: 'table',
          head: [
            'fitting',
            'on',
            'x, y, z mm',
            'gap under base',
            'to the frame',
            'to the edge',
            'to the joint',
            'remark',
          ],
          rows: fitting.placed.map((p, i) => [
            p.twin ? `${p.name}, twin` : p.name,
            p.on,
            place(p.seat.at),
            mm(p.gapUnderBase_mm, 1),
            mm(roundedDown(p.toFrame.min_mm, 1), 1),
            nearText(fitting.edges[i]?.toEdge),
            nearText(fitting.edges[i]?.toJoint),
            comment.get(p.id) ?? '',
          ]),
          widths: [3, 1.6, 3, 2, 2, 1.8, 1.8, 3],
          figures: [2, 3, 4, 5, 6],
        },
    ...lightBlocks(fitting.lights),
    ...fastenerBlocks(fitting),
    ...roomBlocks(fitting),
    ...peopleBlocks(fitting),
    ...wireBlocks(fitting),
    { kind: 'text', text: 'Electrical work is for licensed people and local codes.', small: true },
  ]
}

const nearText = (near: { readonly min_mm: number } | null | undefined): string =>
  near ? mm(roundedDown(near.min_mm, 1), 1) : ''

/** Each fastener with what it clamps, what lies behind it, and the tube nearest to it. */
function fastenerBlocks({ fasteners, placed }: FittingResult): Block[] {
  if (fasteners.length === 0) return []
  const called = (id: string, twin: boolean) => `${placed.find((p) => p.id === id)?.name ?? id}${twin ? ', twin' : ''}`
  const down = (v: number | null) => (v === null ? 'over 200 mm' : mm(roundedDown(v, 1), 1))
  return [
    { kind: 'sub', text: 'Fasteners' },
    {
      kind: 'table',
      head: [
        'fitting',
        'hole',
        'grip',
        'of it shell',
        'behind, wanted',
        'to other shell',
        'to the frame',
        'to a wall',
        'nearest tube',
      ],
      rows: fasteners.map((f) => [
        called(f.fitting, f.twin),
        `${f.name}, \u00d8 ${f.diameter_mm.toFixed(1)}`,
        f.grip_mm === null ? 'none' : mm(f.grip_mm, 1),
        f.laminate_mm === null ? '' : mm(f.laminate_mm, 1),
        mm(f.neededBehind_mm, 0),
        down(f.freeToShell_mm),
        bad(down(f.freeToFrame_mm), (f.freeToFrame_mm ?? Infinity) < f.neededBehind_mm),
        bad(wallText(f), leastWall_mm(f) < f.neededBeside_mm),
        f.tube === null
          ? ''
          : bad(
              f.tube.gap_mm < 0 ? `in ${f.tube.name}` : `${f.tube.name}, ${mm(roundedDown(f.tube.gap_mm, 1), 1)} off`,
              f.into === 'tube' ? f.tube.offMiddle_mm + f.diameter_mm / 2 > f.tube.radius_mm : f.tube.gap_mm < 0,
            ),
      ]),
      widths: [2.4, 2, 1.4, 1.5, 1.7, 1.9, 1.7, 1.5, 2.4],
      figures: [2, 3, 4, 5, 6, 7],
    },
    {
      kind: 'text',
      text: 'Grip: from the base to the raw face, core and bedding included. Room behind: 1.5 diameters and 20 mm; beside: 1.1 diameters and 3 mm from the middle to a wall of its own shell, for washer and socket (common practice, no source); choose bolts with whoever answers for the structure.',
      small: true,
    },
  ]
}

const leastWall_mm = (f: Fastener): number => Math.min(f.wallOver_mm ?? Infinity, f.wallBehind_mm ?? Infinity)

const wallText = (f: Fastener): string =>
  leastWall_mm(f) === Infinity ? 'none near' : mm(roundedDown(leastWall_mm(f), 1), 1)

/** Rooms that must stay free, with what comes nearest to each or reaches into it. */
function roomBlocks({ rooms, placed }: FittingResult): Block[] {
  if (rooms.length === 0) return []
  return [
    { kind: 'sub', text: 'Room that must stay free' },
    {
      kind: 'table',
      head: ['fitting', 'room', 'nearest', 'how near'],
      rows: rooms.map((r) => {
        const [first] = r.against
        const name = placed.find((p) => p.id === r.fitting)?.name ?? r.fitting
        return [
          r.twin ? `${name}, twin` : name,
          `${r.name} (${r.shape})`,
          first?.what ?? 'nothing within 500 mm',
          first === undefined
            ? ''
            : first.depth_mm > 0.5
              ? bad(`reaches ${mm(Math.ceil(first.depth_mm * 10) / 10, 1)} into it`, true)
              : `${mm(roundedDown(Math.max(0, -first.depth_mm), 1), 1)} clear of it`,
        ]
      }),
      widths: [3, 3, 4, 3],
      figures: [3],
    },
  ]
}

/** Headroom and handles over the deck, beside what people of all sizes have and reach. */
function peopleBlocks({ people }: FittingResult): Block[] {
  const { headroom_mm, handles } = people
  if (headroom_mm === null && handles.length === 0) return []
  return [
    { kind: 'sub', text: 'People' },
    {
      kind: 'text',
      text: [
        ...(headroom_mm === null ? [] : [`Headroom at the helm ${mm(roundedDown(headroom_mm, 0), 0)}.`]),
        ...handles.map(
          (h) =>
            `${h.twin ? `${h.name}, twin` : h.name}: ${mm(Math.ceil(h.height_mm), 0)} over the deck${h.fromHelm ? `, ${mm(Math.ceil(h.fromHelm.across_mm), 0)} from the helm in plan, touched from there by ${h.fromHelm.reachedBy.length} of six sizes` : ''}.`,
        ),
      ].join(' '),
    },
    {
      kind: 'text',
      text: 'Bare foot: of women 5, 50 and 95 of 100 are shorter than 1525, 1626 and 1740 mm and reach about 1926, 2078 and 2253 mm overhead; of men 1648, 1755 and 1870 mm, and 2097, 2263 and 2438 mm (ANSUR II, 2014; reach estimated, by the fingertips, without leaning).',
      small: true,
    },
  ]
}

/** Each wire with the length to cut and what it loses; how full the chases are. */
function wireBlocks({ wires, fills }: FittingResult): Block[] {
  if (wires.length === 0) return []
  const percent = (share: number) => `${(Math.ceil(share * 1000 - 1e-6) / 10).toFixed(1)} %`
  return [
    { kind: 'sub', text: 'Wires' },
    {
      kind: 'table',
      head: ['wire', 'from', 'to', 'cut', 'lost', 'allowed', 'conductor at least'],
      rows: wires.map((w) => [
        w.twin ? `${w.name}, twin` : w.name,
        w.from,
        w.to,
        mm(Math.ceil(w.cut_mm), 0),
        w.drop === null ? 'no current stated' : bad(percent(w.drop), w.drop > w.allowed),
        percent(w.allowed),
        w.needed_mm2 === null ? '' : `${(Math.ceil(w.needed_mm2 * 100) / 100).toFixed(2)} mm²`,
      ]),
      widths: [2.4, 2, 2, 1.6, 2, 1.4, 2.4],
      figures: [3, 4, 5, 6],
    },
    ...(fills.length > 0
      ? [
          {
            kind: 'text',
            text: `Filled: ${fills.map((f) => `${f.name} to ${percent(f.fill)} by ${f.wires}`).join('; ')}.`,
          } as const,
        ]
      : []),
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
