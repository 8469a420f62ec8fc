/**
 * What `job.json` may say about tooling. Rates, speeds, boards and machine are INVENTED figures for show: yours go here.
 * The defaults are those of `TOOLING_DEFAULTS` in the tooling step; a test holds the two together.
 */
import { z } from 'zod'

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
  length_mm: length_mm(50, 20_000).default(1500),
  width_mm: length_mm(50, 10_000).default(500),
  thickness_mm: length_mm(5, 1000).default(50),
  density_kg_m3: z.number().min(1).max(20_000).default(480),
  saw_mm: length_mm(0, 20).default(4).describe('width of the saw cut'),
  cost: money.default(140).describe('one board'),
  allowance_mm: length_mm(0, 100).default(8).describe('material that every layer has beyond its slice'),
})

const machine = z.strictObject({
  travel_mm: three.default([3600, 2600, 900]).describe('largest piece the machine takes, x y z'),
  acceleration_mm_s2: three.default([1500, 1500, 1000]).describe('largest acceleration of each axis'),
  rapid_mm_min: z.number().min(1).max(500_000).default(20_000),
  toolChange_s: z.number().min(0).max(10_000).default(40),
  setup_h: z.number().min(0).max(1000).default(3).describe('hours to set up one piece'),
  cost_h: money.default(85),
  liftLimit_kg: z.number().min(1).max(100_000).default(500).describe('heavier pieces are warned of'),
})

const classRates = (life: number, part: number, laminate: number, lead: number) =>
  z
    .strictObject({
      life_parts: z.number().min(1).max(1_000_000).default(life).describe('parts that one tool makes'),
      part_cost: money.default(part).describe('one part out of it'),
      laminate_cost_m2: money.default(laminate).describe('making a mould over the plug, per square metre'),
      lead_days: z.number().min(0).max(10_000).default(lead).describe('from the order to the first part'),
    })
    .prefault({})

export const toolingSchema = z.strictObject({
  parts: z.number().min(1).max(100_000).default(4).describe('how many tops are wanted'),
  made: z
    .enum(['auto', 'direct', 'plug'])
    .default('auto')
    .describe(
      'direct: the mould is machined; plug: a plug is machined and a mould laminated over it; auto: the cheaper',
    ),
  construction: z.enum(['block', 'shell']).default('shell').describe('shell: hollow from below'),
  wall_mm: length_mm(15, 500).default(60).describe('least material of a shell'),
  base_mm: length_mm(10, 1000).default(60).describe('material below the lowest point of the face'),
  sideDraft_deg: z.number().min(0).max(30).default(3).describe('draft of the outer sides'),
  beyondTrim_mm: length_mm(1, 200).default(12).describe('the face goes on past the trim line by this'),
  foldRadius_mm: length_mm(0, 200).default(12),
  flange_mm: length_mm(10, 600).default(100).describe('mould flange, for bag and clamps'),
  shrinkage: z.number().min(0.98).max(1.05).default(1).describe('the tool is made larger by this factor'),
  scallop_mm: length_mm(0.001, 3).default(0.1).describe('wanted height of the ridges between passes'),
  profileTolerance_mm: length_mm(0.01, 20).default(0.5).describe('profile tolerance of the finished face'),
  roughLeave_mm: length_mm(0, 50).default(2).describe('left on by roughing'),
  leftLimit_mm: length_mm(0.02, 20).default(0.3).describe('deeper left-over counts as not reached'),
  directions: z.array(three).max(12).default([]).describe('further set-ups: spindle directions in tool axes'),
  cutters: z
    .array(cutter)
    .min(1)
    .max(20)
    .default([
      {
        name: 'rougher 32',
        use: 'rough',
        diameter_mm: 32,
        cornerRadius_mm: 4,
        flute_mm: 60,
        stickOut_mm: 180,
        holderDiameter_mm: 63,
        feed_mm_min: 6000,
        depth_mm: 10,
        width_mm: 20,
      },
      {
        name: 'ball 20',
        use: 'finish',
        diameter_mm: 20,
        cornerRadius_mm: 10,
        flute_mm: 50,
        stickOut_mm: 180,
        holderDiameter_mm: 50,
        feed_mm_min: 6000,
        depth_mm: 2,
        width_mm: 2,
      },
      {
        name: 'ball 10',
        use: 'finish',
        diameter_mm: 10,
        cornerRadius_mm: 5,
        flute_mm: 30,
        stickOut_mm: 120,
        holderDiameter_mm: 40,
        feed_mm_min: 3500,
        depth_mm: 1,
        width_mm: 1,
      },
    ]),
  board: filled(board),
  machine: filled(machine),
  hand: filled(
    z.strictObject({
      h_m2: z.number().min(0).max(1000).default(1.5).describe('hours of hand finishing per square metre'),
      cost_h: money.default(45),
    }),
  ),
  classes: filled(
    z.strictObject({
      direct: classRates(10, 2900, 0, 25),
      plug: classRates(300, 2600, 850, 60),
    }),
  ),
  timeFactors: three
    .default([0.9, 1.2, 1.7])
    .describe('low, likely and high: what reckoned machine time is multiplied with'),
})
