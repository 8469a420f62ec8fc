/** The frame mirrored in the centreline plane, over the frame: how far port and starboard are from being each other's image. */
import { useEffect, useMemo } from 'react'
import { BufferAttribute } from 'three'
import type { DatumResult } from '../../core/datum/types'
import { trustedNoise_mm } from '../../core/flow'
import type { DisplayCopy } from '../../core/geometry/display-copy'
import { BEYOND_NOISE } from '../../state/session-store'
import type { Stores } from '../../state/stores'
import { useBuilt, vertexGeometry } from '../geometry/build'
import { facetNormalsOf } from '../geometry/facet-data'
import { vertexMeans } from '../geometry/facets'
import { mirrorMaterial } from '../maps/mirror-material'
import type { Theme } from '../theme'
import { useResult } from '../use-drawn'
import { useRedraw, useScreenWidths } from './canvas-hooks'
import { vertexValues } from './map-attributes'

export interface MirrorLayerProps {
  readonly stores: Stores
  readonly datum: DatumResult
  /** Drawn in place of its mesh. */
  readonly copy: DisplayCopy | null
  readonly theme: Theme
}

export function MirrorLayer({ stores, datum, copy, theme }: MirrorLayerProps) {
  const scan = useResult(stores, 'scan')
  const frame = useResult(stores, 'frame')
  const source = useMemo(() => ({ datum, copy }), [datum, copy])
  const geometry = useBuilt(source, imageOf)
  const image = useMemo(mirrorMaterial, [])
  useEffect(() => () => image.material.dispose(), [image])
  const noise_mm = scan && frame ? trustedNoise_mm(scan, frame) : 0
  useMemo(() => image.set(theme.blue, BEYOND_NOISE * noise_mm), [image, theme, noise_mm])
  const mapped = useMemo(() => [image], [image])
  useScreenWidths(mapped, [])
  useRedraw(geometry)
  useRedraw(noise_mm)
  useRedraw(theme)
  if (!geometry) return null
  const [x, y, z] = datum.mesh.origin
  return (
    <group position={[x, -y, z]} scale={[1, -1, 1]}>
      {/* Its own nearest face first, so that what lies behind it does not shine through. */}
      <mesh geometry={geometry} renderOrder={1}>
        <meshBasicMaterial colorWrite={false} />
      </mesh>
      <mesh geometry={geometry} material={image.material} renderOrder={2} />
    </group>
  )
}

function imageOf({ datum, copy }: Pick<MirrorLayerProps, 'datum' | 'copy'>) {
  const { mesh, symmetryField, symmetry } = datum
  const geometry = vertexGeometry(copy?.mesh ?? mesh)
  const means = vertexMeans(mesh, symmetryField.values, facetNormalsOf(mesh).area_mm2, symmetry.max_mm, copy)
  geometry.setAttribute('aValue', new BufferAttribute(vertexValues(means), 1))
  return geometry
}
