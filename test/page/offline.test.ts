/** The page opens without a network once it was there, under its own strict policy. */
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { launch } from './support/browser'
import { byId, openPage, textOf } from './support/page'

let browser: Browser
beforeAll(async () => {
  browser = await launch()
})
afterAll(() => browser.close())

it('opens with the network off, demo and all', async () => {
  const { page, faults } = await openPage(browser, { width: 640, height: 480 })
  const policy = await page.locator('meta[http-equiv="Content-Security-Policy"]').getAttribute('content')
  expect(policy).toContain("script-src 'self' 'wasm-unsafe-eval'")
  expect(policy).not.toMatch(/script-src[^;]*'unsafe-/)
  expect(policy).not.toMatch(/https?:/)
  // Whole: every file is kept before the worker is ready.
  await page.evaluate(async () => {
    await navigator.serviceWorker.ready
  })
  await page.context().setOffline(true)
  await page.reload()
  await byId(page, 'weight-scan').waitFor()
  await page.waitForFunction(
    () => document.querySelector('[data-testid="weight-scan"]')?.getAttribute('data-state') === 'holds',
  )
  expect(await textOf(page, 'weight-scan')).toContain('facets')
  // The handbook too, with its pictures, and without a script; every place it points at is there.
  await page.goto(new URL('handbook.html', page.url()).href)
  expect(await page.locator('main h2').count()).toBeGreaterThan(8)
  expect(await page.locator('script').count()).toBe(0)
  const broken = await page.evaluate(() => [
    ...[...document.images].filter((image) => image.naturalWidth === 0).map((image) => image.src),
    ...[...document.querySelectorAll('a')]
      .filter((a) => a.hash && !document.getElementById(a.hash.slice(1)))
      .map((a) => a.href),
  ])
  expect(broken).toEqual([])
  expect(faults.filter((f) => !/ERR_INTERNET_DISCONNECTED/.test(f))).toEqual([])
  await page.context().close()
})
