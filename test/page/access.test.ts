/** The page without a mouse, for a screen reader, and in small windows. */
import { createRequire } from 'node:module'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { launch } from './support/browser'
import { byId, openPage, planned, textOf } from './support/page'

let browser: Browser
beforeAll(async () => {
  browser = await launch()
})
afterAll(() => browser.close())

interface Axe {
  run(): Promise<{ violations: { id: string; impact: string | null; nodes: { html: string }[] }[] }>
}

describe('access', () => {
  it('axe finds nothing serious on any question, nor with a slip open', async () => {
    const { page, faults } = await openPage(browser, { width: 1440, height: 900 })
    await planned(page)
    await page.addScriptTag({ path: createRequire(import.meta.url).resolve('axe-core/axe.min.js') })
    const serious = async () => {
      const { violations } = await page.evaluate(() => (globalThis as unknown as { axe: Axe }).axe.run())
      return violations
        .filter((v) => v.impact === 'serious' || v.impact === 'critical')
        .map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(' | ')}`)
    }
    const found: string[] = []
    for (const id of [
      'question-live',
      'question-off',
      'question-release',
      'question-clear',
      'weight-clearance',
      'weight-fitting',
    ]) {
      await byId(page, id).first().click()
      found.push(...(await serious()).map((v) => `${id}: ${v}`))
    }
    expect(found.join('\n')).toBe('')
    expect(faults).toEqual([])
  })

  it('the keyboard alone opens a step, changes a setting and takes it back', async () => {
    const { page } = await openPage(browser, { width: 1440, height: 900 })
    await planned(page)
    const before = await textOf(page, 'figures')
    await page.locator('[data-testid^="weight-"][tabindex="0"]').focus()
    await page.keyboard.press('Home')
    for (let i = 0; i < 3; i++) await page.keyboard.press('ArrowRight')
    await page.keyboard.press('Enter')
    await byId(page, 'slip-clearance').waitFor()
    const skirt = page.locator('input[data-testid="setting-skirt_mm"], [data-testid="setting-skirt_mm"] input').first()
    await skirt.focus()
    await skirt.fill('60')
    await page.keyboard.press('Enter')
    await planned(page)
    expect(await textOf(page, 'last-change')).toContain('60')
    await page.keyboard.press('Escape')
    // The history says what was changed and sets the figures of both states side by side.
    await page.keyboard.press('h')
    await byId(page, 'history-beside-1').click()
    expect(await textOf(page, 'history-dialog')).toContain('60')
    expect(await textOf(page, 'history-dialog')).not.toContain('not planned to its end')
    await page.keyboard.press('Escape')
    await byId(page, 'history-dialog').waitFor({ state: 'detached' })
    await page.keyboard.press('Control+z')
    await planned(page)
    expect(await textOf(page, 'figures')).toBe(before)
  })

  it('a reload brings back the job as it was', async () => {
    const { page } = await openPage(browser)
    await planned(page)
    await byId(page, 'job-title').click()
    const field = page
      .locator('.job-title input, input.job-title, [data-testid="job-title"] input, input[aria-label*="name"]')
      .first()
    await field.fill('Harbour canopy two')
    await field.press('Enter')
    await page.waitForFunction(() =>
      /saved \d/.test(document.querySelector('[data-testid="saved-at"]')?.textContent ?? ''),
    )
    await page.reload()
    await planned(page)
    expect(await page.locator('body').textContent()).toContain('Harbour canopy two')
  })
})
