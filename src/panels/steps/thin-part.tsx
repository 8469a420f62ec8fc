/** Thinning a scan: how long the edges shall be, and how far the surface may move. */
import { useState } from 'react'
import type { ScanResult } from '../../core/scan/types'
import { addRepair, tryEdit } from '../../state/edit'
import type { ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { MeasureField } from '../fields/measure-field'
import { thinWords as words } from '../words'

export function ThinPart({ stores, made, unit }: { stores: PanelProps['stores']; made: ScanResult; unit: ShownUnit }) {
  const [wish, setWish] = useState<{ readonly edge_mm: number; readonly deviation_mm: number } | null>(null)
  const [fault, setFault] = useState<string | null>(null)
  const { meanEdge_mm, noise_mm } = made.health
  if (!wish)
    return (
      <p className="links">
        <button
          type="button"
          className="link"
          data-testid="repair-thin"
          onClick={() =>
            // A facet of twice the edge lies off a noisy scan by a few sigma: less would take nothing away.
            setWish({ edge_mm: tenth(2 * meanEdge_mm), deviation_mm: tenth(Math.max(0.5, 5 * noise_mm)) })
          }
        >
          {words.start}
        </button>
      </p>
    )
  const field = (key: 'edge_mm' | 'deviation_mm') => (
    <MeasureField
      label={words[key]}
      value={wish[key]}
      kind="length"
      unit={unit}
      small
      {...(key === 'deviation_mm' ? { hint: words.hint } : {})}
      testId={`thin-${key}`}
      onApply={(value) => {
        if (value === null || !(value > 0)) return words.number
        setWish({ ...wish, [key]: value })
        return null
      }}
    />
  )
  const apply = () => {
    const refused = tryEdit(stores.jobs, addRepair({ kind: 'thin', ...wish }))
    setFault(refused)
    if (refused === null) setWish(null)
  }
  return (
    <section className="slip-part" data-testid="thin">
      <h3>{words.title}</h3>
      {field('edge_mm')}
      {field('deviation_mm')}
      {fault && <p className="fault">{fault}</p>}
      <p className="links">
        <button type="button" className="link" data-testid="thin-apply" onClick={apply}>
          {words.apply}
        </button>
        <button type="button" className="link" onClick={() => setWish(null)}>
          {words.leave}
        </button>
      </p>
    </section>
  )
}

const tenth = (mm: number): number => Math.max(0.1, Math.round(mm * 10) / 10)
