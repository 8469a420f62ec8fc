/** One tube of the frame slip: a row of figures, and what is said about it when the row is open. */
import { useEffect, useRef } from 'react'
import { useStore } from 'zustand'
import { fastenerPlaces } from '../../core/frame'
import type { FastenerPitch, Tube } from '../../core/frame/types'
import { IDENTITY } from '../../core/geometry/axes'
import type { Job, TubeMark } from '../../core/job'
import { lengthFigure, lengthText, type ShownUnit } from '../../state/format'
import { axisInJob, tubeLabel, tubeName } from '../../state/place-words'
import { chooseTube, flyToScan, lightTubes } from '../../state/session-moves'
import type { PanelProps } from '../actions'
import { ChoiceField, TextField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { frameWords as words } from '../words'

export interface TubeRowProps {
  readonly stores: PanelProps['stores']
  readonly tube: Tube
  readonly job: Job
  readonly unit: ShownUnit
  readonly open: boolean
  /** Pointed at, here or on the sheet. */
  readonly lit: boolean
  readonly notRound: boolean
  readonly onOpen: () => void
  readonly onLight: (on: boolean) => void
  readonly onMark: (mark: TubeMark) => string | null
}

const NO_MARK: TubeMark = { role: 'clear', gap_mm: null }

export function TubeRow(props: TubeRowProps) {
  const { tube, job, unit, open, onLight } = props
  const row = useRef<HTMLTableSectionElement>(null)
  useEffect(() => {
    // Opened on the sheet it may lie outside of what is scrolled to.
    if (open) row.current?.scrollIntoView({ block: 'nearest' })
  }, [open])
  const mark = job.frame.tubes[tube.id] ?? NO_MARK
  const bare = (mm: number, digits: number) => lengthFigure(mm, unit, { digits }).value
  const marked = [
    ...(mark.role === 'bearing' ? [words.bearing] : []),
    ...(mark.gap_mm === null ? [] : [words.ownGap(lengthText(mark.gap_mm, unit))]),
  ].join(', ')
  return (
    <tbody
      ref={row}
      data-testid={`tube-${tube.id}`}
      data-lit={props.lit || undefined}
      onMouseEnter={() => onLight(true)}
      onMouseLeave={() => onLight(false)}
      onFocus={() => onLight(true)}
      onBlur={() => onLight(false)}
    >
      <tr data-open={open || undefined}>
        <th scope="row">
          <button type="button" className="link" aria-expanded={open} onClick={props.onOpen}>
            {tubeName(job, tube.id)}
          </button>
          {(tube.closed || !tube.straight) && <span className="quiet"> {tube.closed ? words.ring : words.bent}</span>}
          {marked && <span className="tube-mark">{marked}</span>}
        </th>
        <td data-bad={props.notRound || undefined}>{bare(tube.diameter_mm, 1)}</td>
        <td>{bare(tube.length_mm, 0)}</td>
        <td>{bare(tube.bow_mm, 1)}</td>
        <td data-bad={props.notRound || undefined}>{bare(tube.rms_mm, 2)}</td>
        <td>{tube.joins.map((id) => tubeLabel(job, id)).join(', ')}</td>
      </tr>
      {open && (
        <tr className="tube-fields">
          <td colSpan={6}>
            <TubeFigures {...props} />
            <TubeFields {...props} mark={mark} />
            <TubeFasteners {...props} mark={mark} />
          </td>
        </tr>
      )}
    </tbody>
  )
}

/** A hole for a 6 mm screw with a little play, at a hand's width. (Common practice, no source.) */
const FIRST_PITCH: Omit<FastenerPitch, 'pitch_mm'> = { from_mm: null, diameter_mm: 6.5 }

/** Fasteners at a pitch: none until a pitch is typed. */
function TubeFasteners({ stores, tube, unit, mark, onMark }: TubeRowProps & { mark: TubeMark }) {
  const motion = useStore(stores.results, (s) => s.steps.datum.result?.motion ?? IDENTITY)
  const { fasteners } = mark
  const put = (change: Partial<FastenerPitch>) =>
    onMark({ ...mark, fasteners: { pitch_mm: 0, ...FIRST_PITCH, ...fasteners, ...change } })
  const common = { kind: 'length', unit, small: true } as const
  return (
    <>
      <MeasureField
        {...common}
        label={words.pitch}
        value={fasteners?.pitch_mm ?? null}
        whenNull={words.noPitch}
        testId={`tube-${tube.id}-pitch`}
        onApply={(pitch_mm) => {
          if (pitch_mm !== null) return put({ pitch_mm })
          const { fasteners: _, ...rest } = mark
          return onMark(rest)
        }}
      />
      {fasteners && (
        <>
          <MeasureField
            {...common}
            label={words.from}
            value={fasteners.from_mm}
            whenNull={words.evenly}
            testId={`tube-${tube.id}-from`}
            onApply={(from_mm) => put({ from_mm })}
          />
          <MeasureField
            {...common}
            label={words.hole}
            value={fasteners.diameter_mm}
            testId={`tube-${tube.id}-hole`}
            onApply={(diameter_mm) => put({ diameter_mm: diameter_mm ?? FIRST_PITCH.diameter_mm })}
          />
          <p className="field-hint">
            {words.fastenersHint(
              fastenerPlaces(axisInJob(tube, motion), tube.closed, fasteners).filter((p) => p.up).length,
            )}
          </p>
          <p className="caution">{words.fastenersCare}</p>
        </>
      )}
    </>
  )
}

function sectionText({ section }: Tube, unit: ShownUnit): string {
  if (!section) return words.round
  const { kind, wide_mm, narrow_mm, corner_mm } = section
  const sides = `${lengthFigure(wide_mm, unit).value} × ${lengthText(narrow_mm, unit)}`
  return words.section(words.sections[kind], sides, corner_mm === null ? null : lengthText(corner_mm, unit))
}

/** What the row has no room for. */
function TubeFigures({ stores, tube, job, unit, notRound }: TubeRowProps) {
  const { axis } = tube
  const middle = 3 * Math.floor(axis.length / 6)
  return (
    <div className="field-hint">
      {notRound ? <b className="fault">{words.notRound}</b> : sectionText(tube, unit)}{' '}
      {words.coverage(Math.round(100 * tube.coverage))}{' '}
      {tube.joins.length === 0
        ? words.free
        : tube.joins.map((id, i) => (
            <span key={id}>
              {i === 0 ? `${words.joins} ` : ', '}
              <button
                type="button"
                className="link"
                onMouseEnter={() => lightTubes(stores.session, [tube.id, id])}
                onFocus={(event) => {
                  event.stopPropagation()
                  lightTubes(stores.session, [tube.id, id])
                }}
                onClick={() => chooseTube(stores.session, id)}
              >
                {tubeName(job, id)}
              </button>
              {i === tube.joins.length - 1 && '.'}
            </span>
          ))}{' '}
      {tube.seats.length > 0 && `${words.stands(tube.seats.map((id) => id.replace('-', ' ')).join(', '))} `}
      <button
        type="button"
        className="link"
        data-testid={`tube-${tube.id}-look`}
        onClick={() => flyToScan(stores, [axis[middle]!, axis[middle + 1]!, axis[middle + 2]!])}
      >
        {words.fly}
      </button>
    </div>
  )
}

function TubeFields({ tube, unit, mark, onMark }: TubeRowProps & { mark: TubeMark }) {
  return (
    <>
      <ChoiceField
        label={words.top}
        value={mark.role}
        choices={[
          ['clear', words.clears],
          ['bearing', words.bears],
        ]}
        testId={`tube-${tube.id}-role`}
        onApply={(role) => onMark({ ...mark, role })}
      />
      <MeasureField
        label={words.gap}
        value={mark.gap_mm}
        whenNull={mark.role === 'bearing' ? words.bondLine : words.jobs}
        kind="length"
        unit={unit}
        small
        testId={`tube-${tube.id}-gap`}
        onApply={(gap_mm) => onMark({ ...mark, gap_mm })}
      />
      <TextField
        label={words.name}
        value={mark.name ?? ''}
        most={100}
        testId={`tube-${tube.id}-name`}
        onApply={(text) => {
          const { name: _, ...rest } = mark
          onMark(text.trim() ? { ...rest, name: text.trim() } : rest)
        }}
      />
    </>
  )
}
