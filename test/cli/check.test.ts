/** `check` and `compare` as a script meets them: one JSON object, fixed keys, exit statuses. */
import { spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { joinValues, numberOf, tripleOf } from '../../src/cli/mesh-argument'
import { Refused } from '../../src/core/geometry/trouble'
import { writeStl } from '../../src/core/release'
import { fillet } from '../support/analysis-solids'
import { box, gridPlate, icosphere, mushroom, plainVolume, torus } from '../support/solids'

const home = fileURLToPath(new URL('../..', import.meta.url))
let folder = ''
const path = (name: string) => join(folder, name)

function run(command: 'check' | 'compare' | 'offset', ...args: string[]) {
  return spawnSync('npx', ['--no-install', 'tsx', `src/cli/${command}.ts`, ...args], {
    cwd: home,
    encoding: 'utf8',
    env: { ...process.env, NODE_OPTIONS: '' },
  })
}

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'mouldwright-check-'))
  writeFileSync(path('mushroom.stl'), writeStl(mushroom(128)))
  writeFileSync(path('fillet.stl'), writeStl(fillet(12, 1.5, 0.05, 1)))
  writeFileSync(path('a.stl'), writeStl(icosphere(100, 4)))
  writeFileSync(path('b.stl'), writeStl(icosphere(97, 4)))
  writeFileSync(path('words.stl'), 'these are words and no mesh')
})

afterAll(() => rmSync(folder, { recursive: true, force: true }))

describe('check', () => {
  it('prints one JSON object with the fixed keys, and finds the shadow of the mushroom (G48)', () => {
    const { status, stdout, stderr } = run(
      'check',
      ...[path('mushroom.stl'), '--mirror', 'y', '--search', '--split', '--thickness', '60', '--json'],
    )
    expect(stderr).toBe('')
    expect(status).toBe(0)
    const check = JSON.parse(stdout)
    expect(check.mesh).toMatchObject({ facets: 1536, unit: 'mm', closed: true, rejected: { total: 0 } })
    expect(Math.abs(check.undercut.blocked_mm2 / 6597.344573 - 1)).toBeLessThan(1e-3)
    expect(check.undercut.depth_mm).toBeGreaterThan(30)
    expect(check.symmetry.plane).toEqual({ normal: [0, 1, 0], offset_mm: 0 })
    expect(check.symmetry.max_mm).toBeLessThan(1e-3)
    expect(check.draft.pull).toEqual([0, 0, 1])
    expect(check.radius.p01_mm).toBeGreaterThan(0)
    expect(check.pulls.best[0].locked_mm2).toBeLessThanOrEqual(check.undercut.area_mm2 * (1 + 1e-9))
    expect(check.split.locked_mm2).toBeLessThan(check.split.lockedWhole_mm2)
    expect(check.thickness.p50_mm).toBeCloseTo(10, 1)
    for (const finding of check.findings) expect(finding.id).toMatch(/^analysis\./)
  })

  it('tells noise by itself, takes a pull that begins with a minus, and a unit', () => {
    const { status, stdout } = run('check', path('fillet.stl'), '--pull', '-0.3,1,1', '--unit', 'in', '--json')
    expect(status).toBe(0)
    const check = JSON.parse(stdout)
    expect(check.mesh.unit).toBe('in')
    expect(Math.abs(check.radius.p01_mm / (12 * 25.4) - 1)).toBeGreaterThan(0.1) // beyond the limit looked for, and said so
    expect(check.radius.p01_mm).toBeCloseTo(check.radius.limit_mm, 6)
    expect(Math.abs(check.noise_mm / (0.05 * 25.4) - 1)).toBeLessThan(0.15)
    expect(check.draft.pull[0]).toBeLessThan(0)
  })

  it('speaks to people without --json', () => {
    const { status, stdout } = run('check', path('fillet.stl'), '--search', '--split', '--thickness', '10')
    expect(status).toBe(0)
    for (const word of ['mesh', 'draft', 'undercut', 'symmetry', 'radius', 'thickness', 'pull', 'split'])
      expect(stdout).toContain(`\n${word}`.trim())
    expect(stdout).not.toContain('NaN')
  })

  it.each([
    ['a text', ['words.stl']],
    ['a file that is not there', ['nowhere.stl']],
  ])('%s: one sentence, status 2, nothing on standard output', (_, [name]) => {
    const { status, stdout, stderr } = run('check', path(name!), '--json')
    expect(status).toBe(2)
    expect(stdout).toBe('')
    expect(stderr.trim().split('\n')).toHaveLength(1)
  })
})

