/** Least distances of every fitting: to the frame, the edge, the joint and each other. A figure takes the eye to its place. */
import { useStore } from 'zustand'
import type { PlacedFitting } from '../../core/fitting/types'
import type { Point } from '../../core/geometry/axes'
import { lengthText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { distanceWords as words } from '../words'
import { flyTo } from './fastening-part'

export function DistancePart({ stores, unit }: { stores: PanelProps['stores']; unit: ShownUnit }) {
  const made = useStore(stores.results, (s) => s.steps.fitting.result)
  if (!made || made.placed.length === 0) return null
  const { placed, distances_mm, edges } = made
  const n = placed.length
  const called = (p: PlacedFitting) => (p.twin ? words.twin(p.name) : p.name)
  const cell = (key: string, mm: number | null | undefined, at: Point | null | undefined) => (
    <td key={key}>
      {mm === null || mm === undefined || !at ? (
        ''
      ) : (
        <button type="button" className="link" data-testid={`distance-${key}`} onClick={() => flyTo(stores, at)}>
          {lengthText(mm, unit, unit === 'mm' ? 0 : undefined, 'down')}
        </button>
      )}
    </td>
  )
  const nearest = (i: number) => {
    let k = -1
    for (let j = 0; j < n; j++) if (j !== i && (k < 0 || distances_mm[i * n + j]! < distances_mm[i * n + k]!)) k = j
    return k
  }
  return (
    <section className="slip-part" aria-label={words.title}>
      <table data-testid="distances">
        <thead>
          <tr>
            <th scope="col">{words.from}</th>
            <th scope="col">{words.frame}</th>
            <th scope="col">{words.edge}</th>
            <th scope="col">{words.joint}</th>
            <th scope="col">{words.next}</th>
          </tr>
        </thead>
        <tbody>
          {placed.map((p, i) => {
            const key = `${p.id}${p.twin ? '-twin' : ''}`
            const k = nearest(i)
            return (
              <tr key={key}>
                <th scope="row">{called(p)}</th>
                {cell(`${key}-frame`, p.toFrame.min_mm, p.toFrame.frame)}
                {cell(`${key}-edge`, edges[i]?.toEdge?.min_mm, edges[i]?.toEdge?.there)}
                {cell(`${key}-joint`, edges[i]?.toJoint?.min_mm, edges[i]?.toJoint?.there)}
                {cell(`${key}-next`, k < 0 ? null : distances_mm[i * n + k], k < 0 ? null : placed[k]!.seat.at)}
              </tr>
            )
          })}
        </tbody>
      </table>
      <p className="field-hint">{words.hint}</p>
    </section>
  )
}
