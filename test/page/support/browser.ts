/**
 * Finds a Chromium, or installs one where that can be done. Never skips in silence: `npm ci && npm test` alone must do
 * everything on a fresh machine.
 */
import { execFileSync, spawnSync } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { type Browser, chromium } from 'playwright-core'

const NAMES = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'microsoft-edge']
const FOLDERS = [
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
  'C:\\Program Files (x86)\\Microsoft\\Edge\\Application\\msedge.exe',
]

/** Path of a browser that starts. @throws in one sentence that says what to do */
export function ensureBrowser(): string {
  for (const name of ['BROWSER_PATH', 'CHROME_PATH']) {
    const path = process.env[name]
    if (!path) continue
    if (existsSync(path)) return path
    throw new Error(`${name} is set to ${path}, but there is no such file; correct it or unset it.`)
  }
  const found = findBrowser()
  if (found) return found
  install()
  const installed = findBrowser()
  if (installed) return installed
  throw new Error('No Chromium was found and none could be installed; install Chromium or set BROWSER_PATH.')
}

function findBrowser(): string | null {
  for (const name of NAMES) {
    const { stdout, status } = spawnSync(process.platform === 'win32' ? 'where' : 'which', [name], { encoding: 'utf8' })
    if (status === 0 && stdout.trim()) return stdout.trim().split('\n')[0]!.trim()
  }
  return [...FOLDERS, chromium.executablePath()].find((path) => existsSync(path)) ?? null
}

function install(): void {
  if (process.env['NO_BROWSER_INSTALL'])
    throw new Error('No Chromium was found, and NO_BROWSER_INSTALL forbids installing one.')
  console.log('No Chromium found: installing one for the page tests.')
  const debian = existsSync('/etc/debian_version') && !/ubuntu/i.test(readFileSync('/etc/os-release', 'utf8'))
  if (debian && process.getuid?.() === 0) {
    const options = ['-o', 'DPkg::Lock::Timeout=300']
    execFileSync('apt-get', [...options, 'update'], { stdio: 'ignore' })
    execFileSync('apt-get', [...options, 'install', '-y', '--no-install-recommends', 'chromium', 'fonts-dejavu-core'], {
      stdio: 'ignore',
      env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
    })
    return
  }
  const home = dirname(createRequire(import.meta.url).resolve('playwright-core/package.json'))
  spawnSync(process.execPath, [join(home, 'cli.js'), 'install', '--no-shell', 'chromium'], { stdio: 'inherit' })
}

/** Software WebGL, no calls home: the same picture on every machine. */
export const FLAGS = [
  '--no-sandbox',
  '--use-gl=angle',
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
]

export const launch = (): Promise<Browser> => chromium.launch({ executablePath: ensureBrowser(), args: FLAGS })
