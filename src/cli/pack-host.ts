/** What the pack needs of the command line: kernels run to their end, and fonts from the disk. */
import { createRequire } from 'node:module'
import { fileURLToPath } from 'node:url'
import { drain } from '../core/geometry/kernel'
import type { PackHost } from '../press/make-pack'
import { readBytes, sha256 } from './files'

const VIEWER = fileURLToPath(new URL('../../assets/owner/viewer.js', import.meta.url))
const require = createRequire(import.meta.url)
const font = (name: string): Promise<Uint8Array> => readBytes(require.resolve(`dejavu-fonts-ttf/ttf/${name}.ttf`))

export const PACK_HOST: PackHost = {
  run: async (steps) => drain(steps),
  fonts: async () => ({ regular: await font('DejaVuSansCondensed'), bold: await font('DejaVuSansCondensed-Bold') }),
  hash: sha256,
  viewer: async () => new TextDecoder().decode(await readBytes(VIEWER)),
}
