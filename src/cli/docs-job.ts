/** Writes the documents that are made from schemas, so that they cannot drift from what is accepted and written. */
import { readFile, writeFile } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import { REPORT_SCHEMA } from '../core/release/report-schema'
import { jobFileDocument } from './job-file-document'

const documents: readonly (readonly [string, string])[] = [
  ['docs/job-file.md', jobFileDocument()],
  ['docs/report.schema.json', `${JSON.stringify(REPORT_SCHEMA, null, 2)}\n`],
]
for (const [name, text] of documents) {
  const path = fileURLToPath(new URL(`../../${name}`, import.meta.url))
  const before = await readFile(path, 'utf8').catch(() => '')
  if (before !== text) await writeFile(path, text)
  process.stderr.write(before === text ? `${name} is up to date\n` : `${name} written\n`)
}
