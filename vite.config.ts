import { createHash } from 'node:crypto'
import { readdirSync, readFileSync, statSync } from 'node:fs'
import { join, relative } from 'node:path'
import { fileURLToPath } from 'node:url'
import react from '@vitejs/plugin-react'
import MarkdownIt from 'markdown-it'
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

/** What the handbook is made of, in this order: a page of its own, without a script, that is kept offline like the rest. */
const HANDBOOK = ['handbook.md', 'axes-and-units.md']

/** The handbook as HTML: no raw HTML of the sources gets through, links among them become places on the one page. */
const handbook = (): Plugin => {
  const slug = (text: string) =>
    text
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-|-$/g, '')
  let dev = false
  const render = () => {
    const markdown = new MarkdownIt({ html: false })
    const chapters: string[] = []
    markdown.core.ruler.push('places', ({ tokens }) => {
      for (const [i, token] of tokens.entries()) {
        if (token.type === 'heading_open' && /h[12]/.test(token.tag)) {
          const title = tokens[i + 1]?.content ?? ''
          token.attrSet('id', slug(title))
          chapters.push(`<li><a href="#${slug(title)}">${markdown.utils.escapeHtml(title)}</a></li>`)
        }
        for (const inline of token.children ?? []) {
          const href = inline.attrGet('href')
          const source = inline.attrGet('src')
          if (href?.endsWith('.md')) inline.attrSet('href', `#${href.slice(0, -3)}`)
          // Vite takes them up like any picture of a page.
          if (source) inline.attrSet('src', dev ? `/@fs${here(`./docs/${source}`)}` : `../docs/${source}`)
        }
      }
    })
    const body = HANDBOOK.map((name) => markdown.render(readFileSync(here(`./docs/${name}`), 'utf8'))).join('\n')
    return { body, chapters: `<ol>${chapters.join('')}</ol>` }
  }
  return {
    name: 'handbook',
    configResolved: ({ command }) => {
      dev = command === 'serve'
    },
    transformIndexHtml: {
      order: 'pre',
      handler(html, { filename }) {
        if (!filename.endsWith('handbook.html')) return html
        const { body, chapters } = render()
        return html.replace('<!-- chapters -->', () => chapters).replace('<!-- handbook -->', () => body)
      },
    },
  }
}

const filesIn = (folder: string): string[] =>
  readdirSync(folder).flatMap((name) => {
    const path = join(folder, name)
    return statSync(path).isDirectory() ? filesIn(path) : [path]
  })

/** Writes the service worker with the list of everything that was built: the page opens without a network from then on. */
const offline = (): Plugin => ({
  name: 'offline',
  apply: 'build',
  generateBundle: {
    // After the pages themselves are in the bundle.
    order: 'post',
    handler(_, bundle) {
      const served = filesIn(here('./assets')).map(
        (path) => `./${relative(here('./assets'), path).replaceAll('\\', '/')}`,
      )
      // Faces of other formats than the browser takes are never asked for.
      const built = Object.keys(bundle).filter((name) => !name.endsWith('.woff') && name !== 'index.html')
      const files = ['./', ...served, ...built.map((name) => `./${name}`)].sort()
      const hash = createHash('sha256').update(files.join('\n'))
      for (const path of filesIn(here('./assets'))) hash.update(readFileSync(path))
      // Pages carry no hash in their names.
      for (const made of Object.values(bundle))
        if (made.type === 'asset' && made.fileName.endsWith('.html')) hash.update(made.source)
      const head = `const VERSION = '${hash.digest('hex').slice(0, 12)}'\nconst FILES = ${JSON.stringify(files)}\n`
      const source = head + readFileSync(here('./src/app/service-worker.js'), 'utf8')
      this.emitFile({ type: 'asset', fileName: 'service-worker.js', source })
    },
  },
})

export default defineConfig({
  root: here('./src'),
  publicDir: here('./assets'),
  base: './',
  plugins: [react(), handbook(), policy(), offline()],
  worker: { format: 'es' },
  server: { headers: isolation, host: '127.0.0.1', fs: { allow: [here('.')] } },
  preview: { headers: isolation, host: '127.0.0.1' },
  build: {
    outDir: here('./dist'),
    emptyOutDir: true,
    target: 'es2023',
    chunkSizeWarningLimit: 1400,
    rolldownOptions: {
      input: [here('./src/index.html'), here('./src/handbook.html')],
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
