/** The owner's copy as an owner meets it: a file on a telephone without a network; what is said there returns to the job. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { parseCommentsFile, takeComments } from '../../src/core/job'
import { trialPack } from '../press/printed-trial'
import { jobWith } from '../state/results-at-hand'
import { launch } from './support/browser'

let browser: Browser
let folder: string
beforeAll(async () => {
  browser = await launch()
  folder = mkdtempSync(join(tmpdir(), 'mouldwright-owner-'))
  const { files } = await trialPack()
  writeFileSync(join(folder, 'copy.html'), files.find((f) => f.path === 'owners-copy.html')!.bytes)
})
afterAll(async () => {
  await browser.close()
  rmSync(folder, { recursive: true })
})

it('turns, lights up at night, looks from the helm, takes a remark, and gives it back to the job', async () => {
  const context = await browser.newContext({
    offline: true,
    viewport: { width: 390, height: 780 },
    hasTouch: true,
    isMobile: true,
    acceptDownloads: true,
  })
  const page = await context.newPage()
  const faults: string[] = []
  page.on('pageerror', (error) => faults.push(error.message))
  page.on('request', (request) => {
    if (!/^(file|blob|data):/.test(request.url())) faults.push(`asked ${request.url()}`)
  })
  await page.goto(pathToFileURL(join(folder, 'copy.html')).href)
  const drawn = (what: string) => page.waitForFunction((w) => document.body.dataset['drawn'] === w, what)
  const picture = () => page.evaluate(() => document.querySelector('canvas')!.toDataURL())
  await drawn('around day')
  const first = await picture()
  await page.locator('canvas').focus()
  await page.keyboard.press('ArrowLeft')
  await page.waitForFunction((old) => document.querySelector('canvas')!.toDataURL() !== old, first)

  await page.locator('#night').tap()
  await drawn('around night')
  await page.locator('#look-helm').tap()
  await drawn('helm night')

  await page.locator('[name=author]').fill('O. Owner')
  await page.locator('[name=about]').selectOption('lamp')
  await page.locator('[name=text]').fill('A little <b>further</b> forward, please.')
  await page.locator('#add').tap()
  expect(await page.locator('#remarks').textContent()).toContain('A little <b>further</b> forward')
  const [download] = await Promise.all([page.waitForEvent('download'), page.locator('#save').tap()])
  const file = parseCommentsFile(readFileSync(await download.path(), 'utf8'))
  const job = takeComments(file).apply(jobWith())
  expect(job.comments[0]).toMatchObject({
    author: 'O. Owner',
    text: 'A little <b>further</b> forward, please.',
    state: 'open',
  })
  expect(faults).toEqual([])
  await context.close()
})
