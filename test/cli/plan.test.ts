/** The command line as a person or a script meets it: exit statuses, one sentence, files whole or not at all. */
import { spawnSync } from 'node:child_process'
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { drain } from '../../src/core/geometry/kernel'
import { sha256Hex } from '../../src/core/job'
import { writeStl } from '../../src/core/release'
import { frameSolid, STRAIGHT_FRAME } from '../../src/demo/frame-solid'
import { scanSolid } from '../../src/demo/scan-solid'
import { frustum } from '../support/solids'

const home = fileURLToPath(new URL('../..', import.meta.url))
let folder = ''

const path = (...names: string[]) => join(folder, ...names)

function run(command: 'plan' | 'check' | 'compare', ...args: string[]) {
  const { status, stdout, stderr } = spawnSync('npx', ['--no-install', 'tsx', `src/cli/${command}.ts`, ...args], {
    cwd: home,
    encoding: 'utf8',
    env: { ...process.env, NODE_OPTIONS: '' },
  })
  return { status, stdout, stderr }
}

const job = (change: object = {}) =>
  JSON.stringify({
    format: 'mouldwright-job',
    version: 1,
    title: 'Test canopy',
    scan: { files: ['frame.stl'], unit: 'mm' },
    // Coarse samples: this test is about the command, not about the surface.
    clearance: { gap_mm: 12, sample_mm: 8 },
    fittings: [{ name: 'lamp', mesh: 'lamp.stl', unit: 'mm', at_mm: [600, 300], mirror: true }],
    ...change,
  })

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'mouldwright-cli-'))
  mkdirSync(path('job'))
  const { solid, truth } = frameSolid({ ...STRAIGHT_FRAME, seed: 3, asymmetry_mm: 4 })
  const scan = drain(
    scanSolid(solid, truth, { seed: 3, facets: 40_000, noise_mm: 0.2, holes: 4, islands: 3, pose: 'random' }),
  )
  writeFileSync(path('job', 'frame.stl'), writeStl(scan.mesh))
  writeFileSync(path('job', 'lamp.stl'), writeStl(frustum(40, 20, 90, 32)))
  writeFileSync(path('job', 'job.json'), job())
}, 60_000)

afterAll(() => rmSync(folder, { recursive: true, force: true }))

describe('plan', () => {
  it('plans a folder, writes the pack, and says by its status whether holds stand', () => {
    const { status, stdout, stderr } = run('plan', path('job'), '--out', path('out'))
    expect(stdout).toBe('')
    expect(stderr).toMatch(/scan \d+\.\d\d s/)
    const report = JSON.parse(readFileSync(path('out', 'report.json'), 'utf8'))
    expect(status).toBe(report.holds.length === 0 ? 0 : 3)
    expect(report.clearance.required_mm).toBe(12)
    expect(['proven', 'unseen']).toContain(report.clearance.verdict)
    expect(report.clearance.min_mm).toBeGreaterThanOrEqual(12)
    expect(report.analysis.underside.undercut.area_mm2).toBe(0)
    expect(report.analysis.topside.symmetry.max_mm).toBe(0)
    expect(report.fitting.placed).toHaveLength(2)
    for (const step of ['scan', 'frame', 'datum', 'clearance', 'fitting', 'analysis'])
      expect(report.timings_s[step]).toBeGreaterThan(0)

    const manifest = JSON.parse(readFileSync(path('out', 'manifest.json'), 'utf8'))
    const names = manifest.files.map((f: { path: string }) => f.path)
    expect(names).toEqual(
      expect.arrayContaining([
        'inner-surface.stl',
        'topside.stl',
        'frame-in-job-axes.stl',
        'report.json',
        'report.html',
      ]),
    )
    expect(readdirSync(path('out')).sort()).toEqual([...names, 'manifest.json'].sort())
    for (const file of manifest.files) {
      const bytes = readFileSync(path('out', file.path))
      expect(sha256Hex(bytes)).toBe(file.sha256)
      expect(bytes.length).toBe(file.bytes)
    }
  })

  it('gives the certificate that compare measures on the files it wrote', () => {
    const report = JSON.parse(readFileSync(path('out', 'report.json'), 'utf8'))
    const { status, stdout } = run(
      'compare',
      path('out', 'inner-surface.stl'),
      path('out', 'frame-in-job-axes.stl'),
      '--json',
    )
    expect(status).toBe(0)
    expect(JSON.parse(stdout).min_mm).toBeCloseTo(report.clearance.min_mm, 6)
  })

  it('checks the shells it wrote with nothing said: they leave straight up', () => {
    for (const file of ['inner-surface.stl', 'topside.stl']) {
      const { status, stdout } = run('check', path('out', file), '--mirror', 'y', '--min-draft', '2.99', '--json')
      expect(status).toBe(0)
      const check = JSON.parse(stdout)
      expect(check.undercut.area_mm2).toBe(0)
      expect(check.draft.negative_mm2 + check.draft.low_mm2).toBe(0)
      expect(check.symmetry.max_mm).toBe(0)
    }
  })

  const broken: [string, string, string][] = [
    ['a job that is not there', 'nowhere', 'no such job'],
    ['a job with an unknown key', job({ clearence: {} }), 'unknown key "clearence"'],
    ['a job with a missing mesh', job({ scan: { files: ['gone.stl'] } }), 'gone.stl'],
    ['a job that is no JSON', '{', 'not valid JSON'],
    ['an empty scan', job({ scan: { files: ['empty.stl'] } }), 'empty.stl'],
    ['a scan that is text', job({ scan: { files: ['text.stl'] } }), 'text.stl'],
    ['a scan that ends early', job({ scan: { files: ['short.stl'] } }), 'short.stl'],
  ]

  it.each(broken)('refuses %s in one sentence, status 2, nothing written', (_, text, words) => {
    writeFileSync(path('job', 'empty.stl'), '')
    writeFileSync(path('job', 'text.stl'), 'a letter to the yard, not a mesh\n')
    writeFileSync(path('job', 'short.stl'), readFileSync(path('job', 'frame.stl')).subarray(0, 50_000))
    const bad = path('job', 'bad.json')
    if (text.startsWith('{')) writeFileSync(bad, text)
    const { status, stdout, stderr } = run(
      'plan',
      text.startsWith('{') ? bad : path(text),
      '--out',
      path('none'),
      '--quiet',
    )
    expect(status).toBe(2)
    expect(stdout).toBe('')
    expect(stderr).toContain(words)
    expect(stderr.trim().split('\n')).toHaveLength(1)
    expect(existsSync(path('none'))).toBe(false)
  })

  it('refuses words it does not know', () => {
    const { status, stderr } = run('plan', path('job'), '--out', path('none'), '--fast')
    expect(status).toBe(2)
    expect(stderr).toContain('--fast')
  })
})
