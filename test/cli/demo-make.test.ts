import { spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, describe, expect, it } from 'vitest'
import { multiply } from '../../src/core/geometry/axes'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
const folder = mkdtempSync(join(tmpdir(), 'demo-make-'))
afterAll(() => rmSync(folder, { recursive: true }))

const run = (...args: string[]) =>
  spawnSync(process.execPath, ['--import', 'tsx', 'src/cli/demo-make.ts', ...args], { cwd: ROOT, encoding: 'utf8' })

describe('demo:make', () => {
  it('writes a scan in the asked unit and the truth beside it', () => {
    const [out, truthFile] = [join(folder, 'a.stl'), join(folder, 'a.json')]
    const done = run('--facets', '12000', '--seed', '4', '--unit', 'm', '--out', out, '--truth', truthFile)
    expect(done.stderr).toContain('facets')
    expect(done.status).toBe(0)
    const bytes = readFileSync(out)
    const truth = JSON.parse(readFileSync(truthFile, 'utf8')) as {
      tubes: unknown[]
      scan: { facets: number; jobToScan: number[]; scanToJob: number[] }
    }
    expect(bytes.readUInt32LE(80)).toBe(truth.scan.facets)
    expect(bytes.length).toBe(84 + 50 * truth.scan.facets)
    expect(Math.abs(truth.scan.facets / 12000 - 1)).toBeLessThan(0.1)
    for (const v of [12, 16, 20]) expect(Math.abs(bytes.readFloatLE(84 + v))).toBeLessThan(8) // metres
    const there = multiply(truth.scan.scanToJob, truth.scan.jobToScan)
    for (const [i, value] of there.entries()) expect(value).toBeCloseTo(i % 5 === 0 ? 1 : 0, 9)
  })

  it.each([
    [['--seed', 'many'], /--seed wants a whole number/],
    [['--facets', '12'], /--facets wants a whole number from 10000/],
    [['--pose', 'up'], /--pose is "random" or "none"/],
    [['--unit', 'furlong'], /--unit is one of/],
    [['--fasets', '20000'], /--fasets/],
    [['--job', 'x.mwjob', '--seed', '3'], /--seed does not go with it/],
  ])('refuses %j in one sentence with status 2', (args, words) => {
    const done = run(...args)
    expect(done.status).toBe(2)
    expect(done.stderr).toMatch(words)
    expect(done.stderr.trim().split('\n').length).toBe(1)
  })
})
