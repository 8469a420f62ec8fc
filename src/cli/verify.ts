/** `verify PACK`: is this folder or zip the pack that was written, and who has signed it? */
import { readdir, stat } from 'node:fs/promises'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { Refused } from '../core/geometry/trouble'
import { looksLikeZip } from '../core/job'
import type { PackFile } from '../core/release'
import { readPackZip } from '../core/release/zip-pack'
import { verifiedWords, verifyFiles } from '../press/verify'
import { command, EXIT, parsed, say, usage } from './command'
import { readBytes } from './files'

const HELP = 'verify PACK'

await command(async (args) => {
  const { positionals } = parsed(() => parseArgs({ args: [...args], allowPositionals: true, options: {} }), HELP)
  const [path, ...extra] = positionals
  if (!path || extra.length > 0) throw usage(`One pack is needed, a folder or a zip. Usage: ${HELP}`)
  const verified = await verifyFiles(await readPack(path))
  for (const line of verifiedWords(verified)) say(line)
  if (verified.faults.length > 0) return EXIT.bad
  return verified.holds.length > 0 || verified.signatures.some((s) => s.lifted) ? EXIT.holds : EXIT.done
})

async function readPack(path: string): Promise<readonly PackFile[]> {
  const found = await stat(path).catch(() => null)
  if (!found) throw new Refused('asset-missing', `${path}: there is no such pack; give its folder or its zip.`)
  if (found.isDirectory()) return readFolder(path, '')
  const bytes = await readBytes(path)
  if (!looksLikeZip(bytes)) throw new Refused('file-unknown', `${path} is neither a folder nor a zip; give a pack.`)
  return readPackZip(bytes)
}

async function readFolder(root: string, below: string): Promise<PackFile[]> {
  const entries = await readdir(join(root, below), { withFileTypes: true })
  const files: PackFile[] = []
  for (const entry of entries) {
    const path = below === '' ? entry.name : `${below}/${entry.name}`
    if (entry.isDirectory()) files.push(...(await readFolder(root, path)))
    else files.push({ path, bytes: await readBytes(join(root, path)) })
  }
  return files
}
