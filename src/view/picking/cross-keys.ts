/** The drawing's pointer for those who have none: P brings the cross, arrows move it, Enter clicks there, Escape puts it away. */
import { takeBack } from '../measuring/take-measure'
import { clickAt, type Pointing, pointAt } from './point-at'

const STEP_PX = 12

/** True when the key was for the cross. */
export function crossKey(p: Pointing, key: string, fine: boolean): boolean {
  const { sheet, stores, rig } = p
  const { measuring } = stores.session.getState()
  const { cross } = sheet.getState()
  const { free, width, height } = rig.now()
  if (key === 'p' || key === 'P') {
    const next = cross ? null : { x: free.left + free.width / 2, y: free.top + free.height / 2 }
    sheet.setState({ cross: next })
    pointAt(p, next)
    return true
  }
  if (key === 'Escape' && (cross || measuring)) {
    if (sheet.getState().pending) sheet.setState({ pending: null })
    else {
      sheet.setState({ cross: null, hover: null })
      stores.session.setState({ measuring: false })
    }
    return true
  }
  if (measuring && key === 'Backspace') return takeBack(sheet)
  const way = WAYS[key]
  if (way && (cross || measuring)) {
    const from = cross ?? { x: free.left + free.width / 2, y: free.top + free.height / 2 }
    const step = fine ? 1 : STEP_PX
    const next = {
      x: Math.min(Math.max(from.x + way[0] * step, 0), width),
      y: Math.min(Math.max(from.y + way[1] * step, 0), height),
    }
    sheet.setState({ cross: next })
    pointAt(p, next)
    return true
  }
  return key === 'Enter' && cross !== null && clickAt(p, cross)
}

const WAYS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
}
