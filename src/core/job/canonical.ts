import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'

/**
 * One spelling for one value: keys sorted, no white space, numbers as ECMAScript prints them (shortest form that reads back
 * the same, equal in all engines). `undefined` members are left out, as JSON does.
 *
 * @throws a defect on NaN or infinity, which JSON would silently turn into null
 */
export function canonicalJson(value: unknown): string {
  if (value === null || typeof value === 'boolean' || typeof value === 'string') return JSON.stringify(value)
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) throw new Error('job: a number that is not finite cannot be hashed')
    return JSON.stringify(value)
  }
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`
  if (typeof value === 'object') {
    const members = Object.entries(value as Record<string, unknown>)
      .filter(([, v]) => v !== undefined)
      .sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0))
    return `{${members.map(([k, v]) => `${JSON.stringify(k)}:${canonicalJson(v)}`).join(',')}}`
  }
  throw new Error(`job: a ${typeof value} cannot be hashed`)
}

/** SHA-256 of the canonical spelling, hex. */
export const hashOf = (value: unknown): string => bytesToHex(sha256(utf8ToBytes(canonicalJson(value))))

/** SHA-256 of bytes, hex: the name of an asset. Hosts with a faster one (Web Crypto, Node) use theirs for large files. */
export const sha256Hex = (bytes: Uint8Array): string => bytesToHex(sha256(bytes))

/** The same of bytes that come piece by piece. */
export function sha256InPieces(): { add(piece: Uint8Array): void; hex(): string } {
  const hash = sha256.create()
  return { add: (piece) => void hash.update(piece), hex: () => bytesToHex(hash.digest()) }
}
