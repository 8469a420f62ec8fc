/** Picking pairs on two scans that stand beside each other. */
import { useStore } from 'zustand'
import { lengthText, type ShownUnit } from '../../state/format'
import { dropLayPair, layByPairs, layFit, stopLaying } from '../../state/laying'
import type { PanelProps } from '../actions'
import { layWords as words } from '../words'

export function LayPart({ stores, unit }: { stores: PanelProps['stores']; unit: ShownUnit }) {
  const laying = useStore(stores.session, (s) => s.laying)
  if (!laying) return null
  const { names, pairs, half } = laying
  const fit = layFit(pairs)
  return (
    <section className="slip-part" data-testid="laying">
      <h3>{words.title(names.moving, names.standing)}</h3>
      <p className="field-hint" aria-live="polite">
        {half ? words.other(names[half.side === 'moving' ? 'standing' : 'moving'], pairs.length + 1) : words.next}
      </p>
      {pairs.length > 0 && (
        <ol className="rows" data-testid="lay-pairs">
          {pairs.map((pair, i) => (
            <li key={JSON.stringify(pair)}>
              <span>
                {words.pair(i + 1)}{' '}
                <span className="quiet">{fit.each_mm[i] === undefined ? '' : lengthText(fit.each_mm[i], unit)}</span>
              </span>
              <button type="button" className="link" onClick={() => dropLayPair(stores, i)}>
                {words.takeBack}
              </button>
            </li>
          ))}
        </ol>
      )}
      {fit.fault && <p className="fault">{fit.fault}</p>}
      {fit.rms_mm !== null && <p className="field-hint">{words.left(lengthText(fit.rms_mm, unit))}</p>}
      {fit.rms_mm === null && !fit.fault && <p className="field-hint">{words.more(3 - pairs.length)}</p>}
      <p className="links">
        {fit.rms_mm !== null && (
          <button type="button" className="link" data-testid="lay-by-pairs" onClick={() => layByPairs(stores)}>
            {words.use}
          </button>
        )}
        <button type="button" className="link" data-testid="stop-laying" onClick={() => stopLaying(stores)}>
          {words.leave}
        </button>
      </p>
    </section>
  )
}
