/**
 * A large scan in the page, as a person brings it: chosen as a file on the built page in headless Chromium, planned, saved by
 * itself and opened again. Tells when the first picture stands, when each step is through, how long the page kept still, and
 * the largest memory of the tab (the renderer with its workers) and of the process that draws.
 *
 *   npx vite build && npx tsx test/bench/large-page.ts SCAN.stl [until datum|clearance|all]
 */
import { readdirSync, readFileSync, statSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { preview } from 'vite'
import { launch } from '../page/support/browser'

const [path, until = 'all'] = process.argv.slice(2)
if (!path) throw new Error('bench: name a scan')
const STEPS = ['scan', 'frame', 'datum', 'clearance', 'fitting', 'analysis', 'build', 'tooling']
const last = until === 'all' ? STEPS : STEPS.slice(0, STEPS.indexOf(until) + 1)
const shots = process.env['SHOTS']

const server = await preview({
  configFile: fileURLToPath(new URL('../../vite.config.ts', import.meta.url)),
  preview: { port: 0, host: '127.0.0.1' },
  logLevel: 'error',
})
const address = server.resolvedUrls!.local[0]!
const browser = await launch()
const page = await (
  await browser.newContext({ viewport: { width: 1440, height: 900 }, reducedMotion: 'reduce' })
).newPage()
page.setDefaultTimeout(900_000)
page.on('pageerror', (error) => console.log(`  fault: ${error.message}`))
page.on('crash', () => console.log('  THE TAB DIED'))
page.on('console', (m) => m.type() === 'error' && console.log(`  console: ${m.text()}`))

/** Memory of the processes of this browser by their kind, MB: most so far and now. */
const peaks = new Map<string, number>()
const nowMB = new Map<string, number>()
const watch = setInterval(() => {
  nowMB.clear()
  for (const pid of readdirSync('/proc')) {
    if (!/^\d+$/.test(pid)) continue
    try {
      const command = readFileSync(join('/proc', pid, 'cmdline'), 'utf8')
      const kind = /--type=(renderer|gpu-process)/.exec(command)?.[1]
      if (!kind || !isOurs(Number(pid))) continue
      const rss = Number(/VmRSS:\s+(\d+)/.exec(readFileSync(join('/proc', pid, 'status'), 'utf8'))?.[1] ?? 0) / 1024
      nowMB.set(kind, Math.max(nowMB.get(kind) ?? 0, rss))
      peaks.set(kind, Math.max(peaks.get(kind) ?? 0, rss))
    } catch {
      // The process has ended meanwhile.
    }
  }
}, 100)

function isOurs(pid: number): boolean {
  for (let at = pid; at > 1; ) {
    if (at === process.pid) return true
    at = Number(
      readFileSync(join('/proc', String(at), 'stat'), 'utf8')
        .replace(/^.*\) /, '')
        .split(' ')[1],
    )
  }
  return false
}

await page.goto(address)
await page.waitForFunction(
  () =>
    document.querySelector('[data-testid="weight-clearance"]')?.getAttribute('data-state') === 'holds' ||
    document.querySelector('[data-testid="weight-clearance"]')?.getAttribute('data-state') === 'hold',
)
peaks.clear()
// How long the page kept still: the longest wait of a timer that wants to run every 20 ms, by what went on.
await page.evaluate(() => {
  const still = { longest: 0, at: 0, over: 0 }
  let before = performance.now()
  setInterval(() => {
    const now = performance.now()
    if (now - before > still.longest) Object.assign(still, { longest: now - before, at: now })
    if (now - before > 100) still.over += now - before
    before = now
  }, 20)
  Object.assign(window, { still })
})
const began = performance.now()
const said = async (what: string) => {
  const still = await page.evaluate(() => {
    const s = (window as unknown as { still: { longest: number; over: number } }).still
    const now = { ...s }
    s.longest = 0
    s.over = 0
    return now
  })
  const s = ((performance.now() - began) / 1000).toFixed(1)
  const mb = (kind: string) => `${(nowMB.get(kind) ?? 0).toFixed(0)} (most ${(peaks.get(kind) ?? 0).toFixed(0)})`
  console.log(
    `  ${s.padStart(6)} s  ${what.padEnd(34)} tab ${mb('renderer')} MB, drawing ${mb('gpu-process')} MB; still ${still.longest.toFixed(0)} ms at once, ${(still.over / 1000).toFixed(1)} s in all`,
  )
}
console.log(`${path}: ${(statSync(path).size / 1e6).toFixed(0)} MB`)
await page.locator('[data-testid="open-files"]').setInputFiles(resolve(path))
await page.locator('[data-testid="use-as-scan"]').click()
await said('asked what it is')
const state = (name: string) =>
  page.evaluate(
    (id) => document.querySelector<HTMLElement>(`[data-testid="weight-${id}"]`)?.dataset['state'] ?? 'none',
    name,
  )
await page.waitForFunction(() => {
  const weight = document.querySelector<HTMLElement>('[data-testid="weight-scan"]')
  return weight?.dataset['state'] !== 'holds' && weight?.dataset['state'] !== 'hold'
})
await said('read, taken into the job')
const left = new Set(last)
while (left.size > 0) {
  await page.waitForTimeout(100)
  for (const name of left) {
    const is = await state(name)
    if (is !== 'holds' && is !== 'hold' && is !== 'refused') continue
    left.delete(name)
    await said(`${name}: ${is}`)
    if (shots) await page.screenshot({ path: join(shots, `large-${name}.png`) })
  }
}
await page.waitForTimeout(3000)
await said('three seconds later')
const answer = async () =>
  (
    (await page
      .locator('[data-testid="answer"]')
      .first()
      .textContent()
      .catch(() => '')) ?? ''
  )
    .trim()
    .slice(0, 160)
console.log(`  ${await answer()}`)
if (shots) await page.screenshot({ path: join(shots, 'large-end.png') })

peaks.clear()
const [file] = await Promise.all([page.waitForEvent('download'), page.locator('[data-testid="save-file"]').click()])
await file.path()
await said('saved as a file')
console.log(`  ${(statSync(await file.path()).size / 1e6).toFixed(0)} MB`)
peaks.clear()
await page.reload()
await page.waitForFunction(
  () => document.querySelector('[data-testid="weight-scan"]')?.getAttribute('data-state') === 'running',
)
console.log(`  opened again out of the browser's store: the scan is being read`)
clearInterval(watch)
await browser.close()
await server.close()
