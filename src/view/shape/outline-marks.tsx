/** The drawn outline with its points as handles: dragged, moved by arrow keys, taken away, and added in the middle of a side. */
import { type KeyboardEvent, type PointerEvent, useEffect, useMemo, useRef } from 'react'
import { useStore } from 'zustand'
import { lengthText } from '../../state/format'
import {
  type DrawnOutline,
  middleOfSide,
  outlineInJob,
  outlineShown,
  type PlanPlace,
  sideCount,
  takeOutline,
  withMoved,
  withoutPoint,
  withPoint,
} from '../../state/outline-edit'
import type { Stores } from '../../state/stores'
import { project } from '../camera/eye'
import type { EyeMoment, EyeRig } from '../camera/eye-rig'
import { outlineMarkWords as words } from '../words'
import { planeUnder } from './plane-under'

/** An outline out of a file may have thousands of points: more than this are no handles for a hand. */
const MOST_HANDLES = 60

const WAYS: Readonly<Record<string, PlanPlace>> = {
  ArrowUp: [1, 0],
  ArrowDown: [-1, 0],
  ArrowLeft: [0, 1],
  ArrowRight: [0, -1],
}

export function OutlineMarks({ stores, rig, height_mm }: { stores: Stores; rig: EyeRig; height_mm: number }) {
  useStore(stores.session, (s) => s.trial?.outline)
  useStore(stores.jobs, (s) => s.history.job.clearance.outline)
  const chosen = useStore(stores.session, (s) => s.outlinePoint)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const outline = outlineShown(stores)
  const root = useRef<SVGGElement>(null)
  const few = outline !== null && outline.points.length <= MOST_HANDLES
  const places = useMemo(
    () =>
      outline && few
        ? [
            ...outline.points.map((p) => p.at_mm),
            ...Array.from({ length: sideCount(outline) }, (_, side) => middleOfSide(outline, side)),
          ]
        : [],
    [outline, few],
  )
  useEffect(() => {
    const draw = (moment: EyeMoment) => {
      const at = ([x, y]: PlanPlace) => {
        const [u, v] = project(moment.eye, moment.basis, moment.free, [x, y, height_mm])
        return `${u.toFixed(1)} ${v.toFixed(1)}`
      }
      const { current } = root
      if (!current || !outline) return
      const half = outline.points.map((p) => at(p.at_mm)).join('L')
      const twin = outline.points.map((p) => at([p.at_mm[0], -p.at_mm[1]])).join('L')
      for (const line of current.querySelectorAll('.outline-line'))
        line.setAttribute('d', outline.mirrored ? `M${half}` : `M${half}Z`)
      current.querySelector('.outline-twin')?.setAttribute('d', outline.mirrored ? `M${twin}` : '')
      current.querySelectorAll('.outline-handle').forEach((handle, k) => {
        if (places[k]) handle.setAttribute('transform', `translate(${at(places[k])})`)
      })
    }
    const stop = rig.onPicture(draw)
    draw(rig.now())
    return () => void stop()
  }, [rig, outline, places, height_mm])
  if (!outline) return null
  return (
    <g ref={root} className="outline-marks" data-testid="outline-marks">
      <path className="casing outline-line" />
      <path className="shape-line outline-twin" />
      <path className="shape-line outline-line" />
      {few &&
        outline.points.map((point, number) => (
          <g
            // Points have no names but their numbers.
            key={`point ${String(number)}`}
            className="outline-handle"
            {...{ 'aria-pressed': number === chosen }}
            aria-label={words.point(number + 1, lengthText(point.at_mm[0], unit), lengthText(point.at_mm[1], unit))}
            data-testid={`outline-point-${number}`}
            {...handleOf(stores, rig, outline, number, height_mm)}
          >
            <circle className="outline-hit" r={14} />
            <rect x={-4.5} y={-4.5} width={9} height={9} />
          </g>
        ))}
      {few &&
        Array.from({ length: sideCount(outline) }, (_, side) => (
          <g
            key={`side ${String(side)}`}
            className="outline-handle outline-side"
            aria-label={words.side(side + 1)}
            data-testid={`outline-side-${side}`}
            {...sideButton(() => addPoint(stores, outline, side))}
          >
            <circle className="outline-hit" r={11} />
            <path d="M-4 0h8M0 -4v8" />
          </g>
        ))}
    </g>
  )
}

/** For the pointer alone: the keyboard adds a point from the one before it. */
const sideButton = (press: () => void) => ({ role: 'button', tabIndex: -1, onClick: press }) as const

function addPoint(stores: Stores, outline: DrawnOutline, side: number): void {
  if (takeOutline(stores, withPoint(outline, side), words.added) === null)
    stores.session.setState({ outlinePoint: side + 1 })
}

function handleOf(stores: Stores, rig: EyeRig, outline: DrawnOutline, number: number, z: number) {
  const choose = () => stores.session.setState({ outlinePoint: number })
  const placeOf = (e: PointerEvent<SVGGElement>) => {
    const box = e.currentTarget.ownerSVGElement!.getBoundingClientRect()
    return planeUnder(rig.now(), z, e.clientX - box.left, e.clientY - box.top)
  }
  const drop = (e: PointerEvent<SVGGElement>, kept: boolean) => {
    if (!e.currentTarget.hasPointerCapture(e.pointerId)) return
    e.currentTarget.releasePointerCapture(e.pointerId)
    const tried = outlineShown(stores)
    if (kept && tried && stores.session.getState().trial) takeOutline(stores, tried, words.moved(number + 1))
    stores.session.setState({ trial: null })
  }
  return {
    role: 'button',
    tabIndex: 0,
    onPointerDown(e: PointerEvent<SVGGElement>) {
      if (e.button !== 0) return
      e.stopPropagation()
      choose()
      e.currentTarget.setPointerCapture(e.pointerId)
    },
    onPointerMove(e: PointerEvent<SVGGElement>) {
      if (!e.currentTarget.hasPointerCapture(e.pointerId)) return
      const at = placeOf(e)
      const from = outlineInJob(stores)
      if (at && from) stores.session.setState({ trial: { outline: withMoved(from, number, [at[0], at[1]]) } })
    },
    onPointerUp: (e: PointerEvent<SVGGElement>) => drop(e, true),
    onPointerCancel: (e: PointerEvent<SVGGElement>) => drop(e, false),
    onFocus: choose,
    onKeyDown(e: KeyboardEvent) {
      const way = WAYS[e.key]
      const by = e.shiftKey ? 10 : 1
      const { at_mm } = outline.points[number]!
      if (way) {
        const to: PlanPlace = [at_mm[0] + by * way[0], at_mm[1] + by * way[1]]
        takeOutline(stores, withMoved(outline, number, to), words.moved(number + 1))
      } else if (e.key === 'Delete' || e.key === 'Backspace') {
        takeOutline(stores, withoutPoint(outline, number), words.gone(number + 1))
      } else if (e.key === 'Insert' || e.key === '+') {
        addPoint(stores, outline, Math.min(number, sideCount(outline) - 1))
      } else return
      e.preventDefault()
      e.stopPropagation()
    },
  } as const
}
