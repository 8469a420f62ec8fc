/** The slip of a step: few settings first, then what the last change did, the rest folded. */
import { type ReactNode, useEffect, useRef } from 'react'
import { useStore } from 'zustand'
import { FLOW_ORDER, type FlowStep } from '../../core/flow'
import { assertNever, type StepName } from '../../core/geometry/trouble'
import { capital } from '../../state/answers'
import { refusalWords } from '../../state/describe-change'
import { STEPS_SHOWN } from '../../state/headlines'
import { findingsOfStep, type StepState } from '../../state/results'
import type { PanelProps } from '../actions'
import { FindingLine } from '../findings/findings'
import { columnWords } from '../words'
import { AnalysisSlip } from './analysis'
import { BuildSlip } from './build'
import { ClearanceSlip } from './clearance'
import { DatumSlip } from './datum'
import { FittingSlip } from './fitting'
import { FrameSlip } from './frame'
import { LastChange } from './last-change'
import { ScanSlip } from './scan'
import { ToolingSlip } from './tooling'

export function Slip({ stores, actions }: PanelProps) {
  const step = useStore(stores.session, (s) => s.slip)
  if (step === null || step === 'release') return null
  return <OpenSlip key={step} step={step} stores={stores} actions={actions} />
}

function OpenSlip({ step, stores, actions }: PanelProps & { step: StepName }) {
  const heading = useRef<HTMLHeadingElement>(null)
  useEffect(() => heading.current?.focus({ preventScroll: true }), [])
  const close = () => {
    stores.session.setState({ slip: null })
    document.querySelector<HTMLElement>(`[data-testid="weight-${step}"]`)?.focus({ preventScroll: true })
  }
  const name = columnWords.step[step]
  return (
    <aside
      className="slip"
      aria-label={name}
      data-testid={`slip-${step}`}
      onKeyDown={(event) => {
        if (event.key === 'Escape') close()
      }}
    >
      <header className="slip-head">
        <h2 ref={heading} tabIndex={-1}>
          {name.charAt(0).toUpperCase() + name.slice(1)}
        </h2>
        <span className="slip-number">
          step {STEPS_SHOWN.indexOf(step) + 1} of {STEPS_SHOWN.length}
        </span>
        <button type="button" className="link" data-testid="close-slip" onClick={close}>
          close
        </button>
      </header>
      <StepStanding step={step} stores={stores} actions={actions} />
      <SlipBody step={step} stores={stores} actions={actions} />
      <LastChange stores={stores} actions={actions} />
      <StepFindings step={step} stores={stores} />
    </aside>
  )
}

function SlipBody({ step, ...props }: PanelProps & { step: StepName }): ReactNode {
  switch (step) {
    case 'scan':
      return <ScanSlip {...props} />
    case 'frame':
      return <FrameSlip {...props} />
    case 'datum':
      return <DatumSlip {...props} />
    case 'clearance':
      return <ClearanceSlip {...props} />
    case 'fitting':
      return <FittingSlip {...props} />
    case 'analysis':
      return <AnalysisSlip {...props} />
    case 'build':
      return <BuildSlip {...props} />
    case 'tooling':
      return <ToolingSlip {...props} />
    case 'release':
      return null
    default:
      return assertNever(step)
  }
}

const inFlow = (step: StepName): step is FlowStep & StepName => (FLOW_ORDER as readonly string[]).includes(step)

/** What the step is doing, or why it cannot. */
function StepStanding({ step, stores, actions }: PanelProps & { step: StepName }) {
  const state = useStore(stores.results, (s): StepState<FlowStep> | null => (inFlow(step) ? s.steps[step] : null))
  if (!state) return null
  if (state.is === 'refused' && state.refusal)
    return (
      <p className="step-standing fault" role="alert">
        {capital(refusalWords(state.refusal))}
      </p>
    )
  if (state.is !== 'running') return null
  const percent = Math.floor((state.progress?.fraction ?? 0) * 100)
  return (
    <p className="step-standing doing">
      <span className="clip">
        working it out{state.progress?.label ? `: ${state.progress.label}` : ''}, {percent} %
      </span>
      <button type="button" className="link" onClick={() => actions.stopWork()}>
        stop
      </button>
    </p>
  )
}

function StepFindings({ step, stores }: { step: StepName; stores: PanelProps['stores'] }) {
  const findings = useStore(stores.results, (s) => (inFlow(step) ? findingsOfStep(s.steps, step) : undefined))
  if (!findings || findings.length === 0) return null
  return (
    <details className="slip-more" data-testid="slip-findings">
      <summary>{findings.length === 1 ? 'One finding' : `${findings.length} findings`}</summary>
      <ol className="findings">
        {findings.map((finding, i) => (
          <FindingLine key={finding.id} stores={stores} finding={finding} number={i + 1} />
        ))}
      </ol>
    </details>
  )
}
