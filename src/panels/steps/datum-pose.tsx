/** How the scan stands in the job, in numbers that can be typed and turned on. */
import type { Matrix4 } from '../../core/geometry/axes'
import { moveOnEdit, poseEdit } from '../../state/datum-moves'
import { tryEdit } from '../../state/edit'
import { angleText, lengthText, type ShownUnit } from '../../state/format'
import { type Pose, poseOf } from '../../state/pose-numbers'
import type { PanelProps } from '../actions'
import { MeasureField } from '../fields/measure-field'
import { Rows } from '../figures/rows'
import { poseWords as words } from '../words'

const LENGTHS = ['x_mm', 'y_mm', 'z_mm'] as const
const ANGLES = ['roll_deg', 'pitch_deg', 'yaw_deg'] as const
const NOWHERE: Pose = { x_mm: 0, y_mm: 0, z_mm: 0, roll_deg: 0, pitch_deg: 0, yaw_deg: 0 }

interface PoseProps {
  readonly stores: PanelProps['stores']
  readonly motion: Matrix4
  readonly unit: ShownUnit
}

export function PosePart({ stores, motion, unit }: PoseProps) {
  const pose = poseOf(motion)
  const rows: readonly (readonly [string, string])[] = [
    [words.origin, LENGTHS.map((name) => lengthText(pose[name], unit, 1).replace(/ mm$/, '')).join(', ')],
    [words.turned, ANGLES.map((name) => angleText(pose[name], 3)).join(', ')],
  ]
  return (
    <section className="slip-part">
      <h3>{words.pose}</h3>
      <Rows rows={rows} testId="pose" className="wide" />
      <p className="field-hint">{words.order}</p>
      <details className="slip-more">
        <summary data-testid="type-pose">{words.typePose}</summary>
        <p className="field-hint">{words.byHand}</p>
        <PoseFields
          values={pose}
          unit={unit}
          testId="pose"
          onApply={(change) => tryEdit(stores.jobs, poseEdit(motion, change))}
        />
      </details>
      <details className="slip-more">
        <summary data-testid="move-pose">{words.moveOn}</summary>
        <p className="field-hint">
          {words.moveOnHint} {words.byHand}
        </p>
        <PoseFields
          values={NOWHERE}
          unit={unit}
          testId="pose-by"
          onApply={(by) => tryEdit(stores.jobs, moveOnEdit(motion, by))}
        />
      </details>
    </section>
  )
}

function PoseFields(props: {
  values: Pose
  unit: ShownUnit
  testId: string
  onApply: (change: Partial<Pose>) => string | null
}) {
  return [...LENGTHS, ...ANGLES].map((name) => (
    <MeasureField
      key={name}
      label={words.fields[name]}
      value={props.values[name]}
      kind={name.endsWith('_mm') ? 'length' : 'angle'}
      unit={props.unit}
      small
      testId={`${props.testId}-${name}`}
      onApply={(value) => props.onApply({ [name]: value ?? 0 })}
    />
  ))
}
