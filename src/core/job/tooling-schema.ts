/**
 * What `job.json` may say about tooling. Rates, speeds, boards and machine are INVENTED figures for show: yours go here.
 * The defaults are those of the tooling step.
 */
import { z } from 'zod'
import { TOOLING_DEFAULTS as D } from '../tooling/settings'

const length_mm = (least: number, most: number) => z.number().min(least).max(most)
const money = z.number().min(0).max(100_000_000)
const three = z.tuple([z.number(), z.number(), z.number()])
const filled = <T extends z.ZodObject>(schema: T) => schema.prefault({} as z.input<T>)

const cutter = z.strictObject({
  name: z.string().min(1).max(60),
  use: z.enum(['rough', 'finish']),
  diameter_mm: length_mm(0.5, 500),
  cornerRadius_mm: length_mm(0, 250).describe('half the diameter: ball; 0: flat; between: bull-nose'),
  flute_mm: length_mm(0, 1000).default(50),
  stickOut_mm: length_mm(1, 2000).describe('from the tip to the holder'),
  holderDiameter_mm: length_mm(1, 500).default(50),
  feed_mm_min: z.number().min(1).max(200_000),
  depth_mm: length_mm(0.01, 200).default(2).describe('depth of a layer when roughing'),
  width_mm: length_mm(0.01, 400).default(2).describe('width of cut when roughing'),
})

const board = z.strictObject({
  length_mm: length_mm(50, 20_000).default(D.board.length_mm),
  width_mm: length_mm(50, 10_000).default(D.board.width_mm),
  thickness_mm: length_mm(5, 1000).default(D.board.thickness_mm),
  density_kg_m3: z.number().min(1).max(20_000).default(D.board.density_kg_m3),
  saw_mm: length_mm(0, 20).default(D.board.saw_mm).describe('width of the saw cut'),
  cost: money.default(D.board.cost).describe('one board'),
  allowance_mm: length_mm(0, 100)
    .default(D.board.allowance_mm)
    .describe('material that every layer has beyond its slice'),
})

const machine = z.strictObject({
  travel_mm: three.default([...D.machine.travel_mm]).describe('largest piece the machine takes, x y z'),
  acceleration_mm_s2: three.default([...D.machine.acceleration_mm_s2]).describe('largest acceleration of each axis'),
  rapid_mm_min: z.number().min(1).max(500_000).default(D.machine.rapid_mm_min),
  toolChange_s: z.number().min(0).max(10_000).default(D.machine.toolChange_s),
  setup_h: z.number().min(0).max(1000).default(D.machine.setup_h).describe('hours to set up one piece'),
  cost_h: money.default(D.machine.cost_h),
  liftLimit_kg: z.number().min(1).max(100_000).default(D.machine.liftLimit_kg).describe('heavier pieces are warned of'),
})

const classRates = (rates: (typeof D)['classes']['direct']) =>
  z
    .strictObject({
      life_parts: z.number().min(1).max(1_000_000).default(rates.life_parts).describe('parts that one tool makes'),
      part_cost: money.default(rates.part_cost).describe('one part out of it'),
      laminate_cost_m2: money
        .default(rates.laminate_cost_m2)
        .describe('making a mould over the plug, per square metre'),
      lead_days: z.number().min(0).max(10_000).default(rates.lead_days).describe('from the order to the first part'),
    })
    .prefault({})

export const toolingSchema = z.strictObject({
  parts: z.number().min(1).max(100_000).default(D.parts).describe('how many tops are wanted'),
  made: z
    .enum(['auto', 'direct', 'plug'])
    .default(D.made)
    .describe(
      'direct: the mould is machined; plug: a plug is machined and a mould laminated over it; auto: the cheaper',
    ),
  construction: z.enum(['block', 'shell']).default(D.construction).describe('shell: hollow from below'),
  wall_mm: length_mm(15, 500).default(D.wall_mm).describe('least material of a shell'),
  base_mm: length_mm(10, 1000).default(D.base_mm).describe('material below the lowest point of the face'),
  sideDraft_deg: z.number().min(0).max(30).default(D.sideDraft_deg).describe('draft of the outer sides'),
  beyondTrim_mm: length_mm(1, 200).default(D.beyondTrim_mm).describe('the face goes on past the trim line by this'),
  foldRadius_mm: length_mm(0, 200).default(D.foldRadius_mm),
  flange_mm: length_mm(10, 600).default(D.flange_mm).describe('mould flange, for bag and clamps'),
  shrinkage: z.number().min(0.98).max(1.05).default(D.shrinkage).describe('the tool is made larger by this factor'),
  scallop_mm: length_mm(0.001, 3).default(D.scallop_mm).describe('wanted height of the ridges between passes'),
  profileTolerance_mm: length_mm(0.01, 20)
    .default(D.profileTolerance_mm)
    .describe('profile tolerance of the finished face'),
  roughLeave_mm: length_mm(0, 50).default(D.roughLeave_mm).describe('left on by roughing'),
  leftLimit_mm: length_mm(0.02, 20).default(D.leftLimit_mm).describe('deeper left-over counts as not reached'),
  directions: z.array(three).max(12).default([]).describe('further set-ups: spindle directions in tool axes'),
  cutters: z
    .array(cutter)
    .min(1)
    .max(20)
    .default(D.cutters.map((c) => ({ ...c }))),
  board: filled(board),
  machine: filled(machine),
  hand: filled(
    z.strictObject({
      h_m2: z.number().min(0).max(1000).default(D.hand.h_m2).describe('hours of hand finishing per square metre'),
      cost_h: money.default(D.hand.cost_h),
    }),
  ),
  classes: filled(
    z.strictObject({
      direct: classRates(D.classes.direct),
      plug: classRates(D.classes.plug),
    }),
  ),
  timeFactors: three
    .default([...D.timeFactors])
    .describe('low, likely and high: what reckoned machine time is multiplied with'),
})
