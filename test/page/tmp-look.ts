import { fileURLToPath } from 'node:url'
import { build, preview } from 'vite'
import { launch } from './support/browser'
const configFile = fileURLToPath(new URL('../../vite.config.ts', import.meta.url))
const dir = '/tmp/picks/shots'
await build({ configFile, logLevel: 'warn' })
const server = await preview({ configFile, preview: { port: 0, host: '127.0.0.1' } })
const browser = await launch()
const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, reducedMotion: 'reduce' })
const page = await context.newPage()
page.on('pageerror', (e) => console.log('PAGEERROR', e.message))
page.on('console', (m) => m.type() === 'error' && console.log('CONSOLE', m.text()))
const planned = async () => {
  await page.waitForFunction(() => {
    const w = [...document.querySelectorAll<HTMLElement>('[data-testid^="weight-"]')].filter((x) => x.dataset['testid'] !== 'weight-release')
    return w.length > 0 && w.every((x) => x.dataset['state'] === 'holds' || x.dataset['state'] === 'hold')
  }, undefined, { timeout: 400_000 })
  await page.waitForTimeout(2000)
}
const id = (x: string) => page.locator(`[data-testid="${x}"]`).first()
const shot = (n: string) => page.screenshot({ path: `${dir}/${n}.png` })
await page.goto(server.resolvedUrls!.local[0]!)
await planned()
console.log('planned')
await id('weight-datum').click()
await page.waitForTimeout(2500)
await id('pick-level').click()
await shot('datum-asked')
const sheet = page.locator('.sheet-hand')
const box = (await sheet.boundingBox())!
// Clicks spread over the drawing until something answers.
const hint = () => id('datum-picks').innerText()
const clickOn = async (n: number, of: () => Promise<string>) => {
  let hits = 0
  const before0 = await of()
  let before = before0
  for (let k = 0; k < 400 && hits < n; k++) {
    const x = box.x + box.width * (0.08 + 0.55 * ((k * 0.618) % 1))
    const y = box.y + box.height * (0.2 + 0.6 * ((k * 0.414) % 1))
    await page.mouse.click(x, y)
    const now = await of()
    if (now !== before) { hits++; before = now; }
  }
  console.log('hits', hits)
}
await clickOn(3, hint)
await page.waitForTimeout(800)
await shot('datum-level')
await planned()
await shot('datum-level-planned')
await id('pick-pairs').click()
await clickOn(2, hint)
await planned()
await shot('datum-pair-planned')
console.log(await hint())
await id('auto-matrix').click()
await planned()
await id('weight-scan').click()
await page.locator('[data-testid="add-scan"]').setInputFiles('/tmp/picks/second.stl')
await page.waitForTimeout(15000)
await shot('scan-added')
await id('pick-pairs-2').click()
await id('laying').waitFor({ timeout: 120000 })
await page.waitForTimeout(5000)
await shot('laying')
await clickOn(4, () => id('laying').innerText())
await shot('laying-picked')
console.log(await id('laying').innerText())
await browser.close()
process.exit(0)
