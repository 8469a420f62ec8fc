/** Prints what the page loads before its first picture, and what comes later: `npm run build && npm run bundle`. */
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { gzipSync } from 'node:zlib'

const dist = process.argv[2] ?? fileURLToPath(new URL('../../dist', import.meta.url))
const page = readFileSync(join(dist, 'index.html'), 'utf8')
const names = readdirSync(join(dist, 'assets')).filter((name) => /\.(js|css|wasm)$/.test(name))
const kB = (name: string) => gzipSync(readFileSync(join(dist, 'assets', name))).length / 1000
/** What the drawing needs beside the entry; all else waits until somebody asks for it. */
const DRAWING = /^(three|view|step\.worker)-/
const rows = names
  .map((name) => ({
    name,
    kB: kB(name),
    when: page.includes(name) ? 'entry' : DRAWING.test(name) ? 'drawing' : 'later',
  }))
  .sort((a, b) => a.when.localeCompare(b.when) || b.kB - a.kB)
for (const row of rows) console.log(`${row.kB.toFixed(1).padStart(8)} kB gzip  ${row.when.padEnd(7)}  ${row.name}`)
const sum = (...when: string[]) => rows.filter((r) => when.includes(r.when)).reduce((total, r) => total + r.kB, 0)
console.log(
  `entry ${sum('entry').toFixed(1)} kB, with drawing and worker ${sum('entry', 'drawing').toFixed(1)} kB gzip; 1200 promised`,
)
if (sum('entry', 'drawing') > 1200) process.exitCode = 1
