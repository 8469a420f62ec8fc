import { fileURLToPath } from 'node:url'
import react from '@vitejs/plugin-react'
import { defineConfig } from 'vitest/config'

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url))

/** Isolation lets workers share memory; the page works without it (see docs/hosting in DEVELOPERS.md). */
const isolation = { 'Cross-Origin-Opener-Policy': 'same-origin', 'Cross-Origin-Embedder-Policy': 'require-corp' }

export default defineConfig({
  root: here('./src'),
  publicDir: here('./assets'),
  base: './',
  plugins: [react()],
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