describe('compare', () => {
  it('gives least distance, the pair, and the statistics of A to B (G31: concentric spheres 100 and 97)', () => {
    const { status, stdout } = run('compare', path('a.stl'), path('b.stl'), '--json')
    expect(status).toBe(0)
    const result = JSON.parse(stdout)
    expect(Object.keys(result)).toEqual(['min_mm', 'pointA', 'pointB', 'aToB', 'contact', 'overlap'])
    // One inside the other: what they share is the smaller one.
    expect(result.overlap.volume_mm3 / plainVolume(icosphere(97, 4))).toBeCloseTo(1, 5)
    expect(result.contact).toEqual({ within_mm: 0.1, area_mm2: 0 })
    expect(result.aToB.mean_mm).toBeCloseTo(3, 1)
    expect(result.min_mm).toBeCloseTo(3, 1)
    expect(Math.hypot(...result.pointA.map((c: number, k: number) => c - result.pointB[k]))).toBeCloseTo(
      result.min_mm,
      6,
    )
  })

  it('says what two bodies touch and share, and why an open one shares nothing', () => {
    writeFileSync(path('box.stl'), writeStl(box([0, 0, 0], [40, 30, 20])))
    writeFileSync(path('box2.stl'), writeStl(box([30, 10, 5], [80, 90, 50])))
    writeFileSync(path('open.stl'), writeStl(gridPlate(40, 40, 4, 4)))
    const result = JSON.parse(run('compare', path('box.stl'), path('box2.stl'), '--json').stdout)
    expect(result.min_mm).toBe(0)
    expect(result.overlap.volume_mm3).toBeCloseTo(10 * 20 * 15, 3)
    const open = run('compare', path('box.stl'), path('open.stl'))
    expect(open.stdout).toContain('overlap    not known: B is no closed solid')
  })

  it('one file is one too few', () => {
    const { status, stderr } = run('compare', path('a.stl'))
    expect(status).toBe(2)
    expect(stderr).toContain('Two mesh files are needed')
  })
})

describe('offset', () => {
  it('writes the surface at a distance, with what it achieved (G24: torus 25 and 15 is torus 40)', () => {
    writeFileSync(path('torus.stl'), writeStl(torus(100, 25, 96, 48)))
    const out = path('collar.stl')
    const { status, stdout, stderr } = run('offset', path('torus.stl'), '--distance', '15', '--out', out, '--json')
    expect(stderr).toBe('')
    expect(status).toBe(0)
    const { achieved, volume_mm3 } = JSON.parse(stdout)
    expect(achieved.least_mm).toBeGreaterThanOrEqual(15 - 0.02)
    expect(Math.abs(volume_mm3 / (2 * Math.PI ** 2 * 100 * 40 ** 2) - 1)).toBeLessThan(0.01)
    expect(readFileSync(out).length).toBeGreaterThan(84)
  })

  it('asks for what it needs in one sentence', () => {
    const { status, stderr } = run('offset', path('a.stl'), '--distance', '12')
    expect(status).toBe(2)
    expect(stderr.trim().split('\n')).toHaveLength(1)
  })
})

describe('words of the command line', () => {
  it('numbers and triples are taken whole or refused', () => {
    expect(tripleOf('--pull', '0,-0.5,1e0')).toEqual([0, -0.5, 1])
    for (const bad of ['1,2', '1,2,3,4', '1,,2', 'a,b,c', '1,2,Infinity'])
      expect(() => tripleOf('--pull', bad)).toThrow(Refused)
    expect(() => numberOf('--noise', '-1', 0)).toThrow(Refused)
    expect(numberOf('--noise', '0.05', 0)).toBe(0.05)
  })

  it('a value that begins with a minus stays with its option', () => {
    expect(joinValues(['m.stl', '--pull', '-1,0,0', '--json'], ['--pull'])).toEqual([
      'm.stl',
      '--pull=-1,0,0',
      '--json',
    ])
    expect(joinValues(['--pull', '--json'], ['--pull'])).toEqual(['--pull', '--json'])
  })
})
