/**
 * Lists for spreadsheets: RFC 4180, UTF-8, CRLF, quotes doubled, a point as decimal sign. Lengths mm, job axes.
 */
import type { BuildResult, DrillMark } from '../../build-plan'
import type { FittingResult } from '../../fitting'
import type { ToolingResult } from '../../tooling'

/** One row per placed fitting, twins among them. */
export function fittingsCsv(result: FittingResult): string {
  const head = [
    ...['id', 'name', 'twin', 'side', 'x_mm', 'y_mm', 'z_mm', 'gap_under_base_mm', 'to_frame_mm'],
    ...['to_edge_mm', 'to_joint_mm'],
  ]
  const rows = result.placed.map((p, i) => [
    p.id,
    p.name,
    p.twin ? 'yes' : 'no',
    p.on,
    ...p.seat.at.map((v) => fixed(v, 2)),
    fixed(p.gapUnderBase_mm, 2),
    fixed(p.toFrame.min_mm, 2),
    fixed(result.edges[i]?.toEdge?.min_mm ?? Number.NaN, 2),
    fixed(result.edges[i]?.toJoint?.min_mm ?? Number.NaN, 2),
  ])
  return table(head, rows)
}

/** Least distances between all placed fittings: a square table, 0 on the diagonal. */
export function distancesCsv({ placed, distances_mm }: FittingResult): string {
  const called = placed.map((p) => (p.twin ? `${p.name} (twin)` : p.name))
  const n = placed.length
  return table(
    ['mm', ...called],
    placed.map((_, i) => [called[i]!, ...placed.map((_p, k) => fixed(distances_mm[i * n + k]!, 2))]),
  )
}

/** One row per fastener: where its centre is drilled on the moulded face, what it clamps, what lies behind. */
export function fastenersCsv({ fasteners }: FittingResult): string {
  const head = [
    ...['fitting', 'twin', 'name', 'diameter_mm', 'into', 'x_mm', 'y_mm', 'z_mm', 'grip_mm', 'laminate_mm'],
    ...[
      'needed_behind_mm',
      'free_to_shell_mm',
      'free_to_frame_mm',
      'needed_beside_mm',
      'wall_over_mm',
      'wall_behind_mm',
      'tube',
      'off_middle_of_tube_mm',
      'gap_to_tube_mm',
    ],
  ]
  const known = (v: number | null | undefined) => fixed(v ?? Number.NaN, 2)
  const rows = fasteners.map((f) => [
    f.fitting,
    f.twin ? 'yes' : 'no',
    f.name,
    fixed(f.diameter_mm, 2),
    f.into,
    ...(f.onFace ?? f.at).map((v) => fixed(v, 2)),
    known(f.grip_mm),
    known(f.laminate_mm),
    fixed(f.neededBehind_mm, 1),
    known(f.freeToShell_mm),
    known(f.freeToFrame_mm),
    fixed(f.neededBeside_mm, 1),
    known(f.wallOver_mm),
    known(f.wallBehind_mm),
    f.tube?.name ?? '',
    known(f.tube?.offMiddle_mm),
    known(f.tube?.gap_mm),
  ])
  return table(head, rows)
}

/** One row per mark that is drilled by: middles and holes of fittings, and fasteners into tubes, on the moulded faces. */
export function drillMarksCsv({ templates }: BuildResult): string {
  const head = [
    ...['shell', 'of', 'twin', 'mark', 'diameter_mm', 'x_mm', 'y_mm', 'z_mm'],
    ...['to_centreline_mm', 'to_trim_mm', 'along_trim_mm'],
  ]
  const row = (shell: string, of: string, twin: boolean, mark: DrillMark) => [
    shell,
    of,
    twin ? 'yes' : 'no',
    mark.name,
    fixed(mark.diameter_mm ?? Number.NaN, 2),
    ...mark.at.map((v) => fixed(v, 2)),
    fixed(mark.toCentreline_mm, 1),
    fixed(mark.toTrim_mm, 1),
    fixed(mark.alongTrim_mm, 1),
  ]
  return table(head, [
    ...templates.drills.flatMap((d) => d.marks.map((mark) => row(d.on, d.fitting, d.twin, mark))),
    ...templates.tubes.map((mark) => row('underside', 'frame', false, mark)),
  ])
}

