/** One job, two engines: the pack of the page and that of the command line are the same to the last byte, PDF included. */
import { readFileSync } from 'node:fs'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { PACK_HOST } from '../../src/cli/pack-host'
import { drain } from '../../src/core/geometry/kernel'
import { adoptJob, parseJobValue, readJobZip, sha256Hex, writeJobZip } from '../../src/core/job'
import { writeStl } from '../../src/core/release'
import { readPackZip } from '../../src/core/release/zip-pack'
import { frameSolid, STRAIGHT_FRAME } from '../../src/demo/frame-solid'
import { scanSolid } from '../../src/demo/scan-solid'
import { makePack } from '../../src/press/make-pack'
import { verifyFiles } from '../../src/press/verify'
import { planJob } from '../../src/runner/plan-job'
import { runHere } from '../../src/runner/run-here'
import { PROGRAM } from '../../src/runner/version'
import { frustum } from '../support/solids'
import { launch } from './support/browser'
import { byId, dropFile, openPage, planned } from './support/page'

let browser: Browser
beforeAll(async () => {
  browser = await launch()
})
afterAll(() => browser.close())

/** A small frame, coarse samples: the engines are compared, not the surface. */
function smallJob(): Uint8Array {
  const { solid, truth } = frameSolid({ ...STRAIGHT_FRAME, seed: 5, asymmetry_mm: 4 })
  const scan = scanSolid(solid, truth, { seed: 5, facets: 12_000, noise_mm: 0.2, holes: 2, islands: 0, pose: 'random' })
  const meshes = new Map([
    ['frame.stl', writeStl(drain(scan).mesh)],
    ['lamp.stl', writeStl(frustum(40, 20, 90, 32))],
  ])
  const job = adoptJob(
    parseJobValue({
      format: 'mouldwright-job',
      version: 1,
      title: 'Two engines',
      scan: { files: ['frame.stl'], unit: 'mm' },
      clearance: { gap_mm: 12, sample_mm: 20 },
      tooling: { scallop_mm: 1, made: 'direct' },
      fittings: [{ name: 'lamp', mesh: 'lamp.stl', unit: 'mm', at_mm: [600, 300], mirror: true }],
    }),
    (name) => ({ asset: sha256Hex(meshes.get(name)!), name }),
  )
  return writeJobZip(job, new Map([...meshes.values()].map((bytes) => [sha256Hex(bytes), bytes])))
}

it('gives the same pack in Chromium and in Node', async () => {
  const bytes = process.env['SAME_PACK_JOB'] ? new Uint8Array(readFileSync(process.env['SAME_PACK_JOB'])) : smallJob()
  const { page, faults } = await openPage(browser)
  await byId(page, 'weight-scan').waitFor()
  await dropFile(page, 'two-engines.mwjob', bytes)
  // The demo stands planned on the page until then.
  await page.getByText(readJobZip(bytes).job.title).first().waitFor()
  await planned(page)
  // In a narrow window the holds are folded away.
  await page.setViewportSize({ width: 1440, height: 900 })
  await page.keyboard.press('4')
  const holds = page.locator('[data-testid^="waive-"]')
  for (let n = await holds.count(); n > 0; n = await holds.count()) {
    await holds.first().click()
    await byId(page, 'waive-by').fill('O. Owner')
    await byId(page, 'waive-reason').fill('for the trial')
    await page.locator('.waive-form button[type=submit]').click()
  }
  const [download] = await Promise.all([page.waitForEvent('download'), byId(page, 'write-pack').click()])
  const there = readPackZip(new Uint8Array(readFileSync(await download.path())))
  await page.waitForFunction(() => document.querySelector('[data-testid="revisions"] summary') !== null)

  // The job as the page had it, waivers and their times among it.
  const { job: plain, assets } = readJobZip(bytes)
  const told = JSON.parse(new TextDecoder().decode(there.find((f) => f.path === 'job.json')!.bytes))
  const job = { ...plain, release: told.release }
  const kept = new Map<string, unknown>()
  const plan = await planJob(job, {
    runner: runHere({ giveWay: () => Promise.resolve(), now: () => performance.now() }),
    cache: kept,
    going: new Map(),
    bytes: (hash) => assets.get(hash)!,
    now: () => 0,
  })
  expect(plan.refused).toEqual({})
  const here = await makePack({ job, results: plan.results, timings_s: {}, program: PROGRAM }, PACK_HOST)
  expect(there.map((f) => f.path)).toEqual(here.files.map((f) => f.path))
  const differ = here.files.filter((f, i) => Buffer.compare(f.bytes, there[i]!.bytes) !== 0).map((f) => f.path)
  expect(differ).toEqual([])
  expect((await verifyFiles(there)).faults).toEqual([])
  expect(faults).toEqual([])
  await page.context().close()
})
