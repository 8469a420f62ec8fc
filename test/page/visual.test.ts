/**
 * How the page looks: the demo in every question and the chief slips, against pictures that were looked at and kept.
 * `RENEW_PICTURES=1 npx vitest run --project page test/page/visual.test.ts` takes them anew; look at them before they are kept.
 *
 * Pictures are compared at half size: software rendering and letters differ by a shade from one browser to the next, a
 * misplaced slip, a lost map or a wrong ground does not.
 */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import pixelmatch from 'pixelmatch'
import type { Browser, Page } from 'playwright-core'
import { PNG } from 'pngjs'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { launch } from './support/browser'
import { byId, openPage, planned } from './support/page'

const KEPT = fileURLToPath(new URL('./visual', import.meta.url))
const FAILED = join(tmpdir(), 'mouldwright-pictures')
const RENEW = process.env['RENEW_PICTURES'] === '1'
/** Share of pixels that may differ. Another build of the browser differed by less than a hundredth. */
const TOLERATED = 0.02

interface Shown {
  readonly name: string
  readonly question: 'clear' | 'live' | 'off' | 'release'
  readonly step?: string
  readonly dark?: boolean
  readonly size?: readonly [number, number]
}

const SMALL = [1024, 700] as const
const SHOWN: readonly Shown[] = [
  { name: 'clear', question: 'clear' },
  { name: 'slip-scan', question: 'clear', step: 'scan' },
  { name: 'slip-frame', question: 'clear', step: 'frame' },
  { name: 'slip-datum', question: 'clear', step: 'datum' },
  { name: 'slip-clearance', question: 'clear', step: 'clearance' },
  { name: 'live', question: 'live' },
  { name: 'slip-fitting', question: 'live', step: 'fitting' },
  { name: 'off', question: 'off' },
  { name: 'slip-tooling', question: 'off', step: 'tooling' },
  { name: 'slip-build', question: 'off', step: 'build' },
  { name: 'release', question: 'release' },
  { name: 'clear-wide', question: 'clear', size: [1440, 900] },
  { name: 'clear-phone', question: 'clear', size: [390, 800] },
  { name: 'clear-dark', question: 'clear', dark: true },
  { name: 'live-dark', question: 'live', dark: true },
]

let browser: Browser
let page: Page
beforeAll(async () => {
  browser = await launch()
  ;({ page } = await openPage(browser))
  await planned(page)
})
afterAll(() => browser.close())

describe('how it looks', () => {
  it.each(SHOWN)('$name', async (shown) => {
    const picture = half(await still(await show(shown)))
    const kept = join(KEPT, `${shown.name}.png`)
    if (RENEW) {
      mkdirSync(KEPT, { recursive: true })
      writeFileSync(kept, PNG.sync.write(picture, { colorType: 2 }))
      return
    }
    expect(existsSync(kept), `${kept} is missing: take it with RENEW_PICTURES=1 and look at it`).toBe(true)
    const share = differing(picture, PNG.sync.read(readFileSync(kept)), shown.name)
    expect(share, `see ${FAILED}/${shown.name}*.png`).toBeLessThan(TOLERATED)
  })

  it('tells one picture from another', () => {
    const [light, slip] = ['clear', 'slip-frame'].map((name) => PNG.sync.read(readFileSync(join(KEPT, `${name}.png`))))
    expect(differing(light!, slip!)).toBeGreaterThan(5 * TOLERATED)
  })
})

async function show({ question, step, dark, size = SMALL }: Shown): Promise<Page> {
  await page.emulateMedia({ colorScheme: dark ? 'dark' : 'light', reducedMotion: 'reduce' })
  await page.setViewportSize({ width: size[0], height: size[1] })
  await page.keyboard.press('Escape')
  await byId(page, `question-${question}`).first().click()
  if (step) await byId(page, `weight-${step}`).click()
  await page.mouse.move(2, 2)
  return page
}

/** The picture when two in a row are alike: cameras, labels and shadows have settled. */
async function still(shownPage: Page): Promise<PNG> {
  let before = await shownPage.screenshot()
  for (let tries = 0; tries < 20; tries++) {
    const now = await shownPage.screenshot()
    if (now.equals(before)) break
    before = now
  }
  return PNG.sync.read(before)
}

/** Four pixels to one. */
function half(picture: PNG): PNG {
  const width = Math.floor(picture.width / 2)
  const height = Math.floor(picture.height / 2)
  const small = new PNG({ width, height })
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++)
      for (let c = 0; c < 4; c++) {
        const at = (dx: number, dy: number) => picture.data[4 * ((2 * y + dy) * picture.width + 2 * x + dx) + c]!
        small.data[4 * (y * width + x) + c] = Math.round((at(0, 0) + at(1, 0) + at(0, 1) + at(1, 1)) / 4)
      }
  return small
}

/** Share of pixels that differ; a failing picture and its differences are written where the message says. */
function differing(a: PNG, b: PNG, name?: string): number {
  if (a.width !== b.width || a.height !== b.height) return 1
  const marks = new PNG({ width: a.width, height: a.height })
  const share = pixelmatch(a.data, b.data, marks.data, a.width, a.height, { threshold: 0.15 }) / (a.width * a.height)
  if (name !== undefined && share >= TOLERATED) {
    mkdirSync(FAILED, { recursive: true })
    writeFileSync(join(FAILED, `${name}.png`), PNG.sync.write(a))
    writeFileSync(join(FAILED, `${name}-differs.png`), PNG.sync.write(marks))
  }
  return share
}
