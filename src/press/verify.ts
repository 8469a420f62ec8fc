import { coversNow } from '../core/covers'
import { Refused } from '../core/geometry/trouble'
import { jobOfPack, type PackFile, type Verified, verifyPack } from '../core/release'
import { brokenSeals } from './keys'

/** Verifies a pack with the host's keys. @throws Refused where the host cannot check a seal */
export async function verifyFiles(files: readonly PackFile[]): Promise<Verified> {
  let broken: readonly unknown[] = []
  try {
    broken = await brokenSeals(jobOfPack(files).release.signatures)
  } catch (error) {
    // A job that cannot be read is one of the faults that `verifyPack` lists.
    if (!(error instanceof Refused) || error.refusal.code !== 'job-invalid') throw error
    return verifyPack(files, { coversNow, sealHolds: () => false })
  }
  const values = new Set(broken.map((s) => JSON.stringify(s)))
  return verifyPack(files, { coversNow, sealHolds: (s) => !values.has(JSON.stringify(s)) })
}

/** What was found, one line each, for the command line and for the page. */
export function verifiedWords({ faults, manifest, signatures, holds }: Verified): readonly string[] {
  if (faults.length > 0 || !manifest) return faults
  const signed = signatures.map((s) => {
    const key = s.sealHolds === null ? 'by name' : 'with a key that fits'
    return `${s.role}: ${s.name}, ${s.at}, ${key}${s.lifted ? '; lifted, what was signed has changed since' : ''}`
  })
  return [
    `${manifest.files.length} files as written by ${manifest.program}, revision ${manifest.revision}, job ${manifest.jobHash.slice(0, 8)}, content ${manifest.contentHash.slice(0, 8)}`,
    ...(signed.length > 0 ? signed : ['nobody has signed']),
    ...(holds.length > 0 ? [`holds stand: ${holds.join(', ')}`] : []),
  ]
}
