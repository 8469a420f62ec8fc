/** The loft floor: a grid of 100 and 500 mm in job axes, fading at its edge; the centreline; the shadow of feet and shell. */
import { useEffect, useMemo } from 'react'
import {
  BufferAttribute,
  BufferGeometry,
  CanvasTexture,
  Color,
  DoubleSide,
  LinearFilter,
  LineSegments,
  ShaderMaterial,
} from 'three'
import type { Mesh } from '../../core/geometry/mesh'
import type { Theme } from '../theme'
import { useRedraw } from './canvas-hooks'
import { FatLine } from './fat-line'

/** The floor's rectangle, whole hundreds of millimetres. */
export interface Floor {
  readonly min: readonly [number, number]
  readonly max: readonly [number, number]
  readonly z: number
}

const MARGIN_MM = 380

export function floorUnder(min: readonly number[], max: readonly number[]): Floor {
  const down = (v: number) => Math.floor((v - MARGIN_MM) / 100) * 100
  const up = (v: number) => Math.ceil((v + MARGIN_MM) / 100) * 100
  return { min: [down(min[0]!), down(min[1]!)], max: [up(max[0]!), up(max[1]!)], z: min[2]! }
}

export interface FloorLayerProps {
  readonly floor: Floor
  readonly frame: Mesh
  readonly outline: Float64Array | null
  readonly theme: Theme
}

export function FloorLayer({ floor, frame, outline, theme }: FloorLayerProps) {
  const grid = useMemo(() => gridLines(floor), [floor])
  useEffect(
    () => () => {
      grid.geometry.dispose()
      grid.material.dispose()
    },
    [grid],
  )
  useMemo(() => {
    grid.material.uniforms['uColour']!.value.set(theme.ink)
    grid.material.uniforms['uFine']!.value = theme.gridFine
    grid.material.uniforms['uCoarse']!.value = theme.gridCoarse
  }, [grid, theme])
  const shadow = useMemo(() => contactShadow(floor, frame, outline), [floor, frame, outline])
  useEffect(() => () => shadow?.dispose(), [shadow])
  useRedraw(grid)
  useRedraw(shadow)
  useRedraw(theme)
  const [x0, y0] = floor.min
  const [x1, y1] = floor.max
  const middle = [(x0 + x1) / 2, (y0 + y1) / 2, floor.z - 1] as const
  const centreline = useMemo(
    () => Float32Array.from([x0 + MARGIN_MM * 0.55, 0, floor.z, x1 - MARGIN_MM * 0.1, 0, floor.z]),
    [x0, x1, floor.z],
  )
  return (
    <>
      {shadow && (
        <mesh position={middle} renderOrder={-3}>
          <planeGeometry args={[x1 - x0, y1 - y0]} />
          <meshBasicMaterial
            map={shadow}
            transparent
            depthWrite={false}
            side={DoubleSide}
            color={theme.dark ? '#000000' : '#3A3326'}
          />
        </mesh>
      )}
      <primitive object={grid} />
      <FatLine segments={centreline} colour={theme.blue} px={2} dash={[105, 32]} order={-1} />
    </>
  )
}

function gridLines({ min, max, z }: Floor): LineSegments<BufferGeometry, ShaderMaterial> {
  const points: number[] = []
  const coarse: number[] = []
  // Each line in pieces of 500, so that the fading at the edge has corners to hold on to.
  for (const along of [0, 1] as const) {
    const across = (1 - along) as 0 | 1
    for (let v = min[across]; v <= max[across] + 0.5; v += 100)
      for (let u = min[along]; u < max[along]; u += 500) {
        const w = Math.min(u + 500, max[along])
        const at = (t: number) => (along === 0 ? [t, v, z] : [v, t, z])
        points.push(...at(u), ...at(w))
        const heavy = Math.abs(v % 500) < 0.5 ? 1 : 0
        coarse.push(heavy, heavy)
      }
  }
  const geometry = new BufferGeometry()
  geometry.setAttribute('position', new BufferAttribute(Float32Array.from(points), 3))
  geometry.setAttribute('aCoarse', new BufferAttribute(Float32Array.from(coarse), 1))
  const material = new ShaderMaterial({
    transparent: true,
    depthWrite: false,
    uniforms: {
      uColour: { value: new Color() },
      uFine: { value: 0.1 },
      uCoarse: { value: 0.2 },
      uMin: { value: min },
      uMax: { value: max },
    },
    vertexShader: `
      attribute float aCoarse;
      varying float vCoarse;
      varying vec2 vAt;
      void main() {
        vCoarse = aCoarse;
        vAt = position.xy;
        gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
      }`,
    fragmentShader: `
      uniform vec3 uColour;
      uniform float uFine;
      uniform float uCoarse;
      uniform vec2 uMin;
      uniform vec2 uMax;
      varying float vCoarse;
      varying vec2 vAt;
      void main() {
        vec2 inner = min(vAt - uMin, uMax - vAt);
        float edge = smoothstep(-40.0, 420.0, min(inner.x, inner.y));
        gl_FragColor = vec4(uColour, mix(uFine, uCoarse, vCoarse) * mix(0.35, 1.0, edge));
        #include <colorspace_fragment>
      }`,
  })
  const lines = new LineSegments(geometry, material)
  lines.renderOrder = -2
  return lines
}

const SHADOW_PX = 1024
/** Metal up to this height over the floor is foot. */
const FOOT_MM = 70

/** Feet (blur 6 px, 40 %) and shell (blur 26 px, 16 %), painted once. */
function contactShadow({ min, max, z }: Floor, frame: Mesh, outline: Float64Array | null): CanvasTexture | null {
  const canvas = document.createElement('canvas')
  canvas.width = SHADOW_PX
  canvas.height = SHADOW_PX
  const pen = canvas.getContext('2d')
  if (!pen) return null
  const px = (x: number) => ((x - min[0]) / (max[0] - min[0])) * SHADOW_PX
  const py = (y: number) => (1 - (y - min[1]) / (max[1] - min[1])) * SHADOW_PX
  pen.fillStyle = '#fff'
  if (outline) {
    pen.filter = 'blur(26px)'
    pen.globalAlpha = 0.16
    pen.beginPath()
    for (let i = 0; i < outline.length; i += 2) pen.lineTo(px(outline[i]!), py(outline[i + 1]!))
    pen.fill()
  }
  pen.filter = 'blur(6px)'
  pen.globalAlpha = 0.4
  pen.beginPath()
  const { positions: p, indices, origin } = frame
  for (let f = 0; f < indices.length; f += 3) {
    const a = indices[f]! * 3
    if (p[a + 2]! + origin[2] > z + FOOT_MM) continue
    const b = indices[f + 1]! * 3
    const c = indices[f + 2]! * 3
    // All one way round, or facets that look down would take away from those that look up.
    const turn = (p[b]! - p[a]!) * (p[c + 1]! - p[a + 1]!) - (p[b + 1]! - p[a + 1]!) * (p[c]! - p[a]!)
    pen.moveTo(px(p[a]! + origin[0]), py(p[a + 1]! + origin[1]))
    for (const v of turn > 0 ? [b, c] : [c, b]) pen.lineTo(px(p[v]! + origin[0]), py(p[v + 1]! + origin[1]))
  }
  pen.fill()
  const texture = new CanvasTexture(canvas)
  texture.minFilter = LinearFilter
  texture.generateMipmaps = false
  return texture
}
