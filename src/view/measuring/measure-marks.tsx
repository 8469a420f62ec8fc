/** Dimensions on the drawing: line, two heads, the number beside its middle. They follow the eye picture by picture. */
import { useEffect, useRef } from 'react'
import { useStore } from 'zustand'
import type { ShownUnit } from '../../state/format'
import { project, type Vec3 } from '../camera/eye'
import type { EyeMoment, EyeRig } from '../camera/eye-rig'
import type { SheetStore } from '../sheet-store'
import { lengthOf_mm, type Measure, measureText } from './measure'

export interface MeasureMarksProps {
  readonly sheet: SheetStore
  readonly rig: EyeRig
  readonly unit: ShownUnit
  readonly measuring: boolean
}

export function MeasureMarks({ sheet, rig, unit, measuring }: MeasureMarksProps) {
  const measures = useStore(sheet, (s) => s.measures)
  const pending = useStore(sheet, (s) => s.pending)
  const spot = useStore(sheet, (s) => (measuring ? (s.hover?.spot ?? null) : null))
  const growing: readonly Pick<Measure, 'from' | 'to'>[] = pending && spot ? [{ from: pending, to: spot }] : []
  const all: readonly Pick<Measure, 'from' | 'to'>[] = [...measures, ...growing]
  const root = useRef<SVGGElement>(null)
  useEffect(() => {
    const draw = (moment: EyeMoment) => {
      const nodes = root.current?.children
      if (!nodes) return
      const at = (p: Vec3) => project(moment.eye, moment.basis, moment.free, p)
      all.forEach((m, i) => {
        setDimension(nodes[i] as SVGGElement | undefined, at(m.from.at), at(m.to.at))
      })
      const hold = root.current?.querySelector('.hold-mark')
      const held = spot ?? pending
      if (hold && held) {
        const [x, y] = at(held.at)
        hold.setAttribute('transform', `translate(${x.toFixed(1)} ${y.toFixed(1)})`)
      }
    }
    const stop = rig.onPicture(draw)
    draw(rig.now())
    return () => void stop()
  })
  const held = spot ?? pending
  return (
    <g ref={root} className="measures">
      {all.map((m, i) => (
        <g key={i < measures.length ? measures[i]!.serial : 'growing'} className="dimension measured">
          <line className="casing" />
          <line />
          <path />
          <path />
          <text>{measureText(lengthOf_mm(m), unit)}</text>
        </g>
      ))}
      {held && (
        <g className={`hold-mark ${held.hold}`}>
          {held.hold === 'corner' || held.hold === 'point' ? (
            <rect x={-4.5} y={-4.5} width={9} height={9} />
          ) : held.hold === 'edge' ? (
            <path d="M-6 5L6 -5M-6 -5L6 5" />
          ) : (
            <circle r={4} />
          )}
        </g>
      )}
    </g>
  )
}

function setDimension(node: SVGGElement | undefined, a: readonly number[], b: readonly number[]): void {
  if (!node) return
  const [casing, line, headA, headB, text] = node.children as unknown as SVGElement[]
  const dx = b[0]! - a[0]!
  const dy = b[1]! - a[1]!
  const length = Math.hypot(dx, dy) || 1
  for (const l of [casing!, line!]) {
    l.setAttribute('x1', a[0]!.toFixed(1))
    l.setAttribute('y1', a[1]!.toFixed(1))
    l.setAttribute('x2', b[0]!.toFixed(1))
    l.setAttribute('y2', b[1]!.toFixed(1))
  }
  headA!.setAttribute('d', head(a, -dx / length, -dy / length, length))
  headB!.setAttribute('d', head(b, dx / length, dy / length, length))
  // Beside the line, on the side that is upwards, whichever way it was measured.
  const up = dx >= 0 ? -1 : 1
  const nx = (-dy / length) * -up
  const ny = (dx / length) * up
  text!.setAttribute('x', ((a[0]! + b[0]!) / 2 + nx * 10).toFixed(1))
  text!.setAttribute('y', ((a[1]! + b[1]!) / 2 + ny * 10 + 5).toFixed(1))
  text!.setAttribute('text-anchor', Math.abs(nx) < 0.35 ? 'middle' : nx > 0 ? 'start' : 'end')
}

function head([x, y]: readonly number[], ux: number, uy: number, length: number): string {
  const l = Math.min(9, length * 0.4)
  const w = l * 0.34
  const bx = x! - ux * l
  const by = y! - uy * l
  return `M${x} ${y}L${bx - uy * w} ${by + ux * w}L${bx + uy * w} ${by - ux * w}Z`
}
