import { Refused } from '../geometry/trouble'
import type { ToolingSettings } from './types'

/**
 * What a job that says nothing about tooling gets. Rates, speeds, boards and machine are INVENTED to show the sums: every shop
 * replaces them with its own. Flange width and class lives: common practice, no source (check values T12, T15).
 */
export const TOOLING_DEFAULTS: ToolingSettings = {
  parts: 4,
  made: 'auto',
  construction: 'shell',
  wall_mm: 60,
  base_mm: 60,
  sideDraft_deg: 3,
  beyondTrim_mm: 12,
  foldRadius_mm: 12,
  flange_mm: 100,
  shrinkage: 1,
  scallop_mm: 0.1,
  profileTolerance_mm: 0.5,
  roughLeave_mm: 2,
  leftLimit_mm: 0.3,
  directions: [],
  cutters: [
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
  ],
  board: {
    length_mm: 1500,
    width_mm: 500,
    thickness_mm: 50,
    density_kg_m3: 480,
    saw_mm: 4,
    cost: 140,
    allowance_mm: 8,
  },
  machine: {
    travel_mm: [3600, 2600, 900],
    acceleration_mm_s2: [1500, 1500, 1000],
    rapid_mm_min: 20_000,
    toolChange_s: 40,
    setup_h: 3,
    cost_h: 85,
    liftLimit_kg: 500,
  },
  hand: { h_m2: 1.5, cost_h: 45 },
  classes: {
    direct: { life_parts: 10, part_cost: 2900, laminate_cost_m2: 0, lead_days: 25 },
    plug: { life_parts: 300, part_cost: 2600, laminate_cost_m2: 850, lead_days: 60 },
  },
  timeFactors: [0.9, 1.2, 1.7],
}

/** @throws Refused `setting-impossible` naming the first setting that cannot be used */
export function checkToolingSettings(settings: ToolingSettings): void {
  const ranges: readonly (readonly [string, number, number, number])[] = [
    ['parts', settings.parts, 1, 100_000],
    ['wall_mm', settings.wall_mm, 15, 500],
    ['base_mm', settings.base_mm, 10, 1000],
    ['sideDraft_deg', settings.sideDraft_deg, 0, 30],
    ['beyondTrim_mm', settings.beyondTrim_mm, 1, 200],
    ['foldRadius_mm', settings.foldRadius_mm, 0, 200],
    ['flange_mm', settings.flange_mm, 10, 600],
    ['shrinkage', settings.shrinkage, 0.98, 1.05],
    ['scallop_mm', settings.scallop_mm, 0.001, 3],
    ['leftLimit_mm', settings.leftLimit_mm, 0.02, 20],
  ]
  for (const [name, value, least, most] of ranges)
    if (!(value >= least && value <= most))
      throw new Refused('setting-impossible', `tooling: ${name} is ${value}, it must be between ${least} and ${most}.`)
  const [low, likely, high] = settings.timeFactors
  if (!(low > 0 && low <= likely && likely <= high))
    throw new Refused('setting-impossible', 'tooling: timeFactors must be above 0 and run from low to high.')
  const finishing = settings.cutters.filter((c) => c.use === 'finish')
  if (!settings.cutters.some((c) => c.use === 'rough') || finishing.length === 0)
    throw new Refused('setting-impossible', 'tooling: cutters need at least one to rough and one to finish with.')
  if (finishing[0]!.cornerRadius_mm === 0)
    throw new Refused(
      'setting-impossible',
      `tooling: ${finishing[0]!.name} is flat; the first finishing cutter needs a corner radius, or every slope is cut in steps.`,
    )
}
