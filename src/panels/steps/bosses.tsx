/** Local rises over metal that stands proud, each with how far it came to rise. */
import { useStore } from 'zustand'
import type { Boss } from '../../core/clearance/shape-types'
import { setShape, tryEdit } from '../../state/edit'
import { lengthText } from '../../state/format'
import type { PanelProps } from '../actions'
import { MeasureField } from '../fields/measure-field'
import { shapeWords as words } from '../words'
import { freshName, PartList } from './part-list'

/** What a new boss begins with: room for a weld or a bolt, and a wall that needs no deep sheet around it. */
const RADIUS_MM = 40
const DRAFT_DEG = 40

export function Bosses({ stores }: Pick<PanelProps, 'stores'>) {
  const bosses = useStore(stores.jobs, (s) => s.history.job.clearance.bosses)
  const result = useStore(stores.results, (s) => s.steps.clearance.result)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const make = (): Boss => {
    const [x, y] = result?.certificate.at.frame ?? [0, 0]
    const at_mm = [Math.round(x), Math.round(y)] as const
    return { name: freshName(bosses, words.boss), at_mm, radius_mm: RADIUS_MM, draft_deg: DRAFT_DEG }
  }
  return (
    <PartList
      parts={bosses}
      id="boss"
      summary={words.bosses(bosses.length)}
      hint={words.bossesHint}
      add={{ words: words.addBoss, make }}
      onApply={(next, title) => tryEdit(stores.jobs, setShape({ bosses: next }, title))}
      fields={(boss, k, change) => {
        const made = result?.bosses[k]
        const rises = made && words.rises(lengthText(made.rise_mm, unit, unit === 'mm' ? 1 : undefined))
        return (
          <>
            {([0, 1] as const).map((axis) => (
              <MeasureField
                key={axis}
                label={words.bossAt[axis]}
                value={boss.at_mm[axis]}
                kind="length"
                unit={unit}
                small
                testId={`boss-at-${axis}-${k}`}
                onApply={(v) => change({ at_mm: axis === 0 ? [v ?? 0, boss.at_mm[1]] : [boss.at_mm[0], v ?? 0] })}
              />
            ))}
            <MeasureField
              label={words.bossRadius}
              value={boss.radius_mm}
              kind="length"
              unit={unit}
              small
              testId={`boss-radius-${k}`}
              {...(rises ? { hint: rises } : {})}
              onApply={(v) => change({ radius_mm: v ?? RADIUS_MM })}
            />
            <MeasureField
              label={words.bossDraft}
              value={boss.draft_deg}
              kind="angle"
              unit={unit}
              small
              testId={`boss-draft-${k}`}
              onApply={(v) => change({ draft_deg: v ?? DRAFT_DEG })}
            />
          </>
        )
      }}
    />
  )
}
