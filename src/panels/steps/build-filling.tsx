/** Filling: how long from where, what comes last, the other layouts, and inlets and vents placed by hand. */
import { useState } from 'react'
import { useStore } from 'zustand'
import type { InfusionPlan } from '../../core/build-plan/types'
import { setBuild, tryEdit } from '../../state/edit'
import { areaText, lengthText, type ShownUnit } from '../../state/format'
import { addPlaceInPlan, cancelPlacing, finishPlacing, isReady, startPlacing } from '../../state/placing'
import type { PanelProps } from '../actions'
import { MeasureField } from '../fields/measure-field'
import { Rows } from '../figures/rows'
import { fillingWords as words } from '../words'

const minutes = (v: number): string => words.minutes(v.toFixed(v < 10 ? 1 : 0))

export function FillingRows({
  stores,
  plan,
  unit,
}: {
  stores: PanelProps['stores']
  plan: InfusionPlan
  unit: ShownUnit
}) {
  const shownShell = useStore(stores.session, (s) => s.fillingShell)
  const [quick, likely, slow] = plan.fill_min
  const late = plan.lastAreas.map((a) => words.at(areaText(a.area_m2 * 1e6, unit), minutes(a.at_min)))
  const trapped = plan.pockets.reduce((sum, p) => sum + p.area_m2, 0)
  const rows: (readonly [string, string])[] = [
    [words.figures.from, words.inlets[plan.inlet]],
    [words.figures.filled, words.range(minutes(likely), minutes(quick), minutes(slow))],
    [words.figures.gel, minutes(plan.gel_min)],
    [words.figures.last, late[0] ?? words.none],
    [words.figures.trapped, trapped > 0.0005 ? areaText(trapped * 1e6, unit) : words.none],
    [words.figures.resin, words.litres(plan.resin_l.toFixed(1))],
    [words.figures.feed, words.feed(plan.feed_l.toFixed(2), plan.feed_m.toFixed(1))],
    [words.figures.feedLoss, `${(100 * (plan.feedDrop_Pa / plan.drive_Pa)).toFixed(1)} %`],
    [words.figures.head, `${(100 * (plan.head_Pa / plan.drive_Pa)).toFixed(1)} %`],
  ]
  return (
    <section className="slip-part">
      <h3>{words.head(plan.name)}</h3>
      <Rows testId={`build-filling-${plan.name}`} rows={rows} />
      <p className="links">
        {shownShell === plan.name ? (
          <span className="field-hint">{words.shown}</span>
        ) : (
          <button
            type="button"
            className="link"
            onClick={() => stores.session.setState({ fillingShell: plan.name, placing: null })}
          >
            {words.show}
          </button>
        )}
      </p>
      <h4>{words.compare}</h4>
      <dl className="rows" data-testid={`build-compare-${plan.name}`}>
        {plan.compared.map((c) => (
          <div key={c.inlet}>
            <dt>
              {words.inlets[c.inlet]}{' '}
              {c.inlet === plan.inlet ? (
                <span className="field-hint">{words.used}</span>
              ) : (
                <button
                  type="button"
                  className="link"
                  onClick={() => tryEdit(stores.jobs, setBuild({ inlet: c.inlet }))}
                >
                  {words.use}
                </button>
              )}
            </dt>
            <dd>
              {minutes(c.fill_min)}
              {c.pocket_m2 > 0.001 && words.pocket(areaText(c.pocket_m2 * 1e6, unit))}
            </dd>
          </div>
        ))}
      </dl>
    </section>
  )
}

/** Inlets and vents of the shell on the sheet. */
export function PlacedFeeds({ stores, unit }: { stores: PanelProps['stores']; unit: ShownUnit }) {
  const { feeds, vents } = useStore(stores.jobs, (s) => s.history.job.build)
  const shell = useStore(stores.session, (s) => s.fillingShell)
  const placing = useStore(stores.session, (s) => s.placing)
  const mine = feeds.filter((f) => f.shell === shell)
  const mineVents = vents.filter((v) => v.shell === shell)
  const place = (v: number) => lengthText(v, unit, 0)
  return (
    <section className="slip-part" data-testid="build-placed">
      <h3>
        {words.placed}, {shell}
      </h3>
      {mine.length + mineVents.length === 0 && <p className="field-hint">{words.nothing}</p>}
      <ul className="plain-list">
        {mine.map((f) => (
          <li key={`${f.kind} ${f.points.join(' ')}`}>
            {words.entry(f.kind, f.points.length, place(f.points[0]![0]), place(f.points[0]![1]))}{' '}
            <button
              type="button"
              className="link"
              onClick={() => {
                const left = feeds.filter((other) => other !== f)
                tryEdit(
                  stores.jobs,
                  setBuild({ feeds: left, ...(left.length === 0 && { inlet: 'proposed' as const }) }),
                )
              }}
            >
              {words.remove}
            </button>
            {f.kind === 'point' && (
              <MeasureField
                label={words.mouth}
                value={f.radius_mm}
                kind="length"
                unit={unit}
                small
                testId="feed-radius"
                onApply={(v) =>
                  tryEdit(
                    stores.jobs,
                    setBuild({ feeds: feeds.map((o) => (o === f ? { ...f, radius_mm: v ?? f.radius_mm } : o)) }),
                  )
                }
              />
            )}
          </li>
        ))}
        {mineVents.map((v) => (
          <li key={`vent ${v.at.join(' ')}`}>
            {words.entry('vent', 1, place(v.at[0]), place(v.at[1]))}{' '}
            <button
              type="button"
              className="link"
              onClick={() => tryEdit(stores.jobs, setBuild({ vents: vents.filter((other) => other !== v) }))}
            >
              {words.remove}
            </button>
          </li>
        ))}
      </ul>
      {placing ? (
        <>
          <p className="field-hint" aria-live="polite">
            {words.goOn[placing.kind]}
          </p>
          <TypedPlace stores={stores} unit={unit} />
          <p className="links">
            {isReady(placing) && (
              <button type="button" className="link" data-testid="place-done" onClick={() => finishPlacing(stores)}>
                {words.done}
              </button>
            )}
            <button type="button" className="link" onClick={() => cancelPlacing(stores)}>
              {words.cancel}
            </button>
          </p>
        </>
      ) : (
        <p className="links">
          <span className="field-hint">{words.add}</span>
          {(['point', 'line', 'ring', 'vent'] as const).map((kind) => (
            <button
              key={kind}
              type="button"
              className="link"
              data-testid={`place-${kind}`}
              onClick={() => startPlacing(stores, kind)}
            >
              {words.kinds[kind]}
            </button>
          ))}
        </p>
      )}
    </section>
  )
}

/** For those who type: a place by x and y, its height from the shell. */
function TypedPlace({ stores, unit }: { stores: PanelProps['stores']; unit: ShownUnit }) {
  const [at, setAt] = useState<readonly [number, number]>([0, 0])
  const field = (k: 0 | 1, label: string) => (
    <MeasureField
      label={label}
      value={at[k]}
      kind="length"
      unit={unit}
      small
      testId={`place-${'xy'[k]}`}
      onApply={(v) => {
        setAt(k === 0 ? [v ?? 0, at[1]] : [at[0], v ?? 0])
        return null
      }}
    />
  )
  return (
    <>
      {field(0, words.forward)}
      {field(1, words.port)}
      <p className="links">
        <button
          type="button"
          className="link"
          data-testid="place-typed"
          onClick={() => addPlaceInPlan(stores, at[0], at[1])}
        >
          {words.addTyped}
        </button>
      </p>
    </>
  )
}
