/** Small hooks of the layers: ask for a picture and a new shadow, keep what depends on screen pixels in step. */
import { useFrame, useThree } from '@react-three/fiber'
import { useEffect } from 'react'
import type { MappedMaterial, OutlineMaterial } from '../maps/mapped-material'

/** After `what` has changed the shadow is cast again and a picture is drawn. */
export function useRedraw(what: unknown): void {
  const gl = useThree((s) => s.gl)
  const invalidate = useThree((s) => s.invalidate)
  useEffect(() => {
    gl.shadowMap.needsUpdate = what !== undefined
    invalidate()
  }, [gl, invalidate, what])
}

/** Keeps hatches and outlines at their width on the screen, whatever size and pixel ratio the canvas has. */
export function useScreenWidths(
  mapped: readonly Pick<MappedMaterial, 'setDpr'>[],
  outlines: readonly { readonly outline: OutlineMaterial; readonly px: number }[],
): void {
  useFrame(({ gl, size }) => {
    for (const m of mapped) m.setDpr(gl.getPixelRatio())
    for (const { outline, px } of outlines) outline.setWidth(px, size.width, size.height)
  })
}
