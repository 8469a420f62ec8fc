/**
 * Keys of persons, by the host's Web Crypto (Node and browsers alike): Ed25519 where it is there, else ECDSA on P-256. The
 * private key stays with its owner, in a file of their own; the job carries the public half with each signature.
 */
import { Refused } from '../core/geometry/trouble'
import { type Signature, type SignatureSeal, signedText } from '../core/job'

type Algorithm = SignatureSeal['algorithm']

const KINDS = {
  Ed25519: { make: { name: 'Ed25519' }, sign: { name: 'Ed25519' } },
  'ECDSA-P256': { make: { name: 'ECDSA', namedCurve: 'P-256' }, sign: { name: 'ECDSA', hash: 'SHA-256' } },
} as const

export interface PersonKey {
  readonly algorithm: Algorithm
  /** Raw, base64url. */
  readonly publicKey: string
  readonly privateKey: CryptoKey
}

/** @throws Refused where the host has no Web Crypto (a page that is not served securely) */
function subtle(): SubtleCrypto {
  const found = globalThis.crypto?.subtle
  if (!found)
    throw new Refused('setting-impossible', 'Keys need a secure page (https or this machine); sign by name instead.')
  return found
}

/** A new pair, and the text of the file in which its owner keeps it. */
export async function makeKey(name: string): Promise<{ key: PersonKey; file: string }> {
  const { algorithm, pair } = await generate()
  const publicKey = base64url(new Uint8Array(await subtle().exportKey('raw', pair.publicKey)))
  const pkcs8 = base64url(new Uint8Array(await subtle().exportKey('pkcs8', pair.privateKey)))
  const file = `${JSON.stringify({ format: 'mouldwright-key', version: 1, name, algorithm, publicKey, privateKey: pkcs8 }, null, 2)}\n`
  return { key: { algorithm, publicKey, privateKey: pair.privateKey }, file }
}

async function generate(): Promise<{ algorithm: Algorithm; pair: CryptoKeyPair }> {
  try {
    const pair = await subtle().generateKey(KINDS.Ed25519.make, true, ['sign', 'verify'])
    return { algorithm: 'Ed25519', pair: pair as CryptoKeyPair }
  } catch (error) {
    if (error instanceof Refused) throw error
    const pair = await subtle().generateKey(KINDS['ECDSA-P256'].make, true, ['sign', 'verify'])
    return { algorithm: 'ECDSA-P256', pair }
  }
}

/** @throws Refused `file-damaged` when the text is not the file of a key */
export async function openKey(text: string): Promise<PersonKey & { readonly name: string }> {
  try {
    const { format, name, algorithm, publicKey, privateKey } = JSON.parse(text) as { [key: string]: string }
    if (format !== 'mouldwright-key' || !algorithm || !(algorithm in KINDS) || !publicKey || !privateKey || !name)
      throw new Error('not a key')
    const kind = algorithm as Algorithm
    const key = await subtle().importKey('pkcs8', bytesOf(privateKey), KINDS[kind].make, false, ['sign'])
    return { name, algorithm: kind, publicKey, privateKey: key }
  } catch (error) {
    if (error instanceof Refused) throw error
    throw new Refused(
      'file-damaged',
      'This is not the file of a key, or it is damaged; choose the file you were given.',
    )
  }
}

export async function seal(signature: Omit<Signature, 'seal'>, key: PersonKey): Promise<Signature> {
  const text = new TextEncoder().encode(signedText(signature))
  const value = new Uint8Array(await subtle().sign(KINDS[key.algorithm].sign, key.privateKey, text))
  return { ...signature, seal: { algorithm: key.algorithm, publicKey: key.publicKey, value: base64url(value) } }
}

/** Whether a signature says what its key signed. A host without the algorithm cannot tell: that is a refusal, not a "no". */
export async function sealHolds(signature: Signature): Promise<boolean> {
  const given = signature.seal
  if (!given) return false
  const kind = KINDS[given.algorithm]
  let key: CryptoKey
  try {
    key = await subtle().importKey('raw', bytesOf(given.publicKey), kind.make, false, ['verify'])
  } catch (error) {
    if (error instanceof Refused) throw error
    if (error instanceof DOMException && error.name === 'NotSupportedError')
      throw new Refused('setting-impossible', `This browser knows no ${given.algorithm}; verify the pack elsewhere.`)
    return false
  }
  return subtle().verify(kind.sign, key, bytesOf(given.value), new TextEncoder().encode(signedText(signature)))
}

/** Which of the signatures are sealed by a key and do not hold. */
export async function brokenSeals(signatures: readonly Signature[]): Promise<readonly Signature[]> {
  const judged = await Promise.all(signatures.map(async (s) => s.seal !== null && !(await sealHolds(s))))
  return signatures.filter((_, i) => judged[i])
}

/** First eight characters of a public key: what a person reads out over the telephone. */
export const fingerprint = (publicKey: string): string => publicKey.slice(0, 8)

const base64url = (bytes: Uint8Array): string =>
  btoa(String.fromCharCode(...bytes))
    .replaceAll('+', '-')
    .replaceAll('/', '_')
    .replace(/=+$/, '')

const bytesOf = (text: string): Uint8Array<ArrayBuffer> =>
  Uint8Array.from(atob(text.replaceAll('-', '+').replaceAll('_', '/')), (c) => c.charCodeAt(0))
