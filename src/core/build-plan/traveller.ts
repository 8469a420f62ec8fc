import { WORDS } from './infusion-plan'
import { GELCOAT_GCM3, PASTE_GCM3 } from './materials'
import { resinOf } from './shell-plan'
import { LOADED_LEGS, SLOPE_DEG, slingLeg_N } from './sling'
import { figure, fixed, line } from './traced-line'
import type {
  BondPlan,
  BuildSettings,
  CureEvent,
  InfusionPlan,
  PanelCheck,
  ShellPlan,
  Templates,
  TracedFigure,
  TravellerLine,
} from './types'

const RESIN_CAUTION =
  'Ventilate, gloves, eye protection, no sparks; peroxide and accelerator never touch each other neat; small batches, mixed resin heats up by itself.'
const DUST_CAUTION = 'Extraction at the tool, respirator, eye protection.'
const LIFT_CAUTION = 'A hoist or a team with a plan; nobody stands under it.'
const PUTTY_CAUTION = 'Thick putty heats up by itself and can catch fire: thin layers.'

export interface TravellerInput {
  readonly shells: readonly ShellPlan[]
  readonly infusion: readonly InfusionPlan[]
  readonly bond: BondPlan | null
  readonly mass_kg: number
  readonly templates: Templates
  readonly panels: readonly PanelCheck[]
  readonly cure: readonly CureEvent[]
  readonly settings: BuildSettings
}

/** The ordered checklist with the numbers of this job; every number carries its formula and what went in. */
export function traveller(input: TravellerInput): TravellerLine[] {
  const { shells, infusion, bond, settings } = input
  return [
    ...shells.flatMap((shell) => [
      ...shellLines(shell, settings),
      ...infusion.filter((i) => i.name === shell.name).flatMap((filling) => fillingLines(filling, settings)),
    ]),
    ...cureLines(input),
    ...(bond ? bondLines(bond, settings) : []),
    ...lastLines(input),
  ]
}

function shellLines(shell: ShellPlan, settings: BuildSettings): TravellerLine[] {
  const resin = resinOf(settings.resin)
  const area = shell.area_m2.reduce((a, b) => a + b, 0)
  const { resin_kg } = shell
  const glass_kg = shell.lines.reduce((s, l) => s + l.glass_kg, 0)
  const area_m2 = figure(
    area,
    2,
    'm²',
    'sum of the facets of the moulded face',
    `${shell.name}, trim line to trim line`,
  )
  const plies = shell.lines.map(
    (l) =>
      line(
        shell.name,
      )`${figure(l.layers, 0, '', 'ply schedule', 'job setting')} × ${l.what}: ${figure(l.area_m2, 2, 'm²', 'mean area of moulded and raw face (volume of the shell / its thickness) × layers', `${l.layers} layers`)}, ${figure(l.glass_kg, 1, 'kg', 'area laid × weight of the fabric', l.what)} dry.`,
  )
  const zones = shell.zones
    .filter((z) => z.area_m2 > 0)
    .map(
      (z) =>
        line(
          shell.name,
        )`${z.name}: ${figure(z.area_m2, 2, 'm²', 'sum of the facets of the zone', `edge ${fixed(z.edge_m, 2)} m`)}, ${z.lines.map((l) => `${l.layers} × ${l.what}`).join(', ')}; ${figure(z.mass_kg, 1, 'kg', 'plies with their drop-offs: Σ (area + edge × reach) × weight', `${settings.dropOff_mm} mm a step`)}, laminate there ${figure(z.thickness_mm, 1, 'mm', 'thickness = W / (ρf Vf), ply by ply', 'all plies of the place')}.`,
    )
  const cores = shell.cores.map(
    (c) =>
      line(
        shell.name,
        DUST_CAUTION,
      )`Core: ${c.what}, ${figure(c.thickness_mm, 0, 'mm', 'core of the job', 'job setting')}, ${figure(c.area_m2, 2, 'm²', 'crown less inserts, or insert', 'sum of facets')}.`,
  )
  const how = settings.process === 'infusion' ? 'Infuse' : 'Laminate'
  return [
    line(
      shell.name,
      RESIN_CAUTION,
    )`Gelcoat ${figure(settings.gelcoat_mm, 2, 'mm', 'asked; 0.4 to 0.8 mm is common practice', 'job setting')} over ${area_m2}: ${figure(shell.gelcoat_kg, 1, 'kg', 'area × thickness × density of gelcoat', `${fixed(area, 3)} m² × ${settings.gelcoat_mm} mm × ${GELCOAT_GCM3} kg/dm³`)}, checked wet with a comb.`,
    ...plies,
    ...zones,
    ...cores,
    line(
      shell.name,
      RESIN_CAUTION,
    )`${how} with ${figure(resin_kg, 1, 'kg', 'resin = W (1/w − 1), ply by ply', `${fixed(glass_kg, 1)} kg of glass, fibre mass fraction w of each fabric`)} ${resin.name}, ${figure(1000 * resin.hardener * resin_kg, 0, 'g', 'resin × share of hardener', `${fixed(resin_kg, 2)} kg × ${resin.hardener}`)} hardener; laminate ${figure(shell.thickness_mm, 1, 'mm', 'thickness = W / (ρf Vf), ply by ply', `${fixed(glass_kg / area, 2)} kg/m² of glass`)}, fibre ${figure(100 * shell.vf, 0, '%', 'glass volume / laminate volume', `${fixed(shell.thickness_mm, 2)} mm of laminate`)} by volume.`,
  ]
}

