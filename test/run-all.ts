/** `npm test`: types, lint, units, page, one after the other; the last line says how many checks passed and failed. */
import { spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

const folder = mkdtempSync(join(tmpdir(), 'mouldwright-test-'))
let passed = 0
let failed = 0

function run(what: string, args: readonly string[]): boolean {
  console.log(`\n— ${what}`)
  const { status, error } = spawnSync('npx', ['--no-install', ...args], {
    stdio: 'inherit',
    shell: process.platform === 'win32',
  })
  if (error) console.error(error.message)
  return status === 0
}

function single(what: string, args: readonly string[]): void {
  if (run(what, args)) passed++
  else failed++
}

function suite(what: string, project: string): void {
  const file = join(folder, `${project}.json`)
  const fine = run(what, [
    'vitest',
    'run',
    '--project',
    project,
    '--reporter=default',
    '--reporter=json',
    `--outputFile.json=${file}`,
  ])
  try {
    const counts = JSON.parse(readFileSync(file, 'utf8')) as { numPassedTests: number; numFailedTests: number }
    passed += counts.numPassedTests
    failed += counts.numFailedTests
    // A suite that could not even be loaded fails without a failed test.
    if (!fine && counts.numFailedTests === 0) failed++
    if (counts.numPassedTests + counts.numFailedTests === 0) failed++
  } catch {
    failed++
  }
}

single('types of the page and the command line', ['tsc', '-p', 'tsconfig.json'])
single('types of the core, which cannot see the page', ['tsc', '-p', 'src/core'])
single('lint', ['biome', 'check', 'src', 'test', 'vite.config.ts'])
single('unused files and packages', ['knip', '--include', 'files,dependencies,unlisted'])
suite('units', 'units')
suite('page, in a browser', 'page')

rmSync(folder, { recursive: true, force: true })
console.log(`\n${passed} passed, ${failed} failed`)
process.exitCode = failed === 0 ? 0 : 1
