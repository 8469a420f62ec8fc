/**
 * One job, two engines: the pack of the page and that of the command line are the same to the last byte, PDF included, in
 * another time zone. `SAME_PACK_COUNT=10` compares ten generated jobs, `SAME_PACK_JOB=FILE` the job of that file as well.
 */
import { readFileSync } from 'node:fs'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { PACK_HOST } from '../../src/cli/pack-host'
import { type Job, readJobZip } from '../../src/core/job'
import { readPackZip } from '../../src/core/release/zip-pack'
import { makePack } from '../../src/press/make-pack'
import { verifyFiles } from '../../src/press/verify'
import { planJob } from '../../src/runner/plan-job'
import { runHere } from '../../src/runner/run-here'
import { PROGRAM } from '../../src/runner/version'
import { generatedJob } from '../support/generated-job'
import { launch } from './support/browser'
import { byId, dropFile, openPage, planned } from './support/page'

const SEEDS = Array.from({ length: Number(process.env['SAME_PACK_COUNT'] ?? 1) }, (_, i) => 5 + i)

let browser: Browser
let page: Page
let faults: readonly string[]
beforeAll(async () => {
  browser = await launch()
  ;({ page, faults } = await openPage(browser, { timezoneId: 'Etc/GMT-9', width: 1440, height: 900 }))
  await byId(page, 'weight-scan').waitFor()
})
afterAll(() => browser.close())

/** The pack that a person writes on the page, every hold waived. */
async function packOfPage(bytes: Uint8Array) {
  await dropFile(page, 'two-engines.mwjob', bytes)
  // The job before it stands planned on the page until then.
  await page.getByText(readJobZip(bytes).job.title).first().waitFor()
  await planned(page)
  await page.keyboard.press('4')
  const holds = page.locator('[data-testid^="waive-"]')
  for (let n = await holds.count(); n > 0; n = await holds.count()) {
    await holds.first().click()
    await byId(page, 'waive-by').fill('O. Owner')
    await byId(page, 'waive-reason').fill('for the trial')
    await page.locator('.waive-form button[type=submit]').click()
  }
  const [download] = await Promise.all([page.waitForEvent('download'), byId(page, 'write-pack').click()])
  await page.waitForFunction(() => document.querySelector('[data-testid="revisions"] summary') !== null)
  return readPackZip(new Uint8Array(readFileSync(await download.path())))
}

/** The pack of the command line, for the job as the page had it: its waivers and their times among it. */
async function packOfNode(bytes: Uint8Array, release: Job['release']) {
  const { job: plain, assets } = readJobZip(bytes)
  const job = { ...plain, release }
  const kept = new Map<string, unknown>()
  const plan = await planJob(job, {
    runner: runHere({ giveWay: () => Promise.resolve(), now: () => performance.now() }),
    cache: kept,
    going: new Map(),
    bytes: (hash) => assets.get(hash)!,
    now: () => 0,
  })
  expect(plan.refused).toEqual({})
  return (await makePack({ job, results: plan.results, timings_s: {}, program: PROGRAM }, PACK_HOST)).files
}

async function compare(bytes: Uint8Array): Promise<void> {
  const there = await packOfPage(bytes)
  const told = JSON.parse(new TextDecoder().decode(there.find((f) => f.path === 'job.json')!.bytes)) as Job
  const here = await packOfNode(bytes, told.release)
  expect(there.map((f) => f.path)).toEqual(here.map((f) => f.path))
  const differ = here.filter((f, i) => Buffer.compare(f.bytes, there[i]!.bytes) !== 0).map((f) => f.path)
  expect(differ).toEqual([])
  expect((await verifyFiles(there)).faults).toEqual([])
  expect(faults).toEqual([])
}

const named = process.env['SAME_PACK_JOB']
const JOBS: readonly (readonly [string, () => Uint8Array])[] = [
  ...SEEDS.map((seed) => [`generated job ${seed}`, () => generatedJob(seed)] as const),
  ...(named ? [[named, () => new Uint8Array(readFileSync(named))] as const] : []),
]

it.each(JOBS)('gives the same pack in Chromium and in Node: %s', (_, bytes) => compare(bytes()))
