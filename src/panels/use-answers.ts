import { useMemo } from 'react'
import { useStore } from 'zustand'
import { answers } from '../state/answers'
import { type StepWeight, stepWeights } from '../state/headlines'
import type { Stores } from '../state/stores'

function useInput({ results, jobs, session }: Stores) {
  const made = useStore(results)
  const history = useStore(jobs, (s) => s.history)
  const unit = useStore(session, (s) => s.lengthUnit)
  return useMemo(() => ({ results: made, history, unit }), [made, history, unit])
}

/** The four answers, worked out again when results, job or unit change. */
export function useAnswers(stores: Stores): ReturnType<typeof answers> {
  const input = useInput(stores)
  return useMemo(() => answers(input), [input])
}

export function useWeights(stores: Stores): readonly StepWeight[] {
  const input = useInput(stores)
  return useMemo(() => stepWeights(input), [input])
}
