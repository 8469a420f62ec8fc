import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { jobFileDocument } from '../../src/cli/job-file-document'

describe('docs/job-file.md', () => {
  it('is what the schema says (npm run docs:job renews it)', () => {
    expect(readFileSync(new URL('../../docs/job-file.md', import.meta.url), 'utf8')).toBe(jobFileDocument())
  })
})
