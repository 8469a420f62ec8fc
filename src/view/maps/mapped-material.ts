/**
 * Gelcoat and brushed metal, with a map laid over. The lights are three's own; what is ours is the finish, the colours of the
 * scale (a strip of texels made by the legend's function), the textures of the classes in screen pixels, and the isolines.
 * Plain arithmetic only, so that software and graphics card agree.
 */
import {
  Color,
  DataTexture,
  DoubleSide,
  LinearFilter,
  MeshBasicMaterial,
  MeshStandardMaterial,
  RGBAFormat,
  type Side,
  UnsignedByteType,
  Vector2,
} from 'three'
import { type MapScale, scaleStrip } from './map-scale'

const TEXELS = 512
const EVERYTHING = 1e9

export type Finish = 'gelcoat' | 'metal' | 'part'

interface MapUniforms {
  readonly uStrip: { value: DataTexture }
  readonly uRange: { value: Vector2 }
  readonly uMapOn: { value: number }
  readonly uColours: { value: number }
  readonly uIsoline: { value: number }
  readonly uDpr: { value: number }
  readonly uInside: { value: Color }
  readonly uStation: { value: number }
  readonly uShown: { value: number }
}

export interface MappedMaterial {
  readonly material: MeshStandardMaterial
  /** Null takes the map off. `colours` false leaves only the textures of the classes. */
  setMap(scale: MapScale | null, colours: boolean): void
  setColour(colour: string, inside: string): void
  setDpr(dpr: number): void
  /** Spacing of the lines across the part, mm; 0: none. */
  setStations(mm: number): void
  /** Values above this are left plain, with a line where they begin; null: all are shown. */
  setShown(value: number | null): void
  dispose(): void
}

const emptyStrip = (): DataTexture => {
  const texture = new DataTexture(new Uint8Array(TEXELS * 4), TEXELS, 1, RGBAFormat, UnsignedByteType)
  texture.minFilter = LinearFilter
  texture.magFilter = LinearFilter
  texture.needsUpdate = true
  return texture
}

export function mappedMaterial(finish: Finish): MappedMaterial {
  const uniforms: MapUniforms = {
    uStrip: { value: emptyStrip() },
    uRange: { value: new Vector2(0, 1) },
    uMapOn: { value: 0 },
    uColours: { value: 1 },
    uIsoline: { value: 0 },
    uDpr: { value: 1 },
    uInside: { value: new Color() },
    uStation: { value: 0 },
    uShown: { value: EVERYTHING },
  }
  const material = new MeshStandardMaterial({
    roughness: finish === 'metal' ? 0.52 : 0.82,
    metalness: 0,
    side: DoubleSide,
    // A cut shell casts the shadow of what is left.
    clipShadows: true,
  })
  material.onBeforeCompile = (shader) => {
    Object.assign(shader.uniforms, uniforms)
    shader.vertexShader = `attribute float aValue;\nattribute float aClass;\nvarying float vValue;\nvarying float vClass;\nvarying vec3 vPlace;\nvarying float vFlat;\n${shader.vertexShader.replace(
      '#include <begin_vertex>',
      '#include <begin_vertex>\nvValue = aValue; vClass = aClass; vPlace = position; vFlat = normal.z;',
    )}`
    shader.fragmentShader = `${FRAGMENT_HEAD}${shader.fragmentShader.replace(
      '#include <opaque_fragment>',
      `${finish === 'metal' ? METAL : GELCOAT}${MAP}\n#include <opaque_fragment>`,
    )}`
  }
  material.customProgramCacheKey = () => `mapped-${finish}`
  return {
    material,
    setMap(scale, colours) {
      uniforms.uMapOn.value = scale ? 1 : 0
      if (!scale) return
      uniforms.uColours.value = colours ? 1 : 0
      uniforms.uIsoline.value = colours ? scale.isoline : 0
      uniforms.uRange.value.set(scale.from, scale.to)
      const { image } = uniforms.uStrip.value
      ;(image.data as Uint8Array).set(scaleStrip(scale, TEXELS))
      uniforms.uStrip.value.needsUpdate = true
    },
    setColour(colour, inside) {
      material.color.set(colour)
      uniforms.uInside.value.set(inside)
    },
    setDpr(dpr) {
      uniforms.uDpr.value = dpr
    },
    setStations(mm) {
      uniforms.uStation.value = mm
    },
    setShown(value) {
      uniforms.uShown.value = value ?? EVERYTHING
    },
    dispose() {
      uniforms.uStrip.value.dispose()
      material.dispose()
    },
  }
}

const FRAGMENT_HEAD = `
uniform sampler2D uStrip;
uniform vec2 uRange;
uniform float uMapOn;
uniform float uColours;
uniform float uIsoline;
uniform float uDpr;
uniform vec3 uInside;
uniform float uStation;
uniform float uShown;
varying float vValue;
varying float vClass;
varying vec3 vPlace;
varying float vFlat;
vec3 linearOf(vec3 c) { return mix(c / 12.92, pow((c + 0.055) / 1.055, vec3(2.4)), step(vec3(0.04045), c)); }
`

/** Darkened 22 % where the face turns away. */
const GELCOAT = `
  vec3 plainBody = diffuseColor.rgb;
  outgoingLight *= mix(0.78, 1.0, smoothstep(0.0, 0.6, dot(normal, geometryViewDir)));
