/**
 * The mirror image over the metal: hatched blue where it stands out of the metal by more than noise explains, thin blue where
 * the other side was not seen, nothing where the two agree (there the faces would only flicker through each other).
 */
import { MeshBasicMaterial } from 'three'

export interface MirrorMaterial {
  readonly material: MeshBasicMaterial
  set(colour: string, beyond_mm: number): void
  setDpr(dpr: number): void
}

export function mirrorMaterial(): MirrorMaterial {
  const uBeyond = { value: 0 }
  const uDpr = { value: 1 }
  const material = new MeshBasicMaterial({ transparent: true, depthWrite: false })
  material.onBeforeCompile = (shader) => {
    Object.assign(shader.uniforms, { uBeyond, uDpr })
    shader.vertexShader = `attribute float aValue;\nvarying float vValue;\n${shader.vertexShader.replace(
      '#include <begin_vertex>',
      '#include <begin_vertex>\nvValue = aValue;',
    )}`
    shader.fragmentShader = `uniform float uBeyond;\nuniform float uDpr;\nvarying float vValue;\n${shader.fragmentShader.replace(
      '#include <opaque_fragment>',
      `${HATCH}\n#include <opaque_fragment>`,
    )}`
  }
  material.customProgramCacheKey = () => 'mirror-image'
  return {
    material,
    set(colour, beyond_mm) {
      material.color.set(colour)
      uBeyond.value = beyond_mm
    },
    setDpr(dpr) {
      uDpr.value = dpr
    },
  }
}

/** Lines at 45 degrees, 4.2 px across, as in the maps; in screen pixels. */
const HATCH = `
  if (vValue <= uBeyond) discard;
  vec2 px = gl_FragCoord.xy / uDpr;
  float across = abs(mod((px.x + px.y) * 0.70711, 4.2) - 2.1);
  float soft = 0.5 / uDpr;
  float line = 1.0 - smoothstep(0.9 - soft, 0.9 + soft, across);
  diffuseColor.a = vValue > 1e8 ? 0.3 : mix(0.4, 1.0, line);
`
