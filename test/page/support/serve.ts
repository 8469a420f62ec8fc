/** Builds the page once and serves it for the page tests, as `npm start` does. */
import { fileURLToPath } from 'node:url'
import { build, preview } from 'vite'
import type { TestProject } from 'vitest/node'
import { ensureBrowser } from './browser'

declare module 'vitest' {
  export interface ProvidedContext {
    address: string
  }
}

const configFile = fileURLToPath(new URL('../../../vite.config.ts', import.meta.url))

export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  ensureBrowser()
  // What is tested is what is shipped: without this the test runner's own setting makes a development build.
  process.env['NODE_ENV'] = 'production'
  await build({ configFile, logLevel: 'warn' })
  const server = await preview({ configFile, preview: { port: 0, host: '127.0.0.1' } })
  const address = server.resolvedUrls?.local[0]
  if (!address) throw new Error('page tests: the preview server has no address')
  project.provide('address', address)
  return () => server.close()
}
