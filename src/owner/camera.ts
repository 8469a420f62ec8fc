/** Where the eye is: around the whole, or at the helm. Matrices column by column, as WebGL takes them. */
export type Vec = [number, number, number]

export interface Camera {
  mode: 'around' | 'helm'
  target: Vec
  /** From the target, mm. */
  distance: number
  /** Degrees from the bow towards port, and above the horizon. */
  around_deg: number
  above_deg: number
  /** At the helm: the head's own turn. */
  look_deg: number
  tilt_deg: number
  eye: Vec
}

const RAD = Math.PI / 180

export function eyeOf(c: Camera): Vec {
  if (c.mode === 'helm') return c.eye
  const flat = Math.cos(c.above_deg * RAD) * c.distance
  return [
    c.target[0] + flat * Math.cos(c.around_deg * RAD),
    c.target[1] + flat * Math.sin(c.around_deg * RAD),
    c.target[2] + Math.sin(c.above_deg * RAD) * c.distance,
  ]
}

/** Projection times view. */
export function matrixOf(c: Camera, aspect: number): Float32Array {
  const eye = eyeOf(c)
  const flat = Math.cos(c.tilt_deg * RAD)
  const at: Vec =
    c.mode === 'helm'
      ? [
          eye[0] + flat * Math.cos(c.look_deg * RAD),
          eye[1] + flat * Math.sin(c.look_deg * RAD),
          eye[2] + Math.sin(c.tilt_deg * RAD),
        ]
      : c.target
  const fov = (c.mode === 'helm' ? 70 : 35) * RAD
  const [near, far] = c.mode === 'helm' ? [50, 40_000] : [c.distance / 50, c.distance * 6]
  return times(
    perspective(aspect < 1 ? 2 * Math.atan(Math.tan(fov / 2) / aspect) : fov, aspect, near, far),
    lookAt(eye, at),
  )
}

function perspective(fov: number, aspect: number, near: number, far: number): Float32Array {
  const f = 1 / Math.tan(fov / 2)
  const m = new Float32Array(16)
  m[0] = f / aspect
  m[5] = f
  m[10] = (far + near) / (near - far)
  m[11] = -1
  m[14] = (2 * far * near) / (near - far)
  return m
}

const minus = (a: Vec, b: Vec): Vec => [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
const cross = (a: Vec, b: Vec): Vec => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
const dot = (a: Vec, b: Vec): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
const unit = (a: Vec): Vec => {
  const l = Math.hypot(...a) || 1
  return [a[0] / l, a[1] / l, a[2] / l]
}

function lookAt(eye: Vec, at: Vec): Float32Array {
  const back = unit(minus(eye, at))
  const right = unit(cross([0, 0, 1], back))
  const up = cross(back, right)
  const m = new Float32Array(16)
  for (const [row, v] of [right, up, back].entries()) {
    for (let k = 0; k < 3; k++) m[4 * k + row] = v[k]!
    m[12 + row] = -dot(v, eye)
  }
  m[15] = 1
  return m
}

function times(a: Float32Array, b: Float32Array): Float32Array {
  const m = new Float32Array(16)
  for (let c = 0; c < 4; c++)
    for (let r = 0; r < 4; r++) {
      let sum = 0
      for (let k = 0; k < 4; k++) sum += a[4 * k + r]! * b[4 * c + k]!
      m[4 * c + r] = sum
    }
  return m
}

/** Place on the canvas, in shares from the left and from the top; null behind the eye. */
export function project(m: Float32Array, p: readonly [number, number, number]): [number, number] | null {
  const w = m[3]! * p[0] + m[7]! * p[1] + m[11]! * p[2] + m[15]!
  if (w <= 0) return null
  const x = (m[0]! * p[0] + m[4]! * p[1] + m[8]! * p[2] + m[12]!) / w
  const y = (m[1]! * p[0] + m[5]! * p[1] + m[9]! * p[2] + m[13]!) / w
  return [(x + 1) / 2, (1 - y) / 2]
}

/** One finger or the left button turns, two fingers or the wheel come nearer, two fingers together move. */
export function listen(canvas: HTMLCanvasElement, camera: Camera, redraw: () => void): void {
  const held = new Map<number, { x: number; y: number }>()
  const turn = (dx: number, dy: number) => {
    if (camera.mode === 'helm') {
      camera.look_deg += dx * 0.15
      camera.tilt_deg = Math.max(-60, Math.min(80, camera.tilt_deg + dy * 0.15))
    } else {
      camera.around_deg -= dx * 0.4
      camera.above_deg = Math.max(-85, Math.min(88, camera.above_deg + dy * 0.4))
    }
  }
  const nearer = (factor: number) => {
    if (camera.mode === 'around') camera.distance = Math.max(300, Math.min(30_000, camera.distance * factor))
  }
  canvas.addEventListener('pointerdown', (e) => {
    canvas.setPointerCapture(e.pointerId)
    held.set(e.pointerId, { x: e.clientX, y: e.clientY })
  })
  canvas.addEventListener('pointermove', (e) => {
    const before = held.get(e.pointerId)
    if (!before) return
    const other = [...held].find(([id]) => id !== e.pointerId)?.[1]
    if (other) {
      const was = Math.hypot(before.x - other.x, before.y - other.y)
      const is = Math.hypot(e.clientX - other.x, e.clientY - other.y)
      nearer(was / Math.max(1, is))
    } else turn(e.clientX - before.x, e.clientY - before.y)
    held.set(e.pointerId, { x: e.clientX, y: e.clientY })
    redraw()
  })
  for (const name of ['pointerup', 'pointercancel'] as const)
    canvas.addEventListener(name, (e) => held.delete(e.pointerId))
  canvas.addEventListener(
    'wheel',
    (e) => {
      e.preventDefault()
      nearer(e.deltaY > 0 ? 1.1 : 1 / 1.1)
      redraw()
    },
    { passive: false },
  )
  canvas.tabIndex = 0
  canvas.addEventListener('keydown', (e) => {
    const step = { ArrowLeft: [20, 0], ArrowRight: [-20, 0], ArrowUp: [0, 20], ArrowDown: [0, -20] }[e.key]
    if (step) turn(step[0]!, step[1]!)
    else if (e.key === '+') nearer(1 / 1.15)
    else if (e.key === '-') nearer(1.15)
    else return
    e.preventDefault()
    redraw()
  })
}
