/** Shells that come from a file instead of being drawn, and the way both take on to the frame. */
import { Label, Slider, SliderOutput, SliderThumb, SliderTrack } from 'react-aria-components'
import { useStore } from 'zustand'
import type { Lowering } from '../../core/clearance/types'
import { drawShell, importShell, setApproach, tryEdit } from '../../state/edit'
import { lengthText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { LeadHandle } from '../batten/lead-weight'
import { ChoiceField, FileLink, MESH_FILES } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { shellsWords as words } from '../words'

const UNITS = ['auto', 'mm', 'cm', 'm', 'in'] as const

export function ShellsTaken({ stores, actions }: PanelProps) {
  const { imported } = useStore(stores.jobs, (s) => s.history.job.clearance)
  return (
    <section className="slip-part" data-testid="shells-taken">
      <h3>{words.heading}</h3>
      {(['underside', 'topside'] as const).map((role) => {
        const entry = imported[role]
        return (
          <div key={role}>
            <ul className="rows">
              <li>
                <span className="clip">{entry ? entry.mesh.name : role}</span>
                <span className="quiet">{entry ? `as the ${role}; ${words.checked}` : words.drawn}</span>
              </li>
            </ul>
            {entry && (
              <>
                <ChoiceField
                  label={words.axes(role)}
                  value={entry.axes}
                  choices={[
                    ['job', words.jobAxes],
                    ['scan', words.scanAxes],
                  ]}
                  testId={`imported-axes-${role}`}
                  onApply={(axes) => tryEdit(stores.jobs, importShell(role, { ...entry, axes }))}
                />
                <ChoiceField
                  label={words.unit(role)}
                  value={entry.unit as (typeof UNITS)[number]}
                  choices={UNITS.map((u) => [u, u === 'auto' ? 'as the file says' : u] as const)}
                  testId={`imported-unit-${role}`}
                  onApply={(unit) => tryEdit(stores.jobs, importShell(role, { ...entry, unit }))}
                />
                <button
                  type="button"
                  className="link"
                  data-testid={`draw-${role}`}
                  onClick={() => tryEdit(stores.jobs, drawShell(role))}
                >
                  {words.again}
                </button>
              </>
            )}
            {!entry && (
              <FileLink
                accept={MESH_FILES}
                testId={`choose-${role}`}
                onFiles={(files) => actions.takeFiles(files, role)}
              >
                {words.take(role)}
              </FileLink>
            )}
          </div>
        )
      })}
    </section>
  )
}

export function WayOn({ stores }: Pick<PanelProps, 'stores'>) {
  const approach = useStore(stores.jobs, (s) => s.history.job.clearance.approach)
  const lowering = useStore(stores.results, (s) => s.steps.clearance.result?.lowering)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const lean = (key: 'fromAhead_deg' | 'fromPort_deg') => (value: number | null) => {
    const next = { ...(approach ?? { fromAhead_deg: 0, fromPort_deg: 0 }), [key]: value ?? 0 }
    return tryEdit(stores.jobs, setApproach(next.fromAhead_deg === 0 && next.fromPort_deg === 0 ? null : next))
  }
  return (
    <section className="slip-part">
      <h3>{words.way}</h3>
      <ul className="rows" data-testid="lowering">
        {(lowering ?? []).map((way) => (
          <li key={`${way.shell} ${way.on} ${way.along}`}>
            <span>
              {way.shell}
              {way.on === 'underside' ? ' on to the underside' : ''},{' '}
              {way.along === 'pull' ? words.down : words.approach}
            </span>
            <WayWords way={way} unit={unit} stores={stores} />
          </li>
        ))}
      </ul>
      <MeasureField
        label={words.fromAhead}
        value={approach?.fromAhead_deg ?? null}
        whenNull={words.none}
        kind="angle"
        unit={unit}
        small
        hint={words.leans}
        testId="setting-fromAhead_deg"
        onApply={lean('fromAhead_deg')}
      />
      <MeasureField
        label={words.fromPort}
        value={approach?.fromPort_deg ?? null}
        whenNull={words.none}
        kind="angle"
        unit={unit}
        small
        testId="setting-fromPort_deg"
        onApply={lean('fromPort_deg')}
      />
      <HoldOff lowering={lowering ?? []} unit={unit} stores={stores} />
      <p className="field-hint">{words.exact}</p>
    </section>
  )
}

function WayWords({ way, unit, stores }: { way: Lowering; unit: ShownUnit; stores: PanelProps['stores'] }) {
  const { at, before_mm } = way
  const text = !way.free
    ? words.touches(lengthText(before_mm ?? 0, unit))
    : before_mm === null
      ? words.clear
      : words.free(lengthText(Math.max(0, -before_mm), unit))
  if (!at) return <span className="quiet">{text}</span>
  const show = () =>
    stores.session.setState({
      section: { across: 'y', at_mm: at[1], spot: at },
      held: way.free ? null : { shell: way.shell, direction: way.direction, mm: before_mm ?? 0 },
    })
  return (
    <button type="button" className="link" onClick={show}>
      {text}
    </button>
  )
}

/** Far enough to see daylight under a top, mm; further where it touches higher up. */
const LEAST_REACH_MM = 600

function HoldOff(props: { lowering: readonly Lowering[]; unit: ShownUnit; stores: PanelProps['stores'] }) {
  const { lowering, unit, stores } = props
  const held = useStore(stores.session, (s) => s.held)
  const ways = lowering.filter((w) => w.on === 'frame' && w.shell === 'underside')
  // The leaning way is the one that is being tried out, where there is one.
  const way = ways.find((w) => w.along === 'approach') ?? ways[0]
  if (!way) return null
  const reach = Math.max(LEAST_REACH_MM, Math.ceil((way.before_mm ?? 0) * 1.3))
  return (
    <Slider
      className="field fairness"
      value={Math.min(reach, held?.mm ?? 0)}
      minValue={0}
      maxValue={reach}
      onChange={(mm) =>
        stores.session.setState({
          held: (mm as number) > 0 ? { shell: way.shell, direction: way.direction, mm: mm as number } : null,
        })
      }
    >
      <div className="fairness-head">
        <Label>{words.hold}</Label>
        <SliderOutput className="field-hint">{lengthText(held?.mm ?? 0, unit)}</SliderOutput>
      </div>
      <SliderTrack className="slider-track">
        <span className="slider-line" aria-hidden="true" />
        <SliderThumb className="slider-thumb" data-testid="hold-off">
          <LeadHandle />
        </SliderThumb>
      </SliderTrack>
    </Slider>
  )
}
