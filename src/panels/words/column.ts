/** Words of the column, the battens and the history. */
import type { StepName } from '../../core/geometry/trouble'
import type { Role } from '../../core/job'
import type { Question } from '../../state/session-store'

export const columnWords = {
  question: {
    clear: 'Does it clear?',
    live: 'Can I live with it?',
    off: 'Will it come off, and can it be cut?',
    release: 'Release',
  } satisfies Record<Question, string>,
  questionShort: {
    clear: 'Does it clear?',
    live: 'Can I live with it?',
    off: 'Will it come off?',
    release: 'Release',
  } satisfies Record<Question, string>,
  step: {
    scan: 'scan',
    frame: 'frame',
    datum: 'datum',
    clearance: 'clearance',
    seats: 'seats',
    fitting: 'fitting',
    analysis: 'analysis',
    tooling: 'tooling',
    build: 'build',
    release: 'release',
  } satisfies Record<StepName | 'seats', string>,
  severity: { hold: 'hold', warning: 'check', note: 'note' },
  waived: 'waived',
  role: { designer: 'designer', owner: 'owner', toolmaker: 'toolmaker' } satisfies Record<Role, string>,
  pack: [
    'report, PDF, HTML and JSON; drawings, SVG',
    'the owner’s copy, one HTML page',
    'faces, shells and tools, STL and 3MF',
    'the frame in job axes, STL; the whole, GLB',
    'trim, pad and drill templates, DXF',
    'order for the tools and traveller, HTML',
    'fittings, distances, fasteners, wires, materials, boards, cutters, CSV',
    'manifest with the SHA-256 of each',
  ],
  keys: [
    ['1 2 3 4', 'the three questions and the release'],
    ['← →', 'walk along the steps, when one of them is focused'],
    ['Enter', 'open the slip of the step; put a typed number in force'],
    ['Esc', 'close the slip; take back what is being typed'],
    ['Ctrl Z', 'undo'],
    ['Shift Ctrl Z', 'redo'],
    ['Ctrl S', 'save the job as a file'],
    ['Ctrl O', 'open a job, a scan or a fitting'],
    ['M', 'measure on the drawing'],
    ['X', 'cut the shell elsewhere: athwart, fore and aft, not at all'],
    ['A', 'the shells apart'],
    ['T', 'look through the shells'],
    ['F', 'a standing figure for scale'],
    ['← → ↑ ↓', 'on the drawing: turn it; with Shift move it; with a fitting chosen move that'],
    ['+ − 0', 'on the drawing: nearer, farther, back to the view'],
    ['P', 'on the drawing: a cross that the arrows move, with the figures under it; Enter measures'],
    ['H', 'what was changed, and what it did'],
    ['?', 'this page'],
  ],
} as const

export const historyWords = {
  title: 'History',
  none: 'Nothing has been changed since the job was opened.',
  first: 'as it was opened',
  now: 'as it is',
  ahead: 'undone',
  beside: 'beside now',
  goBack: 'go back to it',
  goOn: 'go on to it',
  same: 'No headline figure differs.',
  nowUnknown: 'The job as it is has not been worked out to its end yet.',
  unknown: 'This state was not planned to its end, so its figures are not known; go back to it to have them.',
  close: 'close',
} as const
