import { beforeAll, describe, expect, it } from 'vitest'
import { coversNow } from '../../src/core/covers'
import { drain } from '../../src/core/geometry/kernel'
import { type Job, setClearance, sign, waive } from '../../src/core/job'
import { buildPack, type PackFile } from '../../src/core/release'
import { readPackZip, zipPack } from '../../src/core/release/zip-pack'
import { makeKey, seal } from '../../src/press/keys'
import { verifiedWords, verifyFiles } from '../../src/press/verify'
import { jobWith } from '../state/results-at-hand'

const packOf = (job: Job): readonly PackFile[] =>
  drain(buildPack({ job, results: {}, timings_s: {}, program: 'Mouldwright 9.9.9' })).files

let signed: Job
beforeAll(async () => {
  const job = jobWith()
  const { key } = await makeKey('D. Signer')
  const signature = await seal(
    {
      role: 'designer',
      name: 'D. Signer',
      at: '2026-05-04T08:00:00Z',
      covers: coversNow(job, 'designer'),
      figures: {},
    },
    key,
  )
  signed = sign(signature).apply(job)
})

const changed = (files: readonly PackFile[], path: string, change: (text: string) => string): PackFile[] =>
  files.map((f) =>
    f.path === path ? { path, bytes: new TextEncoder().encode(change(new TextDecoder().decode(f.bytes))) } : f,
  )

describe('verify', () => {
  it('finds a pack whole, out of its zip as well, and says who signed it', async () => {
    const files = readPackZip(drain(zipPack(packOf(signed))))
    const verified = await verifyFiles(files)
    expect(verified.faults).toEqual([])
    expect(verified.signatures).toEqual([
      { role: 'designer', name: 'D. Signer', at: '2026-05-04T08:00:00Z', lifted: false, sealHolds: true },
    ])
    expect(verifiedWords(verified).join('\n')).toContain(
      'designer: D. Signer, 2026-05-04T08:00:00Z, with a key that fits',
    )
  })

  it.each([
    [
      'a changed file',
      (f: readonly PackFile[]) => changed(f, 'report.html', (t) => t.replace('12', '13')),
      'report.html is not the file',
    ],
    ['a missing file', (f: readonly PackFile[]) => f.filter((x) => x.path !== 'report.json'), 'report.json is missing'],
    [
      'a file too many',
      (f: readonly PackFile[]) => [...f, { path: 'x.txt', bytes: new Uint8Array(1) }],
      'x.txt does not belong',
    ],
    [
      'other sums',
      (f: readonly PackFile[]) => changed(f, 'SHA256SUMS', (t) => t.replace(/^./, 'g')),
      'do not say the same',
    ],
    [
      'no manifest',
      (f: readonly PackFile[]) => f.filter((x) => x.path !== 'manifest.json'),
      'manifest.json is missing',
    ],
    [
      'a changed job',
      (f: readonly PackFile[]) => changed(f, 'job.json', (t) => t.replace('"gap_mm": 12', '"gap_mm": 11')),
      'the manifest was written for',
    ],
  ])('says what is wrong with %s', async (_, harm, words) => {
    const { faults } = await verifyFiles(harm(packOf(signed)))
    expect(faults.join('\n')).toContain(words)
  })

  it('says that a signature was changed after it was made, though the pack was sealed anew', async () => {
    const forged: Job = {
      ...signed,
      release: {
        ...signed.release,
        signatures: signed.release.signatures.map((s) => ({ ...s, name: 'Somebody Else' })),
      },
    }
    const { faults } = await verifyFiles(packOf(forged))
    expect(faults).toEqual([expect.stringContaining('Somebody Else (designer) does not fit its key')])
  })

  it('says that a signature is lifted, which is no fault of the pack', async () => {
    const { faults, signatures } = await verifyFiles(packOf(setClearance({ gap_mm: 14 }).apply(signed)))
    expect(faults).toEqual([])
    expect(signatures[0]).toMatchObject({ lifted: true, sealHolds: true })
  })

  it('does not count what people say and waive against the signature', async () => {
    const job = waive({ finding: 'x', by: 'A', reason: 'seen', at: '2026-05-04T08:00:00Z' }).apply(signed)
    expect((await verifyFiles(packOf(job))).signatures[0]).toMatchObject({ lifted: false })
  })
})
