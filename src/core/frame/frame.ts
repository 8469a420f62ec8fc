import { type Steps, within } from '../geometry/kernel'
import type { Finding } from '../geometry/trouble'
import { type Metal, metalOf } from './cloud'
import { describeTubes } from './describe-tubes'
import { type FoundPlate, findPlates } from './find-plates'
import { findTubes } from './find-tubes'
import { labelFacets } from './label-facets'
import { sectionOf } from './section'
import { type EndedTube, endTubes, standOnPlates } from './tube-ends'
import type { FrameRequest, FrameResult, Plate, Tube, TubeSection } from './types'

/**
 * Finds tubes and plates of a scanned frame, in scan axes: no pose is needed, and the best centreline comes from the tubes.
 * Never refuses: a scan without tubes gives an empty list and a finding.
 */
export function* frameStep(request: FrameRequest): Steps<FrameResult> {
  const { mesh, noise_mm } = request
  const metal: Metal = yield* within(0, 0.15, 'normals', metalOf(mesh))
  const pieces = yield* within(0.15, 0.65, 'tubes', findTubes(metal.cloud, metal.edge_mm, noise_mm))
  yield { fraction: 0.66, label: 'joints' }
  const ended = yield* endTubes(metal.cloud, pieces, noise_mm)
  yield { fraction: 0.7, label: 'joints' }
  const { tubeOfFacet, sigma_mm } = yield* within(
    0.7,
    0.85,
    'tubes',
    labelFacets(mesh, metal.vertexNormals, ended, noise_mm, metal.edge_mm),
  )
  const found = yield* within(
    0.85,
    0.99,
    'plates',
    findPlates(mesh, metal.vertexNormals, tubeOfFacet, noise_mm, metal.edge_mm),
  )
  const described = describeTubes(standOnPlates(ended, found), mesh.origin)
  // Standing on plates keeps the order of the tubes.
  const tubes = described.map((tube, i): Tube => {
    const section = isRound(tube, noise_mm) ? null : sectionOf(metal.cloud, ended[i]!)
    return section ? { ...tube, section } : tube
  })
  const plates = found.map((p, i): Plate => plateOf(p, i, mesh.origin))
  const tubeNoise_mm = Math.max(sigma_mm, noiseOf(ended))
  return {
    tubes,
    plates,
    tubeOfFacet,
    noise_mm: tubeNoise_mm,
    findings: [...findingsOf(ended, metal, tubeNoise_mm, noise_mm), ...notRound(tubes, noise_mm)],
  }
}

const plateOf = (plate: FoundPlate, i: number, origin: readonly [number, number, number]): Plate => ({
  id: `plate-${i + 1}`,
  thickness_mm: plate.thickness_mm,
  area_mm2: plate.area_mm2,
  at: [plate.at[0] + origin[0], plate.at[1] + origin[1], plate.at[2] + origin[2]],
  normal: plate.normal,
})

/**
 * 1 sigma by the middle of the stations' own robust figures. The larger of this and of the residual to whole tubes is reported:
 * unlike the residual of small patches neither is fooled by a scanner that smooths.
 */
function noiseOf(tubes: readonly EndedTube[]): number {
  const sigmas = tubes
    .flatMap((t) => t.piece.stations.filter((s) => !s.weak && s.coverage > 0.8).map((s) => s.sigma_mm))
    .sort((a, b) => a - b)
  return sigmas.length > 0 ? sigmas[sigmas.length >> 1]! : Number.NaN
}

function findingsOf(tubes: readonly EndedTube[], metal: Metal, tubeNoise: number, noise: number): Finding[] {
  const out: Finding[] = []
  if (tubes.length === 0)
    out.push({
      id: 'frame.no-tubes',
      step: 'frame',
      severity: 'note',
      message:
        'No round tube was found; the centreline will be measured on points, and nothing can be marked as bearing.',
      advice:
        'Look at the unit and the noise of the scan, and whether its facets look outwards (a repair turns them). Square sections with sharp corners are not found.',
    })
  const smallest = Math.min(...tubes.map((t) => t.piece.radius_mm))
  // A facet's chord makes a tube thinner by about e²/(2D): not corrected, since vertices may as well lie on the metal.
  const chord = (metal.edge_mm * metal.edge_mm) / (4 * smallest)
  if (tubes.length > 0 && chord > 0.3)
    out.push({
      id: 'frame.coarse',
      step: 'frame',
      severity: 'note',
      message: `Diameters are those of the mesh: facets of ${metal.edge_mm.toFixed(1)} mm may show the thinnest tube ${chord.toFixed(1)} mm too thin.`,
      value: chord,
      limit: 0.3,
      unit: 'mm',
    })
  if (tubeNoise > 1.25 * noise + 0.02)
    out.push({
      id: 'frame.noise',
      step: 'frame',
      severity: 'note',
      message: `The tubes show more noise (${tubeNoise.toFixed(2)} mm) than small patches do (${noise.toFixed(2)} mm): the scanner may have smoothed. The larger figure should be used.`,
      value: tubeNoise,
      limit: noise,
      unit: 'mm',
    })
  return out
}

/** A section that lies this many times the noise off a circle, and by at least so much, is no round tube with noise on it. */
const OUT_OF_ROUND = 2.5
const LEAST_OUT_MM = 0.6
const LEAST_NOISE_MM = 0.1

/** Square and oval tubes are found as round ones; their residual gives them away. */
const isRound = ({ rms_mm }: Tube, noise: number): boolean =>
  !(rms_mm > Math.max(OUT_OF_ROUND * Math.max(noise, LEAST_NOISE_MM), LEAST_OUT_MM))

const notRound = (tubes: readonly Tube[], noise: number): Finding[] =>
  tubes
    .filter((tube) => !isRound(tube, noise))
    .map((tube): Finding => {
      const { id, section, rms_mm } = tube
      const middle = 3 * Math.floor(tube.axis.length / 6)
      const known = section !== undefined
      // As the page calls it until somebody gives it a name.
      const name = id.replace('tube-', 'Tube ')
      return {
        id: `frame.not-round.${id}`,
        step: 'frame',
        severity: known ? 'note' : 'warning',
        message: known
          ? `${name} is ${sectionWords(section)}; elsewhere it is drawn and paired as a round one of ${tube.diameter_mm.toFixed(1)} mm.`
          : `${name} is not round: its metal lies ${rms_mm.toFixed(2)} mm (rms) off a circle of ${tube.diameter_mm.toFixed(1)} mm, where noise explains ${noise.toFixed(2)} mm; nor does an oval or a square explain it.`,
        advice: `${known ? 'Check one measure by hand' : 'Do not use its diameter; measure it by hand'}. What clears is measured on the scan itself, not on the tube.`,
        where: [tube.axis[middle]!, tube.axis[middle + 1]!, tube.axis[middle + 2]!],
        value: rms_mm,
        limit: noise,
        unit: 'mm',
      }
    })

const sectionWords = ({ kind, wide_mm, narrow_mm, corner_mm }: TubeSection): string =>
  `${kind === 'oval' ? 'oval' : 'of square section'}, ${wide_mm.toFixed(1)} by ${narrow_mm.toFixed(1)} mm${corner_mm === null ? '' : ` with corners of ${corner_mm.toFixed(1)} mm`}`
