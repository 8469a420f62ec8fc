import { unzipSync } from 'fflate'
import { expect, test } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { zipPack } from '../../../src/core/release/zip-pack'

const bytes = (length: number) => Uint8Array.from({ length }, (_, i) => (i * 7919) >> 3)

test('unpacks to the same files, across chunks and for an empty one', () => {
  const files = [
    { path: 'report.json', bytes: bytes(12) },
    { path: 'empty.csv', bytes: bytes(0) },
    { path: 'faces/inner-surface.stl', bytes: bytes(2_500_000) },
    { path: 'exactly-two-chunks.bin', bytes: bytes(2 << 20) },
  ]
  const out = unzipSync(drain(zipPack(files)))
  expect(Object.keys(out)).toEqual(files.map((f) => f.path))
  for (const f of files) expect(Buffer.from(out[f.path]!).equals(Buffer.from(f.bytes))).toBe(true)
})

test('the same files give the same bytes', () => {
  const files = [{ path: 'a', bytes: bytes(1000) }]
  expect(drain(zipPack(files))).toEqual(drain(zipPack(files)))
})
