/** Words of the tooling slip. */
import type { ClassSetting, CutterSetting, ToolingSettings } from '../../core/tooling'

type Labels<T> = { readonly [K in keyof T]?: string }

export const toolingWords = {
  parts: 'Tops wanted',
  made: 'Made as',
  mades: { auto: 'the cheaper', direct: 'machined mould', plug: 'plug, and mould over it' },
  scallop: 'Scallop between passes',
  choice: 'direct or plug',
  more: 'Form, cutters, boards and rates',
  invented:
    'Rates, speeds, boards and machine come with invented figures. Put your own in their place; the job keeps them.',
  drawn:
    'While this slip is open the drawing shows the way of the cutter’s tip; of passes side by side only so many that they can be told apart.',
  caution:
    'The order goes into the release pack. The machine programmer checks all motion. Board dust harms: extraction at the tool. Blanks are heavy: lift them with certified gear.',

  construction: 'Body',
  constructions: { shell: 'hollow from below', block: 'solid block' },
  form: {
    flange_mm: 'Flange for bag and clamps',
    beyondTrim_mm: 'Face goes on past the trim',
    foldRadius_mm: 'Fold to the flange',
    wall_mm: 'Least wall of a hollow body',
    base_mm: 'Below the lowest point',
    leftLimit_mm: 'Left-over counts from',
    profileTolerance_mm: 'Profile tolerance',
    roughLeave_mm: 'Left on by roughing',
    sideDraft_deg: 'Draft of the outer sides',
    shrinkage: 'Shrinkage factor',
  } satisfies Labels<ToolingSettings>,
  shrinkageHint: '1.002 for 0.2 %; measured in your shop',

  cutterUse: 'Used for',
  uses: { rough: 'roughing', finish: 'finishing' } satisfies Record<CutterSetting['use'], string>,
  cutter: {
    diameter_mm: 'Diameter',
    cornerRadius_mm: 'Corner radius',
    flute_mm: 'Cutting edge, long',
    stickOut_mm: 'Stick-out',
    holderDiameter_mm: 'Holder',
    depth_mm: 'Depth of a layer',
    width_mm: 'Width of cut',
    feed_mm_min: 'Feed, mm a minute',
  } satisfies Labels<CutterSetting>,
  addCutter: 'one more cutter, half as large',
  removeCutter: 'take this cutter out',
  smaller: (diameter: number) => `ball ${diameter}`,

  setUps: 'further set-ups',
  noSetUps: 'straight down only',
  setUp: (n: number) => `set-up ${n}, towards the spindle`,
  addSetUp: 'one more set-up',
  removeSetUp: 'take this set-up out',

  boards: 'boards and machine',
  board: {
    length_mm: 'Board length',
    width_mm: 'Board width',
    thickness_mm: 'Board thickness',
    saw_mm: 'Saw cut',
    allowance_mm: 'Every layer beyond its slice',
    density_kg_m3: 'Board density, kg/m³',
    cost: 'Cost of a board',
  } satisfies Labels<ToolingSettings['board']>,
  travel: (axis: string) => `Machine travel ${axis}`,
  acceleration: (axis: string) => `Acceleration ${axis}, mm/s²`,
  machine: {
    rapid_mm_min: 'Rapid, mm a minute',
    toolChange_s: 'Tool change, s',
    setup_h: 'Setting up a piece, h',
    cost_h: 'Machine hour',
    liftLimit_kg: 'Lifting limit',
  } satisfies Labels<ToolingSettings['machine']>,
  factors: ['Machine time × at best', 'Machine time × likely', 'Machine time × at worst'],
  hand: { h_m2: 'Hand finishing, hours per m²', cost_h: 'Hand hour' } satisfies Labels<ToolingSettings['hand']>,
  classes: { direct: 'machined mould', plug: 'plug and mould' } satisfies Labels<ToolingSettings['classes']>,
  rates: {
    life_parts: 'Tops one tool makes',
    part_cost: 'Cost of one top out of it',
    laminate_cost_m2: 'Laminating a mould, per m²',
    lead_days: 'Days to the first top',
  } satisfies Record<keyof ClassSetting, string>,

  tool: (made: string, role: string, male: boolean) => `${made} of the ${role}, ${male ? 'crown up' : 'hollow up'}`,
  toolKind: { direct: 'mould', plug: 'plug' },
  figures: {
    size: 'size',
    finished: 'finished',
    blank: 'heaviest blank',
    boards: 'boards',
    left: 'out of cutters’ reach',
    deepest: 'deepest left, along the normal',
    deepestZ: 'along z there',
    stickOut: 'stick-out needed',
    apart: 'passes apart',
    length: 'to cut',
    together: 'together',
    cost: 'cost',
  },
  boardCount: (boards: number, least: string) => `${boards}, ${least} by volume`,
  hours: (likely: string, low: string, high: string) => `${likely} h (${low} to ${high})`,
  money: (likely: string, low: string, high: string) => `${likely} (${low} to ${high})`,
  showDeepest: 'show the deepest',
  plot: 'Cost over number of tops',
  tops: (count: number) => `${count} tops`,
  cheaper: { direct: 'machined moulds', plug: 'plugs with moulds over them' },
  from: (parts: number, kind: string) => `from ${parts} on ${kind}`,
  chosen: (c: {
    parts: number
    direct: string
    plug: string
    best: string
    changes: readonly string[]
    days: number
  }) =>
    `For ${c.parts}: machined ${c.direct}, plug ${c.plug}. Cheaper: ${[c.best, ...c.changes].join('; ')}. First part in about ${c.days} days.`,
} as const
