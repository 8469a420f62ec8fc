/**
 * `npm run docs:pictures`: the pictures of the README and the handbook, taken from the running page. With `--all DIR` every
 * question in every window and both themes, for looking at.
 */
import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Page } from 'playwright-core'
import { build, preview } from 'vite'
import { launch } from './support/browser'

const configFile = fileURLToPath(new URL('../../vite.config.ts', import.meta.url))
const docs = fileURLToPath(new URL('../../docs/pictures', import.meta.url))
const at = process.argv.indexOf('--all')
const all = at > 0 ? process.argv[at + 1] : undefined

await build({ configFile, logLevel: 'warn' })
const server = await preview({ configFile, preview: { port: 0, host: '127.0.0.1' } })
const browser = await launch()

async function planned(page: Page): Promise<void> {
  await page.waitForFunction(
    () => {
      const weights = [...document.querySelectorAll<HTMLElement>('[data-testid^="weight-"]')]
      const steps = weights.filter((w) => w.dataset['testid'] !== 'weight-release')
      return steps.length > 0 && steps.every((w) => w.dataset['state'] === 'holds' || w.dataset['state'] === 'hold')
    },
    undefined,
    { timeout: 240_000 },
  )
  // Cameras, labels and the shadow texture settle in a few frames; software rendering takes its time over them.
  await page.waitForTimeout(2500)
}

async function open(width: number, height: number, colorScheme: 'light' | 'dark'): Promise<Page> {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme, reducedMotion: 'reduce' })
  await context.addInitScript(() => localStorage.setItem('mouldwright-looked-round', 'yes'))
  const page = await context.newPage()
  await page.goto(server.resolvedUrls!.local[0]!)
  await planned(page)
  return page
}

const show = async (page: Page, id: string) => {
  await page.locator(`[data-testid="${id}"]`).first().click()
  await planned(page)
}

if (all) {
  mkdirSync(all, { recursive: true })
  const windows = [
    [1440, 900, 'light'],
    [1440, 900, 'dark'],
    [1024, 700, 'light'],
    [1024, 700, 'dark'],
    [390, 800, 'light'],
  ] as const
  for (const [width, height, theme] of windows) {
    const page = await open(width, height, theme)
    const shot = (name: string) => page.screenshot({ path: join(all, `${width}-${theme}-${name}.png`) })
    for (const question of ['clear', 'live', 'off', 'release']) {
      await show(page, `question-${question}`)
      await shot(question)
    }
    if (width >= 1024)
      for (const step of ['scan', 'frame', 'datum', 'clearance', 'fitting', 'analysis', 'tooling', 'build']) {
        if ((await page.locator(`[data-testid="weight-${step}"]`).count()) === 0) continue
        await show(page, `weight-${step}`)
        await shot(`slip-${step}`)
      }
    await page.context().close()
  }
} else {
  mkdirSync(docs, { recursive: true })
  const page = await open(1440, 900, 'light')
  const debug = await page.context().newCDPSession(page)
  // The browser's own WebP is a fifth of its PNG.
  const take = async (name: string) => {
    const { data } = await debug.send('Page.captureScreenshot', { format: 'webp', quality: 80 })
    writeFileSync(join(docs, `${name}.webp`), Buffer.from(data, 'base64'))
  }
  for (const question of ['clear', 'live', 'off', 'release']) {
    await show(page, `question-${question}`)
    await take(question)
  }
  for (const step of ['scan', 'frame', 'datum', 'clearance', 'fitting', 'analysis', 'tooling', 'build']) {
    await show(page, `weight-${step}`)
    await take(step)
  }
}
await browser.close()
await server.close()
