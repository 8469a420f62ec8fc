/**
 * The main job on the page, driven by its real controls: the demo planned, a scan dropped, a fitting typed and dragged with its
 * twin and taken back, a tube marked as bearing, a gap in inches, a job saved and opened again with the same numbers.
 */
import { readFileSync } from 'node:fs'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { drain } from '../../src/core/geometry/kernel'
import { writeStl } from '../../src/core/release'
import { frameSolid, STRAIGHT_FRAME } from '../../src/demo/frame-solid'
import { scanSolid } from '../../src/demo/scan-solid'
import { launch } from './support/browser'
import { byId, dropFile, openPage, planned, textOf } from './support/page'

let browser: Browser
let scan: Uint8Array

beforeAll(async () => {
  browser = await launch()
  const { solid, truth } = frameSolid({ ...STRAIGHT_FRAME, seed: 8, asymmetry_mm: 6 })
  scan = writeStl(
    drain(scanSolid(solid, truth, { seed: 8, facets: 30_000, noise_mm: 0.2, holes: 4, islands: 3, pose: 'random' }))
      .mesh,
  )
})

afterAll(() => browser.close())

const figures = (page: Parameters<typeof textOf>[0]) => textOf(page, 'figures')

describe('the whole line on the page', () => {
  it('plans the demo, a dropped scan, a moved fitting, and a saved job', async () => {
    const { page, faults } = await openPage(browser)
    await planned(page)
    expect(await textOf(page, 'answer')).toMatch(/^Yes/)
    expect(await page.locator('canvas').count()).toBeGreaterThan(0)
    const demoFigures = await figures(page)
    // The section through the closest place stands under the glass with its dimension.
    const least = /\d+\.\d/.exec(demoFigures)![0]
    expect(await page.locator('.glass text').allTextContents()).toContain(least)

    // A bad file costs one sentence; the open job stays.
    await dropFile(page, 'letter.stl', new TextEncoder().encode('a letter to the yard, not a mesh\n'))
    await byId(page, 'use-as-scan').click()
    await byId(page, 'notice').waitFor()
    expect(await textOf(page, 'notice')).toContain('letter.stl')
    expect(await figures(page)).toBe(demoFigures)

    // A scan in any pose: the certificate of the new frame.
    await dropFile(page, 'canopy-scan.stl', scan)
    await byId(page, 'use-as-scan').click()
    await page.waitForFunction(
      (old) => document.querySelector('[data-testid="figures"]')?.textContent !== old,
      demoFigures,
    )
    await planned(page)
    expect(await textOf(page, 'weight-clearance')).toMatch(/\d/)
    const scanFigures = await figures(page)
    expect(scanFigures).not.toBe(demoFigures)

    // Undo goes back to the demo's scan, over both edits that the drop made.
    await byId(page, 'undo').click()
    await byId(page, 'undo').click()
    await planned(page)
    expect(await figures(page)).toBe(demoFigures)

    // A fitting moved by its typed place; its twin and the answer follow; undone it is back.
    await byId(page, 'weight-fitting').click()
    await byId(page, 'fitting-floodlight').click()
    const before = await byId(page, 'fitting-x')
      .locator('input')
      .or(page.locator('input[data-testid="fitting-x"]'))
      .first()
      .inputValue()
    const field = page.locator('input[data-testid="fitting-x"], [data-testid="fitting-x"] input').first()
    const distance = () => textOf(page, 'fittings')
    const distances = await distance()
    await field.fill('900')
    await field.press('Enter')
    await page.waitForFunction(
      (old) => document.querySelector('[data-testid="fittings"]')?.textContent !== old,
      distances,
    )
    await planned(page)
    await byId(page, 'undo').click()
    await planned(page)
    expect(await field.inputValue()).toBe(before)
    expect(await distance()).toBe(distances)

    // Dragged on the drawing its twin goes along; one undo brings both back.
    const spots = ['fitting-spot-floodlight', 'fitting-spot-floodlight-twin']
    const places = () => Promise.all(spots.map((id) => byId(page, id).getAttribute('transform')))
    const standing = await places()
    const spot = (await byId(page, spots[1]!).boundingBox())!
    const [x, y] = [spot.x + spot.width / 2, spot.y + spot.height / 2]
    await page.mouse.move(x, y)
    await page.mouse.down()
    await page.mouse.move(x - 30, y + 10, { steps: 4 })
    await page.mouse.up()
    await planned(page)
    expect(await field.inputValue()).not.toBe(before)
    const moved = await places()
    for (const [i, place] of moved.entries()) expect(place, spots[i]).not.toBe(standing[i])
    await byId(page, 'undo').click()
    await planned(page)
    expect(await field.inputValue()).toBe(before)

    // A tube marked as bearing: the top comes down on it, and its bedding is told.
    await byId(page, 'weight-frame').click()
    await byId(page, 'tube-tube-2').getByRole('button').first().click()
    await byId(page, 'tube-tube-2-role-bearing').check({ force: true })
    await planned(page)
    await byId(page, 'weight-clearance').click()
    expect(await textOf(page, 'bearing-gaps')).toMatch(/asked/)
    await byId(page, 'undo').click()
    await planned(page)
    expect(await byId(page, 'bearing-gaps').count()).toBe(0)
    await page.keyboard.press('Escape')
    await byId(page, 'slip-clearance').waitFor({ state: 'detached' })

    // A setting changes the job, and the answer follows.
    await byId(page, 'weight-clearance').click()
    const gap = page.locator('input[data-testid="setting-gap_mm"], [data-testid="setting-gap_mm"] input').first()
    await gap.fill('5/8in')
    await gap.press('Enter')
    await planned(page)
    const widened = await figures(page)
    expect(widened).toContain('15.875')

    // Saved, opened by a fresh visitor: the same numbers.
    const [download] = await Promise.all([page.waitForEvent('download'), byId(page, 'save-file').click()])
    const file = await download.path()
    const other = await openPage(browser)
    // The demo is still being planned there: what is opened takes its place at once.
    await byId(other.page, 'weight-scan').waitFor()
    await dropFile(other.page, download.suggestedFilename(), readFileSync(file))
    await other.page.waitForFunction(() =>
      document.querySelector('[data-testid="figures"]')?.textContent?.includes('15.875'),
    )
    await planned(other.page)
    expect(await figures(other.page)).toBe(widened)

    expect(faults).toEqual([])
    expect(other.faults).toEqual([])
  }, 300_000)
})