const WIRES_CAUTION =
  'For orientation: lengths, voltage lost and sections are checks of the plan; sizes, fuses and what may run beside what are for qualified people and local codes.'

/** One row per wire, mirror images among them; under them the caution, in the first column. */
export function wiresCsv({ wires }: FittingResult): string {
  const head = [
    'id',
    'name',
    'twin',
    'from',
    'to',
    'through',
    'length_mm',
    'cut_mm',
    'drop_V',
    'drop_percent',
    'allowed_percent',
    'section_mm2',
    'needed_mm2',
  ]
  const known = (v: number | null, digits: number) => (v === null ? '' : fixed(v, digits))
  const rows = wires.map((w) => [
    w.id,
    w.name,
    w.twin ? 'yes' : 'no',
    w.from,
    w.to,
    w.through.join('; '),
    fixed(w.length_mm, 0),
    fixed(w.cut_mm, 0),
    known(w.drop_V, 3),
    known(w.drop === null ? null : 100 * w.drop, 2),
    fixed(100 * w.allowed, 1),
    fixed(w.section_mm2, 2),
    known(w.needed_mm2, 3),
  ])
  const caution = [WIRES_CAUTION, ...Array<string>(head.length - 1).fill('')]
  return table(head, rows.length > 0 ? [...rows, caution] : rows)
}

/** What to order, waste included. */
export function materialsCsv({ order }: BuildResult): string {
  return table(
    ['what', 'amount', 'unit'],
    order.map((line) => [line.what, fixed(line.amount, 2), line.unit]),
  )
}

/** One row per piece of board: from which board it is sawn, for which tool and layer, and its place in tool axes. */
export function boardsCsv({ tools }: ToolingResult): string {
  const head = [
    'tool',
    'layer',
    'z0_mm',
    'z1_mm',
    'piece',
    'board',
    'machine_part',
    'length_mm',
    'width_mm',
    'x0_mm',
    'y0_mm',
  ]
  const rows = tools.flatMap((tool) =>
    tool.stock.layers.flatMap((layer, l) =>
      layer.pieces.map((p, i) => [
        tool.role,
        String(l + 1),
        fixed(layer.z0_mm, 1),
        fixed(layer.z1_mm, 1),
        String(i + 1),
        String(p.board + 1),
        String(p.section + 1),
        fixed(p.x1 - p.x0, 1),
        fixed(p.y1 - p.y0, 1),
        fixed(p.x0, 1),
        fixed(p.y0, 1),
      ]),
    ),
  )
  return table(head, rows)
}

/** One row per tool and finishing cutter: what it reaches and what it leaves. */
export function cuttersCsv({ tools }: ToolingResult): string {
  const head = [
    'tool',
    'cutter',
    'diameter_mm',
    'corner_radius_mm',
    'stick_out_mm',
    'needed_stick_out_mm',
    'not_reached_mm2',
    'deepest_left_mm',
    'deepest_left_along_z_mm',
  ]
  const rows = tools.flatMap((tool) =>
    tool.cutters.map((c) => [
      tool.role,
      c.name,
      fixed(c.diameter_mm, 2),
      fixed(c.cornerRadius_mm, 2),
      fixed(c.stickOut_mm, 1),
      fixed(c.neededStickOut_mm, 1),
      fixed(c.left_mm2, 0),
      fixed(c.deepest_mm, 3),
      fixed(c.deepestZ_mm, 2),
    ]),
  )
  return table(head, rows)
}

/** Not known is an empty cell. */
const fixed = (value: number, digits: number): string => {
  const text = Number.isFinite(value) ? value.toFixed(digits) : ''
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text
}

const table = (head: readonly string[], rows: readonly (readonly string[])[]): string =>
  [head, ...rows].map((row) => `${row.map(cell).join(',')}\r\n`).join('')

/** A cell that begins like a formula gets a leading quote: names come from files, and spreadsheets would run them. */
function cell(value: string): string {
  const safe = /^[=+@\t]|^-(?!\d)/.test(value) ? `'${value}` : value
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}
