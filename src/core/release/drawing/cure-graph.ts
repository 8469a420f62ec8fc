/** When what may be done after the gelcoat: a band for each event on a line of hours, in paper millimetres. */
import type { CureEvent } from '../../build-plan'
import { area, type Drawing, INK, INK_2, LAMINATE, line, RULE, type Shape, words } from './drawing'

const WIDE = 170
const ROW = 8
const TICKS_H = [1, 4, 12, 24, 72, 168, 336]

const hours = (v: number): string => v.toFixed(v < 10 ? 1 : 0)

/** The scale grows with the square root of the hours, so that the first hours and the weeks can both be read. */
export function cureGraph(events: readonly CureEvent[]): Drawing | null {
  if (events.length === 0) return null
  const most = Math.max(1, ...events.map((e) => e.to_h))
  const x = (h: number) => WIDE * Math.sqrt(Math.max(h, 0) / most)
  const foot = -ROW * events.length - 1
  const shapes: Shape[] = []
  for (const h of TICKS_H)
    if (h < most)
      shapes.push(
        line(
          [
            [x(h), 0],
            [x(h), foot],
          ],
          RULE,
          0.15,
        ),
        words([x(h), foot - 3.4], `${h} h`, { anchor: 'middle', ink: INK_2 }),
      )
  for (const [i, e] of events.entries()) {
    const y = -ROW * i - 3
    const [x0, x1] = [x(e.from_h), Math.max(x(e.to_h), x(e.from_h) + 0.6)]
    const when = e.clock ? `${e.clock[0]} – ${e.clock[1]}` : `${hours(e.from_h)} – ${hours(e.to_h)} h`
    const label = `${e.name}${e.temperature_C === undefined ? '' : ` at ${e.temperature_C} °C`}: ${when}`
    shapes.push(
      area(
        [
          [
            [x0, y - 4],
            [x1, y - 4],
            [x1, y - 1],
            [x0, y - 1],
          ],
        ],
        LAMINATE,
        INK,
        0.15,
      ),
      words([0, y], label, { ink: INK }),
    )
  }
  return {
    title: 'Cure clock: hours after the gelcoat is laid',
    box: { x0: -2, y0: foot - 5, x1: WIDE + 4, y1: 1 },
    scale: 1,
    shapes,
  }
}
