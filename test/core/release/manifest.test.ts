import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import { drain } from '../../../src/core/geometry/kernel'
import { buildPack, type Manifest } from '../../../src/core/release'
import { REPORT_SCHEMA } from '../../../src/core/release/report-schema'
import { jobWith } from '../../state/results-at-hand'
import { smallClearance } from '../tooling/shells'

const pack = (timings_s: Record<string, number>) =>
  drain(
    buildPack({ job: jobWith(), results: { clearance: smallClearance() }, timings_s, program: 'Mouldwright 9.9.9' }),
  )
const text = (files: readonly { path: string; bytes: Uint8Array }[], path: string) =>
  new TextDecoder().decode(files.find((f) => f.path === path)!.bytes)

describe('a sealed pack', () => {
  const first = pack({ scan: 1.25 })
  const again = pack({ scan: 9.5 })
  const manifest = JSON.parse(text(first.files, 'manifest.json')) as Manifest

  it('lists every file but the manifest, and agrees with sha256sum', () => {
    expect([...manifest.files.map((f) => f.path), 'manifest.json'].sort()).toEqual(
      first.files.map((f) => f.path).sort(),
    )
    const folder = mkdtempSync(join(tmpdir(), 'mouldwright-sums-'))
    for (const f of first.files) writeFileSync(join(folder, f.path), f.bytes)
    const { status, stdout } = spawnSync('sha256sum', ['-c', '--strict', 'SHA256SUMS'], {
      cwd: folder,
      encoding: 'utf8',
    })
    rmSync(folder, { recursive: true })
    expect(stdout).not.toContain('FAILED')
    expect(status).toBe(0)
    expect(stdout.trim().split('\n')).toHaveLength(first.files.length - 2)
  })

  it('differs between two runs in report.json and what hashes it, nowhere else, and says the same content', () => {
    const differ = first.files.filter((f, i) => Buffer.compare(f.bytes, again.files[i]!.bytes) !== 0).map((f) => f.path)
    expect(differ).toEqual(['report.json', 'SHA256SUMS', 'manifest.json'])
    expect(manifest.contentHash).toBe((JSON.parse(text(again.files, 'manifest.json')) as Manifest).contentHash)
  })

  it('holds a report that keeps its published schema, which is in the pack', () => {
    const schema = JSON.parse(text(first.files, 'report.schema.json'))
    expect(schema).toEqual(JSON.parse(JSON.stringify(REPORT_SCHEMA)))
    const reader = z.fromJSONSchema(schema)
    const report = JSON.parse(text(first.files, 'report.json'))
    expect(reader.safeParse(report).error).toBeUndefined()
    expect(reader.safeParse({ ...report, holds: 3 }).success).toBe(false)
    expect(reader.safeParse({ ...report, clearance: { ...report.clearance, verdict: 'fine' } }).success).toBe(false)
  })
})
