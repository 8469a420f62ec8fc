/** The cut face of a thin laminate: solid ink, as ISO 128 has it for sections too thin to hatch. */
import { useEffect, useMemo } from 'react'
import { BufferAttribute, BufferGeometry, DoubleSide, ShapeUtils, Vector2 } from 'three'
import type { Mesh } from '../../core/geometry/mesh'
import { type Chain, cutMesh, type SectionPlane } from '../section/cut-mesh'
import { useRedraw } from './canvas-hooks'
import { FatLine } from './fat-line'

export interface SectionCapProps {
  readonly solid: Mesh
  readonly section: SectionPlane
  readonly colour: string
}

export function SectionCap({ solid, section, colour }: SectionCapProps) {
  const chains = useMemo(() => cutMesh(solid, section), [solid, section])
  const geometry = useMemo(() => capGeometry(chains, section), [chains, section])
  useEffect(() => () => geometry.dispose(), [geometry])
  const rim = useMemo(() => chainSegments(chains, section), [chains, section])
  useRedraw(geometry)
  return (
    <>
      <mesh geometry={geometry} renderOrder={3}>
        <meshBasicMaterial
          color={colour}
          side={DoubleSide}
          polygonOffset
          polygonOffsetFactor={-1}
          polygonOffsetUnits={-4}
        />
      </mesh>
      <FatLine segments={rim} colour={colour} px={4} order={3} />
    </>
  )
}

const inSpace = (section: SectionPlane, u: number, v: number): [number, number, number] =>
  section.across === 'x' ? [section.at_mm, u, v] : [u, section.at_mm, v]

function capGeometry(chains: readonly Chain[], section: SectionPlane): BufferGeometry {
  const points: number[] = []
  const facets: number[] = []
  for (const { points: p, closed } of chains) {
    if (!closed) continue
    const contour = Array.from({ length: p.length / 2 }, (_, i) => new Vector2(p[i * 2]!, p[i * 2 + 1]!))
    const first = points.length / 3
    for (const c of contour) points.push(...inSpace(section, c.x, c.y))
    for (const [a, b, c] of ShapeUtils.triangulateShape(contour, []) as [number, number, number][])
      facets.push(first + a, first + b, first + c)
  }
  const geometry = new BufferGeometry()
  geometry.setAttribute('position', new BufferAttribute(Float32Array.from(points), 3))
  geometry.setIndex(facets)
  return geometry
}

/** Six numbers per segment. */
export function chainSegments(chains: readonly Chain[], section: SectionPlane): Float32Array {
  const out: number[] = []
  for (const { points: p, closed } of chains) {
    const count = p.length / 2
    for (let i = 0; i < (closed ? count : count - 1); i++) {
      const j = (i + 1) % count
      out.push(...inSpace(section, p[i * 2]!, p[i * 2 + 1]!), ...inSpace(section, p[j * 2]!, p[j * 2 + 1]!))
    }
  }
  return Float32Array.from(out)
}
