/** Builds the viewer of the owner's copy into one script; what is built lies in `assets/owner/viewer.js` for page and command line. */
import { fileURLToPath } from 'node:url'
import { build } from 'vite'

export const VIEWER = fileURLToPath(new URL('../../assets/owner/viewer.js', import.meta.url))

export async function buildViewer(): Promise<string> {
  const made = await build({
    configFile: false,
    root: fileURLToPath(new URL('../../src/owner', import.meta.url)),
    publicDir: false,
    logLevel: 'error',
    build: {
      write: false,
      target: 'es2022',
      lib: { entry: 'main.ts', formats: ['iife'], name: 'owner', fileName: 'viewer' },
    },
  })
  const [first] = Array.isArray(made) ? made : [made]
  if (!first || !('output' in first)) throw new Error('the viewer was not built')
  return first.output[0].code
}
