/** Jobs as earlier versions of the program wrote them, kept as they were: each opens, and what it asked for still stands. */
import { readdirSync, readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { adoptJob, jobText, parseJobText } from '../../../src/core/job'

const SAMPLES = new URL('../../support/samples/', import.meta.url)

it.each(readdirSync(SAMPLES))('%s', (name) => {
  const text = readFileSync(new URL(name, SAMPLES), 'utf8')
  const old = JSON.parse(text) as Record<string, unknown>
  const job = adoptJob(parseJobText(text), (path) => {
    throw new Error(`a saved job names no path: ${path}`)
  })
  expectHeld(old, JSON.parse(jobText(job)), name)
  // And once more: what is filled in is stable.
  const again = adoptJob(parseJobText(jobText(job)), () => ({ asset: '', name: '' }))
  expect(jobText(again)).toBe(jobText(job))
})

/** Whatever the old file said is said by the new one; keys that were added since may stand beside it. */
function expectHeld(old: unknown, now: unknown, path: string): void {
  if (typeof old !== 'object' || old === null) {
    // `true` was the first way to ask for a mirror image; it is the same as `geometry`.
    expect(now, path).toEqual(path.endsWith('.mirror') && old === true ? 'geometry' : old)
    return
  }
  expect(typeof now, path).toBe('object')
  for (const [key, value] of Object.entries(old))
    expectHeld(value, (now as Record<string, unknown>)[key], `${path}.${key}`)
}

it('a wire that once named its one chase runs in that one', () => {
  const asset = { asset: 'a'.repeat(64), name: 'a.stl' }
  const wire = { id: 'w', name: 'feed', from: 'lamp', exit_mm: [0, 0, -900] }
  const wires = [
    { ...wire, chase: 'channel' },
    { ...wire, id: 'v', chase: null },
    { ...wire, id: 'u', chases: ['one', 'two'] },
  ]
  const old = { format: 'mouldwright-job', version: 1, scan: { files: [asset] }, wires }
  const job = adoptJob(parseJobText(JSON.stringify(old)), () => asset)
  expect(job.wires.map((w) => w.chases)).toEqual([['channel'], [], ['one', 'two']])
  const again = adoptJob(parseJobText(jobText(job)), () => asset)
  expect(again.wires).toEqual(job.wires)
  expect(jobText(job)).not.toContain('"chase"')
})
