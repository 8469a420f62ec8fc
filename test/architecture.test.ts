/**
 * Who may import whom (docs in DEVELOPERS.md). Imports point down: geometry ← steps ← flow ← runner ← state ← view and
 * panels ← app. A step enters another only by its `index.ts` (or its `types.ts`), and only an earlier one.
 */
import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join, normalize, relative } from 'node:path'
import { fileURLToPath } from 'node:url'
import ts from 'typescript'
import { describe, expect, it } from 'vitest'

const SRC = fileURLToPath(new URL('../src', import.meta.url))
const STEPS = ['scan', 'frame', 'datum', 'clearance', 'fitting', 'analysis', 'tooling', 'build-plan', 'release']

/** Packages each layer may use; anything else is a fault. `node:` only on the command line. */
const PACKAGES: Record<string, readonly RegExp[]> = {
  'core/geometry': [],
  'core/job': [/^zod$/, /^fflate$/, /^@noble\/hashes\//],
  // svgpath: the grammar and transforms of path data in outlines drawn as SVG.
  // meshoptimizer thins scans; it is ready before the first kernel is driven (core/scan/thin.ts).
  'core/scan': [/^earcut$/, /^fflate$/, /^meshoptimizer\/simplifier$/],
  core: [/^clipper2-ts$/, /^delaunator$/, /^earcut$/, /^fflate$/, /^svgpath$/],
  demo: [/^fflate$/, /^manifold-3d$/],
  runner: [],
  // Tessellates STEP files; a large binary, so in a worker of its own and only when such a file arrives.
  'step-file': [/^occt-import-js/],
  press: [/^pdf-lib$/, /^@pdf-lib\/fontkit$/],
  // The solid library measures what two bodies share; it is asynchronous, so no kernel can hold it.
  cli: [/^node:/, /^fflate$/, /^manifold-3d$/, /^zod$/],
  state: [/^zustand/, /^idb$/],
  view: [/^react/, /^three/, /^@react-three\//, /^zustand/],
  panels: [/^react/, /^zustand/],
  app: [/^react/, /^zustand/, /^@fontsource\//],
}

/** Layers each layer may enter. */
const LAYERS: Record<string, readonly string[]> = {
  core: ['core'],
  demo: ['core', 'demo'],
  runner: ['core', 'runner'],
  // What a pack needs of its host: PDF, the owner's copy, keys.
  press: ['core', 'press'],
  'step-file': ['core', 'step-file'],
  owner: ['owner'],
  cli: ['core', 'runner', 'press', 'step-file', 'cli', 'demo'],
  state: ['core', 'runner', 'state'],
  view: ['core', 'state', 'view'],
  panels: ['core', 'state', 'panels'],
  app: ['core', 'runner', 'press', 'step-file', 'state', 'view', 'panels', 'app'],
}

interface Import {
  readonly from: string
  readonly to: string
}

function sources(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name)
    if (entry.isDirectory()) return sources(path)
    return /\.tsx?$/.test(entry.name) && !entry.name.endsWith('.d.ts') ? [path] : []
  })
}

function faultsOf(from: string, imports: readonly string[]): string[] {
  return imports.flatMap((to) => {
    const fault = judge({ from, to })
    return fault ? [`${from} → ${to}: ${fault}`] : []
  })
}

function judge({ from, to }: Import): string | null {
  const layer = from.split('/')[0]!
  if (!to.startsWith('.')) {
    if (/\.css$|\?/.test(to) && layer !== 'core') return null
    if (layer === 'core' && /^three/.test(to))
      return from === 'core/geometry/surface-index.ts' ? null : 'only surface-index.ts knows three'
    const area = from.split('/').slice(0, 2).join('/')
    const allowed = PACKAGES[area] ?? PACKAGES[layer] ?? []
    return allowed.some((p) => p.test(to)) ? null : 'this package has no place in this layer'
  }
  const target = normalize(join(dirname(from), to))
  if (target === '../package.json')
    return from === 'runner/version.ts' ? null : 'only runner/version.ts reads package.json'
  const there = target.split('/')[0]!
  if (!(LAYERS[layer] ?? []).includes(there)) return `${layer} may not enter ${there}`
  return layer === 'core' ? judgeCore(from, target) : null
}

