/**
 * The schema of `job.json`: what a person may write, what is filled in, what is refused.
 *
 * Strict everywhere: an unknown key is a misspelt key, and a misspelt key that is swallowed becomes a wrong part. Every
 * field that has a default may be left out; a job that names only its scan is whole.
 * `docs/job-file.md` is generated from here (`npm run docs:job`), so each field carries its description.
 */
import { z } from 'zod'
import { CLEARANCE_DEFAULTS as D } from '../clearance/settings'
import { asMadeSchema } from './as-made-schema'
import { buildSchema } from './build-schema'
import { commentSchema, fittingUse, peopleSchema, vesselSchema } from './fitting-schema'
import { meshReference, lengthUnit as unit } from './mesh-schema'
import { releaseSchema } from './release-schema'
import { fileRegisterSchema } from './scan-register-schema'
import { chaseSchema, seatUse } from './seat-schema'
import { shapeFields } from './shape-schema'
import { approachSchema, importedSchema } from './shells-schema'
import { toolingSchema } from './tooling-schema'
import { wireSchema } from './wire-schema'

// The page's policy lets nothing be compiled from text; the library is not to try.
z.config({ jitless: true })

/** Largest length that may be asked for anywhere, mm: a slip of the unit must not start an hour of work. */
const LENGTH_LIMIT_MM = 100_000

const length_mm = (least: number, most: number) => z.number().min(least).max(most)
const place = z.tuple([z.number(), z.number(), z.number()])

const repair = z.discriminatedUnion('kind', [
  z
    .strictObject({ kind: z.literal('drop-islands'), belowShare: z.number().min(0).max(1).default(0.005) })
    .describe('stray pieces with less than this share of the largest piece’s area are dropped'),
  z.strictObject({ kind: z.literal('turn-facets') }).describe('facets are turned to agree with their neighbours'),
  z
    .strictObject({ kind: z.literal('fill-holes'), longestRim_mm: length_mm(0, 10_000) })
    .describe('holes with a rim up to this length are closed; the fill stays marked as unseen'),
  z
    .strictObject({
      kind: z.literal('crop-box'),
      min: place,
      max: place,
      motion: z
        .array(z.number())
        .length(16)
        .optional()
        .describe('rigid motion from scan axes (mm) to the axes of the box, row by row; left out: scan axes'),
    })
    .describe('only what lies in the box is kept'),
  z
    .strictObject({ kind: z.literal('crop-plane'), normal: place, offset_mm: z.number() })
    .describe('only what lies on the side of the plane that its normal points away from is kept'),
  z
    .strictObject({
      kind: z.literal('thin'),
      edge_mm: length_mm(0.1, 200).describe('wanted length of an edge'),
      deviation_mm: length_mm(0.001, 20).describe(
        'largest distance allowed between the thinned surface and the full one',
      ),
    })
    .describe('fewer, larger facets; half the measured distance counts as noise'),
])

const scan = z.strictObject({
  files: z.array(meshReference).min(1).max(32).describe('the scan of the frame, one file or several'),
  register: z
    .array(fileRegisterSchema)
    .max(31)
    .optional()
    .describe(
      'how each file after the first is brought on to the first, in their order; left out: all share their axes',
    ),
  unit: z
    .union([z.literal('auto'), unit])
    .default('auto')
    .describe('unit of the files; `auto`: from the file, else guessed from the size and shown to be confirmed'),
  repairs: z
    .array(repair)
    .max(100)
    .default([{ kind: 'drop-islands', belowShare: 0.005 }]),
  noise_mm: length_mm(0, 20)
    .nullable()
    .default(null)
    .describe('1 sigma from the scanner’s certificate; null: estimated from the mesh'),
})

const tubeMark = z.strictObject({
  name: z.string().max(100).optional(),
  role: z
    .enum(['clear', 'bearing'])
    .default('clear')
    .describe('clear: a gap must be kept; bearing: the gap is bedding or adhesive'),
  gap_mm: length_mm(0, 500).nullable().default(null).describe('own gap of this tube; null: the gap of the job'),
  fasteners: z
    .strictObject({
      pitch_mm: length_mm(10, 10_000).describe('from one to the next; round a ring evenly, never further apart'),
      from_mm: length_mm(0, 100_000)
        .nullable()
        .default(null)
        .describe('from the forward end (to port, where both lie alike) to the first; null: evenly, with like ends'),
      diameter_mm: length_mm(0.5, 50).default(6.5).describe('of the hole'),
    })
    .optional()
    .describe('fasteners down through the inner shell on to the crest of this tube, at a pitch'),
})

const frame = z.strictObject({
  tubes: z.record(z.string(), tubeMark).default({}).describe('marks on tubes, by tube id'),
})

const datumPicks = z
  .strictObject({
    level: z
      .array(place)
      .max(20)
      .default([])
      .refine((p) => p.length === 0 || p.length > 2, 'Level needs three places')
      .describe('three or more places that lie level'),
    pairs: z
      .array(z.strictObject({ port: place, starboard: place }))
      .max(50)
      .default([])
      .describe('the same spot on both sides; the centreline lies between'),
    forward: z
      .array(place)
      .max(2)
      .default([])
      .refine((p) => p.length !== 1, 'Forward needs two places')
      .describe('a place aft, then one forward of it'),
  })
  .describe(
    'places picked on the metal, scan axes, mm; they count where `matrix` is `auto`, and what is empty is found from the metal',
  )

