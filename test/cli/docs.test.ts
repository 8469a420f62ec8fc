import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { jobFileDocument } from '../../src/cli/job-file-document'
import { REPORT_SCHEMA } from '../../src/core/release/report-schema'

const written = (name: string) => readFileSync(new URL(`../../docs/${name}`, import.meta.url), 'utf8')

describe('documents made from schemas (npm run docs:job renews them)', () => {
  it('job-file.md is what the schema says', () => {
    expect(written('job-file.md')).toBe(jobFileDocument())
  })

  it('report.schema.json is what stands in every pack', () => {
    expect(written('report.schema.json')).toBe(`${JSON.stringify(REPORT_SCHEMA, null, 2)}\n`)
  })
})
