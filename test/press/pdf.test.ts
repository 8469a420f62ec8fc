/** The printed report: text that can be searched, page numbers, the same bytes again and in another time zone. */
import { createHash } from 'node:crypto'
import fontkit from '@pdf-lib/fontkit'
import { getDocument } from 'pdfjs-dist/legacy/build/pdf.mjs'
import { beforeAll, describe, expect, it } from 'vitest'
import { PACK_HOST } from '../../src/cli/pack-host'
import { printedTrial } from './printed-trial'

let pdf: Uint8Array
let pages: string[]
beforeAll(async () => {
  pdf = await printedTrial()
  const document = await getDocument({ data: pdf.slice(), verbosity: 0 }).promise
  pages = []
  for (let n = 1; n <= document.numPages; n++) {
    const { items } = await (await document.getPage(n)).getTextContent()
    pages.push(items.map((item) => ('str' in item ? item.str : '')).join(' '))
  }
  await document.destroy()
}, 60_000)

describe('report.pdf', () => {
  it('numbers its pages and says whose they are on each', () => {
    expect(pages.length).toBeGreaterThan(3)
    for (const [i, text] of pages.entries()) {
      expect(text).toContain(`${i + 1} / ${pages.length}`)
      expect(text).toContain('Prøve-top ≥ 12')
    }
  })

  it('can be searched for its figures, holds, waivers, signatures and cautions', () => {
    const all = pages.join(' ').replace(/\s+/g, ' ')
    for (const words of [
      'Does it clear?',
      'least gap',
      'D. Signer',
      'Waived',
      'seen on site',
      'Cautions',
      'peroxide',
      'SHA-256',
      'inner-surface.stl',
      'The closest place',
    ])
      expect(all).toContain(words)
    expect(all).not.toMatch(/NaN|undefined|Infinity/)
  })

  it('draws no empty box: the fonts know every character that is in it, and a stranger’s becomes a question mark', async () => {
    const fonts = await PACK_HOST.fonts()
    const known = new Set(fontkit.create(Buffer.from(fonts.regular)).characterSet)
    const missing = new Set([...pages.join('')].filter((c) => !known.has(c.codePointAt(0)!) && c.trim() !== ''))
    expect([...missing]).toEqual([])
    expect(pages.join(' ')).toContain('lamp ??')
  })

  it('is the same again, and in another time zone', async () => {
    const hash = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex')
    expect(hash(await printedTrial())).toBe(hash(pdf))
    const here = process.env['TZ']
    process.env['TZ'] = 'Pacific/Kiritimati'
    expect(new Date(2026, 0, 1).getTimezoneOffset()).toBe(-840)
    const there = hash(await printedTrial())
    if (here === undefined) delete process.env['TZ']
    else process.env['TZ'] = here
    expect(there).toBe(hash(pdf))
  })
})
