import { useId } from 'react'
import type { WeightState } from '../../state/headlines'

/** A lead whale in profile, tail aft, its hook on the batten: 48 × 18 px about the foot. */
export const BODY = 'M-24 0C-18-2.5-13-9-5-12.5C2-15.5 11-15.5 14.5-9.5C16-6.5 16-3 15.5 0Z'
export const HOOK = 'M15.5-7C20.5-8.5 23.5-5 23 2.6'

/** Tail and nose of the body, for filling it from the tail. */
const TAIL_X = -24
const NOSE_X = 16

export function LeadWeight({ state, fraction = 0 }: { state: WeightState; fraction?: number }) {
  const id = useId()
  return (
    <g className="weight" data-state={state}>
      {state === 'hold' && (
        <pattern id={`${id}h`} width="4.2" height="4.2" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)">
          <path d="M0 1H4.2" className="hatch-line" />
        </pattern>
      )}
      {state === 'running' && (
        <clipPath id={`${id}c`}>
          <rect x={TAIL_X} y="-18" width={Math.max(1, (NOSE_X - TAIL_X) * fraction)} height="20" />
        </clipPath>
      )}
      {state === 'running' && <path d={BODY} className="weight-fill" clipPath={`url(#${id}c)`} />}
      <path d={BODY} className="weight-body" {...(state === 'hold' ? { fill: `url(#${id}h)` } : {})} />
      <path d={HOOK} className="weight-hook" />
    </g>
  )
}

/** The same lead, small: the handle of every slider. */
export function LeadHandle() {
  return (
    <svg className="lead-handle" viewBox="-9 -13 18 14" width="18" height="14" aria-hidden="true">
      <path d="M-8.5 0C-8.5-7.5-5-11.5 0-11.5S8.5-7.5 8.5 0Z" />
    </svg>
  )
}
