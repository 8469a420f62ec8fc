/** What the report says about the build: shells, order list, filling, ply zones, spans, cure, traveller. */
import { addedMass, type BuildResult, effectOfTop } from '../build-plan'
import type { Job } from '../job'
import { type Block, type BlocksInput, mm, pick, place } from './report-block'

const minutes = (v: number): string => (v < 10 ? v.toFixed(1) : v.toFixed(0))
const cm2 = (m2: number): string => (m2 < 1 ? `${(m2 * 1e4).toFixed(0)} cm²` : `${m2.toFixed(2)} m²`)

const INLETS = {
  centreline: 'a line along the centreline',
  quarters: 'two lines at the quarters of the beam',
  athwart: 'a line athwart',
  trim: 'a ring at the trim line',
  placed: 'inlets as placed',
} as const

const heelWords = (heel_deg: number | null): string =>
  heel_deg === null
    ? 'leaves her no metacentric height: she would not stay upright'
    : `heels her by ${(Math.ceil(Math.abs(heel_deg) * 100) / 100).toFixed(2)}° to ${heel_deg >= 0 ? 'port' : 'starboard'}`

/** For orientation: the rise of the vessel's centre of gravity and her heel, where enough of her is known. */
function effectWords(build: BuildResult, { vessel }: Job): string {
  const effect = effectOfTop(vessel, build)
  if (!effect || vessel.mass_kg === null) return ''
  const { share, bothJudged } = addedMass(vessel.mass_kg, build.mass_kg)
  const both = bothJudged ? ', so that both conditions are judged' : ''
  return ` It makes her ${(Math.ceil(share * 1000 - 1e-6) / 10).toFixed(1)} % heavier${both}. It raises the vessel’s centre of gravity by ${mm(1000 * effect.rise_m, 0)} to ${effect.kg_m.toFixed(3)} m over the keel and ${heelWords(effect.heel_deg)}, for orientation only: a new top changes what her stability was judged by (ISO 12217: minimum operating condition, and loaded where that is over 15 % heavier); have it judged again.`
}

export function buildBlocks({ results, drawings, job }: BlocksInput): Block[] {
  const { build } = results
  if (!build) return []
  return [
    { kind: 'heading', text: 'How it is built', newPage: true },
    {
      kind: 'table',
      head: ['shell', 'thickness', 'drawn', 'fibre by volume', 'gelcoat', 'mass'],
      rows: build.shells.map((s) => [
        s.name,
        mm(s.thickness_mm, 1),
        mm(s.drawn_mm, 1),
        `${(100 * s.vf).toFixed(0)} %`,
        `${s.gelcoat_kg.toFixed(1)} kg`,
        `${s.mass_kg.toFixed(1)} kg`,
      ]),
      widths: [3, 2, 2, 2.4, 2, 2],
      figures: [1, 2, 3, 4, 5],
    },
    {
      kind: 'text',
      text: `Together ${build.mass_kg.toFixed(1)} kg, centre at ${place(build.centre)} mm${build.unweighed.length > 0 ? `; without ${build.unweighed.join(', ')}, whose mass is not given` : ''}. Weight added high up lowers stability: that is for licensed people.${effectWords(build, job)}`,
    },
    { kind: 'sub', text: 'To order, waste included' },
    {
      kind: 'table',
      head: ['what', 'amount', 'unit'],
      rows: build.order.map((l) => [l.what, l.amount.toFixed(1), l.unit]),
      widths: [6, 2, 2],
      figures: [1],
    },
    ...moreBuildBlocks(build, drawings),
    { kind: 'drawings', drawings: pick(drawings, /^map-filling-/) },
    { kind: 'sub', text: 'In this order' },
    {
      kind: 'table',
      head: ['', 'stage', 'what', 'done'],
      rows: build.traveller.map((l, i) => [
        String(i + 1),
        l.stage,
        l.caution ? `${l.text} Caution: ${l.caution}` : l.text,
        '☐',
      ]),
      widths: [0.6, 1.8, 9, 0.9],
      figures: [0],
    },
  ]
}

