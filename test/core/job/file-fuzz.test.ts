/**
 * Broken jobs: text, values in it, the zip around it, and packs. Each is refused in one sentence or is a whole job, which can be
 * keyed, signed, saved and opened again as the same. `FUZZ_JOBS=100000 npx vitest run test/core/job/file-fuzz.test.ts` breaks so
 * many of each kind; CI a few.
 */
import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { flowKeys } from '../../../src/core/flow'
import { drain } from '../../../src/core/geometry/kernel'
import { Refused } from '../../../src/core/geometry/trouble'
import {
  adoptJob,
  type Job,
  jobHash,
  jobText,
  parseJobText,
  readJobZip,
  sha256Hex,
  writeJobZip,
} from '../../../src/core/job'
import { buildPack } from '../../../src/core/release'
import { readPackZip, zipPack } from '../../../src/core/release/zip-pack'
import { verifyFiles } from '../../../src/press/verify'
import { broken } from '../../support/broken-files'
import { type Random, random } from '../../support/random'
import { expectSentence } from '../../support/refusals'

const FILES = Number(process.env['FUZZ_JOBS'] ?? 300)
const LONG = 7_200_000

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text)
const textOf = (bytes: Uint8Array): string => new TextDecoder().decode(bytes)

const mesh = bytesOf('solid a\nendsolid\n')
const asset = sha256Hex(mesh)
const SAMPLES = new URL('../../support/samples/', import.meta.url)
const samples = readdirSync(SAMPLES).map((name) => readFileSync(new URL(name, SAMPLES), 'utf8'))
/** A job that says something of every kind, and names one mesh that is there. */
const full = samples.map((text) => text.replace(/"[0-9a-f]{64}"/g, `"${asset}"`))
const jobs: readonly Job[] = full.map((text) => adoptJob(parseJobText(text), (name) => ({ asset, name })))
const assets = new Map([[asset, mesh]])

/** 'job', or the code of the refusal; anything else is a fault with its seed. */
function outcome(read: () => { job: Job; assets: ReadonlyMap<string, Uint8Array> }): string {
  try {
    const { job, assets: held } = read()
    for (const [name, content] of held) if (sha256Hex(content) !== name) return 'a mesh under another name'
    const text = jobText(job)
    if (!/^[0-9a-f]{64}$/.test(jobHash(job))) return 'a job without a hash'
    flowKeys(job)
    const again = adoptJob(parseJobText(text), (name) => ({ asset, name }))
    if (jobText(again) !== text) return 'not the same after it was saved'
    if (held.size > 0 && jobText(readJobZip(writeJobZip(job, held)).job) !== text) return 'not the same out of its file'
    return 'job'
  } catch (trouble) {
    if (!(trouble instanceof Refused)) return `raw: ${trouble instanceof Error ? trouble.stack : trouble}`
    expectSentence(trouble.refusal.message)
    return trouble.refusal.code
  }
}

function run(kind: number, one: (chance: Random, n: number) => string): ReadonlyMap<string, number> {
  const seen = new Map<string, number>()
  const raw: string[] = []
  for (let seed = 1; seed <= FILES; seed++) {
    const what = one(random(seed * 7919 + kind), seed)
    seen.set(what, (seen.get(what) ?? 0) + 1)
    if (!/^(job|job-invalid|asset-missing|too-large)$/.test(what) && raw.length < 20) raw.push(`seed ${seed}: ${what}`)
  }
  expect(raw).toEqual([])
  return seen
}

const STRANGE: readonly unknown[] = [
  null,
  true,
  '',
  '0',
  'a'.repeat(5000),
  '<img src=x>',
  '../../x',
  '\u0000',
  '\ud800',
  '__proto__',
  -1,
  0,
  -0,
  1e-320,
  1e15,
  1e308,
  2 ** 53 + 2,
  [],
  {},
  [[[[]]]],
  { __proto__: 1 },
  Array.from({ length: 3000 }, () => 0),
]

