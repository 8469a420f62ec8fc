import type { Finding } from '../geometry/trouble'
import type { DrainingCamber, TrimWater } from './water-trims'

/** One finding for level trim and one for each trim at which water stands; the draining camber is offered by the first of them. */
export function waterFindings(water: readonly TrimWater[], drain: DrainingCamber | null): Finding[] {
  const wet = water.map((w, k) => ({ ...w, k })).filter((w) => w.ponds.length > 0)
  return wet.map(({ trim, ponds, area_mm2, depth_mm, k }, n): Finding => {
    const id = k === 0 ? 'clearance.standing-water' : `clearance.standing-water.${k}`
    const at = trim ? `At the trim “${trim.name}” (${trimText(trim.pitch_deg, trim.heel_deg)})` : 'At level trim'
    return {
      id,
      step: 'clearance',
      severity: 'warning',
      message: `${at} water stands on the topside in ${ponds.length} place${ponds.length > 1 ? 's' : ''}, over ${Math.ceil(area_mm2 / 1e4) / 100} m² and up to ${depth_mm.toFixed(2)} mm deep.`,
      advice: drain
        ? `A camber of ${drain.camberAcross_mm} mm radius athwart and ${drain.camberAlong_mm} mm fore and aft, with a fair radius of ${drain.fairRadius_mm} mm, drains it at every trim asked about; the top rises by about ${Math.max(0, Math.ceil(drain.rise_mm))} mm.`
        : 'No camber down to 1.9 m radius drains it, on a sheet sixteen times as fair either: raise the metal in the middle, or ask for less trim.',
      where: ponds[0]!.at,
      value: depth_mm,
      limit: 0,
      unit: 'mm',
      ...(drain && n === 0
        ? {
            remedy: {
              words: 'give it that camber',
              clearance: {
                camberAcross_mm: drain.camberAcross_mm,
                camberAlong_mm: drain.camberAlong_mm,
                fairRadius_mm: drain.fairRadius_mm,
              },
            },
          }
        : {}),
    }
  })
}

const trimText = (pitch_deg: number, heel_deg: number): string => {
  const pitch = pitch_deg === 0 ? [] : [`${Math.abs(pitch_deg)}° by the ${pitch_deg > 0 ? 'stern' : 'bow'}`]
  const heel = heel_deg === 0 ? [] : [`${Math.abs(heel_deg)}° to ${heel_deg > 0 ? 'starboard' : 'port'}`]
  return [...pitch, ...heel].join(', ') || 'level'
}
