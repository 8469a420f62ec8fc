/** The line of steps: lead weights on a pine batten, each with its headline number; a weight with holds sinks. */
import { type KeyboardEvent, useEffect, useLayoutEffect, useMemo, useRef, useState } from 'react'
import { useStore } from 'zustand'
import type { StepName } from '../../core/geometry/trouble'
import type { StepWeight } from '../../state/headlines'
import { openStep, STEP_OF_QUESTION } from '../../state/session-moves'
import type { Stores } from '../../state/stores'
import { ChalkLine } from '../chalk-line'
import { useWeights } from '../use-answers'
import { columnWords } from '../words'
import { fair_px, fairPath, naturalSpline, sink_px, stripPath, WEIGHT_INSET_PX, weightPlaces_px } from './batten-curve'
import { LeadWeight } from './lead-weight'

/** A weight that is freed returns in this time, and the batten with it. */
const RETURN_MS = 300
/** Width of one weight where the line scrolls sideways. */
const PHONE_WEIGHT_PX = 104
const PHONE_WIDTH_PX = 640
/** Foot of a weight above the middle of the strip. */
const FOOT_PX = 3

export function Batten({ stores }: { stores: Stores }) {
  const weights = useWeights(stores)
  const open = useStore(stores.session, (s) => s.slip ?? STEP_OF_QUESTION[s.question])
  const [room, setRoom] = useState(0)
  const nav = useRef<HTMLElement>(null)
  useLayoutEffect(() => {
    const element = nav.current
    if (!element) return
    const watch = new ResizeObserver(() => setRoom(element.clientWidth))
    watch.observe(element)
    setRoom(element.clientWidth)
    return () => watch.disconnect()
  }, [])
  const phone = room > 0 && room <= PHONE_WIDTH_PX
  const width = phone ? PHONE_WEIGHT_PX * weights.length : room
  const inset = phone ? PHONE_WEIGHT_PX / 2 : WEIGHT_INSET_PX
  const places = weightPlaces_px(weights.length, width, inset)
  // The hit area goes half way to the neighbours.
  const reach = weights.length > 1 ? places[1]! - places[0]! : width
  const at = weights.findIndex((w) => w.step === open)
  useEffect(() => {
    const element = nav.current
    if (element && phone && at >= 0) element.scrollTo({ left: PHONE_WEIGHT_PX * (at + 0.5) - element.clientWidth / 2 })
  }, [phone, at])

  const walk = (event: KeyboardEvent) => {
    const step = event.key === 'ArrowRight' ? 1 : event.key === 'ArrowLeft' ? -1 : 0
    const edge = event.key === 'Home' ? 0 : event.key === 'End' ? weights.length - 1 : -1
    if (step === 0 && edge < 0) return
    event.preventDefault()
    const buttons = [...(nav.current?.querySelectorAll<HTMLButtonElement>('button') ?? [])]
    const now = buttons.indexOf(document.activeElement as HTMLButtonElement)
    buttons[edge >= 0 ? edge : Math.min(buttons.length - 1, Math.max(0, now + step))]?.focus()
  }

  return (
    <nav className="batten" ref={nav} aria-label={columnWords.steps} onKeyDown={walk}>
      <div className="batten-line" style={{ width: width || '100%' }}>
        {width > 0 && <Strip weights={weights} width={width} inset={inset} />}
        <ol className="batten-steps">
          {weights.map((w, i) => (
            <li key={w.step} style={{ left: places[i]! - reach / 2, width: reach }}>
              <StepButton weight={w} open={w.step === open} first={at < 0 ? i === 0 : i === at} stores={stores} />
            </li>
          ))}
        </ol>
      </div>
    </nav>
  )
}

function StepButton(props: { weight: StepWeight; open: boolean; first: boolean; stores: Stores }) {
  const { weight, open, stores } = props
  const slip = useStore(stores.session, (s) => s.slip)
  return (
    <button
      type="button"
      className="batten-step"
      data-testid={`weight-${weight.step}`}
      data-state={weight.state}
      data-open={open || undefined}
      aria-current={open ? 'step' : undefined}
      aria-expanded={weight.step === 'release' ? undefined : slip === weight.step}
      // One stop of the tab key for the whole line; the arrows walk it.
      tabIndex={props.first ? 0 : -1}
      onClick={() => choose(stores, weight.step)}
    >
      <span className="batten-name">
        {columnWords.step[weight.step]}
        {open && <ChalkLine />}
      </span>
      <span className="batten-number">{weight.headline}</span>
    </button>
  )
}

function choose(stores: Stores, step: StepName): void {
  // A second click on the open step closes its slip.
  if (stores.session.getState().slip === step) stores.session.setState({ slip: null })
  else openStep(stores.session, step)
}

/** Strip and weights, drawn by hand while they move: React would be asked for every frame otherwise. */
function Strip({ weights, width, inset }: { weights: readonly StepWeight[]; width: number; inset: number }) {
  const xs = useMemo(() => weightPlaces_px(weights.length, width, inset), [weights.length, width, inset])
  const svg = useRef<SVGSVGElement>(null)
  const shown = useRef<number[]>([])
  const sinks = weights.map((w) => sink_px(w.holds)).join(' ')

  useLayoutEffect(() => {
    const target = sinks.split(' ').map(Number)
    const draw = (sunk: readonly number[]) => {
      const root = svg.current
      if (!root) return
      const ys = xs.map((_, i) => fair_px(xs.length > 1 ? i / (xs.length - 1) : 0.5) + (sunk[i] ?? 0))
      const spline = naturalSpline(xs, ys)
      root.querySelector('.batten-strip')?.setAttribute('d', stripPath(spline, xs))
      root.querySelector('.batten-fair')?.setAttribute('d', fairPath(spline, xs))
      root.querySelectorAll('.batten-weight').forEach((group, i) => {
        group.setAttribute('transform', `translate(${xs[i]!.toFixed(2)} ${(ys[i]! - FOOT_PX).toFixed(2)})`)
      })
      shown.current = [...sunk]
    }
    const start = shown.current.length === target.length ? shown.current : target
    const still = matchMedia('(prefers-reduced-motion: reduce)').matches
    if (still || start.every((v, i) => v === target[i])) {
      draw(target)
      return
    }
    let frame = 0
    let began = 0
    const step = (now: number) => {
      began ||= now
      const t = Math.min(1, (now - began) / RETURN_MS)
      draw(target.map((v, i) => start[i]! + (v - start[i]!) * t))
      if (t < 1) frame = requestAnimationFrame(step)
    }
    frame = requestAnimationFrame(step)
    return () => cancelAnimationFrame(frame)
  }, [sinks, xs])

  return (
    <svg ref={svg} className="batten-drawing" width={width} height="76" aria-hidden="true">
      <path className="batten-fair" />
      <path className="batten-strip" />
      {weights.map((w) => (
        <g key={w.step} className="batten-weight">
          <LeadWeight state={w.state} fraction={w.fraction} />
        </g>
      ))}
    </svg>
  )
}
