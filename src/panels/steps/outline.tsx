/** Where the top ends in plan: by the frame, or by a drawing. */
import { useStore } from 'zustand'
import { setOutline, tryEdit } from '../../state/edit'
import type { PanelProps } from '../actions'
import { ChoiceField, FileLink } from '../fields/choice-field'
import { outlineWords } from '../words'

export function OutlineFields({ stores, actions }: PanelProps) {
  const outline = useStore(stores.jobs, (s) => s.history.job.clearance.outline)
  const drawn = outline.from === 'polygon'
  return (
    <section className="slip-part" aria-label={outlineWords.label}>
      <ChoiceField
        label={outlineWords.label}
        value={outline.from}
        choices={drawn ? [POLYGON, SILHOUETTE] : [SILHOUETTE]}
        hint={drawn ? outlineWords.drawn(outline.points.length, outline.mirrored) : outlineWords.none}
        testId="outline"
        onApply={(from) => from === 'silhouette' && tryEdit(stores.jobs, setOutline({ from }, outlineWords.silhouette))}
      />
      <FileLink accept=".dxf,.svg" testId="choose-outline" onFiles={(files) => actions.takeFiles(files, 'outline')}>
        {outlineWords.take}
      </FileLink>
      <p className="field-hint">{outlineWords.where}</p>
    </section>
  )
}

const SILHOUETTE = ['silhouette', outlineWords.silhouette] as const
const POLYGON = ['polygon', outlineWords.polygon] as const
