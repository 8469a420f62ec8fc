/** Where the shell goes its own way: gaps by region, allowances, rain, bosses and landing strips. */
import { useStore } from 'zustand'
import type { ShapeSettings } from '../../core/clearance/shape-types'
import { setShape, tryEdit } from '../../state/edit'
import type { PanelProps } from '../actions'
import { MeasureField } from '../fields/measure-field'
import { shapeWords as words } from '../words'
import { Bosses } from './bosses'
import { GapRegions } from './gap-regions'
import { Bearing, Lands } from './lands'
import { Water } from './water'

type Props = Pick<PanelProps, 'stores'>

export function ShapeFields({ stores }: Props) {
  return (
    <>
      <GapRegions stores={stores} />
      <Allowance stores={stores} />
      <Water stores={stores} />
      <Bosses stores={stores} />
      <Lands stores={stores} />
      <Bearing stores={stores} />
    </>
  )
}

function Allowance({ stores }: Props) {
  const allowance = useStore(stores.jobs, (s) => s.history.job.clearance.allowance)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set = (change: Partial<ShapeSettings['allowance']>) =>
    tryEdit(stores.jobs, setShape({ allowance: { ...allowance, ...change } }, words.allowance))
  return (
    <section className="slip-part" aria-label={words.allowance}>
      <MeasureField
        label={words.laminate}
        value={allowance.laminate_mm}
        kind="length"
        unit={unit}
        standard={0}
        small
        hint={words.laminateHint}
        testId="allowance-laminate"
        onApply={(v) => set({ laminate_mm: v ?? 0 })}
      />
      <MeasureField
        label={words.shrinkage}
        value={allowance.shrinkage_percent}
        kind="plain"
        unit={unit}
        standard={0}
        small
        hint={words.shrinkageHint}
        testId="allowance-shrinkage"
        onApply={(v) => set({ shrinkage_percent: v ?? 0 })}
      />
    </section>
  )
}
