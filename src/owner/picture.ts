/** Draws the parts with WebGL 2: flat and smooth shading, by day and by the lamps. */
import type { Part } from './data'
import type { Rgb } from './lights'

const MOST_LAMPS = 8

const VERTEX = `#version 300 es
uniform mat4 view;in vec3 position;in vec3 normal;out vec3 place;out vec3 smoothed;
void main(){place=position;smoothed=normal;gl_Position=view*vec4(position,1.);}`
const FRAGMENT = `#version 300 es
precision highp float;
uniform vec3 eye,colour;uniform float night;uniform int lamps;uniform vec3 lampAt[${MOST_LAMPS}],lampColour[${MOST_LAMPS}];
in vec3 place,smoothed;out vec4 shown;
void main(){
vec3 flat_=normalize(cross(dFdx(place),dFdy(place)));vec3 to=normalize(eye-place);
if(dot(flat_,to)<0.)flat_=-flat_;vec3 n=normalize(smoothed);if(dot(n,flat_)<0.)n=-n;if(dot(n,flat_)<.86)n=flat_;
vec3 sun=normalize(vec3(.35,-.5,.8));
float day=.44+.14*n.z+.34*max(0.,dot(n,sun));
vec3 light=mix(vec3(day),vec3(.05,.06,.08)*(1.4+n.z),night);
for(int i=0;i<${MOST_LAMPS};i++){if(i>=lamps)break;vec3 d=lampAt[i]-place;float r=length(d);
light+=night*lampColour[i]*max(0.,dot(n,d/r)+.15)*.9/(1.+r*r/250000.);}
shown=vec4(pow(colour,vec3(1.4))*light*1.15,1.);shown.rgb=pow(shown.rgb,vec3(.75));}`
const GLOW_VERTEX = `#version 300 es
uniform mat4 view;uniform vec3 at;uniform float size;void main(){gl_Position=view*vec4(at,1.);gl_Position.z-=.002*gl_Position.w;gl_PointSize=size;}`
const GLOW_FRAGMENT = `#version 300 es
precision highp float;uniform vec3 colour;out vec4 shown;
void main(){float r=length(gl_PointCoord-.5)*2.;float a=pow(max(0.,1.-r),2.);shown=vec4(mix(colour,vec3(1.),smoothstep(.3,0.,r))*a,a);}`

export interface Lamp {
  readonly at: readonly [number, number, number]
  readonly colour: Rgb
  /** Shows to the eye; lights what is around it. */
  readonly seen: boolean
  readonly lights: boolean
}

export interface Shown {
  readonly view: Float32Array
  readonly eye: readonly [number, number, number]
  readonly night: boolean
  readonly lamps: readonly Lamp[]
  /** Drawn in another colour. */
  readonly chosen: string | null
}

/** @throws when the browser has no WebGL 2 */
export function makePicture(canvas: HTMLCanvasElement, parts: readonly Part[]): (shown: Shown) => void {
  const gl = canvas.getContext('webgl2', { antialias: true, preserveDrawingBuffer: true })
  if (!gl) throw new Error('This browser cannot draw in three dimensions (WebGL 2); open the file in another.')
  // Bound under another name: a lint rule takes every “use…” for a hook of the page.
  const take = gl.useProgram.bind(gl)
  const body = program(gl, VERTEX, FRAGMENT)
  const glow = program(gl, GLOW_VERTEX, GLOW_FRAGMENT)
  const drawn = parts.map((part) => {
    const array = gl.createVertexArray()
    gl.bindVertexArray(array)
    for (const [name, values] of [
      ['position', part.positions],
      ['normal', part.normals],
    ] as const) {
      gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer())
      gl.bufferData(gl.ARRAY_BUFFER, values, gl.STATIC_DRAW)
      const at = gl.getAttribLocation(body, name)
      gl.enableVertexAttribArray(at)
      gl.vertexAttribPointer(at, 3, gl.FLOAT, false, 0, 0)
    }
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, gl.createBuffer())
    gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, part.indices, gl.STATIC_DRAW)
    return { part, array }
  })
  const empty = gl.createVertexArray()
  return (shown) => {
    const [wide, high] = [canvas.clientWidth * devicePixelRatio, canvas.clientHeight * devicePixelRatio].map(Math.round)
    if (canvas.width !== wide || canvas.height !== high) {
      canvas.width = wide!
      canvas.height = high!
    }
    gl.viewport(0, 0, canvas.width, canvas.height)
    if (shown.night) gl.clearColor(0.063, 0.082, 0.102, 1)
    else gl.clearColor(0.957, 0.937, 0.894, 1)
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT)
    gl.enable(gl.DEPTH_TEST)
    gl.disable(gl.BLEND)
    take(body)
    const at = (name: string) => gl.getUniformLocation(body, name)
    gl.uniformMatrix4fv(at('view'), false, shown.view)
    gl.uniform3fv(at('eye'), shown.eye)
    gl.uniform1f(at('night'), shown.night ? 1 : 0)
    const lit = shown.lamps.filter((l) => l.lights).slice(0, MOST_LAMPS)
    gl.uniform1i(at('lamps'), lit.length)
    if (lit.length > 0) {
      gl.uniform3fv(
        at('lampAt'),
        lit.flatMap((l) => [...l.at]),
      )
      gl.uniform3fv(
        at('lampColour'),
        lit.flatMap((l) => [...l.colour]),
      )
    }
    for (const { part, array } of drawn) {
      const chosen = part.packed.fitting !== null && part.packed.fitting === shown.chosen
      gl.uniform3fv(at('colour'), chosen ? [0.69, 0.22, 0.1] : part.packed.colour.map((v) => v / 255))
      gl.bindVertexArray(array)
      gl.drawElements(gl.TRIANGLES, part.indices.length, gl.UNSIGNED_INT, 0)
    }
    if (shown.night) drawGlow(gl, take, glow, empty, shown)
  }
}

function drawGlow(
  gl: WebGL2RenderingContext,
  take: (program: WebGLProgram) => void,
  glow: WebGLProgram,
  empty: WebGLVertexArrayObject,
  { view, lamps }: Shown,
): void {
  take(glow)
  gl.bindVertexArray(empty)
  gl.enable(gl.BLEND)
  gl.blendFunc(gl.ONE, gl.ONE)
  gl.depthMask(false)
  gl.uniformMatrix4fv(gl.getUniformLocation(glow, 'view'), false, view)
  for (const lamp of lamps)
    if (lamp.seen) {
      gl.uniform3fv(gl.getUniformLocation(glow, 'at'), lamp.at)
      gl.uniform3fv(gl.getUniformLocation(glow, 'colour'), lamp.colour)
      gl.uniform1f(gl.getUniformLocation(glow, 'size'), 46 * devicePixelRatio)
      gl.drawArrays(gl.POINTS, 0, 1)
    }
  gl.depthMask(true)
}

function program(gl: WebGL2RenderingContext, vertex: string, fragment: string): WebGLProgram {
  const made = gl.createProgram()
  for (const [kind, source] of [
    [gl.VERTEX_SHADER, vertex],
    [gl.FRAGMENT_SHADER, fragment],
  ] as const) {
    const shader = gl.createShader(kind)
    if (!shader) throw new Error('owner: no shader can be made')
    gl.shaderSource(shader, source)
    gl.compileShader(shader)
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(`owner: ${gl.getShaderInfoLog(shader)}`)
    gl.attachShader(made, shader)
  }
  gl.linkProgram(made)
  return made
}
