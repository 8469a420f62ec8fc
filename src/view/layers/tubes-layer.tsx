/**
 * The tubes as they were fitted: axes as chain lines, rings round them, and the metal of those that are pointed at or chosen
 * in blue. An axis lies inside its metal, so it is drawn over it.
 */
import { useMemo } from 'react'
import { BufferAttribute, BufferGeometry, DoubleSide } from 'three'
import { useStore } from 'zustand'
import { fastenerPlaces } from '../../core/frame'
import type { FrameResult } from '../../core/frame/types'
import { IDENTITY, type Matrix4 } from '../../core/geometry/axes'
import type { DisplayCopy } from '../../core/geometry/display-copy'
import type { Mesh } from '../../core/geometry/mesh'
import type { Job } from '../../core/job'
import { axisInJob } from '../../state/place-words'
import type { Stores } from '../../state/stores'
import { useBuilt } from '../geometry/build'
import { chainLine, fastenerPegs, tubeRings } from '../geometry/tube-lines'
import { INK_ON_PART, type Theme } from '../theme'
import { useResult } from '../use-drawn'
import { useRedraw } from './canvas-hooks'
import { FatLine } from './fat-line'

export interface TubesLayerProps {
  readonly stores: Stores
  readonly mesh: Mesh
  /** Drawn in its place. */
  readonly copy: DisplayCopy | null
  readonly theme: Theme
  /** False: only what is pointed at. */
  readonly axes: boolean
}

export function TubesLayer({ stores, mesh, copy, theme, axes }: TubesLayerProps) {
  const frame = useResult(stores, 'frame')
  const datum = useResult(stores, 'datum')
  const chosen = useStore(stores.session, (s) => s.tube)
  const lit = useStore(stores.session, (s) => s.tubesLit)
  const motion = datum?.mesh === mesh ? datum.motion : IDENTITY
  // Tubes of another scan than the one that is drawn (results arrive one after the other) are not of this metal.
  const fits = frame !== null && frame.tubeOfFacet.length * 3 === mesh.indices.length
  const lines = useMemo(() => (fits && axes ? linesOf(motion, frame.tubes) : null), [fits, axes, frame, motion])
  const marked = useMemo(() => {
    const ids = axes && chosen !== null ? [...lit, chosen] : lit
    const tubes = fits ? frame.tubes.filter((t) => ids.includes(t.id)) : []
    return fits && tubes.length > 0 ? { frame, mesh, copy, tubes, ...linesOf(motion, tubes) } : null
  }, [fits, frame, mesh, copy, motion, axes, chosen, lit])
  const marks = useStore(stores.jobs, (s) => s.history.job.frame.tubes)
  const pegs = useMemo(
    () => (fits && axes ? pegsOf(motion, frame.tubes, marks) : null),
    [fits, axes, frame, motion, marks],
  )
  const metal = useBuilt(marked, metalOf)
  useRedraw(marked)
  useRedraw(lines)
  useRedraw(pegs)
  return (
    <>
      {metal && (
        <mesh geometry={metal} position={[mesh.origin[0], mesh.origin[1], mesh.origin[2]]} renderOrder={2}>
          <meshBasicMaterial
            color={theme.blue}
            transparent
            opacity={0.42}
            depthWrite={false}
            side={DoubleSide}
            polygonOffset
            polygonOffsetFactor={-1}
            polygonOffsetUnits={-2}
          />
        </mesh>
      )}
      {lines && (
        <>
          <FatLine segments={lines.rings} colour={INK_ON_PART} px={1} opacity={0.55} order={3} />
          <FatLine segments={lines.axes} colour={theme.gelcoat} px={2.8} opacity={0.5} order={4} hidden={false} />
          <FatLine segments={lines.axes} colour={INK_ON_PART} px={1.1} opacity={0.99} order={5} hidden={false} />
        </>
      )}
      {pegs && (
        <>
          <FatLine segments={pegs} colour={theme.paper} px={5.5} opacity={0.85} order={6} />
          <FatLine segments={pegs} colour={theme.blue} px={2.6} opacity={0.99} order={7} />
        </>
      )}
      {marked && (
        <>
          <FatLine segments={marked.axes} colour={theme.paper} px={4.4} opacity={0.85} order={6} hidden={false} />
          <FatLine segments={marked.axes} colour={theme.blue} px={2.2} opacity={0.99} order={7} hidden={false} />
        </>
      )}
    </>
  )
}

function linesOf(motion: Matrix4, tubes: FrameResult['tubes']) {
  const runs = tubes.map((tube) => ({ tube, places: axisInJob(tube, motion) }))
  return {
    axes: joined(runs.map(({ tube, places }) => chainLine(places, tube.closed))),
    rings: joined(runs.map(({ tube, places }) => tubeRings(places, tube.closed, tube.diameter_mm))),
  }
}

/** Where fasteners are to come down, on the tubes that are to have some. */
const pegsOf = (motion: Matrix4, tubes: FrameResult['tubes'], marks: Job['frame']['tubes']): Float32Array =>
  joined(
    tubes.flatMap((tube) => {
      const fasteners = marks[tube.id]?.fasteners
      const places = fasteners ? fastenerPlaces(axisInJob(tube, motion), tube.closed, fasteners) : []
      return [fastenerPegs(places, tube.diameter_mm / 2)]
    }),
  )

function joined(parts: readonly Float32Array[]): Float32Array {
  const out = new Float32Array(parts.reduce((n, p) => n + p.length, 0))
  let at = 0
  for (const part of parts) {
    out.set(part, at)
    at += part.length
  }
  return out
}

/** The facets of some tubes, corner by corner, about the mesh's origin. */
interface Marked {
  readonly frame: FrameResult
  readonly mesh: Mesh
  readonly copy: DisplayCopy | null
  readonly tubes: FrameResult['tubes']
}

function metalOf({ frame, mesh, copy, tubes }: Marked) {
  const { positions, indices } = copy?.mesh ?? mesh
  const wanted = new Set(tubes.map((t) => frame.tubes.indexOf(t)))
  const facets: number[] = []
  for (let f = 0; 3 * f < indices.length; f++)
    if (wanted.has(frame.tubeOfFacet[copy ? copy.facetFrom[f]! : f]!)) facets.push(f)
  const corners = new Float32Array(facets.length * 9)
  facets.forEach((f, i) => {
    for (let c = 0; c < 3; c++) {
      const v = 3 * indices[3 * f + c]!
      corners.set(positions.subarray(v, v + 3), 9 * i + 3 * c)
    }
  })
  const geometry = new BufferGeometry()
  geometry.setAttribute('position', new BufferAttribute(corners, 3))
  return geometry
}
