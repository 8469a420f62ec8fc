/** What the clearance slip asks for, on the drawing while it is open: regions, bosses, landing strips; the drawn outline. */
import { useEffect, useMemo, useRef } from 'react'
import { useStore } from 'zustand'
import { axisInJob } from '../../state/place-words'
import type { Stores } from '../../state/stores'
import { project, type Vec3 } from '../camera/eye'
import type { EyeMoment, EyeRig } from '../camera/eye-rig'
import { useResult } from '../use-drawn'
import { OutlineMarks } from './outline-marks'
import { bossRuns, boxRuns, stripRuns } from './plan-lines'

interface Mark {
  readonly name: string
  readonly kind: 'region' | 'boss' | 'strip'
  readonly runs: readonly (readonly Vec3[])[]
  /** Where its name stands; null: it has none. */
  readonly label: Vec3 | null
}

export function ShapeMarks({ stores, rig }: { stores: Stores; rig: EyeRig }) {
  const { regions, bosses, lands, symmetric } = useStore(stores.jobs, (s) => s.history.job.clearance)
  const marked = useStore(stores.jobs, (s) => s.history.job.frame.tubes)
  const clearance = useResult(stores, 'clearance')
  const frame = useResult(stores, 'frame')
  const motion = useResult(stores, 'datum')?.motion ?? null
  const root = useRef<SVGGElement>(null)
  const z = clearance?.certificate.at.shell[2] ?? clearance?.outlineHeight_mm ?? 0
  const marks = useMemo((): readonly Mark[] => {
    const strips =
      lands.kind === 'none' || !motion ? [] : (frame?.tubes ?? []).filter((tube) => marked[tube.id]?.role === 'bearing')
    return [
      ...regions.map(
        (region): Mark => ({ name: region.name, kind: 'region', runs: boxRuns(region), label: region.max_mm }),
      ),
      ...bosses.map(
        (boss): Mark => ({
          name: boss.name,
          kind: 'boss',
          runs: bossRuns(boss, z, symmetric),
          label: [boss.at_mm[0], boss.at_mm[1], z],
        }),
      ),
      ...strips.map(
        (tube): Mark => ({
          name: tube.id,
          kind: 'strip',
          runs: stripRuns(crestOf(axisInJob(tube, motion!), tube.diameter_mm / 2), tube.closed, lands.width_mm),
          label: null,
        }),
      ),
    ]
  }, [regions, bosses, lands, symmetric, marked, frame, motion, z])
  useEffect(() => {
    const draw = (moment: EyeMoment) => {
      const at = (p: Vec3) => {
        const [x, y] = project(moment.eye, moment.basis, moment.free, p)
        return `${x.toFixed(1)} ${y.toFixed(1)}`
      }
      marks.forEach(({ runs, label }, i) => {
        const node = root.current?.children[i]
        const path = runs.map((run) => `M${run.map(at).join('L')}`).join('')
        for (const line of node?.querySelectorAll('path') ?? []) line.setAttribute('d', path)
        if (label) node?.querySelector('text')?.setAttribute('transform', `translate(${at(label)})`)
      })
    }
    const stop = rig.onPicture(draw)
    draw(rig.now())
    return () => void stop()
  }, [rig, marks])
  return (
    <>
      <g ref={root} className="shape-marks" data-testid="shape-marks">
        {marks.map(({ name, kind, label }) => (
          <g key={`${kind} ${name}`} data-kind={kind}>
            <path className="casing" />
            <path className="shape-line" />
            {label && (
              <text x={6} y={-6}>
                {name}
              </text>
            )}
          </g>
        ))}
      </g>
      {clearance && <OutlineMarks stores={stores} rig={rig} height_mm={clearance.outlineHeight_mm} />}
    </>
  )
}

/** The top of a tube, where the strip lies. */
const crestOf = (axis: readonly Vec3[], radius_mm: number): readonly Vec3[] =>
  axis.map(([x, y, z]) => [x, y, z + radius_mm])
