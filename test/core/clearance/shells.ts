import manifold from 'manifold-3d'
import { expect } from 'vitest'
import {
  CLEARANCE_DEFAULTS,
  type ClearanceResult,
  type ClearanceSettings,
  clearanceStep,
  type Shell,
  ZONES,
} from '../../../src/core/clearance'
import { adjacency, isClosed } from '../../../src/core/geometry/adjacency'
import { drain } from '../../../src/core/geometry/kernel'
import { facetCount, type Mesh } from '../../../src/core/geometry/mesh'
import { plainVolume } from '../../support/solids'

export function plan(
  frame: Mesh<'job'>,
  settings: Partial<ClearanceSettings> = {},
  more: { noise_mm?: number; facetGap_mm?: Float32Array; rimVertex?: Uint8Array } = {},
): ClearanceResult {
  return drain(
    clearanceStep({
      frame,
      rimVertex: more.rimVertex ?? new Uint8Array(frame.positions.length / 3),
      unseenFacet: null,
      noise_mm: more.noise_mm ?? 0,
      settings: { ...CLEARANCE_DEFAULTS, ...settings },
      facetGap_mm: more.facetGap_mm ?? null,
    }),
  )
}

/** Sine of the draft of a facet against a pull, from its corners alone. */
function sinDraft(mesh: Mesh, f: number, pull: readonly number[]): number {
  const p = [0, 1, 2].map((c) => [0, 1, 2].map((k) => mesh.positions[3 * mesh.indices[3 * f + c]! + k]!))
  const u = [0, 1, 2].map((k) => p[1]![k]! - p[0]![k]!)
  const v = [0, 1, 2].map((k) => p[2]![k]! - p[0]![k]!)
  const n = [u[1]! * v[2]! - u[2]! * v[1]!, u[2]! * v[0]! - u[0]! * v[2]!, u[0]! * v[1]! - u[1]! * v[0]!]
  return (n[0]! * pull[0]! + n[1]! * pull[1]! + n[2]! * pull[2]!) / Math.hypot(...n)
}

export const DEG = Math.PI / 180

/** Least draft over all facets, and least and greatest over the skirt, degrees. */
export function drafts(shell: Shell): { least: number; skirt: [number, number] } {
  let least = Infinity
  let low = Infinity
  let high = -Infinity
  const skirt = ZONES.indexOf('skirt')
  for (let f = 0; f < facetCount(shell.face); f++) {
    const s = sinDraft(shell.face, f, shell.pull)
    least = Math.min(least, s)
    if (shell.zone[f] !== skirt) continue
    low = Math.min(low, s)
    high = Math.max(high, s)
  }
  return { least: Math.asin(least) / DEG, skirt: [Math.asin(low) / DEG, Math.asin(high) / DEG] }
}

/** Every facet has its mirror image in y = 0 among the facets, corner for corner, bit for bit. */
export function expectExactlySymmetric(mesh: Mesh): void {
  const { positions: p, indices } = mesh
  const key = (f: number, mirrored: boolean) =>
    [0, 1, 2]
      .map((c) => {
        const v = 3 * indices[3 * f + c]!
        const y = mirrored ? -p[v + 1]! : p[v + 1]!
        return `${p[v]} ${y === 0 ? 0 : y} ${p[v + 2]}`
      })
      .sort()
      .join('|')
  const there = new Set<string>()
  for (let f = 0; f < facetCount(mesh); f++) there.add(key(f, false))
  let missing = 0
  for (let f = 0; f < facetCount(mesh); f++) if (!there.has(key(f, true))) missing++
  expect(missing).toBe(0)
}

export function expectClosed(solid: Mesh): void {
  expect(isClosed(drain(adjacency(solid.indices, solid.positions.length / 3)))).toBe(true)
  expect(plainVolume(solid)).toBeGreaterThan(0)
}

/** The general solid library's word on a solid: no error, one part without handles, and the divergence theorem's volume. */
export async function expectValidSolid(solid: Mesh): Promise<void> {
  const wasm = await manifold()
  wasm.setup()
  const made = new wasm.Manifold(
    new wasm.Mesh({ numProp: 3, vertProperties: solid.positions.slice(), triVerts: solid.indices.slice() }),
  )
  expect(made.status()).toBe('NoError')
  expect(made.genus()).toBe(0)
  expect(made.decompose().length).toBe(1)
  expect(made.volume() / plainVolume(solid)).toBeCloseTo(1, 6)
  made.delete()
}