const moreBuildBlocks = (build: BuildResult, drawings: BlocksInput['drawings']): Block[] => [
  ...fillingBlocks(build),
  ...zoneBlocks(build),
  ...flatBlocks(build, drawings),
  ...panelBlocks(build),
  ...cureBlocks(build),
  { kind: 'drawings', drawings: pick(drawings, /^cure$/) },
]

function flatBlocks({ flats, rolls }: BuildResult, drawings: BlocksInput['drawings']): Block[] {
  if (flats.length === 0) return []
  return [
    { kind: 'sub', text: 'Pieces laid flat' },
    {
      kind: 'table',
      head: ['shell', 'piece', 'area', 'gives over 95 %', 'most', 'cut from'],
      rows: flats.map((f) => [
        f.shell,
        f.name,
        cm2(f.area_m2),
        `${(100 * f.strain95).toFixed(1)} %`,
        `${(100 * f.strainMost).toFixed(1)} %`,
        f.flat ? `the pattern${f.forCore ? ', core too' : ''}` : 'the mould',
      ]),
      widths: [2, 3, 1.8, 2.4, 1.6, 3],
      figures: [2, 3, 4],
    },
    {
      kind: 'text',
      text: `Off the roll by area alone, waste included: ${rolls.map((r) => `${r.what} ${r.length_m.toFixed(1)} m`).join(', ')}. How the pieces lie beside each other is for the cutter.`,
    },
    { kind: 'drawings', drawings: pick(drawings, /^flat-/) },
    {
      kind: 'text',
      small: true,
      text: 'The change of length that a piece needs to lie on the mould, least in the mean (Liu and others 2008). Up to 2 % fabric takes by the shear of its weave and core by its cuts (common practice, no source); more is cut on the mould, with darts.',
    },
  ]
}

function fillingBlocks({ infusion }: BuildResult): Block[] {
  if (infusion.length === 0) return []
  return [
    { kind: 'sub', text: 'Filling under vacuum' },
    {
      kind: 'table',
      head: ['shell', 'fed from', 'min', 'low to high', 'gel', 'filled last', 'trapped', 'resin'],
      rows: infusion.map((f) => [
        f.name,
        INLETS[f.inlet],
        minutes(f.fill_min[1]),
        `${minutes(f.fill_min[0])} – ${minutes(f.fill_min[2])}`,
        minutes(f.gel_min),
        f.lastAreas[0] ? cm2(f.lastAreas[0].area_m2) : 'none',
        cm2(f.pockets.reduce((sum, p) => sum + p.area_m2, 0)),
        `${f.resin_l.toFixed(1)} l + ${f.feed_l.toFixed(2)} l`,
      ]),
      widths: [1.6, 3, 0.9, 1.8, 0.9, 1.6, 1.3, 2.2],
      figures: [2, 3, 4, 5, 6, 7],
    },
    {
      kind: 'text',
      text: infusion
        .map(
          (f) =>
            `The ${f.name} from elsewhere: ${f.compared.map((c) => `${INLETS[c.inlet]} ${minutes(c.fill_min)} min${c.pocket_m2 > 0.001 ? ` with ${cm2(c.pocket_m2)} cut off` : ''}`).join('; ')}.`,
        )
        .join(' '),
    },
    {
      kind: 'text',
      small: true,
      text: 'Darcy flow on the shell with low, likely and high permeability; the layouts are compared on a coarser mesh. Try it on a test panel. Resin and hardener burn and harm: ventilate, gloves, eye protection, no sparks.',
    },
  ]
}