`

/** A rim 42 % darker and one soft band across the normal: brushed, not chrome. The inside of a scan is flat. */
const METAL = `
  vec3 plainBody = diffuseColor.rgb;
  float bandAt = (normal.y - 0.42) / 0.2;
  float facing = dot(normal, geometryViewDir);
  outgoingLight *= mix(0.58, 1.0, smoothstep(0.05, 0.75, facing));
  outgoingLight += diffuseColor.rgb * 0.3 * exp(-bandAt * bandAt) * smoothstep(0.1, 0.6, facing);
  if (!gl_FrontFacing) outgoingLight = uInside;
`

const MAP = `
  float lit = dot(outgoingLight, vec3(0.2126, 0.7152, 0.0722)) / max(dot(plainBody, vec3(0.2126, 0.7152, 0.0722)), 0.01);
  float shade = clamp(mix(0.4, 1.0, lit), 0.62, 1.0);
  float frontAt = abs(vValue - uShown) / max(fwidth(vValue), 1e-6);
  if (uMapOn > 0.5 && vValue < 1e8 && vValue <= uShown) {
    float t = clamp((vValue - uRange.x) / (uRange.y - uRange.x), 0.0, 1.0);
    vec4 strip = texture2D(uStrip, vec2((t * ${TEXELS - 1}.0 + 0.5) / ${TEXELS}.0, 0.5));
    float weight = strip.a * uColours;
    outgoingLight = mix(outgoingLight, linearOf(strip.rgb) * shade, weight);
    if (uIsoline > 0.0) {
      float q = vValue / uIsoline;
      float width = fwidth(q);
      float near = abs(fract(q - 0.5) - 0.5) / max(width, 1e-6);
      float heavy = step(abs(fract(floor(q + 0.5) / 4.0 + 0.125) - 0.125), 0.02);
      float line = (1.0 - smoothstep(0.25 * uDpr, 0.25 * uDpr + 1.0, near)) * step(width, 0.4) * smoothstep(0.0, 0.3, weight);
      outgoingLight = mix(outgoingLight, vec3(1.0), line * mix(0.24, 0.34, heavy));
    }
    vec2 px = gl_FragCoord.xy / uDpr;
    float soft = 0.5 / uDpr;
    if (vClass > 0.5 && vClass < 1.5) {
      float across = abs(mod((px.x + px.y) * 0.70711, 4.2) - 2.1);
      vec3 ground = vec3(0.88, 0.86, 0.80) * shade;
      outgoingLight = mix(vec3(0.013, 0.018, 0.022), ground, smoothstep(1.0 - soft, 1.0 + soft, across));
    } else if (vClass > 1.5 && vClass < 2.5) {
      vec2 cell = mod(vec2(px.x + px.y, px.x - px.y) * 0.70711, 3.6) - 1.8;
      vec3 ground = vec3(0.52, 0.52, 0.50) * shade;
      outgoingLight = mix(vec3(0.013, 0.018, 0.022), ground, smoothstep(0.95 - soft, 0.95 + soft, length(cell)));
    } else if (vClass > 2.5) {
      outgoingLight = plainBody * clamp(lit, 0.0, 1.0);
    }
  }
  if (uMapOn > 0.5 && vValue < 1e8 && uShown < 1e8)
    outgoingLight = mix(outgoingLight, vec3(0.013, 0.018, 0.022), 1.0 - smoothstep(0.6 * uDpr, 0.6 * uDpr + 1.0, frontAt));
  if (uStation > 0.0) {
    vec2 s = vPlace.xy / uStation;
    vec2 d = abs(fract(s - 0.5) - 0.5) / max(fwidth(s), vec2(1e-6));
    float line = (1.0 - smoothstep(0.25 * uDpr, 0.25 * uDpr + 0.9, min(d.x, d.y))) * smoothstep(0.85, 0.95, vFlat);
    outgoingLight = mix(outgoingLight, vec3(0.013, 0.018, 0.022), line * 0.16);
  }
`

export interface OutlineMaterial {
  readonly material: MeshBasicMaterial
  setColour(colour: string): void
  /** Width in CSS px and the size of the canvas in CSS px. */
  setWidth(px: number, width: number, height: number): void
  dispose(): void
}

/** Ink outline: the far sides, pushed out along the screen normal and back in depth. */
export function outlineMaterial(side: Side): OutlineMaterial {
  const uPush = { value: new Vector2(0.001, 0.001) }
  const material = new MeshBasicMaterial({ side, polygonOffset: true, polygonOffsetFactor: 3, polygonOffsetUnits: 400 })
  material.onBeforeCompile = (shader) => {
    shader.uniforms['uPush'] = uPush
    shader.vertexShader = `uniform vec2 uPush;\n${shader.vertexShader.replace(
      '#include <project_vertex>',
      '#include <project_vertex>\nvec2 outward = (normalMatrix * normal).xy;\nfloat far = length(outward);\nif (far > 1e-4) gl_Position.xy += outward / far * uPush * gl_Position.w;',
    )}`
  }
  material.customProgramCacheKey = () => 'ink-outline'
  return {
    material,
    setColour: (colour) => void material.color.set(colour),
    setWidth(px, width, height) {
      uPush.value.set((2 * px) / width, (2 * px) / height)
    },
    dispose: () => material.dispose(),
  }
}
