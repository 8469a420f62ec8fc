/** The step `scan`: files in, one mesh in millimetres out, with its health, its repairs and what there is to say about it. */

import { adjacency } from '../geometry/adjacency'
import type { Point } from '../geometry/axes'
import { islands } from '../geometry/islands'
import { type Steps, within } from '../geometry/kernel'
import { bounds, facetCount, vertexCount } from '../geometry/mesh'
import { type Finding, Refused } from '../geometry/trouble'
import { assemble, type Box, boxOf, longestSide } from './assemble'
import { strayPieces } from './defect-places'
import { examine } from './health'
import { asksToRegister, joinFiles } from './join-files'
import { refuseEmpty, scaledBox } from './load-mesh'
import { noise } from './noise'
import type { RawMesh } from './raw-mesh'
import { readMeshFile } from './read-mesh-file'
import { repair } from './repair'
import { fileFindings, fitFindings, healthFindings, unitFindings } from './scan-findings'
import { type Health, type LengthUnit, MM_PER, type ScanRequest, type ScanResult, type UnitReading } from './types'
import { unitOf } from './unit'

/**
 * @throws Refused if a file cannot be read or no facet can be used
 * @example const { mesh, health } = drain(scanStep({ files: [file], unit: 'auto', repairs: [], noise_mm: null }))
 */
export function* scanStep(request: ScanRequest): Steps<ScanResult> {
  const { files } = request
  if (files.length === 0) throw new Refused('asset-missing', 'The job names no scan; add a mesh file of the frame.')
  const raws: RawMesh[] = []
  for (const [i, file] of files.entries())
    raws.push(
      yield* within(
        (0.25 * i) / files.length,
        (0.25 * (i + 1)) / files.length,
        `read ${file.name}`,
        readMeshFile(file),
      ),
    )

  const asked = (request.register ?? []).slice(0, files.length - 1)
  const moves = asksToRegister(asked)
  const { unit: read, parts, box, boxes } = yield* unitOfAll(raws, request.unit, moves)
  const joined = moves ? yield* within(0.3, 0.6, 'join', joinFiles(files, parts, boxes, asked)) : null
  const unit = joined ? { ...read, longest_mm: longestSide(joined.box) } : read
  const assembled = joined ? joined.assembled : yield* within(0.3, 0.6, 'weld', assemble(parts, box, 'scan'))
  if (facetCount(assembled.mesh) === 0) refuseEmpty(files[0]!, raws[0]!, assembled.rejected)
  const said = [
    ...unitFindings(
      unit,
      request.unit,
      raws.map((raw) => raw.unit),
    ),
    ...fileFindings(files, raws, joined?.fits ?? []),
  ]
  raws.length = 0 // the largest arrays of all; nothing below needs them
  parts.length = 0

  let mesh = assembled.mesh
  const pieces = yield* within(0.6, 0.65, 'islands', islands(mesh.indices, vertexCount(mesh)))
  const strays = yield* within(0.65, 0.66, 'islands', strayPieces(mesh, pieces))
  let unseenFacet: Uint8Array = new Uint8Array(facetCount(mesh))
  const repairFindings: Finding[] = []
  let islandsDropped = 0
  let facetsDropped = 0
  let deviation_mm = 0
  let noise_mm = request.noise_mm
  for (const [i, how] of request.repairs.entries()) {
    const share = 0.14 / request.repairs.length
    const from = 0.66 + share * i
    // Noise is the scanner's: it is asked of the facets as they came, before any are taken out.
    if (how.kind === 'thin' && noise_mm === null) {
      const { across } = yield* adjacency(mesh.indices, vertexCount(mesh))
      noise_mm = (yield* within(from, from, 'noise', noise(mesh, across))).sigma_mm
    }
    const done = yield* within(
      from,
      from + share,
      how.kind,
      repair(mesh, unseenFacet, how, i + 1, mesh === assembled.mesh ? pieces : null),
    )
    mesh = done.mesh
    unseenFacet = done.unseenFacet
    islandsDropped += done.islandsDropped
    facetsDropped += done.facetsDropped
    deviation_mm += done.deviation_mm ?? 0
    repairFindings.push(...done.findings)
  }

  const before = {
    welded: assembled.welded,
    rejected: assembled.rejected,
    islands: pieces.count,
    islandsDropped,
    facetsDropped,
  }
  const examined = yield* within(0.8, 1, 'health', examine(mesh, before, noise_mm, null))
  const health = thinnedHealth(examined.health, deviation_mm, request.noise_mm !== null)
  // The rim of a hole that was filled is still the edge of what was seen.
  const { rimVertex } = examined
  for (let f = 0; f < unseenFacet.length; f++)
    if (unseenFacet[f]) for (let k = 0; k < 3; k++) rimVertex[mesh.indices[f * 3 + k]!] = 1
  const { min, max } = bounds(mesh)
  const middle: Point = [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2]
  const fits = joined?.fits ?? []
  const findings = [
    ...said,
    ...fitFindings(fits, health.noise_mm, middle),
    ...repairFindings,
    ...healthFindings(examined, pieces.count - islandsDropped, middle),
  ]
  return {
    mesh,
    rimVertex,
    unseenFacet,
    unit,
    ...(fits.length > 0 ? { fits } : {}),
    health,
    places: { strays, ...examined.places },
    findings,
  }
}

/** A guard band of twice the noise then covers the largest distance by which thinning moved the surface. */
function thinnedHealth(health: Health, deviation_mm: number, said: boolean): Health {
  if (deviation_mm === 0) return { ...health, noiseFrom: said ? 'user' : 'patches' }
  const half = deviation_mm / 2
  return {
    ...health,
    noise_mm: Math.sqrt(health.noise_mm * health.noise_mm + half * half),
    noiseFrom: said ? 'user' : 'patches',
  }
}

/** One unit for all files that state none; a file's own statement counts for that file alone. */
function* unitOfAll(raws: readonly RawMesh[], asked: 'auto' | LengthUnit, apart: boolean) {
  const boxes: Box[] = []
  for (const raw of raws) boxes.push(yield* within(0.25, 0.3, 'size', boxOf(raw)))
  const silent = boxes.filter((_, i) => raws[i]!.unit === null)
  const stated = raws.find((raw) => raw.unit !== null)?.unit ?? null
  // Files without a unit are guessed by their common box; if all state one, the first is shown.
  // Files that do not share their axes yet have no common box: then by the largest of them.
  const size = (some: readonly Box[]) => (apart ? Math.max(...some.map(longestSide)) : longestSide(around(some)))
  const unit: UnitReading =
    silent.length > 0 ? unitOf(asked, null, size(silent), 'frame') : unitOf(asked, stated, size(boxes), 'frame')
  const parts = raws.map((raw) => ({ raw, mmPerUnit: MM_PER[asked === 'auto' ? (raw.unit ?? unit.unit) : asked] }))
  const scaled = boxes.map((b, i) => scaledBox(b, parts[i]!.mmPerUnit))
  const box = around(scaled)
  return { unit: { ...unit, longest_mm: longestSide(box) }, parts, box, boxes: scaled }
}

function around(boxes: readonly Box[]): Box {
  const low = (k: number) => Math.min(...boxes.map((b) => b.min[k]!))
  const high = (k: number) => Math.max(...boxes.map((b) => b.max[k]!))
  return { min: [low(0), low(1), low(2)], max: [high(0), high(1), high(2)] }
}
