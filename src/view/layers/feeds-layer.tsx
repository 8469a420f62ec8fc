/** Feed lines, point inlets and vents on the shell, and what is being placed. Drawn over the part: they lie on its back. */
import { useMemo } from 'react'
import { useStore } from 'zustand'
import type { InfusionPlan } from '../../core/build-plan/types'
import type { Point } from '../../core/geometry/axes'
import type { Stores } from '../../state/stores'
import { INK_ON_PART, type Theme } from '../theme'
import { useRedraw } from './canvas-hooks'
import { FatLine, runSegments } from './fat-line'

const INLET_RING_MM = 22
const VENT_RING_MM = 30
const CORNERS = 20

/** Rings about places, level. */
function rings(places: readonly Point[], radius_mm: number): Float32Array {
  const out = new Float32Array(places.length * CORNERS * 6)
  let k = 0
  for (const [x, y, z] of places)
    for (let i = 0; i < CORNERS; i++)
      for (const j of [i, i + 1]) {
        const turn = (2 * Math.PI * j) / CORNERS
        out.set([x + radius_mm * Math.cos(turn), y + radius_mm * Math.sin(turn), z], k)
        k += 3
      }
  return out
}

const joined = (lines: readonly (readonly Point[])[]): Float32Array =>
  Float32Array.from(
    lines.flatMap((line) => (line.length > 1 ? [...runSegments(line.map((p) => [p[0], p[1], p[2]]))] : [])),
  )

export function FeedsLayer({ stores, plan, theme }: { stores: Stores; plan: InfusionPlan | null; theme: Theme }) {
  const placing = useStore(stores.session, (s) => s.placing)
  const lines = useMemo(() => joined(plan?.lines ?? []), [plan])
  const points = useMemo(
    () =>
      rings(
        (plan?.lines ?? []).flatMap((l) => (l.length === 1 ? l : [])),
        INLET_RING_MM,
      ),
    [plan],
  )
  const vents = useMemo(() => rings(plan?.vents ?? [], VENT_RING_MM), [plan])
  const begun = useMemo(() => (placing ? joined([placing.points]) : null), [placing])
  const marks = useMemo(() => (placing ? rings(placing.points, INLET_RING_MM / 2) : null), [placing])
  useRedraw(plan)
  useRedraw(placing)
  const over = (segments: Float32Array | null, colour: string) =>
    segments &&
    segments.length > 0 && (
      <>
        <FatLine segments={segments} colour={theme.gelcoat} px={6} opacity={0.85} order={4} hidden={false} />
        <FatLine segments={segments} colour={colour} px={2.4} opacity={0.99} order={5} hidden={false} />
      </>
    )
  return (
    <>
      {over(lines, theme.blue)}
      {over(points, theme.blue)}
      {over(vents, INK_ON_PART)}
      {over(begun, theme.lead)}
      {over(marks, theme.lead)}
    </>
  )
}
