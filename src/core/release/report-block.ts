/** What the printed report is made of, and how it says a figure. */
import type { Job } from '../job'
import type { Range } from '../tooling'
import type { NamedDrawing } from './drawing/all-drawings'
import type { Drawing } from './drawing/drawing'
import type { ManifestFile } from './manifest'
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

const minus = (text: string): string => text.replace('-', '−')
export const mm = (v: number | null, digits = 2): string =>
  v !== null && Number.isFinite(v) ? `${minus(v.toFixed(digits))} mm` : 'not known'
export const deg = (v: number): string => (Number.isFinite(v) ? `${minus(v.toFixed(2))}°` : 'not known')
export const area = (mm2: number): string =>
  mm2 < 1e6 ? `${(mm2 / 100).toFixed(1)} cm²` : `${(mm2 / 1e6).toFixed(3)} m²`
export const place = (p: readonly number[]): string => p.map((v) => minus(v.toFixed(1))).join(', ')
export const bad = (text: string, isBad: boolean): Cell => (isBad ? { text, bad: true } : text)
export const range = (r: Range, digits: number): string =>
  `${r.likely.toFixed(digits)} (${r.low.toFixed(digits)} – ${r.high.toFixed(digits)})`

/** Label, figure, what it means. */
export const facts = (rows: readonly (readonly Cell[])[]): Block => ({
  kind: 'table',
  head: null,
  rows,
  widths: [2.6, 3, 6.4],
  figures: [1],
})

export const pick = (drawings: readonly NamedDrawing[], test: RegExp): Drawing[] =>
  drawings.filter((d) => test.test(d.name)).map((d) => d.drawing)
