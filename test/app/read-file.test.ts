import { expect, it, vi } from 'vitest'
import { readFile } from '../../src/app/read-file'
import { Refused } from '../../src/core/geometry/trouble'
import { sha256Hex } from '../../src/core/job'

const LONG = 5_000_000

it('reads by slices, hashes the same as the whole, and tells how far it is', async () => {
  const bytes = Uint8Array.from({ length: LONG }, (_, i) => (i * 31) & 255)
  const file = new File([bytes], 'frame.stl')
  const slices = vi.spyOn(file, 'slice')
  const whole = vi.spyOn(file, 'arrayBuffer')
  const told: number[] = []
  const read = await readFile(file, (fraction) => told.push(fraction))
  expect(Buffer.compare(read.bytes, bytes)).toBe(0)
  expect(read.sha256).toBe(sha256Hex(bytes))
  expect(read.name).toBe('frame.stl')
  expect(told).toEqual([...told].sort((a, b) => a - b))
  expect(told.at(-1)).toBe(1)
  expect(slices.mock.calls.length).toBeGreaterThan(1)
  expect(whole).not.toHaveBeenCalled()
})

it('takes an empty file for what it is', async () => {
  const { bytes, sha256 } = await readFile(new File([], 'empty.stl'))
  expect([bytes.length, sha256]).toEqual([0, sha256Hex(new Uint8Array())])
})

it('refuses in one sentence what there is no room for', async () => {
  const huge = { name: 'huge.stl', size: 2 ** 52 } as File
  await expect(readFile(huge)).rejects.toThrow(Refused)
  await expect(readFile(huge)).rejects.toThrow(/huge\.stl has .* no room/)
})
