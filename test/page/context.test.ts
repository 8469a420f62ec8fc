/** The graphics card drops the drawing in the middle of the work: it is said, the work goes on, and the picture comes back. */
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { launch } from './support/browser'
import { byId, openPage, textOf } from './support/page'

let browser: Browser
beforeAll(async () => {
  browser = await launch()
})
afterAll(() => browser.close())

it('comes back after the context was lost', async () => {
  const { page, faults } = await openPage(browser, { width: 640, height: 480 })
  await page.waitForFunction(
    () => document.querySelector('[data-testid="weight-datum"]')?.getAttribute('data-state') === 'holds',
  )
  const canvas = page.locator('canvas').first()
  await page.evaluate(() => {
    const gl = document.querySelector('canvas')!.getContext('webgl2')!
    Object.assign(window, { dropped: gl.getExtension('WEBGL_lose_context') })
    ;(window as unknown as { dropped: WEBGL_lose_context }).dropped.loseContext()
  })
  await page.getByText('has dropped the drawing').waitFor()
  const blank = await canvas.screenshot()
  await page.evaluate(() => (window as unknown as { dropped: WEBGL_lose_context }).dropped.restoreContext())
  await page.getByText('has dropped the drawing').waitFor({ state: 'detached' })
  // Drawn anew: the frame stands there again, which a bare sheet has not.
  await expect.poll(async () => Buffer.compare(await canvas.screenshot(), blank), { timeout: 20_000 }).not.toBe(0)
  expect(await textOf(page, 'weight-scan')).toContain('facets')
  await byId(page, 'weight-scan').click()
  expect(faults.filter((f) => !/context/i.test(f))).toEqual([])
  await page.context().close()
})
