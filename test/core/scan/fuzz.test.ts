import { describe, expect, it } from 'vitest'
import { BLOCK, type Steps } from '../../../src/core/geometry/kernel'
import type { Mesh } from '../../../src/core/geometry/mesh'
import { Refused } from '../../../src/core/geometry/trouble'
import { type MeshFile, scanStep } from '../../../src/core/scan'
import { broken } from '../../support/broken-files'
import { random } from '../../support/random'
import { expectSentence } from '../../support/refusals'
import { icosphere } from '../../support/solids'
import {
  asciiStl,
  binaryStl,
  file,
  glb,
  gltf,
  meshXml,
  modelXml,
  obj,
  package3mf,
  ply,
  threeMf,
} from '../../support/write-mesh-files'

const ball = icosphere(500, 2)
const small = icosphere(500, 1)
const polygons = `${obj(small)}f 1 2 3 4 5\nf -1 -2 -3 -4\nf 7/1/1 8/2/2 9/3/3 10/4/4\n`
const nested = package3mf(
  modelXml(
    `<object id="1">${meshXml(small)}</object><object id="2"><components><component objectid="1"/><component objectid="1" transform="1 0 0 0 1 0 0 0 1 9 9 9"/></components></object>`,
    '<item objectid="2" transform="1 0 0 0 1 0 0 0 1 1 2 3"/>',
    'unit="inch"',
  ),
  {},
  0,
)

const GOOD: [string, string | Uint8Array][] = [
  ['binary STL', binaryStl(ball)],
  ['ASCII STL', asciiStl(small)],
  ['OBJ', polygons],
  ['ASCII PLY', ply(small, 'ascii')],
  ['little-endian PLY', ply(small, 'binary_little_endian')],
  ['big-endian PLY', ply(small, 'binary_big_endian')],
  ['GLB', glb(small)],
  ['glTF', gltf(small)],
  ['3MF, packed', threeMf(small)],
  ['3MF, stored', nested],
]

/** `FUZZ=100000 npx vitest run test/core/scan/fuzz.test.ts` breaks so many per reader; CI a few. */
const FILES = Number(process.env['FUZZ'] ?? 300)

/** Every vertex has a place, every facet its three vertices and an area; or there is one sentence. */
function outcome(f: MeshFile): 'mesh' | string {
  try {
    const { mesh, health } = drainWithin(
      scanStep({ files: [f], unit: 'auto', repairs: [{ kind: 'drop-islands', belowShare: 0.005 }], noise_mm: null }),
    )
    if (!isSound(mesh)) return 'an unsound mesh'
    return Number.isFinite(health.area_mm2) && Number.isFinite(health.volume_mm3) && Number.isFinite(health.noise_mm)
      ? 'mesh'
      : 'health without numbers'
  } catch (trouble) {
    if (!(trouble instanceof Refused)) return `raw: ${trouble instanceof Error ? trouble.stack : trouble}`
    expectSentence(trouble.refusal.message)
    return trouble.refusal.code
  }
}

/** A hang shows as steps without end: a file of a few kilobytes has work for a few hundred. */
function drainWithin<T>(steps: Steps<T>): T {
  for (let n = 0; n < BLOCK; n++) {
    const step = steps.next()
    if (step.done) return step.value
  }
  throw new Error(`more than ${BLOCK} steps for a file of a few kilobytes`)
}

function isSound({ positions, indices, origin }: Mesh): boolean {
  if (!positions.every(Number.isFinite) || !origin.every(Number.isFinite) || indices.length === 0) return false
  for (let f = 0; f < indices.length; f += 3) {
    const [a, b, c] = [indices[f]!, indices[f + 1]!, indices[f + 2]!]
    if (a === b || b === c || c === a || Math.max(a, b, c) * 3 >= positions.length) return false
  }
  return true
}

describe.each(GOOD)('%s', (name, content) => {
  const good = file(name, content)
  it(`${FILES} broken copies: a sound mesh or one sentence, never a raw error, never a hang`, () => {
    expect(outcome(good)).toBe('mesh')
    const seen = new Map<string, number>()
    const raw: string[] = []
    for (let seed = 1; seed <= FILES; seed++) {
      const what = outcome({ name: 'broken.dat', bytes: broken(good.bytes, random(seed * 7919 + name.length)) })
      seen.set(what, (seen.get(what) ?? 0) + 1)
      if (!/^(mesh|file-|mesh-empty|too-large)/.test(what)) raw.push(`seed ${seed}: ${what}`)
    }
    expect(raw).toEqual([])
    // The corpus is worth something only if it breaks files in several ways.
    expect(seen.size).toBeGreaterThan(2)
    expect(seen.get('file-damaged') ?? 0).toBeGreaterThan(FILES / 20)
  })
})
