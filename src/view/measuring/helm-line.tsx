/** What the look from the helm is: how high the eyes are, how much they take in, and how to leave it. */
import { useEffect, useRef } from 'react'
import { useStore } from 'zustand'
import { bodySizes } from '../../core/fitting/body-sizes'
import { lengthText } from '../../state/format'
import { leaveHelm } from '../../state/session-moves'
import type { Stores } from '../../state/stores'
import { fieldOf } from '../camera/eye'
import type { EyeRig } from '../camera/eye-rig'
import { helmWords } from '../words'

export function HelmLine({ stores, rig }: { stores: Stores; rig: EyeRig }) {
  const people = useStore(stores.jobs, (s) => s.history.job.people)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const field = useRef<HTMLSpanElement>(null)
  useEffect(() => {
    const draw = () => {
      const { eye, free } = rig.now()
      const { across_deg, high_deg } = fieldOf(eye, free)
      if (field.current) field.current.textContent = helmWords.field(across_deg.toFixed(0), high_deg.toFixed(0))
    }
    const stop = rig.onPicture(draw)
    draw()
    return () => void stop()
  }, [rig])
  const headroom_mm = useStore(stores.results, (s) => s.steps.fitting.result?.people.headroom_mm ?? null)
  const eye_mm = people.eye_mm ?? bodySizes(people.helmsman).eye_mm
  const height = lengthText(eye_mm, unit, unit === 'mm' ? 0 : undefined)
  const stood = people.helm_mm || people.deck_mm !== null
  return (
    <div className="helm-line" data-testid="helm-line">
      <span>{stood ? helmWords.eyes(height) : helmWords.under}</span> <span ref={field} data-testid="helm-field" />{' '}
      {!people.helm_mm && <span>{helmWords.none}</span>}{' '}
      {headroom_mm !== null && eye_mm > headroom_mm && <span>{helmWords.above}</span>}{' '}
      <span className="quiet">{helmWords.help}</span>{' '}
      <button type="button" data-testid="leave-helm" onClick={() => leaveHelm(stores.session)}>
        {helmWords.leave}
      </button>
    </div>
  )
}
