/** Words of the column, the batten, the line of utilities and the history. */
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
  steps: 'steps',
  questions: 'questions',
  keysTitle: 'Keys',
  busy: 'working it out',
  findings: (count: number) => (count === 0 ? 'the figures' : count === 1 ? '1 finding' : `${count} findings`),
  rename: 'give it another name',
  jobName: 'name of the job',
  revision: (revision: string) => `rev ${revision}`,
  role: { designer: 'designer', owner: 'owner', toolmaker: 'toolmaker' } satisfies Record<Role, string>,
  pack: [
    'report, PDF, HTML and JSON; drawings, SVG',
    'the owner’s copy, one HTML page',
    'faces, shells and tools, STL and 3MF',
    'the frame in job axes, STL; the whole, GLB',
    'trim, pad and drill templates, DXF',
    'order for the tools and traveller, HTML',
    'fittings, distances, fasteners, wires, drill marks, materials, boards, cutters, CSV',
    'manifest with the SHA-256 of each',
  ],
  handbook: 'the handbook, in the order of the work',
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
    ['B U', 'on the drawing, with the datum open: bow for stern, top for bottom'],
    ['H', 'what was changed, and what it did'],
    ['?', 'this page'],
  ],
} as const

export const openWords = {
  title: 'Open',
  files: 'choose files',
  filesHint: 'A job, a scan, or a fitting; files may also be dropped anywhere on the page.',
  kept: 'Kept in this browser',
  nothingKept: 'This browser keeps no data here.',
  none: 'No other job yet. When you open another, this one stays here.',
  keptHint: (most: number) =>
    `The last ${most} are kept, on this machine only; when another comes, the oldest goes. What must last is saved as a file.`,
  elsewhere: 'open in another tab',
  notAnswered: 'left before it was worked out',
  open: 'open',
  openNamed: (title: string) => `open ${title}`,
  takeAway: 'take away',
  takeAwayNamed: (title: string) => `take away ${title}`,
  forGood: 'take it away for good',
  keep: 'keep it',
  demo: 'open the demo job',
  close: 'close',
} as const

export const utilityWords = {
  unit: (unit: string) => `${unit}, change the unit of lengths`,
  showUnit: { mm: 'show inches', in: 'show millimetres' },
  undo: (title: string) => `undo ${title}`.trim(),
  redo: (title: string) => `redo ${title}`.trim(),
  nothingToUndo: 'nothing to undo',
  nothingToRedo: 'nothing to redo',
  history: 'history',
  historyTitle: 'what was changed, and what it did (H)',
  open: 'open',
  openTitle: 'a file, or a job kept in this browser',
  save: 'save',
  saveTitle: 'save the job as a file',
  saved: (at: string) => `saved ${at}`,
  notSaved: 'not saved yet',
  help: 'keys and hints',
} as const

export const historyWords = {
  title: 'History',
  none: 'Nothing has been changed since the job was opened.',
  first: 'as it was opened',
  now: 'as it is',
  ahead: 'undone',
  beside: 'beside now',
  draw: 'draw it dashed',
  drawNoMore: 'take the dashed line away',
  goBack: 'go back to it',
  goOn: 'go on to it',
  same: 'No headline figure differs.',
  nowUnknown: 'The job as it is has not been worked out to its end yet.',
  unknown: 'This state was not planned to its end, so its figures are not known; go back to it to have them.',
  close: 'close',
} as const

export const lastChangeWords = {
  title: 'Last change',
  noPlan: 'it leaves no plan',
  busy: 'working out what it did',
  putBack: 'put it back',
} as const

export const droppedWords = {
  what: (names: readonly string[]) =>
    names.length === 1 ? `${names[0]}: what is it?` : `${names.length} files: what are they?`,
  scan: 'Use as the scan',
  more: 'Add to the scan: the same frame',
  fitting: (count: number) => (count === 1 ? 'Add as a fitting' : 'Add as fittings'),
  shell: (role: string) => `Take as the ${role} shell`,
  none: (count: number) => (count === 1 ? 'none of these' : 'neither'),
  hint: 'A new scan keeps the settings and fittings of this job; undo brings the old one back.',
} as const
