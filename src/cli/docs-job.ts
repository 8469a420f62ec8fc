/** Writes `docs/job-file.md` from the schema, so that the document cannot drift from what is accepted. */
import { readFile, writeFile } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import { jobFileDocument } from './job-file-document'

const path = fileURLToPath(new URL('../../docs/job-file.md', import.meta.url))
const text = jobFileDocument()
const before = await readFile(path, 'utf8').catch(() => '')
if (before === text) process.stderr.write('docs/job-file.md is up to date\n')
else {
  await writeFile(path, text)
  process.stderr.write('docs/job-file.md written\n')
}
