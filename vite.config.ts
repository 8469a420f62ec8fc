import { createHash } from 'node:crypto'
import { readdirSync, readFileSync, statSync } from 'node:fs'
import { join, relative } from 'node:path'
import { fileURLToPath } from 'node:url'
import react from '@vitejs/plugin-react'
import type { Plugin } from 'vite'
import { defineConfig } from 'vitest/config'

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url))

/** Isolation lets workers share memory; the page works without it (see docs/hosting in DEVELOPERS.md). */
const isolation = { 'Cross-Origin-Opener-Policy': 'same-origin', 'Cross-Origin-Embedder-Policy': 'require-corp' }

/**
 * What the built page may do: run its own scripts and WebAssembly, show its own pictures, ask nobody else for anything. Style
 * attributes are React's. In the dev server Vite's own inline scripts would be stopped, so it is set when building.
 */
const POLICY = [
  "default-src 'self'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "style-src 'self' 'unsafe-inline'",
  "img-src 'self' data: blob:",
  "font-src 'self' data:",
  "connect-src 'self' data: blob:",
  "worker-src 'self' blob:",
  "frame-src 'self' blob:",
  "object-src 'none'",
  "base-uri 'none'",
  "form-action 'none'",
].join('; ')

const policy = (): Plugin => ({
  name: 'content-security-policy',
  apply: 'build',
  transformIndexHtml: () => [
    { tag: 'meta', attrs: { 'http-equiv': 'Content-Security-Policy', content: POLICY }, injectTo: 'head-prepend' },
  ],
})

const filesIn = (folder: string): string[] =>
  readdirSync(folder).flatMap((name) => {
    const path = join(folder, name)
    return statSync(path).isDirectory() ? filesIn(path) : [path]
  })

/** Writes the service worker with the list of everything that was built: the page opens without a network from then on. */
const offline = (): Plugin => ({
  name: 'offline',
  apply: 'build',
  generateBundle(_, bundle) {
    const served = filesIn(here('./assets')).map(
      (path) => `./${relative(here('./assets'), path).replaceAll('\\', '/')}`,
    )
    // Faces of other formats than the browser takes are never asked for.
    const built = Object.keys(bundle).filter((name) => !name.endsWith('.woff'))
    const files = ['./', ...served, ...built.map((name) => `./${name}`)].sort()
    const hash = createHash('sha256').update(files.join('\n'))
    for (const path of filesIn(here('./assets'))) hash.update(readFileSync(path))
    const head = `const VERSION = '${hash.digest('hex').slice(0, 12)}'\nconst FILES = ${JSON.stringify(files)}\n`
    const source = head + readFileSync(here('./src/app/service-worker.js'), 'utf8')
    this.emitFile({ type: 'asset', fileName: 'service-worker.js', source })
  },
})

export default defineConfig({
  root: here('./src'),
  publicDir: here('./assets'),
  base: './',
  plugins: [react(), policy(), offline()],
  worker: { format: 'es' },
  server: { headers: isolation, host: '127.0.0.1', fs: { allow: [here('.')] } },
  preview: { headers: isolation, host: '127.0.0.1' },
  build: {
    outDir: here('./dist'),
    emptyOutDir: true,
    target: 'es2023',
    chunkSizeWarningLimit: 1000,
    rolldownOptions: {
      output: {
        codeSplitting: {
          groups: [
            { name: 'three', test: /node_modules[\\/]three[\\/]/ },
            { name: 'react', test: /node_modules[\\/](react|react-dom|scheduler)[\\/]/ },
          ],
        },
      },
    },
  },
  test: {
    root: here('.'),
    testTimeout: 60_000,
    // Two cores: more processes than that only fight each other.
    maxWorkers: 2,
    projects: [
      {
        extends: true,
        test: { name: 'units', include: ['test/**/*.test.ts', 'test/**/*.test.tsx'], exclude: ['test/page/**'] },
      },
      {
        extends: true,
        test: {
          name: 'page',
          include: ['test/page/**/*.test.ts'],
          globalSetup: here('./test/page/support/serve.ts'),
          fileParallelism: false,
          testTimeout: 180_000,
          hookTimeout: 180_000,
        },
      },
    ],
  },
})
