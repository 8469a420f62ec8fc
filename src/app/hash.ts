import { sha256Hex } from '../core/job'

/** SHA-256, hex: by the browser where it offers it (secure origins), else by our own, which is slower but the same. */
export async function fileHash(bytes: Uint8Array): Promise<string> {
  if (!globalThis.crypto?.subtle) return sha256Hex(bytes)
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes as Uint8Array<ArrayBuffer>))
  return Array.from(digest, (b) => b.toString(16).padStart(2, '0')).join('')
}