/** One to three values, wherever they stand, become others, are lost, doubled, or get a key too many. */
function otherValues(text: string, chance: Random): string {
  const value: unknown = JSON.parse(text)
  for (let n = 1 + chance.below(3); n > 0; n--) {
    const places: [Record<string, unknown>, string][] = []
    const walk = (at: unknown) => {
      if (typeof at !== 'object' || at === null) return
      for (const key of Object.keys(at)) {
        places.push([at as Record<string, unknown>, key])
        walk((at as Record<string, unknown>)[key])
      }
    }
    walk(value)
    const place = places[chance.below(places.length)]
    if (!place) break
    const [holder, key] = place
    const what = chance.below(8)
    if (what === 0) delete holder[key]
    else if (what === 1 && Array.isArray(holder)) holder.push(holder[Number(key)])
    else if (what === 1) holder[`${key}x`] = holder[key]
    else if (what === 2 && typeof holder[key] === 'number') holder[key] *= [-1, 0, 1e9, 1e-9, 0.5, 3][chance.below(6)]!
    else if (what === 3)
      holder[key] = places[chance.below(places.length)]?.[0] === holder ? 1 : structuredClone(holder[key])
    else holder[key] = structuredClone(STRANGE[chance.below(STRANGE.length)])
  }
  return JSON.stringify(value)
}

describe('a broken job', () => {
  it(
    `${FILES} broken texts`,
    () => {
      const seen = run(1, (chance, n) =>
        outcome(() => ({
          job: adoptJob(parseJobText(textOf(broken(bytesOf(full[n % full.length]!), chance))), (name) => ({
            asset,
            name,
          })),
          assets: new Map(),
        })),
      )
      expect(seen.get('job-invalid') ?? 0).toBeGreaterThan(FILES / 4)
    },
    LONG,
  )

  it(
    `${FILES} texts with other values`,
    () => {
      const seen = run(2, (chance, n) =>
        outcome(() => ({
          job: adoptJob(parseJobText(otherValues(full[n % full.length]!, chance)), (name) => ({ asset, name })),
          assets: new Map(),
        })),
      )
      // Worth something only if some of them still are jobs.
      expect(seen.get('job') ?? 0).toBeGreaterThan(FILES / 50)
      expect(seen.get('job-invalid') ?? 0).toBeGreaterThan(FILES / 4)
    },
    LONG,
  )

  it(
    `${FILES} broken files`,
    () => {
      const whole = jobs.map((job) => writeJobZip(job, assets))
      const seen = run(3, (chance, n) => outcome(() => readJobZip(broken(whole[n % whole.length]!, chance))))
      expect(seen.get('job-invalid') ?? 0).toBeGreaterThan(FILES / 4)
    },
    LONG,
  )
})

it(
  `${FILES} broken packs: whole, faulty or refused, never taken for whole when a file differs`,
  async () => {
    const files = drain(buildPack({ job: jobs[0]!, results: {}, timings_s: {}, program: 'Mouldwright 9.9.9' })).files
    const pack = drain(zipPack(files))
    const good = new Map(files.map((f) => [f.path, sha256Hex(f.bytes)]))
    const raw: string[] = []
    const seen = new Map<string, number>()
    const note = (what: string) => seen.set(what, (seen.get(what) ?? 0) + 1)
    for (let seed = 1; seed <= FILES; seed++) {
      try {
        const read = readPackZip(broken(pack, random(seed * 7919 + 4)))
        const { faults } = await verifyFiles(read)
        const same = read.length === good.size && read.every((f) => good.get(f.path) === sha256Hex(f.bytes))
        if (faults.length === 0 && !same) raw.push(`seed ${seed}: another pack is called whole`)
        note(faults.length === 0 ? 'whole' : 'faulty')
      } catch (trouble) {
        if (trouble instanceof Refused) expectSentence(trouble.refusal.message)
        else raw.push(`seed ${seed}: ${trouble instanceof Error ? trouble.stack : trouble}`)
        note('refused')
      }
      if (raw.length > 20) break
    }
    expect(raw).toEqual([])
    expect([...seen.keys()].sort()).toEqual(['faulty', 'refused', 'whole'])
  },
  LONG,
)