function fillingLines(filling: InfusionPlan, settings: BuildSettings): TravellerLine[] {
  const [quick, likely, slow] = filling.fill_min
  const resin = resinOf(settings.resin)
  const darcy = 'Darcy flow on the shell, control volumes on its mesh'
  const inputs = `${resin.viscosity_Pas} Pa s, ${settings.bag_mbar} mbar left in the bag`
  const gel = `gel time halves per 10 °C (the factor is really 1.5 to 2.5)`
  return [
    line(
      filling.name,
      RESIN_CAUTION,
    )`Leak test the bag, then feed from ${WORDS[filling.inlet]}: ${figure(filling.resin_l, 1, 'l', 'pore volume of the plies', 'thickness × (1 − fibre share) × area')} in ${figure(likely, 0, 'min', darcy, `likely permeability, ${inputs}`)} (${figure(quick, 0, 'min', darcy, `high permeability, ${inputs}`)} to ${figure(slow, 0, 'min', darcy, `low permeability, ${inputs}`)}); gel at ${figure(filling.gel_min, 0, 'min', gel, `${resin.gel_min} min at 25 °C, shop at ${settings.shop_C} °C`)}.`,
  ]
}

function cureLines({ cure, settings }: TravellerInput): TravellerLine[] {
  return cure.map((event) => {
    const at = (hours: number) =>
      figure(
        hours,
        hours < 10 ? 1 : 0,
        'h',
        'hours at 20 °C × rate, which halves per 10 °C within 1.5 to 2.5',
        `shop at ${settings.shop_C} °C, ${settings.resin}`,
      )
    const clock = event.clock
      ? figureText(`${event.clock[0]} to ${event.clock[1]}`, 'start + hours', settings.start)
      : figureText('no start is typed', 'start + hours', 'none')
    const warm =
      event.temperature_C === undefined
        ? ''
        : figure(event.temperature_C, 0, '°C', 'common practice, no source', 'hours at that temperature')
    const how = event.caution ? `; ${event.caution}` : ''
    return line(
      'cure',
    )`${event.name}${warm === '' ? '' : ' at '}${warm}: after ${at(event.from_h)} to ${at(event.to_h)} (${clock})${how}. The resin’s data sheet decides.`
  })
}

const figureText = (shown: string, formula: string, inputs: string): TracedFigure => ({ shown, formula, inputs })

