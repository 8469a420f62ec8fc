import { describe, expect, it } from 'vitest'
import { Refused } from '../../../src/core/geometry/trouble'
import {
  addFitting,
  adoptJob,
  applyEdit,
  canonicalJson,
  changeFitting,
  closeMark,
  hashOf,
  type Job,
  jobHash,
  jobText,
  openMark,
  parseJobText,
  parseJobValue,
  plainFitting,
  readJobZip,
  redo,
  setClearance,
  sha256Hex,
  sign,
  startHistory,
  undo,
  waive,
  writeJobZip,
} from '../../../src/core/job'
import { random } from '../../support/random'

const mesh = new TextEncoder().encode('solid a\nendsolid a\n')
const asset = { asset: sha256Hex(mesh), name: 'frame.stl' }
const plain = { format: 'mouldwright-job', version: 1, scan: { files: [asset] } }
const whole = (): Job =>
  adoptJob(parseJobValue(plain), () => {
    throw new Error('no paths here')
  })

const refusal = (run: () => unknown): string => {
  try {
    run()
  } catch (error) {
    if (error instanceof Refused) return `${error.refusal.code}: ${error.refusal.message}`
    throw error
  }
  throw new Error('was not refused')
}

describe('job file', () => {
  it('is whole when it names only its scan', () => {
    const job = whole()
    expect(job.clearance.gap_mm).toBe(12)
    expect(job.clearance.symmetric).toBe(true)
    expect(job.datum.matrix).toBe('auto')
    expect(job.scan.repairs).toEqual([{ kind: 'drop-islands', belowShare: 0.005 }])
    expect(job.fittings).toEqual([])
  })

  it('takes the job of the design document as it stands there', () => {
    const file = parseJobText(`{ "format": "mouldwright-job", "version": 1, "title": "...",
      "scan": { "files": ["frame.stl"], "unit": "auto" },
      "clearance": { "gap_mm": 12, "symmetric": true, "draft_deg": 3, "skirt_mm": 45, "overhang_mm": 0, "minRadius_mm": 12 },
      "fittings": [ { "name": "lamp", "mesh": "lamp.stl", "unit": "mm", "on": "topside", "at_mm": [900, 0], "turn_deg": 0, "mirror": false } ] }`)
    const job = adoptJob(file, (path) => ({ asset: sha256Hex(new TextEncoder().encode(path)), name: path }))
    expect(job.scan.files[0]?.name).toBe('frame.stl')
    expect(job.fittings[0]).toMatchObject({ id: 'lamp', at_mm: [900, 0], mirror: false })
  })

  it.each([
    ['{', 'not valid JSON'],
    ['[]', 'not a JSON object'],
    ['{"format":"other"}', '"format" must be'],
    ['{"format":"mouldwright-job","version":2,"scan":{"files":["a"]}}', 'newer than this program'],
    ['{"format":"mouldwright-job","version":1}', 'scan'],
    ['{"format":"mouldwright-job","version":1,"scan":{"files":[]}}', 'scan.files'],
    ['{"format":"mouldwright-job","version":1,"scan":{"files":["a"]},"clearence":{}}', 'unknown key "clearence"'],
    [
      '{"format":"mouldwright-job","version":1,"scan":{"files":["a"]},"clearance":{"gap":3}}',
      'clearance has an unknown key "gap"',
    ],
    ['{"format":"mouldwright-job","version":1,"scan":{"files":["a"]},"clearance":{"gap_mm":-1}}', 'clearance.gap_mm'],
    [
      '{"format":"mouldwright-job","version":1,"scan":{"files":["a"]},"clearance":{"draft_deg":"3"}}',
      'clearance.draft_deg',
    ],
  ])('refuses %s in one sentence', (text, part) => {
    const words = refusal(() => parseJobText(text))
    expect(words).toMatch(/^job-invalid: /)
    expect(words).toContain(part)
    expect(words).not.toContain('\n')
  })

  it('gives fittings without an id readable ones, each its own', () => {
    const entry = { name: 'Deck lamp', mesh: asset, at_mm: [0, 0] as [number, number] }
    const job = adoptJob(
      parseJobValue({ ...plain, fittings: [entry, entry, { ...entry, id: 'deck-lamp-2' }] }),
      () => asset,
    )
    expect(new Set(job.fittings.map((f) => f.id)).size).toBe(3)
    expect(job.fittings[0]?.id).toBe('deck-lamp')
  })

  it('reads back from its own text as the same job', () => {
    const job = whole()
    const again = adoptJob(parseJobText(jobText(job)), () => asset)
    expect(again).toEqual(job)
    expect(jobText(again)).toBe(jobText(job))
  })
})

