/**
 * The page without a mouse, for a screen reader, after a reload, and in a second tab. One visitor goes
 * through all of it, in this order, because each plan of the demo costs ten seconds.
 */
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { launch } from './support/browser'
import { byId, openPage, planned, textOf } from './support/page'

let browser: Browser
let page: Page
let faults: readonly string[]
beforeAll(async () => {
  browser = await launch()
  ;({ page, faults } = await openPage(browser, { width: 1440, height: 900 }))
  await planned(page)
})
afterAll(() => browser.close())

interface Axe {
  run(): Promise<{ violations: { id: string; impact: string | null; nodes: { html: string }[] }[] }>
}

describe('access', () => {
  it('axe finds nothing serious on any question, nor with a slip open', async () => {
    // By the debugger: the page's policy lets no foreign script in, which is as it should be.
    await page.evaluate(readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8'))
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
      'weight-frame',
      'weight-datum',
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
    await page.keyboard.press('Escape')
    await byId(page, 'question-clear').first().click()
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

  it('a tube is found from the table and from the drawing, by keys', async () => {
    await byId(page, 'weight-frame').click()
    const row = byId(page, 'tube-tube-3').locator('button').first()
    await row.focus()
    await page.keyboard.press('Enter')
    expect(await row.getAttribute('aria-expanded')).toBe('true')
    const mark = byId(page, 'tube-mark-tube-3')
    expect(await mark.getAttribute('aria-pressed')).toBe('true')
    await mark.focus()
    await page.keyboard.press('Enter')
    expect(await row.getAttribute('aria-expanded')).toBe('false')
    await page.keyboard.press('Escape')
  })

  it('a reload in the middle of a computation loses nothing, and the plan goes on', async () => {
    await rename(page, 'Harbour canopy two')
    await byId(page, 'weight-clearance').click()
    const skirt = page.locator('input[data-testid="setting-skirt_mm"], [data-testid="setting-skirt_mm"] input').first()
    await skirt.fill('61')
    await skirt.press('Enter')
    await page.locator('[data-testid^="weight-"][data-state="running"]').first().waitFor()
    await stored(page, '"skirt_mm": 61')
    await page.reload()
    await planned(page)
    expect(await page.locator('body').textContent()).toContain('Harbour canopy two')
    await byId(page, 'weight-clearance').click()
    expect(await skirt.inputValue()).toContain('61')
    await page.keyboard.press('Escape')
  })

  it('a second tab says that it does not keep the job, takes over, and gets what the first did last', async () => {
    const second = await page.context().newPage()
    await second.goto(page.url())
    await second.getByText('open in another tab').waitFor()
    await rename(page, 'Harbour canopy three')
    await byId(second, 'notice-way').click()
    await page.getByText('open in another tab').waitFor()
    await second.getByText('Harbour canopy three').first().waitFor()
    await rename(second, 'Harbour canopy four')
    await stored(second, 'Harbour canopy four')
    // What is done meanwhile in the tab that lost the job overwrites nothing; it comes back when the other is closed.
    await rename(page, 'overwritten')
    await second.close()
    await page.getByText('Harbour canopy four').first().waitFor()
  })

  it('no fault was met on the way', () => {
    expect(faults).toEqual([])
  })
})

async function rename(page: Page, title: string): Promise<void> {
  await byId(page, 'job-title').click()
  const field = page
    .locator('.job-title input, input.job-title, [data-testid="job-title"] input, input[aria-label*="name"]')
    .first()
  await field.fill(title)
  await field.press('Enter')
}

/** Waits until the job in the browser's store has this in it: the page's "saved at" tells minutes only. */
async function stored(page: Page, text: string): Promise<void> {
  const look = () =>
    page.evaluate(
      () =>
        new Promise<string>((resolve, reject) => {
          const opening = indexedDB.open('mouldwright')
          opening.onerror = () => reject(opening.error)
          opening.onsuccess = () => {
            const asked = opening.result.transaction('jobs').objectStore('jobs').get('current')
            asked.onsuccess = () => {
              opening.result.close()
              resolve(String((asked.result as { text?: string } | undefined)?.text))
            }
          }
        }),
    )
  await expect.poll(look, { timeout: 20_000 }).toContain(text)
}
