/** Fittings for the keyboard and for those who do not see the drawing: each can be reached, chosen and moved by arrow keys. */
import { type KeyboardEvent, useEffect, useMemo, useRef } from 'react'
import { useStore } from 'zustand'
import type { PlacedFitting } from '../../core/fitting/types'
import { lengthText } from '../../state/format'
import type { Stores } from '../../state/stores'
import { project } from '../camera/eye'
import type { EyeMoment, EyeRig } from '../camera/eye-rig'
import { nudgeFitting } from '../picking/move-fitting'
import { helmWords, sheetWords } from '../words'
import { asButton } from './as-button'

export interface FittingHandlesProps {
  readonly stores: Stores
  readonly rig: EyeRig
  readonly placed: readonly PlacedFitting[]
}

export function FittingHandles({ stores, rig, placed }: FittingHandlesProps) {
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const fittings = useStore(stores.jobs, (s) => s.history.job.fittings)
  const held = useMemo(() => new Set(fittings.filter((f) => f.handle).map((f) => f.id)), [fittings])
  const root = useRef<SVGGElement>(null)
  useEffect(() => {
    const draw = (moment: EyeMoment) => {
      placed.forEach(({ seat }, i) => {
        const [x, y] = project(moment.eye, moment.basis, moment.free, seat.at)
        root.current?.children[i]?.setAttribute('transform', `translate(${x.toFixed(1)} ${y.toFixed(1)})`)
      })
    }
    const stop = rig.onPicture(draw)
    draw(rig.now())
    return () => void stop()
  }, [rig, placed])
  return (
    <g ref={root} className="fitting-handles">
      {placed.map((fitting) => {
        const choose = () => stores.session.setState({ fitting: fitting.id })
        const nudge = (e: KeyboardEvent) => {
          if (!e.key.startsWith('Arrow')) return
          choose()
          if (nudgeFitting(stores, e.key, e.shiftKey)) e.preventDefault()
        }
        const [x, y] = fitting.seat.at.slice(0, 2).map((v) => lengthText(v, unit))
        return (
          <g
            key={`${fitting.id}${fitting.twin ? '+' : ''}`}
            data-testid={`fitting-spot-${fitting.id}${fitting.twin ? '-twin' : ''}`}
            aria-label={sheetWords.fittingAt(fitting.name, x!, y!)}
            {...asButton(choose, nudge)}
          >
            <circle r={16} />
            {held.has(fitting.id) && (
              <text className="handle-word" y={-8} textAnchor="middle">
                {helmWords.handle}
              </text>
            )}
          </g>
        )
      })}
    </g>
  )
}
