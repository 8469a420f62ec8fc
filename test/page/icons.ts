/** `npm run icons`: the icons that an installed page asks for as pictures, drawn from `assets/icon.svg` by the browser. */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { launch } from './support/browser'

const assets = fileURLToPath(new URL('../../assets', import.meta.url))
const svg = readFileSync(join(assets, 'icon.svg'), 'utf8')
/** Of a maskable icon the middle 80 % of the width are sure to be seen (W3C, Web Application Manifest, safe zone). */
const SAFE = 0.8

const browser = await launch()
for (const [name, size, share] of [
  ['icon-192', 192, 1],
  ['icon-512', 512, 1],
  ['icon-512-masked', 512, SAFE],
] as const) {
  const page = await browser.newPage({ viewport: { width: size, height: size } })
  await page.setContent(
    `<style>body{margin:0;display:grid;place-items:center;height:100vh;background:#F4EFE4}svg{width:${share * 100}%;height:${share * 100}%}</style>${svg}`,
  )
  await page.screenshot({ path: join(assets, `${name}.png`) })
  await page.close()
}
await browser.close()
