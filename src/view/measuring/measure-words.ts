/** Words of measuring and of the line of looks at the sheet's upper left. */
import type { PartName } from '../sheet-store'
import type { Hold } from './snap'

export const measureWords = {
  looks: 'Ways of looking',
  measure: 'measure',
  measureHelp: 'Measure on the drawing (M)',
  cut: { none: 'uncut', x: 'cut athwart', y: 'cut fore and aft', own: 'cut at the spot' },
  cutHelp: 'Where the shell is cut: at the spot, athwart, fore and aft, not at all (X)',
  apart: 'apart',
  apartHelp: 'Draw the shells apart (A)',
  through: 'see through',
  throughHelp: 'Look through the shells (T)',
  figure: 'figure',
  figureHelp: 'A standing figure for scale (F)',
  figureSays: (height: string) => `figure ${height}`,
  from: 'First end: click, or arrow keys and Enter.',
  toPoint: 'Second end: click, or arrow keys and Enter.',
  toPart: 'From the point you click to the nearest of it.',
  ways: { point: 'point to point', frame: 'to the frame', underside: 'to the underside', topside: 'to the topside' },
  wayLabel: 'What is measured',
  close: 'close',
  closeAll: 'close all',
  parts: (forward: string, port: string, up: string) => `${forward} forward, ${port} to port, ${up} up`,
  ends: (from: string, to: string) => `${from} to ${to}`,
  holds: { corner: 'corner', edge: 'edge', point: 'scanned point', face: 'face', nearest: 'nearest' } satisfies Record<
    Hold | 'nearest',
    string
  >,
  kinds: {
    frame: 'frame',
    underside: 'underside',
    topside: 'topside',
    fitting: 'fitting',
  } satisfies Record<PartName | 'frame' | 'fitting', string>,
  asItWas: 'as it was',
  noTree: 'That part is not drawn, or not ready yet.',
  list: 'Dimensions',
  cutHandle: (axis: string, value: string) => `Section across ${axis} at ${value}: drag, or arrow keys`,
} as const
