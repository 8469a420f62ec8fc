/** What the report says about the fittings and their lights. */
import { type FittingResult, kindWords } from '../fitting'
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
          head: ['fitting', 'on', 'x, y, z mm', 'gap under base', 'to the frame', 'remark'],
          rows: fitting.placed.map((p) => [
            p.twin ? `${p.name}, twin` : p.name,
            p.on,
            place(p.seat.at),
            mm(p.gapUnderBase_mm, 1),
            mm(roundedDown(p.toFrame.min_mm, 1), 1),
            comment.get(p.id) ?? '',
          ]),
          widths: [3, 1.6, 3.2, 2, 2, 4],
          figures: [2, 3, 4],
        },
    ...lightBlocks(fitting.lights),
    ...wireBlocks(fitting),
    { kind: 'text', text: 'Electrical work is for licensed people and local codes.', small: true },
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
