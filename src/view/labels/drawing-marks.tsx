/** What a drawing carries besides rings: numbers along the floor, ℄, the letters of the section, the pull's words. */
import { useEffect, useMemo, useRef, useState } from 'react'
import { type ShownUnit, trimmed } from '../../state/format'
import type { Stores } from '../../state/stores'
import { project, type Vec3 } from '../camera/eye'
import type { EyeMoment, EyeRig } from '../camera/eye-rig'
import type { Floor } from '../layers/floor-layer'
import type { Room } from '../room'
import { cutHandle, newCutDrag } from '../section/cut-drag'
import type { Cut } from '../section/cut-side'
import { sheetWords } from '../words'
import { asButton } from './as-button'

export interface DrawingMarksProps {
  readonly stores: Stores
  readonly rig: EyeRig
  readonly room: Room
  readonly floor: Floor
  readonly unit: ShownUnit
  /** The two ends of the cut face, job axes. */
  readonly cutEnds: readonly [Vec3, Vec3] | null
  readonly cut: Cut | null
  readonly pullHead: Vec3 | null
  readonly pullWords: string
  readonly onPull: () => void
}

/** Numbers closer together than this on the screen are left out. */
const LEAST_APART_PX = 34

export function DrawingMarks({
  stores,
  rig,
  room,
  floor,
  unit,
  cut,
  cutEnds,
  pullHead,
  pullWords,
  onPull,
}: DrawingMarksProps) {
  const root = useRef<SVGGElement>(null)
  const [drag] = useState(newCutDrag)
  const handle = cut ? cutHandle(stores, rig, cut, unit, drag) : {}
  const numbers = useMemo(() => floorNumbers(floor, unit), [floor, unit])
  useEffect(() => {
    const draw = (moment: EyeMoment) => {
      const node = root.current
      if (!node) return
      const at = (p: Vec3) => project(moment.eye, moment.basis, moment.free, p)
      const [numberGroup, centre, marks, pull] = node.children as unknown as [
        SVGGElement,
        SVGTextElement,
        SVGGElement,
        SVGTextElement,
      ]
      drawNumbers(numberGroup, numbers, floor, moment, room)
      const end = at([floor.max[0] - 38 + 60, 0, floor.z])
      place(centre, end[0], end[1] + 5)
      marks.style.display = cutEnds ? '' : 'none'
      if (cutEnds) drawEnds(marks, at(cutEnds[0]), at(cutEnds[1]))
      pull.style.display = pullHead ? '' : 'none'
      if (pullHead) {
        const [x, y] = at(pullHead)
        place(pull, x + 14, y + 4)
      }
    }
    const stop = rig.onPicture(draw)
    draw(rig.now())
    return () => void stop()
  }, [rig, room, floor, numbers, cutEnds, pullHead])
  return (
    <g ref={root} className="marks">
      <g className="floor-numbers">
        {numbers.map((n) => (
          <text key={`${n.axis}${n.at_mm}`}>{n.text}</text>
        ))}
      </g>
      <text className="centreline">℄</text>
      <g className="section-ends">
        <line />
        <line />
        <text className="cut-handle" {...handle}>
          A
        </text>
        <text className="cut-handle" {...handle}>
          A
        </text>
      </g>
      <text className="pull-words" aria-label={`${pullWords}. ${sheetWords.pullAsk}`} {...asButton(onPull)}>
        {pullWords}
      </text>
    </g>
  )
}

interface FloorNumber {
  readonly axis: 0 | 1
  readonly at_mm: number
  readonly text: string
}

function floorNumbers({ min, max }: Floor, unit: ShownUnit): FloorNumber[] {
  return ([0, 1] as const).flatMap((axis) => {
    const out: FloorNumber[] = []
    for (let v = Math.ceil(min[axis]! / 500) * 500; v <= max[axis]!; v += 500)
      out.push({ axis, at_mm: v, text: unit === 'mm' ? trimmed(v, 0) : trimmed(v / 25.4, 1) })
    return out
  })
}

/** Along the two edges of the floor that are nearest to the eye. */
function drawNumbers(group: SVGGElement, numbers: readonly FloorNumber[], floor: Floor, moment: EyeMoment, room: Room) {
  const { eye, basis, free } = moment
  // Along the floor and from under it the numbers would only be in the way.
  const flat = basis.back[2] < 0.12
  const edgeY = basis.back[1] > 0 ? floor.max[1] : floor.min[1]
  const edgeX = basis.back[0] > 0 ? floor.max[0] : floor.min[0]
  const middle = project(eye, basis, free, [
    (floor.min[0] + floor.max[0]) / 2,
    (floor.min[1] + floor.max[1]) / 2,
    floor.z,
  ])
  let last: readonly number[] | null = null
  numbers.forEach(({ axis, at_mm }, i) => {
    const node = group.children[i] as SVGTextElement
    const p = project(eye, basis, free, axis === 0 ? [at_mm, edgeY, floor.z] : [edgeX, at_mm, floor.z])
    const away = Math.hypot(p[0] - middle[0], p[1] - middle[1]) || 1
    const x = p[0] + ((p[0] - middle[0]) / away) * 16
    const y = p[1] + ((p[1] - middle[1]) / away) * 16 + 5
    const crowded = last !== null && Math.hypot(x - last[0]!, y - last[1]!) < LEAST_APART_PX
    const covered = [room.legend, room.title].some(
      (b) => b && x > b.left - 16 && x < b.right + 16 && y > b.top - 4 && y < b.bottom + 14,
    )
    const off = x < 20 || y < 16 || x > room.width - 22 || y > room.height - 8
    node.style.display = crowded || flat || covered || off ? 'none' : ''
    if (crowded) return
    last = [x, y]
    place(node, x, y)
  })
}

function drawEnds(group: SVGGElement, a: readonly number[], b: readonly number[]): void {
  const [strokeA, strokeB, letterA, letterB] = group.children as unknown as SVGElement[]
  const length = Math.hypot(b[0]! - a[0]!, b[1]! - a[1]!) || 1
  const ux = (b[0]! - a[0]!) / length
  const uy = (b[1]! - a[1]!) / length
  for (const [stroke, letter, p, way] of [
    [strokeA!, letterA!, a, -1],
    [strokeB!, letterB!, b, 1],
  ] as const) {
    const x = p[0]! + ux * way * 12
    const y = p[1]! + uy * way * 12
    stroke.setAttribute('x1', x.toFixed(1))
    stroke.setAttribute('y1', y.toFixed(1))
    stroke.setAttribute('x2', (x + ux * way * 24).toFixed(1))
    stroke.setAttribute('y2', (y + uy * way * 24).toFixed(1))
    place(letter, x + ux * way * 36, y + uy * way * 36 + 5)
  }
}

const place = (node: SVGElement, x: number, y: number) => {
  node.setAttribute('x', x.toFixed(1))
  node.setAttribute('y', y.toFixed(1))
}

export const pullWordsOf = (pull: Vec3): string =>
  Math.abs(pull[2]) < 0.99999 ? sheetWords.pullTried : pull[2] > 0 ? sheetWords.pullUp : sheetWords.pullDown
