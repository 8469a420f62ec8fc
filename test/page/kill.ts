/**
 * The page is killed at random moments while somebody edits, tab or whole browser, and opened again: what was changed more than a
 * second before the kill is there, as one whole job. Each opening is the next round's beginning, so the job goes through all
 * kills. The processes are killed for good (SIGKILL); nothing of the page gets to say goodbye.
 *
 *   npx vite build && npx tsx test/page/kill.ts [kills, 200] [seed]
 */
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { type BrowserContext, chromium, type Page } from 'playwright-core'
import { preview } from 'vite'
import { adoptJob, parseJobValue, sha256Hex, writeJobZip } from '../../src/core/job'
import { writeStl } from '../../src/core/release'
import { random } from '../support/random'
import { icosphere } from '../support/solids'
import { ensureBrowser, FLAGS } from './support/browser'

const KILLS = Number(process.argv[2] ?? 200)
const seed = Number(process.argv[3] ?? 1)
const chance = random(seed)
/** What may be lost, ms. */
const OWED_MS = 1000

const server = await preview({
  configFile: fileURLToPath(new URL('../../vite.config.ts', import.meta.url)),
  preview: { port: 0, host: '127.0.0.1' },
  logLevel: 'error',
})
const address = server.resolvedUrls!.local[0]!
const profile = mkdtempSync(join(tmpdir(), 'kill-'))

/** Processes of our browser: its own folder stands in the command line of the first, the others are its children. */
function processes(): { pid: number; renderer: boolean }[] {
  const all = readdirSync('/proc').flatMap((name) => {
    try {
      if (!/^\d+$/.test(name)) return []
      const command = readFileSync(join('/proc', name, 'cmdline'), 'utf8')
      const parent = Number(
        readFileSync(join('/proc', name, 'stat'), 'utf8')
          .replace(/^.*\) /s, '')
          .split(' ')[1],
      )
      return [{ pid: Number(name), parent, command }]
    } catch {
      return []
    }
  })
  const ours = new Set(all.filter((p) => p.command.includes(profile)).map((p) => p.pid))
  for (let grown = true; grown; ) {
    grown = false
    for (const p of all) if (ours.has(p.parent) && !ours.has(p.pid)) grown = Boolean(ours.add(p.pid))
  }
  return all
    .filter((p) => ours.has(p.pid))
    .map(({ pid, command }) => ({ pid, renderer: command.includes('--type=renderer') }))
}

function kill(wholeBrowser: boolean): void {
  for (const { pid, renderer } of processes()) {
    if (!wholeBrowser && !renderer) continue
    try {
      process.kill(pid, 'SIGKILL')
    } catch {
      // It has ended by itself meanwhile.
    }
  }
}

async function open(): Promise<{ context: BrowserContext; page: Page }> {
  rmSync(join(profile, 'SingletonLock'), { force: true })
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: ensureBrowser(),
    args: FLAGS,
    viewport: { width: 1024, height: 700 },
    reducedMotion: 'reduce',
  })
  const page = context.pages()[0] ?? (await context.newPage())
  return { context, page }
}

const title = (page: Page) => page.locator('[data-testid="job-title"]')

/** A job that is planned in no time: what is on trial is that it is kept. */
function smallJob(): Uint8Array {
  const bytes = writeStl(icosphere(300, 2))
  const asset = { asset: sha256Hex(bytes), name: 'ball.stl' }
  const value = { format: 'mouldwright-job', version: 1, title: 'change 0', scan: { files: [asset] } }
  return writeJobZip(
    adoptJob(parseJobValue(value), () => asset),
    new Map([[asset.asset, bytes]]),
  )
}

interface Change {
  readonly number: number
  /** By the clock, ms. */
  readonly doneAt: number
}

/**
 * Runs in the page: once it has come to rest, gives the job one name after the other, by the field that a person uses, and tells
 * when each stood.
 */
