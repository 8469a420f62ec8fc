/**
 * The cure clock: when each part may be touched, demoulded, post-cured and loaded, as bands. Times at the shop's temperature:
 * they halve per 10 °C up (B11), and because that factor is really 1.5 to 2.5 the band widens with the distance from 20 °C.
 * The hours at 20 °C are common practice without a source; the resin's data sheet decides.
 */
import { power } from '../geometry/portable-math'
import { Refused } from '../geometry/trouble'
import type { BuildSettings, CureEvent, Resin20 } from './types'

/** Hours at 20 °C after the last resin, low and high. (Common practice, no source.) */
export const CURE_AT_20: Readonly<Record<string, Resin20>> = {
  polyester: {
    gelcoat_h: [2, 4],
    demould_h: [12, 24],
    load_h: [72, 168],
    postCure: { temperature_C: 60, hours: [4, 8] },
  },
  vinylester: {
    gelcoat_h: [2, 4],
    demould_h: [16, 24],
    load_h: [72, 168],
    postCure: { temperature_C: 70, hours: [4, 8] },
  },
  epoxy: { gelcoat_h: [3, 6], demould_h: [24, 48], load_h: [96, 168], postCure: { temperature_C: 60, hours: [6, 10] } },
}
/** Bonding paste at 20 °C until the weights may go, and until it may be loaded, hours. (Common practice, no source.) */
const PASTE_AT_20 = { release_h: [4, 8], load_h: [24, 48] } as const

/** Least and greatest factor on times at 20 °C: powers of 1.5, 2 and 2.5. */
export function rateBand(temperature_C: number): readonly [number, number] {
  const all = [1.5, 2, 2.5].map((f) => power(f, (20 - temperature_C) / 10))
  return [Math.min(...all), Math.max(...all)]
}

/**
 * Events in order, hours after the start: gelcoat ready, resin through, gel, demould, post-cure, bond, load.
 *
 * @param fill_min band of the slowest shell's filling; null: laminated by hand
 */
export function cureClock(
  settings: Pick<BuildSettings, 'shop_C' | 'resin' | 'start'>,
  fill_min: readonly [number, number] | null,
  gel_min: number,
  bonded: boolean,
): readonly CureEvent[] {
  const at20 = CURE_AT_20[settings.resin] ?? CURE_AT_20['polyester']!
  const [slow, fast] = rateBand(settings.shop_C)
  const scaled = ([low, high]: readonly [number, number]): [number, number] => [low * slow, high * fast]
  const after = (from: readonly [number, number], by: readonly [number, number]): [number, number] => [
    from[0] + by[0],
    from[1] + by[1],
  ]
  const events: { name: string; from: [number, number]; caution?: string; temperature_C?: number }[] = []
  const put = (name: string, from: [number, number], caution?: string, at_C?: number) => {
    events.push({
      name,
      from,
      ...(caution === undefined ? {} : { caution }),
      ...(at_C === undefined ? {} : { temperature_C: at_C }),
    })
    return from
  }
  const gelcoat = put('gelcoat ready to lay on', scaled(at20.gelcoat_h))
  const through = fill_min
    ? put('resin through, feeds closed', after(gelcoat, [fill_min[0] / 60, fill_min[1] / 60]))
    : gelcoat
  const gel = put(
    'gel',
    after(fill_min ? gelcoat : through, [(gel_min * slow) / fast / 60, gel_min / 60]),
    'mixed resin heats up by itself',
  )
  const demould = put('demould', after(gel, scaled(at20.demould_h)))
  const { temperature_C, hours } = at20.postCure
  const post = put(
    'post-cured',
    after(demould, hours),
    'post-cure by the data sheet: raise slowly, on the mould or a cradle',
    temperature_C,
  )
  if (bonded) {
    const closed = put('joint: weights off', after(demould, scaled(PASTE_AT_20.release_h)))
    put('joint may be loaded', after(closed, scaled(PASTE_AT_20.load_h)))
  }
  put('laminate may be loaded', [Math.min(post[0], gel[0] + at20.load_h[0] * slow), gel[1] + at20.load_h[1] * fast])
  return events.map(({ name, from, caution, temperature_C: at_C }) => ({
    name,
    from_h: from[0],
    to_h: from[1],
    clock: settings.start === '' ? null : [clockAt(settings.start, from[0]), clockAt(settings.start, from[1])],
    ...(caution === undefined ? {} : { caution }),
    ...(at_C === undefined ? {} : { temperature_C: at_C }),
  }))
}

/**
 * Wall clock so many hours after a typed start, `2026-11-25 14:30`. No time zone: what is typed is what the shop's clock says.
 *
 * @throws Refused `setting-impossible` for a start that is no date
 */
export function clockAt(start: string, hours: number): string {
  const at = Date.parse(`${start}:00Z`)
  if (!Number.isFinite(at))
    throw new Refused(
      'setting-impossible',
      `build: the start ${start} is no date and time; write it as 2026-11-25T08:00.`,
    )
  return new Date(at + Math.round(hours * 60) * 60_000).toISOString().slice(0, 16).replace('T', ' ')
}
