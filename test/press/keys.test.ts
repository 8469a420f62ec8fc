import { describe, expect, it } from 'vitest'
import type { Signature } from '../../src/core/job'
import { brokenSeals, makeKey, openKey, seal, sealHolds } from '../../src/press/keys'

const plain: Omit<Signature, 'seal'> = {
  role: 'designer',
  name: 'D. Signer',
  at: '2026-05-04T08:00:00Z',
  covers: 'ab'.repeat(32),
  figures: { 'least gap': '12.6 mm' },
}

describe('a signature with a key', () => {
  it('holds, also with the key read back from its file, and not after any change', async () => {
    const { key, file } = await makeKey('D. Signer')
    const again = await openKey(file)
    expect(again).toMatchObject({ name: 'D. Signer', publicKey: key.publicKey })
    for (const k of [key, again]) {
      const signed = await seal(plain, k)
      expect(await sealHolds(signed)).toBe(true)
      const changes: Partial<Signature>[] = [
        { role: 'owner' },
        { name: 'E. Signer' },
        { at: '2026-05-05T08:00:00Z' },
        { covers: 'cd'.repeat(32) },
        { figures: { 'least gap': '12.7 mm' } },
        { seal: { ...signed.seal!, value: `A${signed.seal!.value.slice(1)}B` } },
        { seal: { ...signed.seal!, publicKey: 'AAAA' } },
      ]
      for (const change of changes) expect(await sealHolds({ ...signed, ...change })).toBe(false)
      expect(await brokenSeals([signed, { ...signed, name: 'F' }, { ...plain, seal: null }])).toHaveLength(1)
    }
  })

  it('works on the other curve too', async () => {
    const pair = await crypto.subtle.generateKey({ name: 'ECDSA', namedCurve: 'P-256' }, true, ['sign', 'verify'])
    const raw = new Uint8Array(await crypto.subtle.exportKey('raw', pair.publicKey))
    const key = {
      algorithm: 'ECDSA-P256' as const,
      publicKey: Buffer.from(raw).toString('base64url'),
      privateKey: pair.privateKey,
    }
    const signed = await seal(plain, key)
    expect(await sealHolds(signed)).toBe(true)
    expect(await sealHolds({ ...signed, name: 'E' })).toBe(false)
  })

  it('refuses a file that is no key', async () => {
    await expect(openKey('{"format":"mouldwright-key"}')).rejects.toThrow(/not the file of a key/)
    await expect(openKey('hello')).rejects.toThrow(/not the file of a key/)
  })
})
