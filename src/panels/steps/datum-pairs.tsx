/** Tubes against their mirror partners: port less starboard. A row lights its two tubes on the sheet. */
import { useEffect } from 'react'
import { useStore } from 'zustand'
import type { TubePair } from '../../core/datum/types'
import { lengthFigure, type ShownUnit } from '../../state/format'
import { tubeLabel, tubeName } from '../../state/place-words'
import { lightTubes } from '../../state/session-moves'
import type { PanelProps } from '../actions'
import { poseWords as words } from '../words'

export interface PairRowsProps {
  readonly pairs: readonly TubePair[]
  readonly unit: ShownUnit
  readonly stores: PanelProps['stores']
}

export function PairRows({ pairs, unit, stores }: PairRowsProps) {
  const job = useStore(stores.jobs, (s) => s.history.job)
  useEffect(() => () => lightTubes(stores.session, []), [stores])
  const plain = (mm: number) => lengthFigure(mm, unit, { digits: 1 }).value
  const dim = () => lightTubes(stores.session, [])
  return (
    <details className="slip-more">
      <summary data-testid="pairs-summary">{words.pairs(pairs.length)}</summary>
      <table className="tubes" data-testid="pairs">
        <caption className="unseen-text">{words.pairsCaption(unit)}</caption>
        <thead>
          <tr>
            {['port, starboard', 'out', 'up', 'most'].map((column) => (
              <th key={column} scope="col">
                {column}
              </th>
            ))}
          </tr>
        </thead>
        {pairs.map((p) => {
          const light = () => lightTubes(stores.session, [p.port, p.starboard])
          return (
            <tbody
              key={`${p.port} ${p.starboard}`}
              onMouseEnter={light}
              onMouseLeave={dim}
              onFocus={light}
              onBlur={dim}
            >
              <tr>
                <th scope="row">
                  <button type="button" className="link" onClick={light}>
                    {p.port === p.starboard
                      ? words.itself(tubeName(job, p.port))
                      : `${tubeName(job, p.port)}, ${tubeLabel(job, p.starboard)}`}
                  </button>
                </th>
                <td>{plain(p.outward_mm)}</td>
                <td>{plain(p.up_mm)}</td>
                <td>{plain(p.largest_mm)}</td>
              </tr>
            </tbody>
          )
        })}
      </table>
    </details>
  )
}
