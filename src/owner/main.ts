/** The viewer of the owner's copy. Built into one script by `npm run owner:make`; knows nothing of the rest of the program. */
import { type Camera, eyeOf, listen, matrixOf, project } from './camera'
import { readData, unpack } from './data'
import { lightsDeck, shownTo } from './lights'
import { makePanel } from './panel'
import { type Lamp, makePicture } from './picture'

const data = readData()
const parts = data.parts.map(unpack)
const canvas = document.querySelector('canvas')!
const pins = document.querySelector<HTMLElement>('.pins')!
const low = [0, 1, 2].map((k) => Math.min(...data.parts.map((p) => p.min[k]!)))
const high = [0, 1, 2].map((k) => Math.max(...data.parts.map((p) => p.min[k]! + p.size[k]!)))
const middle = [0, 1, 2].map((k) => (low[k]! + high[k]!) / 2) as [number, number, number]
const reach = Math.hypot(...[0, 1, 2].map((k) => high[k]! - low[k]!)) || 1000
const camera: Camera = {
  mode: 'around',
  target: middle,
  distance: 1.45 * reach,
  around_deg: -35,
  above_deg: 24,
  look_deg: 0,
  tilt_deg: 4,
  eye: [...data.eye],
}
let night = false
let chosen: string | null = null
let waiting = false

/** One drawing for each turn of the screen, however many fingers move. */
function redraw(): void {
  if (waiting) return
  waiting = true
  requestAnimationFrame(() => {
    waiting = false
    draw()
  })
}

const labels = data.fittings
  .filter((f) => !f.name.endsWith(', twin'))
  .map((f) => {
    const button = document.createElement('button')
    button.type = 'button'
    button.textContent = f.name
    button.title = f.comment
    button.addEventListener('click', () => {
      chosen = chosen === f.id ? null : f.id
      redraw()
    })
    pins.append(button)
    return { f, button }
  })

function draw(): void {
  if (canvas.clientWidth === 0 || canvas.clientHeight === 0) return
  const view = matrixOf(camera, canvas.clientWidth / canvas.clientHeight)
  const eye = eyeOf(camera)
  const lamps = data.fittings.flatMap((f): Lamp[] => {
    if (!f.light) return []
    const { at } = f.light
    const colour = shownTo(f.light, at, eye)
    return [{ at, colour: colour ?? [0, 0, 0], seen: colour !== null, lights: lightsDeck(f.light.kind) }]
  })
  picture({ view, eye, night, lamps, chosen })
  for (const { f, button } of labels) {
    const place = project(view, [f.at[0], f.at[1], f.top])
    // From below, a name would stand on the metal in front of its fitting.
    button.hidden =
      camera.mode === 'helm' || place === null || place[0] < 0 || place[0] > 1 || place[1] < 0 || place[1] > 1
    if (place) {
      button.style.left = `${100 * place[0]}%`
      button.style.top = `${100 * place[1]}%`
    }
    button.setAttribute('aria-pressed', String(f.id === chosen))
  }
  document.body.dataset['drawn'] = `${camera.mode} ${night ? 'night' : 'day'}`
}

let picture: ReturnType<typeof makePicture>
makePanel(data, {
  look(name) {
    camera.mode = name
    redraw()
  },
  night(on) {
    night = on
    redraw()
  },
  choose(fitting) {
    chosen = fitting
    redraw()
  },
})
try {
  picture = makePicture(canvas, parts)
  listen(canvas, camera, redraw)
  new ResizeObserver(redraw).observe(canvas)
  redraw()
} catch (error) {
  const said = document.createElement('p')
  said.textContent = error instanceof Error ? error.message : String(error)
  canvas.replaceWith(said)
}