async function editing({ from, pauses_ms }: { from: number; pauses_ms: readonly number[] }): Promise<void> {
  const tell = (window as unknown as { tell: (number: number, at: number) => void }).tell
  const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms))
  for (let calm = 0; calm < 40; ) {
    const before = performance.now()
    await pause(30)
    calm = performance.now() - before < 80 ? calm + 1 : 0
  }
  const work = async () => {
    for (const [n, ms] of pauses_ms.entries()) {
      document.querySelector<HTMLElement>('[data-testid="job-title"]')?.click()
      await pause(0)
      const field = document.querySelector<HTMLInputElement>('.job-title input')
      if (field) {
        Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value')!.set!.call(field, `change ${from + 1 + n}`)
        field.dispatchEvent(new Event('input', { bubbles: true }))
        field.dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true }))
        tell(from + 1 + n, Date.now())
      }
      await pause(ms)
    }
  }
  void work()
}

let changes: Change[] = []
async function listen(of: BrowserContext): Promise<void> {
  // The runner of this script names inner functions by a helper that the page does not have.
  await of.addInitScript('globalThis.__name = (named) => named')
  await of.exposeFunction('tell', (told: number, at: number) => void changes.push({ number: told, doneAt: at }))
}

let { context, page } = await open()
await listen(context)
await page.goto(address)
await title(page).waitFor()
await page
  .locator('[data-testid="open-files"]')
  .setInputFiles({ name: 'small.mwjob', mimeType: 'application/zip', buffer: Buffer.from(smallJob()) })
await page.locator('[data-testid="job-title"]', { hasText: 'change 0' }).waitFor()

// The round counts from a job that is kept.
await page.waitForTimeout(3000)
let number = 0
let [lost, broken, edits, tabs] = [0, 0, 0, 0]
let longest_ms = 0
for (let round = 1; round <= KILLS; round++) {
  const wholeBrowser = chance.below(2) === 0
  changes = [{ number, doneAt: 0 }]
  const wait_ms = chance.between(200, 4000)
  await page.evaluate(editing, { from: number, pauses_ms: Array.from({ length: 60 }, () => chance.between(0, 500)) })
  const dead = new Promise<number>((resolve) =>
    setTimeout(() => {
      const at = Date.now()
      kill(wholeBrowser)
      resolve(at)
    }, wait_ms),
  )
  const killedAt = await dead
  if (wholeBrowser) {
    await context.close().catch(() => undefined)
    ;({ context, page } = await open())
    await listen(context)
  } else {
    tabs++
    await page.close().catch(() => {})
    page = await context.newPage()
  }
  await page.goto(address)
  await title(page).waitFor()
  const kept = /^change (\d+)$/.exec(((await title(page).textContent()) ?? '').trim())
  edits += changes.length - 1
  const owed = Math.max(...changes.filter((c) => c.doneAt <= killedAt - OWED_MS).map((c) => c.number))
  const notice = await page
    .getByText('cannot be read')
    .count()
    .catch(() => 0)
  if (!kept || notice > 0) {
    broken++
    console.log(`kill ${round}: the job is not there (${await title(page).textContent()})`)
  } else {
    const have = Number(kept[1])
    const missing = changes.find((c) => c.number > have && c.doneAt < killedAt)
    if (missing) longest_ms = Math.max(longest_ms, killedAt - missing.doneAt)
    if (have < owed || have > changes.at(-1)!.number + 1) {
      lost++
      const told = changes.map((c) => `${c.number} at ${c.doneAt - killedAt}`).slice(1)
      console.log(
        `kill ${round} (${wholeBrowser ? 'browser' : 'tab'}): change ${have} is kept, ${owed} was owed; ms: ${told.join(', ')}`,
      )
    }
    number = have
  }
  if (round % 10 === 0)
    console.log(
      `${round} kills (${tabs} of the tab), ${edits} changes: ${lost} lost, ${broken} broken, oldest change lost ${longest_ms.toFixed(0)} ms`,
    )
}
await context.close().catch(() => {})
await server.close()
rmSync(profile, { recursive: true, force: true })
console.log(
  `seed ${seed}: ${KILLS} kills (${tabs} of the tab alone), ${edits} changes; older than ${OWED_MS} ms and lost: ${lost}; broken: ${broken}; oldest change lost: ${longest_ms.toFixed(0)} ms`,
)
process.exit(lost + broken > 0 ? 1 : 0)