const datum = z.strictObject({
  matrix: z
    .union([z.literal('auto'), z.array(z.number()).length(16)])
    .default('auto')
    .describe('rigid motion from scan axes (mm) to job axes, row by row; `auto`: found from the metal'),
  picks: datumPicks.optional(),
  forwardFlipped: z.boolean().default(false).describe('turns the automatic choice of forward round'),
  upFlipped: z.boolean().default(false),
  reading: z
    .enum(['plan-view', 'best-match'])
    .default('plan-view')
    .describe('plan-view: heights of the two sides may differ; best-match: rolled until both sides are level'),
})

const clearance = z.strictObject({
  gap_mm: length_mm(0, 500).default(D.gap_mm).describe('gap kept between the inner surface and the frame'),
  symmetric: z.boolean().default(D.symmetric).describe('one exactly symmetric top over the frame and its mirror image'),
  draft_deg: z.number().min(0.1).max(30).default(D.draft_deg),
  skirt_mm: length_mm(1, 1000).default(D.skirt_mm).describe('depth of the turned-down edge'),
  overhang_mm: length_mm(0, 1000).default(D.overhang_mm).describe('plan distance added outside gap and silhouette'),
  minRadius_mm: length_mm(0, 1000).default(D.minRadius_mm).describe('least concave radius of the moulded face'),
  edgeRadius_mm: length_mm(1, 500).default(D.edgeRadius_mm).describe('fillet between crown and skirt'),
  flange_mm: length_mm(0, 500)
    .default(D.flange_mm)
    .describe('flange at the foot of the skirt, where the joint is made'),
  fairRadius_mm: length_mm(50, 1_000_000)
    .default(D.fairRadius_mm)
    .describe('wanted least concave radius of the crown sheet: large is fair, small drapes close'),
  tautness: z.number().min(0).max(1).default(D.tautness).describe('0: thin plate, 1: taut membrane'),
  camberAlong_mm: length_mm(0, 1_000_000)
    .default(D.camberAlong_mm)
    .describe('radius of added camber fore and aft; 0: none'),
  camberAcross_mm: length_mm(0, 1_000_000)
    .default(D.camberAcross_mm)
    .describe('radius of added camber athwart; 0: none'),
  sample_mm: length_mm(1, 50).default(D.sample_mm).describe('spacing of the samples the crown is solved on'),
  underside_mm: length_mm(0.5, 100).default(D.underside_mm).describe('laminate thickness of the underside shell'),
  topside_mm: length_mm(0.5, 100).default(D.topside_mm).describe('laminate thickness of the topside shell'),
  cavity_mm: length_mm(0, 500)
    .default(D.cavity_mm)
    .describe('least height of the cavity between the raw faces over the crown'),
  bond_mm: length_mm(0, 50).default(D.bond_mm).describe('thickness of the bond line in the joint'),
  coverage: z
    .number()
    .min(0)
    .max(5)
    .default(D.coverage)
    .describe('coverage factor: the guard band is coverage × noise (ISO 14253-1)'),
  joint: z.enum(['shoebox', 'flat']).default(D.joint),
  imported: importedSchema.describe('shells that are taken as they are, and only checked'),
  approach: approachSchema.describe('a leaning way on to the frame, tried besides straight down; null: none'),
  ...shapeFields,
})

const fitting = z.strictObject({
  id: z.string().min(1).max(60).optional().describe('stable within the job; given if left out'),
  name: z.string().min(1).max(100),
  mesh: meshReference,
  unit: z.union([z.literal('auto'), unit]).default('auto'),
  on: z.enum(['topside', 'underside']).default('topside'),
  at_mm: z
    .tuple([length_mm(-LENGTH_LIMIT_MM, LENGTH_LIMIT_MM), length_mm(-LENGTH_LIMIT_MM, LENGTH_LIMIT_MM)])
    .describe('x, y in job axes'),
  turn_deg: z.number().min(-3600).max(3600).default(0),
  upright: z.boolean().default(false).describe('true: stands plumb; false: stands along the surface normal'),
  mirror: z
    .union([z.boolean(), z.enum(['geometry', 'position'])])
    .default(false)
    .describe('a twin about the centreline: `true` or `geometry` mirrors the part, `position` only its place'),
  baseNormal: place
    .nullable()
    .default(null)
    .describe('outward normal of the base in the part’s axes; null: the largest flat side'),
  mass_kg: z.number().min(0).max(10_000).nullable().default(null),
  comment: z.string().max(2000).default(''),
  ...fittingUse,
  ...seatUse,
})

const analysis = z.strictObject({
  minDraft_deg: z
    .number()
    .min(0)
    .max(45)
    .nullable()
    .default(null)
    .describe('least draft asked; null: the draft of the clearance step'),
  radiusLimit_mm: length_mm(1, 1000).default(50).describe('radii are looked for up to here'),
})

const filled = <T extends z.ZodObject>(schema: T) => schema.prefault({} as z.input<T>)

export const jobSchema = z.strictObject({
  format: z.literal('mouldwright-job'),
  version: z.literal(1),
  title: z.string().max(200).default('Untitled top'),
  scan,
  frame: filled(frame),
  datum: filled(datum),
  clearance: filled(clearance),
  fittings: z.array(fitting).max(500).default([]),
  chases: z.array(chaseSchema).max(100).default([]).describe('channels for wires'),
  wires: z.array(wireSchema).max(200).default([]).describe('wires between fittings, or out through a leg'),
  analysis: filled(analysis),
  asMade: z.array(asMadeSchema).max(20).default([]).describe('scans of moulds and parts, held against the plan'),
  tooling: filled(toolingSchema),
  build: filled(buildSchema),
  people: filled(peopleSchema),
  vessel: filled(vesselSchema),
  comments: z.array(commentSchema).max(1000).default([]).describe('remarks of people, pinned to places'),
  release: filled(releaseSchema),
})

/** What a job file may hold. */
export type JobFile = z.output<typeof jobSchema>