function bondLines(bond: BondPlan, settings: BuildSettings): TravellerLine[] {
  const raw = 'distance between the raw faces of both solids'
  const where = `both faces over ${fixed(bond.area_m2, 2)} m²`
  const gap = (value: number) => figure(value, 1, 'mm', raw, where)
  const lines = [
    line(
      'joint',
    )`Dry-fit the two shells: gap ${gap(bond.gap_mm.min)} to ${gap(bond.gap_mm.max)}, ${gap(bond.gap_mm.mean)} in the mean, over ${figure(bond.area_m2, 2, 'm²', 'mean of both raw faces nearer than 12 mm', 'skirt and flange')}.`,
    line(
      'joint',
      RESIN_CAUTION,
    )`Lay ${figure(bond.paste_l, 2, 'l', 'gap × area, a tenth over to squeeze out', where)} of paste (${figure(bond.paste_kg, 1, 'kg', 'volume × density', `${fixed(bond.paste_l, 2)} l × ${PASTE_GCM3} kg/l`)}) as a bead with legs of ${figure(bond.beadLeg_mm, 0, 'mm', 'leg of a triangular bead: √(2 × width × gap × 1.1)', `gap ${fixed(bond.gap_mm.mean, 2)} mm`)} along ${figure(bond.length_m, 1, 'm', 'length of the trim line', 'topside')}; ${figure(bond.work_min, 0, 'min', 'working time halves per 10 °C', `${settings.pasteWork_min} min at 25 °C, shop at ${settings.shop_C} °C`)} of working time, closed and loaded within ${figure(0.7 * bond.work_min, 0, 'min', '0.7 of the working time (common practice, no source)', `${fixed(bond.work_min, 1)} min`)}.`,
    line(
      'joint',
      LIFT_CAUTION,
    )`Weigh down with ${figure(bond.bags, 0, '', 'pressure × bonded area / (g × bag), if all of the load reaches the joint', `${settings.clamp_Pa} Pa, ${fixed(bond.area_m2, 2)} m²`)} bags of ${figure(settings.bag_kg, 0, 'kg', 'job setting', 'one bag')} on spreader boards until it has cured.`,
  ]
  if (bond.putty_l > 0.01)
    lines.push(
      line(
        'joint',
        PUTTY_CAUTION,
      )`Fill ${figure(bond.putty_l, 2, 'l', 'gap × area where the gap is 5 to 12 mm', where)} of gaps over 5 mm with putty, in layers.`,
    )
  return lines
}

function lastLines({ templates, mass_kg, panels }: TravellerInput): TravellerLine[] {
  const trims = templates.trims.map(
    (t) =>
      line(
        'trim',
        DUST_CAUTION,
      )`Trim the ${t.shell} along ${figure(t.length_mm / 1000, 2, 'm', 'length of the rim of the moulded face', `${t.points.length} points`)} of trim line.`,
  )
  const holes = templates.drills.reduce((n, d) => n + d.marks.length, templates.tubes.length)
  const drills =
    holes > 0
      ? [
          line(
            'drill',
            DUST_CAUTION,
          )`Mark ${figure(holes, 0, '', 'centres of fittings, their holes, and fasteners into tubes', `${templates.drills.length} fittings`)} centres by the templates, check each against the trim line, and bore from the moulded side.`,
        ]
      : []
  const bends = panels.map((p) => {
    const formula = `${p.formula} (a strip; Allen 1969)`
    const inputs = `${p.load_Pa} Pa, D ${fixed(p.bending_Nm, 0)} N m, E ${fixed(p.modulus_GPa, 1)} GPa`
    const gives = p.small
      ? figure(p.deflection_mm, 1, 'mm', formula, inputs)
      : figureText('more than the formula can tell', `${formula}; it ends at half of the thickness`, inputs)
    return line(
      'fit',
    )`For orientation only: over its widest span of ${figure(p.span_mm, 0, 'mm', 'twice the farthest distance of the crown from what carries it', p.shell)} the ${p.shell} gives ${gives}. Scantlings are for a qualified designer; the rules that apply decide.`
  })
  return [
    ...trims,
    ...drills,
    ...bends,
    line(
      'fit',
      LIFT_CAUTION,
    )`Lift ${figure(mass_kg, 0, 'kg', 'shells + paste + weighed fittings', 'fittings without a stated mass are left out')} on to the frame and dry-fit before bedding. A leg of a sling carries ${figure(slingLeg_N(mass_kg, LOADED_LEGS, SLOPE_DEG), 0, 'N', 'm g / (2 sin 60°): legs at 60° from the horizontal, two of them loaded; flatter legs carry more', `${fixed(mass_kg, 1)} kg`)}, without jerks; whoever lifts chooses the gear.`,
  ]
}
