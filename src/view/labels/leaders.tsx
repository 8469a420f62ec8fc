/** Rings of findings at the ends of their leaders, over the drawing. They follow the camera picture by picture. */
import { useEffect, useMemo, useRef } from 'react'
import { useStore } from 'zustand'
import { chooseFinding } from '../../state/session-moves'
import type { Stores } from '../../state/stores'
import { project } from '../camera/eye'
import type { EyeMoment, EyeRig } from '../camera/eye-rig'
import type { Room } from '../room'
import { usePlacedFindings } from '../use-drawn'
import { sheetWords } from '../words'
import { asButton } from './as-button'
import { layLabels, RING_PX } from './label-layout'
import { labelWords } from './label-words'
import { textWidth } from './text-width'

export interface LeadersProps {
  readonly stores: Stores
  readonly rig: EyeRig
  readonly room: Room
}

const WORDS_FONT = '500 15px "Alegreya Sans"'

export function Leaders({ stores, rig, room }: LeadersProps) {
  const findings = usePlacedFindings(stores)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const chosen = useStore(stores.session, (s) => s.finding)
  const group = useRef<SVGGElement>(null)
  const before = useRef(new Map<string, number>())
  const words = useMemo(
    () =>
      findings.map(({ finding }) => (room.size === 'phone' && finding.id !== chosen ? '' : labelWords(finding, unit))),
    [findings, unit, room.size, chosen],
  )

  useEffect(() => {
    const draw = (moment: EyeMoment) => {
      const root = group.current
      if (!root) return
      const spots = findings.map(({ at }) => project(moment.eye, moment.basis, moment.free, at))
      const shown = spots.map(([x, y]) => inSight(room, x, y))
      const wishes = findings.flatMap(({ finding }, i) =>
        shown[i]
          ? [
              {
                id: finding.id,
                x: spots[i]![0],
                y: spots[i]![1],
                words_px: words[i] === '' ? 0 : textWidth(words[i]!, WORDS_FONT),
                before: before.current.get(finding.id) ?? -1,
              },
            ]
          : [],
      )
      const places = layLabels(wishes, freeRoom(room), takenBoxes(room))
      findings.forEach(({ finding }, i) => {
        const node = root.children[i] as SVGGElement | undefined
        if (!node) return
        const at = wishes.findIndex((w) => w.id === finding.id)
        node.style.display = at < 0 ? 'none' : ''
        if (at < 0) return
        const place = places[at]!
        before.current.set(finding.id, place.place)
        setLeader(node, spots[i]!, place)
      })
    }
    const stop = rig.onPicture(draw)
    draw(rig.now())
    return () => void stop()
  }, [rig, room, findings, words])

  return (
    <g ref={group} className="leaders">
      {findings.map(({ finding, number }, i) => (
        <g key={finding.id} className={`leader ${finding.severity}${finding.id === chosen ? ' chosen' : ''}`}>
          <line className="casing" />
          <line className="line" />
          <circle className="spot" r={2.6} />
          <g
            className="ring-button"
            aria-label={sheetWords.finding(number, finding.message)}
            {...asButton(() => chooseFinding(stores.session, finding, stores.results.getState().steps))}
          >
            <circle className="ring" r={RING_PX} />
          </g>
          <text className="number">{number}</text>
          <text className="words">{words[i]}</text>
        </g>
      ))}
    </g>
  )
}

function setLeader(
  node: SVGGElement,
  [x, y]: readonly [number, number, number],
  place: { x: number; y: number; side: 'left' | 'right' },
): void {
  const [casing, line, spot, button, number, words] = node.children as unknown as SVGElement[]
  const dx = x - place.x
  const dy = y - place.y
  const length = Math.hypot(dx, dy) || 1
  for (const l of [casing!, line!]) {
    set(l, { x1: place.x + (dx / length) * RING_PX, y1: place.y + (dy / length) * RING_PX, x2: x, y2: y })
  }
  set(spot!, { cx: x, cy: y })
  set(button!.children[0]!, { cx: place.x, cy: place.y })
  set(number!, { x: place.x, y: place.y + 5 })
  set(words!, { x: place.x + (place.side === 'left' ? -1 : 1) * (RING_PX + 6), y: place.y + 5 })
  words!.setAttribute('text-anchor', place.side === 'left' ? 'end' : 'start')
}

const set = (node: Element, values: Readonly<Record<string, number>>) => {
  for (const [name, value] of Object.entries(values)) node.setAttribute(name, value.toFixed(1))
}

/** On the sheet, and not under the glass. */
const inSight = ({ width, height, glass }: Room, x: number, y: number): boolean =>
  x > 0 && y > 0 && x < width && y < height && !(glass && Math.hypot(x - glass.cx, y - glass.cy) < glass.r)

const freeRoom = ({ free, width, height }: Room) => ({
  left: 10,
  top: 34,
  right: Math.min(free.left + free.width + 14, width - 10),
  bottom: height - 12,
})

const takenBoxes = ({ legend, title, glass }: Room) => [
  ...(legend ? [legend] : []),
  ...(title ? [title] : []),
  ...(glass
    ? [
        {
          left: glass.cx - glass.r - 70,
          top: glass.cy - glass.r,
          right: glass.cx + glass.r,
          bottom: glass.cy + glass.r,
        },
      ]
    : []),
]
