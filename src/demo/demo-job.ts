/**
 * The demo: a canopy for a harbour survey launch, as one `.mwjob` file. Same bytes every time.
 */
import { type Zippable, zipSync } from 'fflate'
import type { Steps } from '../core/geometry/kernel'
import { type Mesh, makeMesh } from '../core/geometry/mesh'
import { writeStl } from '../core/release/writers/stl'
import type { Accessory } from './accessories'
import { type FrameOptions, type FrameTruth, frameSolid } from './frame-solid'
import { type ScanOptions, type ScanTruth, scanSolid } from './scan-solid'

const DEMO_FRAME: FrameOptions = { seed: 5, asymmetry_mm: 5, twist_mm: 0, bentLeg_mm: 0, wider_mm: 0 }

/** As many facets as fit: what is committed under `assets/` stays below 4 MB. */
const DEMO_SCAN: ScanOptions = {
  seed: 5,
  facets: 100_000,
  noise_mm: 0.3,
  holes: 15,
  islands: 8,
  pose: 'random',
}

/** The demo scan's coordinates are rounded to this, mm: a thirtieth of its noise, and it packs a third smaller. */
export const DEMO_STEP_MM = 0.01

/** Where each accessory goes, job axes; the ring is about 2.6 m by 1.86 m. */
const PLACES: readonly {
  readonly name: string
  readonly key: Accessory['key']
  readonly at_mm: readonly [number, number]
  readonly turn_deg?: number
  readonly upright?: boolean
  readonly mirror?: boolean | 'position'
  readonly comment?: string
  readonly light?: { readonly kind: 'all-round' | 'deck'; readonly source_mm?: number }
  /** The land under it. With `bothSides` the top carries a blank one too, and stays symmetric. */
  readonly seat?: { readonly kind: 'pad'; readonly bothSides?: boolean }
}[] = [
  {
    name: 'lamp',
    key: 'lamp',
    at_mm: [900, 0],
    upright: true,
    comment: 'all-round lamp, on the centreline',
    light: { kind: 'all-round', source_mm: 105 },
    seat: { kind: 'pad' },
  },
  { name: 'antenna mount', key: 'antenna-mount', at_mm: [-820, 0], upright: true },
  { name: 'hatch', key: 'hatch', at_mm: [180, 0], comment: 'hinges aft' },
  {
    name: 'equipment box',
    key: 'equipment-box',
    at_mm: [-360, -430],
    comment: 'cable glands aft',
    seat: { kind: 'pad', bothSides: true },
  },
  {
    name: 'floodlight',
    key: 'floodlight',
    at_mm: [1040, 560],
    mirror: true,
    comment: 'handed: the lead leaves outboard',
    light: { kind: 'deck' },
  },
  { name: 'grab rail', key: 'grab-rail', at_mm: [200, 690], mirror: 'position', seat: { kind: 'pad' } },
]

/** The job document. @param hash SHA-256 of bytes, hex */
function demoJob(scan: Uint8Array, parts: readonly Accessory[], hash: (bytes: Uint8Array) => string) {
  return {
    format: 'mouldwright-job',
    version: 1,
    title: 'Survey launch canopy',
    scan: { files: [{ asset: hash(scan), name: 'frame-scan.stl' }], unit: 'mm' },
    // The bow is at the end that the automatic choice does not take: the instrument plate weighs the metal forward.
    datum: { forwardFlipped: true },
    clearance: { gap_mm: 12, symmetric: true, draft_deg: 3, skirt_mm: 45, overhang_mm: 0, minRadius_mm: 12 },
    fittings: PLACES.map(({ key, ...place }) => {
      const part = parts.find((one) => one.key === key)
      if (!part) throw new Error(`demo: no accessory is called ${key}`)
      return {
        name: place.name,
        mesh: { asset: hash(part.bytes), name: part.fileName },
        unit: part.unit,
        on: 'topside',
        at_mm: place.at_mm,
        turn_deg: place.turn_deg ?? 0,
        upright: place.upright ?? false,
        mirror: place.mirror ?? false,
        mass_kg: part.mass_kg,
        comment: place.comment ?? '',
        ...(place.light && { light: place.light }),
        ...(place.seat && { seat: place.seat }),
      }
    }),
  }
}

export interface Demo {
  readonly job: ReturnType<typeof demoJob>
  /** The `.mwjob` file. */
  readonly bytes: Uint8Array
  readonly scan: Mesh<'scan'>
  readonly truth: FrameTruth & { readonly scan: ScanTruth }
}

/**
 * Makes the demo. The parts are made beforehand, because their union needs a library that loads asynchronously.
 *
 * @param parts from `accessories()`
 */
export function* makeDemo(parts: readonly Accessory[], hash: (bytes: Uint8Array) => string): Steps<Demo> {
  const { solid, truth } = frameSolid(DEMO_FRAME)
  const { mesh, truth: scanTruth } = yield* scanSolid(solid, truth, DEMO_SCAN)
  const scan = roundedTo(mesh, DEMO_STEP_MM)
  const scanBytes = writeStl(scan, 'scan of a welded frame, mm')
  const job = demoJob(scanBytes, parts, hash)
  // In local time, as the zip stores it, so that the bytes do not depend on the time zone.
  const how = { mtime: new Date(1980, 0, 1), level: 9 as const }
  const files: Zippable = { 'job.json': [new TextEncoder().encode(`${JSON.stringify(job, null, 2)}\n`), how] }
  const named = [scanBytes, ...parts.map((part) => part.bytes)].map((bytes) => ({ sha: hash(bytes), bytes }))
  for (const { sha, bytes } of named.sort((a, b) => (a.sha < b.sha ? -1 : 1))) files[`assets/${sha}`] = [bytes, how]
  return { job, bytes: zipSync(files), scan, truth: { ...truth, scan: scanTruth } }
}

/** The same mesh with coordinates rounded to a step, mm; a step of 0 leaves it. */
export function roundedTo(mesh: Mesh<'scan'>, step_mm: number): Mesh<'scan'> {
  if (step_mm === 0) return mesh
  const per = 1 / step_mm
  const positions = mesh.positions.map((value) => Math.round(value * per) / per)
  return makeMesh('scan', positions, mesh.indices)
}
