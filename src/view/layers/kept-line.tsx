/** Where the inner surface of another state of the job runs in the section: a dashed line over the cut one. */
import { useMemo } from 'react'
import type { Mesh } from '../../core/geometry/mesh'
import { cutMesh, type SectionPlane } from '../section/cut-mesh'
import { useRedraw } from './canvas-hooks'
import { FatLine } from './fat-line'
import { chainSegments } from './section-cap'

/** On and off, mm. */
const DASH = [28, 18] as const

export function KeptLine({ face, section, colour }: { face: Mesh; section: SectionPlane; colour: string }) {
  const line = useMemo(() => chainSegments(cutMesh(face, section), section), [face, section])
  useRedraw(line)
  return <FatLine segments={line} colour={colour} px={2.2} dash={DASH} order={5} />
}