describe('canonical spelling', () => {
  it('does not depend on the order of keys, and leaves undefined out', () => {
    expect(canonicalJson({ b: 1, a: [true, null, 'x'], c: undefined })).toBe('{"a":[true,null,"x"],"b":1}')
    expect(hashOf({ a: 1, b: 2 })).toBe(hashOf({ b: 2, a: 1 }))
  })

  it('has the published SHA-256 of "abc" (FIPS 180-4 example)', () => {
    expect(sha256Hex(new TextEncoder().encode('abc'))).toBe(
      'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
    )
  })

  it('refuses numbers that JSON would change in silence', () => {
    expect(() => canonicalJson({ a: Number.NaN })).toThrow(/finite/)
  })

  it('names the plan, not the signatures', () => {
    const job = whole()
    const signed = sign({
      role: 'designer',
      name: 'A',
      at: '2026-01-01T00:00:00Z',
      covers: 'a'.repeat(64),
      figures: {},
      seal: null,
    }).apply(job)
    const waived = waive({ finding: 'x', by: 'A', reason: 'r', at: '2026-01-01T00:00:00Z' }).apply(signed)
    expect(jobHash(waived)).toBe(jobHash(job))
    expect(jobHash(setClearance({ gap_mm: 13 }).apply(job))).not.toBe(jobHash(job))
  })
})

describe('history', () => {
  it('undoes to the very job before, and redoes', () => {
    let h = startHistory(whole())
    const first = h.job
    h = applyEdit(h, setClearance({ gap_mm: 14 }))
    h = applyEdit(h, setClearance({ skirt_mm: 60 }))
    h = undo(undo(h))
    expect(h.job).toBe(first)
    h = redo(redo(h))
    expect(h.job.clearance).toMatchObject({ gap_mm: 14, skirt_mm: 60 })
    expect(redo(h)).toBe(h)
  })

  it('makes one undo of a drag, also of two drags of the same kind', () => {
    let h = applyEdit(startHistory(whole()), addFitting(plainFitting('lamp', asset, [0, 0])))
    for (const end of [10, 20]) {
      h = openMark(h, 'move lamp')
      for (let x = end - 9; x <= end; x++) h = applyEdit(h, changeFitting('lamp', { at_mm: [x, 0] }))
      h = closeMark(h)
    }
    expect(h.past.map((p) => p.title)).toEqual(['add lamp', 'move lamp', 'move lamp'])
    expect(undo(h).job.fittings[0]?.at_mm).toEqual([10, 0])
    expect(undo(undo(h)).job.fittings[0]?.at_mm).toEqual([0, 0])
  })

  it('equals its replay after random edits, undos and redos', () => {
    const { below, between } = random(5)
    let h = startHistory(whole())
    const applied: number[] = []
    let at = 0
    for (let i = 0; i < 400; i++) {
      const what = below(4)
      if (what < 2) {
        const gap = between(1, 40)
        h = applyEdit(h, setClearance({ gap_mm: gap }))
        applied.length = at
        applied.push(gap)
        at++
      } else if (what === 2 && at > 0) {
        h = undo(h)
        at--
      } else if (what === 3 && at < applied.length) {
        h = redo(h)
        at++
      }
      expect(h.job.clearance.gap_mm).toBe(at === 0 ? 12 : applied[at - 1])
    }
  })
})

describe('job as one file', () => {
  const assets = new Map([[asset.asset, mesh]])

  it('opens as the same job, and the same job gives the same bytes', () => {
    const job = whole()
    const bytes = writeJobZip(job, assets)
    const opened = readJobZip(bytes)
    expect(opened.job).toEqual(job)
    expect(opened.assets.get(asset.asset)).toEqual(mesh)
    expect(writeJobZip(opened.job, opened.assets)).toEqual(bytes)
  })

  it('does not save half a job', () => {
    expect(refusal(() => writeJobZip(whole(), new Map()))).toMatch(/^asset-missing/)
  })

  it('refuses every truncation and says so in one sentence', () => {
    const bytes = writeJobZip(whole(), assets)
    for (let n = 0; n < bytes.length; n += 7)
      expect(refusal(() => readJobZip(bytes.slice(0, n)))).toMatch(/^job-invalid/)
  })

  it('never takes a mesh that was swapped under its name', () => {
    const bytes = writeJobZip(whole(), assets)
    let accepted = 0
    for (let i = 0; i < bytes.length; i++) {
      const broken = bytes.slice()
      broken[i] = broken[i]! ^ 0x20
      try {
        const opened = readJobZip(broken)
        for (const [name, content] of opened.assets) expect(sha256Hex(content)).toBe(name)
        accepted++
      } catch (error) {
        expect(error).toBeInstanceOf(Refused)
      }
    }
    // Dates, versions and comments in the zip may be changed without harm.
    expect(accepted).toBeLessThan(bytes.length / 2)
  })
})
