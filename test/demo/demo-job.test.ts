import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { beforeAll, describe, expect, it } from 'vitest'
import { drain } from '../../src/core/geometry/kernel'
import { readJobZip } from '../../src/core/job/job-zip'
import { writeStl } from '../../src/core/release/writers/stl'
import { accessories } from '../../src/demo/accessories'
import { DEMO_STEP_MM, type Demo, makeDemo } from '../../src/demo/demo-job'

const COMMITTED = fileURLToPath(new URL('../../assets/demo/survey-launch.mwjob', import.meta.url))
const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex')

describe('demo job', () => {
  let demo: Demo
  beforeAll(async () => {
    demo = drain(makeDemo(await accessories(), sha256))
  }, 120_000)

  it('is the committed file, byte for byte', () => {
    expect(sha256(demo.bytes)).toBe(sha256(new Uint8Array(readFileSync(COMMITTED))))
  })

  it('stays under 4 MB', () => {
    expect(demo.bytes.length).toBeLessThan(3.8e6)
  })

  it('opens as a job with all its meshes, one of its fittings mirrored by geometry and one by place', () => {
    const { job, assets } = readJobZip(demo.bytes, sha256)
    expect(job.title).toBe('Survey launch canopy')
    expect(assets.size).toBe(7)
    expect(job.clearance.gap_mm).toBe(12)
    expect(job.fittings.map((one) => one.mirror)).toEqual([false, false, false, false, 'geometry', 'position'])
    expect(job.fittings.find((one) => one.name === 'hatch')!.unit).toBe('in')
    const scan = assets.get(job.scan.files[0]!.asset)!
    expect(Buffer.compare(scan, writeStl(demo.scan, 'scan of a welded frame, mm'))).toBe(0)
  })

  it('puts every fitting within the ring', () => {
    const { length_mm, width_mm } = demo.truth.ring
    for (const { at_mm, name } of demo.job.fittings) {
      expect(Math.abs(at_mm[0]), name).toBeLessThan(length_mm / 2 - 100)
      expect(Math.abs(at_mm[1]), name).toBeLessThan(width_mm / 2 - 100)
    }
  })

  it('has a scan rounded to its step, which no noise figure can feel', () => {
    expect(DEMO_STEP_MM).toBeLessThan(demo.truth.scan.noise_mm / 20)
    const { positions } = demo.scan
    for (let i = 0; i < positions.length; i += 101)
      expect(Math.abs(positions[i]! / DEMO_STEP_MM - Math.round(positions[i]! / DEMO_STEP_MM))).toBeLessThan(0.05)
  })

  it('says nothing of the truth: neither pose nor sizes are in the file', () => {
    const { job } = readJobZip(demo.bytes, sha256)
    expect(job.datum.matrix).toBe('auto')
    expect(JSON.stringify(demo.job)).not.toMatch(/truth|diameter|asymmetry/)
  })
})
