import type { FittingResult } from '../../fitting'

/** One row per placed fitting, twins among them (RFC 4180: CRLF, quotes doubled). Lengths mm, job axes. */
export function fittingsCsv(result: FittingResult): string {
  const head = ['id', 'name', 'twin', 'side', 'x_mm', 'y_mm', 'z_mm', 'gap_under_base_mm', 'to_frame_mm']
  const rows = result.placed.map((p) => [
    p.id,
    p.name,
    p.twin ? 'yes' : 'no',
    p.on,
    ...p.seat.at.map((v) => v.toFixed(2)),
    p.gapUnderBase_mm.toFixed(2),
    Number.isFinite(p.toFrame.min_mm) ? p.toFrame.min_mm.toFixed(2) : '',
  ])
  return [head, ...rows].map((row) => `${row.map(cell).join(',')}\r\n`).join('')
}

/** A cell that begins like a formula gets a leading quote: names come from files, and spreadsheets would run them. */
function cell(value: string): string {
  const safe = /^[=+@\t]|^-(?!\d)/.test(value) ? `'${value}` : value
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}
