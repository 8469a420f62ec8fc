/** The datum by hand: level, centreline and forward from places picked on the drawing, with what they leave. */
import { useStore } from 'zustand'
import type { DatumResult } from '../../core/datum/types'
import { askDatum, dropDatumPicks, type PickGroup, picksOf } from '../../state/datum-picks'
import { angleText, lengthText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { datumWords as words } from '../words'

const GROUPS: readonly PickGroup[] = ['level', 'pairs', 'forward']

export function DatumPicksPart(props: { stores: PanelProps['stores']; made: DatumResult | null; unit: ShownUnit }) {
  const { stores, made, unit } = props
  const asked = useStore(stores.session, (s) => (s.asked?.for === 'datum' ? s.asked : null))
  useStore(stores.jobs, (s) => s.history.job.datum.picks)
  const picks = picksOf(stores)
  const left = made?.picked
  const told: { readonly [G in PickGroup]: string } = {
    level: words.level(left?.level_mm == null ? null : lengthText(left.level_mm, unit)),
    pairs: words.pairs(picks.pairs.length),
    forward: words.forward(left?.forward_deg == null ? null : angleText(left.forward_deg, 2)),
  }
  return (
    <section className="slip-part" data-testid="datum-picks">
      <h3>{words.byHand}</h3>
      <p className="field-hint">{words.hint}</p>
      <ul className="rows">
        {GROUPS.map((group) => (
          <li key={group}>
            <span>
              {words.groups[group]}{' '}
              <span className="quiet" data-testid={`picked-${group}`}>
                {picks[group].length > 0 ? told[group] : words.found}
              </span>
            </span>
            <span className="links">
              {picks[group].length > 0 && (
                <button
                  type="button"
                  className="link"
                  data-testid={`drop-${group}`}
                  onClick={() => dropDatumPicks(stores, group)}
                >
                  {words.takeBack}
                </button>
              )}
              {asked?.group !== group && (
                <button
                  type="button"
                  className="link"
                  data-testid={`pick-${group}`}
                  onClick={() => askDatum(stores, group)}
                >
                  {picks[group].length > 0 && group !== 'pairs' ? words.again : words.ask[group]}
                </button>
              )}
            </span>
          </li>
        ))}
      </ul>
      {picks.pairs.length > 0 && (
        <ul className="rows" data-testid="picked-pairs-list">
          {picks.pairs.map((pair, i) => {
            const off = left?.pairs[i]
            return (
              <li key={JSON.stringify(pair)}>
                <span>
                  {words.pair(i + 1)}{' '}
                  {off && (
                    <span className="quiet">
                      {words.pairLeft(lengthText(off.plan_mm, unit), lengthText(off.up_mm, unit))}
                    </span>
                  )}
                </span>
                <button type="button" className="link" onClick={() => dropDatumPicks(stores, 'pairs', i)}>
                  {words.takeBack}
                </button>
              </li>
            )
          })}
        </ul>
      )}
      {asked && (
        <p className="links">
          <span className="field-hint" aria-live="polite">
            {words.next[asked.group](asked.places.length)}
          </span>
          <button type="button" className="link" onClick={() => stores.session.setState({ asked: null })}>
            {words.leave}
          </button>
        </p>
      )}
    </section>
  )
}