const ABOVE_STEPS = new Set([
  'core/flow.ts',
  'core/flow-types.ts',
  'core/flow-readings.ts',
  'core/flow-rough.ts',
  'core/covers.ts',
])

function judgeCore(from: string, target: string): string | null {
  const home = from.split('/')[1]!
  const there = target.split('/')[1]!
  // The flow table and what people sign of it stand above all steps.
  if (ABOVE_STEPS.has(from) || home === there) return null
  if (home === 'geometry') return 'the ground floor enters no step'
  if (there === 'geometry') return null
  if (home === 'job')
    return /[/-](types|settings)$/.test(target) ? null : 'the job knows only types and settings of steps'
  if (home === 'release' && there === 'job') return null
  const order = STEPS.indexOf(there)
  if (order < 0 || order >= STEPS.indexOf(home)) return 'a step enters only earlier steps'
  return target === `core/${there}` || target === `core/${there}/types` ? null : 'a step is entered by its index'
}

/** What the language leaves to the engine: its last bit differs between Node and browsers. `Math.hypot` and `sqrt` agree. */
const LOOSE = /^(pow|exp|expm1|log|log10|log2|log1p|a?sinh?|a?cosh?|a?tanh?|atan2|cbrt)$/
/** Powers of two and ten written out are exact; an angle that Float32 cuts off decides nothing. */
const LOOSE_ALLOWED = new Set(['core/analysis/draft.ts Math.asin', 'core/geometry/portable-math.ts **'])

function looseMath(from: string, text: string): string[] {
  const found: string[] = []
  const visit = (node: ts.Node): void => {
    if (ts.isPropertyAccessExpression(node) && node.expression.getText() === 'Math' && LOOSE.test(node.name.text))
      found.push(`${from} Math.${node.name.text}`)
    if (ts.isBinaryExpression(node) && node.operatorToken.kind === ts.SyntaxKind.AsteriskAsteriskToken) {
      const constant = [node.left, node.right].every((side) => /^-?[0-9]+$/.test(side.getText()))
      if (!constant) found.push(`${from} **`)
    }
    ts.forEachChild(node, visit)
  }
  visit(ts.createSourceFile(from, text, ts.ScriptTarget.Latest, true))
  return found.filter((f) => !LOOSE_ALLOWED.has(f))
}

describe('architecture', () => {
  const files = sources(SRC)

  it('reads the tree', () => {
    expect(files.length).toBeGreaterThan(60)
  })

  it('imports point down', () => {
    const faults = files.flatMap((path) => {
      const from = relative(SRC, path).replaceAll('\\', '/')
      const { importedFiles } = ts.preProcessFile(readFileSync(path, 'utf8'), true, true)
      return faultsOf(
        from,
        importedFiles.map((f) => f.fileName),
      )
    })
    expect(faults).toEqual([])
  })

  it('catches what is not allowed', () => {
    expect(faultsOf('core/scan/x.ts', ['../datum'])).toHaveLength(1)
    expect(faultsOf('core/datum/x.ts', ['../scan/weld'])).toHaveLength(1)
    expect(faultsOf('core/geometry/x.ts', ['three'])).toHaveLength(1)
    expect(faultsOf('core/geometry/x.ts', ['../../view/sheet'])).toHaveLength(1)
    expect(faultsOf('panels/x.tsx', ['../view/sheet', 'three', '../runner/runner'])).toHaveLength(3)
    expect(faultsOf('core/clearance/x.ts', ['react', 'node:fs'])).toHaveLength(2)
  })

  it('core computes with what all engines round alike', () => {
    const faults = files
      .map((path) => ({ from: relative(SRC, path).replaceAll('\\', '/'), path }))
      .filter(({ from }) => from.startsWith('core/'))
      .flatMap(({ from, path }) => looseMath(from, readFileSync(path, 'utf8')))
    expect(faults).toEqual([])
    expect(looseMath('core/x.ts', 'const a = x ** 2 + Math.sin(y) + 2 ** -21')).toEqual([
      'core/x.ts **',
      'core/x.ts Math.sin',
    ])
  })
})
