import type { Browser, Page } from 'playwright-core'
import { inject } from 'vitest'

export interface OpenOptions {
  readonly width?: number
  readonly height?: number
  readonly colorScheme?: 'light' | 'dark'
  readonly timezoneId?: string
  /** Has never been here: the first look is shown. */
  readonly first?: boolean
}

/** A fresh visitor on the page; faults of the page fail the test that meets them. */
export async function openPage(browser: Browser, options: OpenOptions = {}): Promise<{ page: Page; faults: string[] }> {
  const context = await browser.newContext({
    viewport: { width: options.width ?? 1024, height: options.height ?? 700 },
    colorScheme: options.colorScheme ?? 'light',
    reducedMotion: 'reduce',
    acceptDownloads: true,
    ...(options.timezoneId && { timezoneId: options.timezoneId }),
  })
  if (!options.first) await context.addInitScript(() => localStorage.setItem('mouldwright-looked-round', 'yes'))
  const page = await context.newPage()
  page.setDefaultTimeout(120_000)
  const faults: string[] = []
  page.on('pageerror', (error) => faults.push(error.message))
  page.on('console', (message) => {
    if (message.type() === 'error') faults.push(message.text())
  })
  page.on('request', (request) => {
    if (!request.url().startsWith(inject('address')) && !/^(blob|data):/.test(request.url()))
      faults.push(`asked ${request.url()}`)
  })
  await page.goto(inject('address'))
  return { page, faults }
}

export const byId = (page: Page, id: string) => page.locator(`[data-testid="${id}"]`)

/** Waits until every step has been worked out for the job as it is: no weight running, stale or to do. */
export async function planned(page: Page): Promise<void> {
  await page.waitForFunction(() => {
    const weights = [...document.querySelectorAll<HTMLElement>('[data-testid^="weight-"]')]
    const steps = weights.filter((w) => w.dataset['testid'] !== 'weight-release')
    return steps.length > 0 && steps.every((w) => w.dataset['state'] === 'holds' || w.dataset['state'] === 'hold')
  })
}

/** Drops a file on the middle of the page, as a hand would. */
export async function dropFile(page: Page, name: string, bytes: Uint8Array): Promise<void> {
  const data = Buffer.from(bytes).toString('base64')
  const transfer = await page.evaluateHandle(
    async ([fileName, text]) => {
      const response = await fetch(`data:application/octet-stream;base64,${text}`)
      const items = new DataTransfer()
      items.items.add(new File([await response.arrayBuffer()], fileName!))
      return items
    },
    [name, data],
  )
  for (const kind of ['dragenter', 'dragover', 'drop'])
    await page.dispatchEvent('body', kind, { dataTransfer: transfer })
}

export const textOf = async (page: Page, id: string): Promise<string> =>
  ((await byId(page, id).first().textContent()) ?? '').trim()
