/** What was measured, a line each, in a file of the machine's own: `test/bench/history/MACHINE.jsonl`. */
import { appendFileSync, mkdirSync } from 'node:fs'
import { cpus, loadavg, totalmem } from 'node:os'
import { fileURLToPath } from 'node:url'

const slug = (text: string): string =>
  text
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '')

/** @param figures seconds and megabytes by name */
export function keepFigures(bench: string, facets: number, figures: Readonly<Record<string, number>>): void {
  const folder = fileURLToPath(new URL('./history/', import.meta.url))
  const machine = `${cpus().length}-cores-${process.arch}-${(totalmem() / 2 ** 30).toFixed(0)}gib`
  const rounded = Object.fromEntries(Object.entries(figures).map(([name, v]) => [name, Math.round(v * 1000) / 1000]))
  // The load says how much of the machine others had.
  const line = { at: new Date().toISOString(), node: process.version, load: loadavg()[0], bench, facets, ...rounded }
  mkdirSync(folder, { recursive: true })
  appendFileSync(`${folder}${slug(machine)}.jsonl`, `${JSON.stringify(line)}\n`)
}
