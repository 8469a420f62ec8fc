/** The scanned metal: brushed, with ink outline, the rims of its holes in blue; the mirror map lies on it where asked. */
import { useEffect, useMemo } from 'react'
import { BackSide, BufferAttribute } from 'three'
import type { DisplayCopy } from '../../core/geometry/display-copy'
import type { Mesh } from '../../core/geometry/mesh'
import { FINE_LAYER } from '../camera/look'
import { rimSegments, useBuilt, vertexGeometry } from '../geometry/build'
import { facetNormalsOf } from '../geometry/facet-data'
import { vertexMeans } from '../geometry/facets'
import { FAILS } from '../maps/facet-classes'
import { mappedMaterial, outlineMaterial } from '../maps/mapped-material'
import type { SheetMap } from '../maps/sheet-map'
import type { PickRegister } from '../picking/pick'
import type { Theme } from '../theme'
import { useRedraw, useScreenWidths } from './canvas-hooks'
import { FatLine } from './fat-line'
import { vertexValues } from './map-attributes'
import { usePickable } from './use-pickable'

export interface FrameLayerProps {
  readonly mesh: Mesh
  /** Drawn in its place. */
  readonly copy?: DisplayCopy | null
  readonly rimVertex: Uint8Array | null
  readonly map: SheetMap | null
  readonly theme: Theme
  readonly picks: PickRegister
}

const plainGeometry = (mesh: Mesh) => {
  const geometry = vertexGeometry(mesh)
  geometry.setAttribute('aClass', new BufferAttribute(new Uint8Array(mesh.positions.length / 3), 1))
  return geometry
}

/**
 * Vertices are shared: one is hatched where a facet about it fails; on a copy, where any facet fails for which it stands, so that
 * nothing that fails goes unseen.
 */
function vertexFails({ indices, positions }: Mesh, copy: DisplayCopy | null, map: SheetMap | null): Uint8Array {
  const fails = new Uint8Array((copy?.mesh.positions ?? positions).length / 3)
  if (!map) return fails
  for (let i = 0; i < indices.length; i++)
    if (map.classes[(i / 3) | 0] === FAILS) fails[copy ? copy.clusterOf[indices[i]!]! : indices[i]!] = FAILS
  return fails
}

export function FrameLayer({ mesh, copy = null, rimVertex, map, theme, picks }: FrameLayerProps) {
  const drawn = copy?.mesh ?? mesh
  const geometry = useBuilt(drawn, plainGeometry)
  const metal = useMemo(() => mappedMaterial('metal'), [])
  const ink = useMemo(() => outlineMaterial(BackSide), [])
  useEffect(() => () => metal.dispose(), [metal])
  useEffect(() => () => ink.dispose(), [ink])
  const mine = map?.mesh.id === mesh.id ? map : null
  useMemo(() => {
    if (!geometry) return
    const values = mine
      ? vertexValues(vertexMeans(mesh, mine.values, facetNormalsOf(mesh).area_mm2, mine.scale.to * 2, copy))
      : new Float32Array(drawn.positions.length / 3)
    geometry.setAttribute('aValue', new BufferAttribute(values, 1))
    geometry.setAttribute('aClass', new BufferAttribute(vertexFails(mesh, copy, mine), 1))
  }, [geometry, mesh, copy, drawn, mine])
  useMemo(() => {
    metal.setMap(mine?.scale ?? null, true)
    // A map needs an even ground: the metal is drawn pale under it.
    metal.setColour(mine ? theme.gelcoat : theme.metal, theme.paper)
    ink.setColour(theme.ink)
  }, [metal, ink, mine, theme])
  const rims = useMemo(
    () => (rimVertex && rimVertex.length * 3 === mesh.positions.length ? rimSegments(mesh, rimVertex) : null),
    [mesh, rimVertex],
  )
  const outlines = useMemo(() => [{ outline: ink, px: 1.25 }], [ink])
  const mapped = useMemo(() => [metal], [metal])
  useScreenWidths(mapped, outlines)
  useRedraw(geometry)
  useRedraw(mine)
  useRedraw(theme)
  usePickable(picks, geometry, { kind: 'frame', mesh, copy })
  if (!geometry) return null
  const at = mesh.origin
  return (
    <group position={[at[0], at[1], at[2]]}>
      <mesh geometry={geometry} material={metal.material} castShadow receiveShadow />
      <mesh geometry={geometry} material={ink.material} layers={FINE_LAYER} />
      {rims && (
        <group position={[-at[0], -at[1], -at[2]]}>
          <FatLine segments={rims} colour={theme.blue} px={1.6} order={2} fine />
        </group>
      )}
    </group>
  )
}