function zoneBlocks({ shells, cost }: BuildResult): Block[] {
  const zones = shells.flatMap((s) =>
    s.zones.map((z) => [
      s.name,
      z.name,
      cm2(z.area_m2),
      `${z.thickness_mm.toFixed(1)} mm`,
      `${(100 * z.vf).toFixed(0)} %`,
      `${z.mass_kg.toFixed(1)} kg`,
      z.cost.toFixed(0),
    ]),
  )
  const cores = shells.flatMap((s) =>
    s.cores.map((c) => [s.name, `${c.what}, ${c.thickness_mm} mm`, cm2(c.area_m2), `${c.mass_kg.toFixed(1)} kg`]),
  )
  return [
    ...(zones.length === 0
      ? []
      : ([
          { kind: 'sub', text: 'Zones with more plies' },
          {
            kind: 'table',
            head: ['shell', 'zone', 'area', 'laminate there', 'fibre', 'adds', 'cost'],
            rows: zones,
            widths: [2, 3, 1.6, 2, 1.2, 1.6, 1.4],
            figures: [2, 3, 4, 5, 6],
          },
        ] satisfies Block[])),
    ...(cores.length === 0
      ? []
      : ([
          { kind: 'sub', text: 'Core to cut' },
          {
            kind: 'table',
            head: ['shell', 'what', 'area', 'mass'],
            rows: cores,
            widths: [2, 4, 2, 2],
            figures: [2, 3],
          },
        ] satisfies Block[])),
    {
      kind: 'text',
      text: `By hand or by infusion: ${shells.map((s) => `the ${s.name} weighs ${s.mass_kg.toFixed(1)} kg, made by ${s.other.process} ${s.other.mass_kg.toFixed(1)} kg at ${s.other.thickness_mm.toFixed(1)} mm with ${s.other.resin_kg.toFixed(1)} kg of resin`).join('; ')}. Materials ${cost.toFixed(0)} at the rates of the job.`,
    },
  ]
}

function panelBlocks({ panels }: BuildResult): Block[] {
  if (panels.length === 0) return []
  return [
    { kind: 'sub', text: 'How far it gives, for orientation only' },
    {
      kind: 'table',
      head: ['shell', 'widest span', 'load', 'gives', 'of it shear'],
      rows: panels.map((p) => [
        p.shell,
        `${p.span_mm.toFixed(0)} mm`,
        `${p.load_Pa.toFixed(0)} Pa`,
        p.small ? `${p.deflection_mm.toFixed(1)} mm` : 'more than the formula can tell',
        `${p.shear_mm.toFixed(1)} mm`,
      ]),
      widths: [2, 2, 2, 3.4, 2],
      figures: [1, 2, 3, 4],
    },
    {
      kind: 'text',
      small: true,
      text: 'Past half of its thickness a panel carries as a membrane, which the formula does not know: no figure is given. A strip on two supports, 5 q L⁴ / 384 D + q L² / 8 S (Allen 1969; Zenkert 1995). Scantlings are for a qualified designer and the rules that apply; ISO 12215-5 is the place to look.',
    },
  ]
}

function cureBlocks({ cure }: BuildResult): Block[] {
  if (cure.length === 0) return []
  const hours = (v: number) => (v < 10 ? v.toFixed(1) : v.toFixed(0))
  return [
    { kind: 'sub', text: 'Cure clock' },
    {
      kind: 'table',
      head: ['what', 'hours after the start', 'by the clock'],
      rows: cure.map((e) => [
        e.temperature_C === undefined ? e.name : `${e.name} at ${e.temperature_C} °C`,
        `${hours(e.from_h)} – ${hours(e.to_h)}`,
        e.clock ? `${e.clock[0]} – ${e.clock[1]}` : 'no start is typed',
      ]),
      widths: [4, 3, 5],
      figures: [1],
    },
    {
      kind: 'text',
      small: true,
      text: 'Times at 20 °C are common practice without a source; they halve per 10 °C, really by 1.5 to 2.5. The data sheet of the resin decides.',
    },
  ]
}
